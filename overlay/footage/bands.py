"""A narrow band of sound around each pitch, slow enough to keep an hour of it.

A band is the complex envelope of the sound around a pitch: 500 values a second hold all that a beep
with its edges of 10 ms does there. Everything that follows works on bands alone.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from overlay.footage.sound import Mono, Piece

Envelope = NDArray[np.complex64]

BAND_RATE_HZ = 500
"""Values a second. The pass band is flat to 200 Hz on either side: the edges of 10 ms reach 100 Hz."""
LEAD = 25
"""Values of a template before the beep: 50 ms, in which the band's own filter rings."""
_FLAT_HZ = 200
_BLOCK_SECONDS, _GUARD_SECONDS = 16, 1
_HOP_SECONDS = _BLOCK_SECONDS - 2 * _GUARD_SECONDS


@dataclass(frozen=True, eq=False)
class Band:
    """The envelope around one pitch. Value n stands `(first + n) / BAND_RATE_HZ` seconds after the picture's zero."""

    pitch_hz: int
    first: int
    values: Envelope


def bands_of(pieces: Iterable[Piece], sample_rate_hz: int, pitches_hz: Iterable[int]) -> dict[int, Band]:
    """The bands of a recording, by their pitch in whole Hz; pieces are in order, memory is that of 16 s and the bands.

    What lies between pieces is taken as silence. Without any piece the bands are empty.
    """
    pitches = sorted(set(pitches_hz))
    size, hop, guard = (seconds * sample_rate_hz for seconds in (_BLOCK_SECONDS, _HOP_SECONDS, _GUARD_SECONDS))
    slices: dict[int, list[Envelope]] = {pitch: [] for pitch in pitches}
    block: Mono = np.zeros(size, dtype=np.float32)
    start = first = None

    def pass_on() -> None:
        spectrum = np.fft.rfft(block)
        for pitch in pitches:
            slices[pitch].append(_envelope(spectrum, pitch, sample_rate_hz))
        block[:-hop] = block[hop:].copy()
        block[-hop:] = 0

    for at, samples in pieces:
        if start is None:
            first = at // hop
            start = first * hop - guard
        while len(samples):
            room = start + size - at
            if room > 0:
                here = samples[:room]
                block[at - start : at - start + len(here)] = here
                at, samples = at + len(here), samples[len(here) :]
            if len(samples):
                pass_on()
                start += hop
    if start is not None:
        pass_on()
        pass_on()  # the last block's second half
    begins = (first or 0) * _HOP_SECONDS * BAND_RATE_HZ
    return {pitch: Band(pitch, begins, _joined(slices[pitch])) for pitch in pitches}


def template_of(samples: NDArray[np.float64], sample_rate_hz: int, pitch_hz: int) -> Envelope:
    """A beep's own envelope, made the same way, with `LEAD` values before its first sample and as many behind.

    The beep is shorter than 12 s.
    """
    block = np.zeros(_BLOCK_SECONDS * sample_rate_hz, dtype=np.float32)
    begins = 2 * _GUARD_SECONDS * sample_rate_hz
    block[begins : begins + len(samples)] = samples
    envelope = _envelope(np.fft.rfft(block), pitch_hz, sample_rate_hz)
    first = _GUARD_SECONDS * BAND_RATE_HZ
    return envelope[first - LEAD : first + len(samples) * BAND_RATE_HZ // sample_rate_hz + LEAD]


def _joined(slices: list[Envelope]) -> Envelope:
    return np.concatenate(slices) if slices else np.zeros(0, dtype=np.complex64)


def _envelope(spectrum: NDArray[np.complexfloating], pitch_hz: int, sample_rate_hz: int) -> Envelope:
    """The block's middle 14 s around a pitch. A whole number of Hz keeps the phase from block to block."""
    count = _BLOCK_SECONDS * BAND_RATE_HZ
    half = count // 2
    middle = pitch_hz * _BLOCK_SECONDS
    taken = np.zeros(count, dtype=np.complex64)
    bins = np.arange(max(middle - half, 0), min(middle + half, len(spectrum)))
    offsets = bins - middle
    taken[offsets % count] = spectrum[bins] * _shape(offsets / _BLOCK_SECONDS)
    envelope = np.fft.ifft(taken) * (count / (_BLOCK_SECONDS * sample_rate_hz))
    guard = _GUARD_SECONDS * BAND_RATE_HZ
    return np.asarray(envelope[guard:-guard], dtype=np.complex64)


def _shape(offset_hz: NDArray[np.float64]) -> NDArray[np.float32]:
    """1 in the pass band, falling to 0 at half the band's rate: what is soft in frequency is short in time."""
    beyond = np.clip((np.abs(offset_hz) - _FLAT_HZ) / (BAND_RATE_HZ / 2 - _FLAT_HZ), 0, 1)
    return np.asarray((1 + np.cos(np.pi * beyond)) / 2, dtype=np.float32)
