"""How much a moment of a recording sounds like a beep of a kind.

A matched filter answers to the kind's own envelope; its answer is set against what it gives in the
neighbourhood, and then against all that it gives in the recording. So a steady hum, a loud song or a
quiet microphone count for nothing, whatever their level, and every kind speaks on the same scale.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from overlay.footage.bands import BAND_RATE_HZ, LEAD, Band, Envelope

Values = NDArray[np.float32]

CELL = 10
"""Values of a band in a cell of evidence: 20 ms."""
CELL_RATE_HZ = BAND_RATE_HZ // CELL
_NEIGHBOURHOOD = 2 * BAND_RATE_HZ
"""Values of which one median is taken; the middle of five of these is the neighbourhood's level."""
_NEIGHBOURS = 2
_CLOSE_HZ = 30
"""How near to its pitch a beep must be pure: half a semitone and a little more at the pitches that are used."""
_BEFORE, _AFTER = BAND_RATE_HZ // 10, BAND_RATE_HZ // 10
"""Values (0.1 s) before and after a beep in which its pitch should be still. Music's notes come out of others
and ring on; speech slides through."""
_SHARP = 2700.0
"""Mean square slope (per square second) of a pip of 80 ms with edges of 15 ms, against its mean square level."""
_FLOOR = 1e-7
"""Power below which, against the loudest, there is nothing to compare with: digital silence."""

HEARD_SHARE = 0.85
"""How many of a class's beeps are expected to be heard in a recording of it."""
MOST_SURPRISE = 7.0
"""Surprise (nats) that counts: beyond it a recording is too short to tell."""


@dataclass(frozen=True, eq=False)
class Kind:
    """A kind of beep as a recording has it.

    `template` is its envelope with unit energy, `energy` what it was as planned. At each value of the band
    stand: `matched`, the filter's complex answer to a beep that begins there; `purity`, the power of that
    answer over the power of everything else beside it; and `is_there`, whether there is sound. `weight` has
    for each cell the log-likelihood (nats) of a beep that begins in or beside it against none.
    """

    name: str
    band: Band
    template: Envelope
    energy: float
    matched: Envelope
    purity: Values
    weight: Values
    is_there: NDArray[np.bool_]

    @property
    def sharpness(self) -> float:
        """How well a beep of the kind can be placed, 1 for a ready pip and less for blunter ones.

        The variance of a matched filter's peak goes with the inverse of the envelope's mean square slope
        (Woodward's formula, from memory): edges tell the time, a long steady tone between them does not.
        """
        slopes = np.diff(self.template) * BAND_RATE_HZ
        return min(float(np.sum(np.abs(slopes) ** 2)) / _SHARP, 1.0)

    def purity_at(self, seconds: float) -> float:
        """The purity so many seconds after the band's first value."""
        return float(self.purity[min(max(round(seconds * BAND_RATE_HZ), 0), len(self.purity) - 1)])

    def has_sound_at(self, seconds: float) -> bool:
        """Whether the recording has sound so many seconds after the band's first value."""
        index = round(seconds * BAND_RATE_HZ)
        return 0 <= index < len(self.is_there) and bool(self.is_there[index])


def kind_of(name: str, band: Band, template: Envelope, is_there: NDArray[np.bool_]) -> Kind:
    """Listen to a band for one kind of beep. `is_there` tells for each value whether there is sound at all."""
    unit = _unit(template)
    purity = _purity(band.values, unit, is_there)
    weight = _weight(_in_cells(purity), _in_cells(is_there.astype(np.float32)) > 0)
    return Kind(
        name, band, unit, float(np.sum(np.abs(template) ** 2)), _correlated(band.values, unit), purity, weight, is_there
    )


