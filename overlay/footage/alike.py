"""Beeps of one kind in one stretch, which should be alike, and what is known of a kind before they are compared."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from overlay.footage.bands import BAND_RATE_HZ, LEAD
from overlay.footage.evidence import Kind
from overlay.footage.fit import REACH, Expected, Floats, Stretch

Complex = NDArray[np.complex128]

_ROOM = 0.1
"""Power, against the kind's own, by which a beep differs from its like: none is trusted more than that."""
_REACH = round(REACH * BAND_RATE_HZ)
LAGS = np.arange(-_REACH, _REACH + 1)
"""Values around the place that the search gives in which beeps are looked for."""
_BEFORE, _BEHIND = 50, 100
"""Values (0.1 s, 0.2 s) before a beep, and behind it, in which its room answers."""
_FADE_IN, _FADE_OUT = 20, 60
_WIDE_HZ = 120
"""Beyond this a beep's edges are fainter than anything else."""
_SMOOTH = 9
"""Bins over which the noise's spectrum is averaged."""


@dataclass(frozen=True, eq=False)
class Like:
    """Beeps of one kind in one stretch: they should be alike. `trust` is one over the power of what disturbs each."""

    kind: Kind
    stretch: int
    expected: Floats
    """Seconds on the band's clock without drift."""
    from_middle: Floats
    """Seconds since the stretch's own time."""
    trust: Floats

    def sounds(self, drift: float) -> Complex:
        """What the filter gives (beeps, lags) if the clock drifts so, its phases those of the sound."""
        values = self.kind.matched
        at = self.expected + self.from_middle * drift
        whole = np.floor(at * BAND_RATE_HZ).astype(int)
        part = (at * BAND_RATE_HZ - whole)[:, None]
        index = whole[:, None] + LAGS
        is_inside = (index >= 0) & (index + 1 < len(values))
        index = np.clip(index, 0, len(values) - 2)
        answers = values[index] * (1 - part) + values[index + 1] * part
        turned = np.exp(2j * np.pi * self.kind.band.pitch_hz * at)[:, None]
        return np.asarray(answers * is_inside * turned, dtype=np.complex128)

    def sums(self, drift: float, more: Floats) -> Complex:
        """The sum of all beeps (drifts, lags) at drifts a little more than this one, in roots of nats."""
        turns = np.exp(2j * np.pi * self.kind.band.pitch_hz * np.outer(more, self.from_middle))
        return np.asarray(turns @ (self.sounds(drift) * self.trust[:, None]) / np.sqrt(self.trust.sum()))


def likes_of(kind: Kind, beeps: Sequence[Expected], stretches: Sequence[Stretch]) -> list[Like]:
    mine = [beep for beep in beeps if beep.kind == kind.name]
    if not mine or not len(kind.matched):
        return []
    expected = np.array([stretches[beep.stretch].offset + beep.time for beep in mine])
    near = np.clip(np.round(expected * BAND_RATE_HZ).astype(int)[:, None] + 2 * LAGS, 0, len(kind.matched) - 1)
    power = np.abs(kind.matched[near]).astype(np.float64) ** 2
    # The filter lets through of all else as much as it does where no beep is.
    part = float(np.median(kind.purity)) / np.log(2)
    others = part * (power / np.maximum(kind.purity[near], 1e-9)).min(axis=1)
    usual = float(np.median(others)) + _ROOM * float(np.median(power.max(axis=1))) + 1e-30
    likes = []
    for number, stretch in enumerate(stretches):
        rows = [row for row, beep in enumerate(mine) if beep.stretch == number]
        if rows:
            since = np.array([mine[row].time - stretch.time for row in rows])
            likes.append(Like(kind, number, expected[rows], since, 1 / (others[rows] + usual)))
    return likes


@dataclass(frozen=True, eq=False)
class Spectrum:
    """What is known of a kind before its beeps are compared: the usual noise and the kind's own energy by bin."""

    kind: Kind
    turns: Floats
    """Of each bin in a value of the band."""
    noise: Floats
    own: Floats
    window: Floats
    bins: int

    @property
    def independent(self) -> float:
        """How many values of a beep's spectrum are independent."""
        return len(self.turns) * float(np.sum(self.window**2)) / self.bins

    def of(self, like: Like, drift: float, lag: float) -> Complex:
        """Spectra (beeps, bins) against the usual noise if the clock drifts so and the beeps lie so many values on."""
        at = like.expected + like.from_middle * drift + lag / BAND_RATE_HZ
        whole = np.floor(at * BAND_RATE_HZ).astype(int)
        index = whole[:, None] + np.arange(-_BEFORE, len(self.window) - _BEFORE)
        values = self.kind.band.values
        is_inside = (index >= 0) & (index < len(values))
        pieces = values[np.clip(index, 0, len(values) - 1)] * is_inside * self.window
        part = at * BAND_RATE_HZ - whole
        turned = np.exp(2j * np.pi * (self.turns * part[:, None] + self.kind.band.pitch_hz * at[:, None]))
        return np.asarray(_bins_of(pieces, self.bins, self.turns) * turned / np.sqrt(self.noise))

    def later(self, values: Floats | float) -> Complex:
        """What turns spectra into those of the sound so many values on: (..., bins)."""
        turns = self.turns + self.kind.band.pitch_hz / BAND_RATE_HZ
        return np.asarray(np.exp(2j * np.pi * np.multiply.outer(np.asarray(values), turns)))


def spectrum_of(kind: Kind) -> Spectrum:
    """Listen to the whole recording for the noise around a kind's pitch: medians, which a few beeps do not lift."""
    count = _BEFORE + len(kind.template) - 2 * LEAD + _BEHIND
    bins = 1 << (count - 1).bit_length()
    turns = np.fft.fftfreq(bins)
    turns = turns[np.abs(turns) * BAND_RATE_HZ < _WIDE_HZ]
    window = np.interp(np.arange(count), (0, _FADE_IN, count - 1 - _FADE_OUT, count - 1), (0, 1, 1, 0))
    rows = len(kind.band.values) // count
    is_there = kind.is_there[: rows * count].reshape(rows, count).all(axis=1)
    pieces = kind.band.values[: rows * count].reshape(rows, count)[is_there] * window
    own = np.abs(_bins_of(kind.template[None], bins, turns)[0]) ** 2
    noise = np.ones(len(turns))
    if len(pieces):
        power = np.median(np.abs(_bins_of(pieces, bins, turns)) ** 2, axis=0) / np.log(2)
        order = np.argsort(turns)
        near = np.pad(power[order], _SMOOTH // 2, mode="edge")
        noise[order] = np.convolve(near, np.full(_SMOOTH, 1 / _SMOOTH), "valid")
    return Spectrum(kind, turns, noise + 1e-9 * float(noise.max()) + 1e-30, own, window, bins)


def _bins_of(pieces: NDArray[np.complexfloating], bins: int, turns: Floats) -> Complex:
    used = np.round(turns * bins).astype(int)
    return np.asarray(np.fft.fft(pieces, bins, axis=1)[:, used], dtype=np.complex128)
