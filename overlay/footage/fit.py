"""Offset and drift from all beeps of an answer together.

The search leaves each block's offset within a few hundredths of a second. Here every beep is placed by
the peak of its matched filter, and a line is put through them that outliers do not move: one rate of
the clock for the whole file, one offset for each stretch between two pauses.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from overlay.footage.bands import BAND_RATE_HZ
from overlay.footage.evidence import CELL, Kind
from overlay.footage.search import Planned

Floats = NDArray[np.float64]

REACH = 0.08
"""Seconds around the expected time in which a beep's peak is looked for."""
USUAL_DRIFT = 75e-6
"""Seconds a second: the spread of drift that is reckoned with before anything is heard."""
_KIND_SPREAD = 0.01
"""Seconds by which a room makes one kind's peaks later than another's."""
_MOST_SCANNED, _SCAN_STEP = 150e-6, 5e-6
_ROUNDS = 3
_PEAK_SPREAD = 0.004
"""Seconds by which peaks of clear beeps stray; less is not believed."""


@dataclass(frozen=True)
class Expected:
    """A beep that an answer expects, the number of its block, and the stretch (no pause inside) it belongs to."""

    planned: Planned
    block: int
    stretch: int

    @property
    def kind(self) -> str:
        return self.planned.kind

    @property
    def time(self) -> float:
        return self.planned.time


class Stretch(NamedTuple):
    """Where the search heard a stretch: at class time `time` the offset is `offset` (seconds on the band's clock)."""

    offset: float
    time: float


@dataclass(frozen=True, eq=False)
class Line:
    """Where class time lies in a recording: `offsets[stretch] + time * (1 + drift)`, seconds on the band's clock."""

    offsets: Floats
    drift: float
    keeps_phase: bool = False
    """Whether the beeps of a kind and stretch arrive with one phase, so that they may be added up."""
    score: float = 0.0
    """Log-likelihood of the beeps on this line, against those on other lines of one recording."""

    def at(self, beep: Expected) -> float:
        return float(self.offsets[beep.stretch] + beep.time * (1 + self.drift))

    def moved(self, lag: float) -> Line:
        return replace(self, offsets=self.offsets + lag)


@dataclass(frozen=True)
class Peak:
    """A beep's own time (seconds on the band's clock) and its evidence in nats, 0 for none.

    `sharpness` is that of its kind.
    """

    beep: Expected
    time: float
    weight: float
    sharpness: float = 1.0


def fitted(beeps: Sequence[Expected], kinds: Mapping[str, Kind], stretches: Sequence[Stretch]) -> Line:
    """The line through all beeps' peaks. `stretches` is where the search puts each of them, within `REACH`."""
    line = scanned(beeps, kinds, stretches)
    for _ in range(_ROUNDS):
        line = through(peaks_of(line, beeps, kinds), line)
    return line


def peaks_of(line: Line, beeps: Sequence[Expected], kinds: Mapping[str, Kind]) -> list[Peak]:
    """Each beep's peak nearest to a line."""
    return [peak_near(kinds[beep.kind], beep, line.at(beep), REACH / 2) for beep in beeps]


def scanned(beeps: Sequence[Expected], kinds: Mapping[str, Kind], stretches: Sequence[Stretch]) -> Line:
    """The line with the most evidence among all drifts that clocks have and all offsets near the search's answer.

    Every beep has a say at once, so that no single one needs to be found.
    """
    times = np.array([beep.time for beep in beeps])
    offsets = np.array([stretch.offset for stretch in stretches])
    anchors = np.array([stretch.time for stretch in stretches])
    of_beep = np.array([beep.stretch for beep in beeps])
    expected, from_anchors = offsets[of_beep] + times, times - anchors[of_beep]
    reach = int(REACH * BAND_RATE_HZ)
    drifts = np.arange(-_MOST_SCANNED, _MOST_SCANNED + _SCAN_STEP / 2, _SCAN_STEP)
    totals = -((drifts / USUAL_DRIFT) ** 2) / 2
    found = np.zeros((len(drifts), len(offsets)))
    window = np.arange(-reach, reach + 1)
    sounds = {name: np.log1p(kind.purity) for name, kind in kinds.items()}
    for number, drift in enumerate(drifts):
        evidence = np.zeros((len(offsets), len(window)))
        for beep, at in zip(beeps, (expected + from_anchors * drift) * BAND_RATE_HZ, strict=True):
            values, at = sounds[beep.kind], round(at)
            if at - reach >= 0 and at + reach < len(values):
                evidence[beep.stretch] += values[at - reach : at + reach + 1]
        best = evidence.argmax(axis=1)
        totals[number] += 3 * float(evidence.max(axis=1).sum())
        found[number] = offsets + window[best] / BAND_RATE_HZ
    at = int(np.argmax(totals))
    return Line(found[at] - anchors * drifts[at], float(drifts[at]))