def presence(band: Band, sounding: Iterable[tuple[int, int]], sample_rate_hz: int) -> NDArray[np.bool_]:
    """For each value of a band: whether the recording has sound there. `sounding` are stretches of samples."""
    there = np.zeros(len(band.values), dtype=bool)
    for start, end in sounding:
        a = -(-start * BAND_RATE_HZ // sample_rate_hz) - band.first
        b = end * BAND_RATE_HZ // sample_rate_hz - band.first
        there[max(a, 0) : max(b, 0)] = True
    return there


def _unit(template: Envelope) -> Envelope:
    return np.asarray(template / np.sqrt(np.sum(np.abs(template) ** 2)), dtype=np.complex64)


def _purity(values: Envelope, template: Envelope, is_there: NDArray[np.bool_]) -> Values:
    """Power of a beep over that of everything else close to its pitch, from a little before it to a little after."""
    if not len(values):
        return np.zeros(0, dtype=np.float32)
    close = _close(values)
    power = np.abs(_correlated(close, _unit(_close(np.pad(template, BAND_RATE_HZ))[BAND_RATE_HZ:-BAND_RATE_HZ]))) ** 2
    sums = np.concatenate(([0], np.cumsum(np.abs(close).astype(np.float64) ** 2)))
    at = np.arange(len(values))
    end = np.minimum(at + len(template) - 2 * LEAD + _AFTER, len(values))
    whole = sums[end] - sums[np.maximum(at - _BEFORE, 0)]
    return np.asarray(power / (np.maximum(whole - power, 0) + _neighbourhood(power, is_there)), dtype=np.float32)


def _close(values: Envelope) -> Envelope:
    """What lies within `_CLOSE_HZ` of the pitch, with soft edges."""
    size = 1 << (len(values) + BAND_RATE_HZ).bit_length()
    spectrum = np.fft.fft(values, size)
    offset_hz = np.abs(np.fft.fftfreq(size, 1 / BAND_RATE_HZ))
    spectrum *= np.clip((1.3 * _CLOSE_HZ - offset_hz) / (0.3 * _CLOSE_HZ), 0, 1).astype(np.float32)
    return np.asarray(np.fft.ifft(spectrum)[: len(values)], dtype=np.complex64)


def _correlated(values: Envelope, template: Envelope) -> Envelope:
    """The filter's answer, value n for a beep whose first sample is at value n."""
    if not len(values):
        return values
    size = 1 << (len(values) + len(template)).bit_length()
    product = np.fft.fft(values, size) * np.conj(np.fft.fft(template, size))
    answer = np.roll(np.fft.ifft(product), LEAD)[: len(values)]
    return np.asarray(answer, dtype=np.complex64)


def _neighbourhood(power: Values, is_there: NDArray[np.bool_]) -> Values:
    """The level around each value: the middle of medians, which a few beeps do not lift."""
    if not len(power):
        return power
    count = -(-len(power) // _NEIGHBOURHOOD)
    padded = np.full(count * _NEIGHBOURHOOD, np.nan, dtype=np.float32)
    padded[: len(power)] = np.where(is_there, power, np.nan)
    parts = padded.reshape(count, _NEIGHBOURHOOD)
    known = np.isfinite(parts).any(axis=1)
    medians = np.full(count, np.nan, dtype=np.float32)
    medians[known] = np.nanmedian(parts[known], axis=1)
    wide = np.pad(medians, _NEIGHBOURS, constant_values=np.nan)
    windows = np.lib.stride_tricks.sliding_window_view(wide, 2 * _NEIGHBOURS + 1)
    levels = np.zeros(count, dtype=np.float32)
    some = np.isfinite(windows).any(axis=1)
    levels[some] = np.nanmedian(windows[some], axis=1)
    floor = max(float(power.max()) * _FLOOR, 1e-30)
    return np.repeat(np.maximum(levels / np.log(2), floor), _NEIGHBOURHOOD)[: len(power)]


def _in_cells(values: Values) -> Values:
    """The largest value in and beside each cell: a beep may begin a few hundredths of a second off."""
    count = len(values) // CELL
    largest = values[: count * CELL].reshape(count, CELL).max(axis=1)
    beside = largest.copy()
    beside[1:] = np.maximum(beside[1:], largest[:-1])
    beside[:-1] = np.maximum(beside[:-1], largest[1:])
    return np.asarray(beside, dtype=np.float32)


def _weight(contrast: Values, is_there: NDArray[np.bool_]) -> Values:
    """Log-likelihood (nats) of a beep against none, by how rare such a contrast is in this recording.

    The surprise of a value is minus the log of the share of cells that reach it: without beeps it falls off
    as e^-x by its own definition, whatever the music. With a beep it may be anything up to the most.
    """
    weight = np.zeros(len(contrast), dtype=np.float32)
    known = contrast[is_there]
    if len(known):
        order = np.sort(known)
        reached = len(order) - np.searchsorted(order, known, side="left")
        surprise = np.minimum(-np.log(reached / len(order)), MOST_SURPRISE)
        spread = np.exp(surprise) / (MOST_SURPRISE + 1)
        weight[is_there] = np.log(1 - HEARD_SHARE + HEARD_SHARE * spread)
    return weight
