"""Beeps of a finished edit to the sample.

Nothing has come between the tone track and an edit but faders and a coder: each beep is in it as the very samples
that were written. So its own waveform, overtones and all, is laid over the sound. That places it to a fraction of a
millisecond, and finds it under speech that is as loud, where a recording from the set would leave it drowned.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from overlay.footage.beeps import HeardBeep
from overlay.footage.levels import sound_of
from overlay.footage.sound import Facts
from overlay.tones.beep import Voice
from overlay.tones.loudness import Samples

_REACH = 0.008
"""Seconds around where a beep was heard in which its waveform is laid over the sound."""
_AT_PLACE = 0.003
"""The same around the place of one that was not heard: it is there, or it is missing."""
_LEAST, _MOST = 0.6, 1.6
"""Gain against the usual one of its kind between which a beep is what the tone track has. Chance gives it to
speech as loud as the beeps in few places, because speech would need the same pitch, phase and level."""


_AS_WELL = 1.1
"""What is left of the sound, against the least, up to which a beep fits as well where all others say it is: under
speech a pip fits a cycle or more away by chance. In a clean sound nothing is left, and this gives no room."""


@dataclass(frozen=True, eq=False)
class _Fit:
    """How a beep's waveform fits: a gain for each sample from `first` on (counted from the picture's zero) that it
    might begin with, and how much energy is left without it."""

    first: int
    rate_hz: int
    gains: Samples
    left: Samples

    @property
    def best(self) -> int:
        return int(np.argmax(self.gains))

    @property
    def gain(self) -> float:
        return float(self.gains[self.best])

    def time(self, index: int) -> float:
        """Seconds from the picture's zero."""
        return (self.first + index) / self.rate_hz

    def likeliest(self, expected: float) -> float:
        """The best time, or the expected one where the waveform fits as well."""
        there = round(expected * self.rate_hz) - self.first
        if 0 <= there < len(self.left) and self.left[there] <= _AS_WELL * self.left[self.best]:
            return self.time(there)
        return self.time(self.best)


def to_the_sample(
    path: Path,
    facts: Facts,
    beeps: Sequence[HeardBeep],
    place_of: Callable[[HeardBeep], float],
    voices_at: Callable[[int], Mapping[str, Voice]],
    far: Callable[[float], None] = lambda _: None,
) -> tuple[HeardBeep, ...]:
    """The same beeps with exact times, and those heard that were drowned.

    `place_of` gives the second at which a beep belongs, `voices_at` what the beeps are made of at a sample rate;
    `far` is told the share of the sound that was read, 0 to 1.
    """
    fits = _fits(path, facts, beeps, place_of, voices_at, far)
    usual: dict[str, float] = {}
    for kind in {beep.expected.kind for beep in beeps}:
        own = [
            fits[n].gain for n, beep in enumerate(beeps) if beep.is_heard and beep.expected.kind == kind and n in fits
        ]
        if own:
            usual[kind] = float(np.median(own))
    common = _common_error(fits, beeps, place_of)
    exact = []
    for number, beep in enumerate(beeps):
        fit, gain = fits.get(number), usual.get(beep.expected.kind, 0.0)
        if fit is not None and gain > 0 and _LEAST * gain <= fit.gain <= _MOST * gain:
            time = fit.likeliest(place_of(beep) + common)
            beep = replace(beep, heard=time, error_ms=1000 * (time - place_of(beep)), is_silent=False)
        exact.append(beep)
    return tuple(exact)


def _common_error(
    fits: Mapping[int, _Fit], beeps: Sequence[HeardBeep], place_of: Callable[[HeardBeep], float]
) -> float:
    """By how many seconds beeps are late in the middle."""
    errors = [
        fits[n].time(fits[n].best) - place_of(beep) for n, beep in enumerate(beeps) if beep.is_heard and n in fits
    ]
    return float(np.median(errors)) if errors else 0.0


def _fits(
    path: Path,
    facts: Facts,
    beeps: Sequence[HeardBeep],
    place_of: Callable[[HeardBeep], float],
    voices_at: Callable[[int], Mapping[str, Voice]],
    far: Callable[[float], None],
) -> dict[int, _Fit]:
    """The best fit of each beep whose sound is all there, by its number."""
    voices: Mapping[str, Voice] = {}
    windows: dict[int, tuple[int, Samples]] = {}
    rate_hz = 0
    for at, rate_hz, samples in sound_of(path, facts, far):
        if not voices:
            voices = voices_at(rate_hz)
            for number, beep in enumerate(beeps):
                reach = _REACH if beep.heard is not None else _AT_PLACE
                middle = beep.heard if beep.heard is not None else place_of(beep)
                length = len(voices[beep.expected.kind].samples) + 2 * round(reach * rate_hz)
                windows[number] = round((middle - reach) * rate_hz), np.zeros(length)
        mono = samples.sum(axis=1)
        for first, window in windows.values():
            begin, end = max(first, at), min(first + len(window), at + len(mono))
            if begin < end:
                window[begin - first : end - first] = mono[begin - at : end - at]
    fits = {}
    for number, (first, window) in windows.items():
        voice = voices[beeps[number].expected.kind].samples
        energy = float(np.sum(voice**2))
        products = np.correlate(window, voice, "valid")
        sums = np.concatenate(([0.0], np.cumsum(window**2)))
        left = sums[len(voice) :] - sums[: -len(voice)] - products**2 / energy
        fits[number] = _Fit(first, rate_hz, products / energy, np.maximum(left, 0.0))
    return fits