def peak_near(kind: Kind, beep: Expected, expected: float, reach: float) -> Peak:
    """The matched filter's highest answer within `reach` seconds of the expected time."""
    middle = expected * BAND_RATE_HZ
    first = max(int(middle - reach * BAND_RATE_HZ), 1)
    end = max(int(middle + reach * BAND_RATE_HZ) + 2, 0)
    power = np.abs(kind.matched[first - 1 : end]).astype(np.float64) ** 2
    if len(power) < 3:
        return Peak(beep, expected, 0.0)
    inner = power[1:-1] * kind.purity[first : first + len(power) - 2]
    at = int(np.argmax(inner)) + 1
    left, here, right = np.sqrt(power[at - 1 : at + 2])
    bend = left - 2 * here + right
    part = 0.5 * (left - right) / bend if bend < 0 else 0.0
    index = first - 1 + at
    cell = min(index // CELL, len(kind.weight) - 1)
    weight = max(float(kind.weight[cell]), 0.0)
    time = (index + float(np.clip(part, -0.5, 0.5))) / BAND_RATE_HZ
    return Peak(beep, time, weight, kind.sharpness)


def through(peaks: Sequence[Peak], line: Line) -> Line:
    """The line through peaks by weighted least squares, anew with ever less weight for those that stray (Tukey).

    Each kind may be late by its own time: a room answers every pitch differently.
    """
    stretches = len(line.offsets)
    names = sorted({peak.beep.kind for peak in peaks})
    times = np.array([peak.beep.time for peak in peaks])
    middle = float(times.mean())
    rows = np.arange(len(peaks))
    design = np.zeros((len(peaks), stretches + 1 + len(names)))
    design[rows, [peak.beep.stretch for peak in peaks]] = 1
    design[:, stretches] = times - middle
    design[rows, [stretches + 1 + names.index(peak.beep.kind) for peak in peaks]] = 1
    measured = np.array([peak.time for peak in peaks]) - times
    weights = np.array([peak.weight * peak.sharpness for peak in peaks])
    # What nothing is heard of stays where the search put it, and the clock is as good as clocks are.
    priors = np.concatenate(([1.0] * stretches, [USUAL_DRIFT], [_KIND_SPREAD] * len(names)))
    kept = (_PEAK_SPREAD / priors) ** 2
    # The line goes where the kinds agree; those that are hardly heard have little say in it.
    heard = np.array([sum(w for w, peak in zip(weights, peaks, strict=True) if peak.beep.kind == k) for k in names])
    kept[stretches + 1 :] *= np.maximum(heard / max(float(heard.max()), 1e-9), 1e-3)
    first = np.concatenate((line.offsets + middle * line.drift, np.zeros(1 + len(names))))
    answer = first.copy()
    answer[stretches] = line.drift
    for spread in (5, 4, 3, 3, 3, 3):
        strayed = measured - design @ answer
        known = weights > 0
        scale = spread * max(1.5 * float(np.median(np.abs(strayed[known]))) if known.any() else 0.0, _PEAK_SPREAD)
        trust = weights * np.clip(1 - (strayed / scale) ** 2, 0, None) ** 2
        square = design.T @ (design * trust[:, None])
        square[np.diag_indices(len(kept))] += kept
        answer = np.linalg.solve(square, design.T @ (measured * trust) + kept * first)
    drift = float(answer[stretches])
    return Line(answer[:stretches] - middle * drift, drift)


def scatter(line: Line, peaks: Sequence[Peak]) -> float:
    """Seconds by which peaks usually stray from the line, each kind's own lateness apart."""
    strayed: list[float] = []
    for kind in {peak.beep.kind for peak in peaks}:
        late = [peak.time - line.at(peak.beep) for peak in peaks if peak.beep.kind == kind and peak.weight > 0]
        strayed += [abs(each - float(np.median(late))) for each in late]
    return float(np.median(strayed)) if strayed else 0.0


def answer_at(kind: Kind, time: float) -> complex:
    """The matched filter's answer at a time between values, its phase that of the sound itself at that time."""
    at = time * BAND_RATE_HZ
    whole = int(np.floor(at))
    if whole < 0 or whole + 1 >= len(kind.matched):
        return 0j
    part = at - whole
    value = complex(kind.matched[whole]) * (1 - part) + complex(kind.matched[whole + 1]) * part
    return complex(value * np.exp(2j * np.pi * kind.band.pitch_hz * time))
