"""Offset and drift from all beeps of an answer together.

The search leaves each block's offset within a few hundredths of a second. Here every beep is placed by
the peak of its matched filter, and a line is put through them that outliers do not move: one rate of
the clock for the whole file, one offset for each stretch between two pauses.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

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
MOST_PHASE_DRIFT = 60e-6
_MOST_SCANNED, _SCAN_STEP = 150e-6, 5e-6
_PHASE_STEP = 0.05e-6
_PEAK_DRIFT = 25e-6
"""Seconds a second by which the peaks of few beeps in a hard room may mislead."""
LEAST_PHASE = 0.35
"""How much of the beeps' sound must add up for their phase to be believed; chance gives about 1 in their number."""
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


@dataclass(frozen=True, eq=False)
class Line:
    """Where class time lies in a recording: `offsets[stretch] + time * (1 + drift)`, seconds on the band's clock."""

    offsets: Floats
    drift: float
    keeps_phase: bool = False
    """Whether the beeps of a kind and stretch arrive with one phase, so that they may be added up."""

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


def fitted(beeps: Sequence[Expected], kinds: Mapping[str, Kind], offsets: Sequence[float]) -> tuple[Line, list[Peak]]:
    """The line through all beeps, and each beep's peak nearest to it. `offsets` is the search's answer a stretch."""
    line = scanned(beeps, kinds, offsets)
    peaks: list[Peak] = []
    for reach in (REACH / 2, REACH / 2, REACH / 2):
        peaks = [peak_near(kinds[beep.kind], beep, line.at(beep), reach) for beep in beeps]
        line = through(peaks, line)
    return line, peaks


def scanned(beeps: Sequence[Expected], kinds: Mapping[str, Kind], offsets: Sequence[float]) -> Line:
    """The line with the most evidence among all drifts that clocks have and all offsets near the search's answer.

    Every beep has a say at once, so that no single one needs to be found.
    """
    times = np.array([beep.time for beep in beeps])
    stretches = np.array([beep.stretch for beep in beeps])
    middle = float(times.mean())
    reach = int(REACH * BAND_RATE_HZ)
    drifts = np.arange(-_MOST_SCANNED, _MOST_SCANNED + _SCAN_STEP / 2, _SCAN_STEP)
    totals = -((drifts / USUAL_DRIFT) ** 2) / 2
    found = np.zeros((len(drifts), len(offsets)))
    window = np.arange(-reach, reach + 1)
    sounds = {name: np.log1p(kind.purity) for name, kind in kinds.items()}
    for number, drift in enumerate(drifts):
        evidence = np.zeros((len(offsets), len(window)))
        for beep, time, stretch in zip(beeps, times, stretches, strict=True):
            values = sounds[beep.kind]
            at = round((offsets[stretch] + time + (time - middle) * drift) * BAND_RATE_HZ)
            if at - reach >= 0 and at + reach < len(values):
                evidence[stretch] += values[at - reach : at + reach + 1]
        best = evidence.argmax(axis=1)
        totals[number] += 3 * float(evidence.max(axis=1).sum())
        found[number] = np.array(offsets) + window[best] / BAND_RATE_HZ
    at = int(np.argmax(totals))
    return Line(found[at] - middle * drifts[at], float(drifts[at]))


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


def through(peaks: Sequence[Peak], line: Line, drift_spread: float = USUAL_DRIFT) -> Line:
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
    priors = np.concatenate(([1.0] * stretches, [drift_spread], [_KIND_SPREAD] * len(names)))
    kept = (_PEAK_SPREAD / priors) ** 2
    # The line goes where the kinds agree; those that are hardly heard have little say in it.
    heard = np.array([sum(w for w, peak in zip(weights, peaks, strict=True) if peak.beep.kind == k) for k in names])
    kept[stretches + 1 :] *= np.maximum(heard / max(float(heard.max()), 1e-9), 1e-3)
    usual = line.drift if drift_spread < USUAL_DRIFT else 0.0
    first = np.concatenate((line.offsets + middle * line.drift, [usual], np.zeros(len(names))))
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


def in_phase(line: Line, peaks: Sequence[Peak], kinds: Mapping[str, Kind]) -> Line:
    """The same line with its drift refined by the beeps' phase, where they keep one.

    Nobody moves loudspeaker and camera during a stretch, so all beeps of a kind arrive alike, and the
    drift at which they add up is sharp to a small part of a millionth. Where they do not, the line stays.
    """
    steps = np.arange(-MOST_PHASE_DRIFT, MOST_PHASE_DRIFT, _PHASE_STEP)
    total, alone, number = np.zeros(len(steps)), 0.0, 0
    middle = float(np.average([peak.beep.time for peak in peaks]))
    for kind in kinds.values():
        for stretch in range(len(line.offsets)):
            mine = [p for p in peaks if p.beep.kind == kind.name and p.beep.stretch == stretch and p.weight > 0]
            if len(mine) < 2:
                continue
            times = np.array([peak.beep.time - middle for peak in mine])
            answers = np.array([answer_at(kind, line.at(peak.beep)) for peak in mine])
            answers /= np.maximum(np.abs(answers), 1e-12)
            turned = np.exp(-2j * np.pi * kind.band.pitch_hz * np.outer(steps, times))
            total += np.abs(turned.conj() @ answers) ** 2 / len(mine)
            alone += 1.0
            number += len(mine)
    if not alone:
        return line
    # Beeps at equal distances agree at several drifts: the nearest to what the peaks say is meant.
    total *= np.exp(-((steps / _PEAK_DRIFT) ** 2) / 2)
    best = int(np.argmax(total))
    span = max(peak.beep.time for peak in peaks) - min(peak.beep.time for peak in peaks)
    width = 1.5 / (1000 * max(span, 1.0))  # the drift that turns a pitch of 1000 Hz once and a half over the class
    rest = total[np.abs(steps - steps[best]) > width]
    if total[best] < LEAST_PHASE * number or (len(rest) and total[best] < 1.25 * rest.max()):
        return line
    drift = line.drift + float(steps[best])
    refined = Line(line.offsets - middle * float(steps[best]), drift, keeps_phase=True)
    again = [peak_near(kinds[peak.beep.kind], peak.beep, refined.at(peak.beep), REACH / 3) for peak in peaks]
    return replace(through(again, refined, drift_spread=_PHASE_STEP), keeps_phase=True)


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
