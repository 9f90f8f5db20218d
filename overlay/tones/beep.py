"""One beep: its shape in samples, and the samples.

A pip is a tone under raised-cosine edges. The pitch starts at its crest and the overtones at zero:
the edge makes the first sample zero all the same, and the next one can already be told from
silence in a file of 24 bits, so that a beep is found on its sample.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from overlay.plan.outputs import Sound
from overlay.tones.loudness import Samples, beep_loudness
from overlay.units.clock import nearest
from overlay.units.level import db_to_gain, gain_to_db

POP_HZ = 1000.0
"""The sync mark's pitch, by the custom of the 2-pop: 1 kHz, one frame, 2 s before the first frame."""
SHORTEST_EDGE = Fraction(1, 100)
"""Seconds. Shorter edges click."""

HEADROOM_DB = 0.01
"""Kept below the ceiling, for the rounding of samples and of meters."""


@dataclass(frozen=True)
class Shape:
    """What a beep is at one sample rate. `pip_starts` count from the beep's own first sample."""

    pip_starts: tuple[int, ...]
    pip_samples: int
    edge_samples: int
    pitch_hz: float
    partials: tuple[float, ...]
    loudness_lufs: float
    sample_rate_hz: int

    @property
    def sample_count(self) -> int:
        return self.pip_starts[-1] + self.pip_samples


@dataclass(frozen=True, eq=False)
class Voice:
    """A kind's beep, ready to be put into a track.

    `samples` begin and end with zero. `attack` rises from 0 towards 1 as the beep comes in, and at
    no time is the beep above `attack` times the ceiling. `loudness_lufs` is that of one pip over
    itself; it is below the loudness that was asked for where the ceiling was in the way. `gain` is
    the factor that brings the shape's partials to that level.
    """

    samples: Samples
    attack: Samples
    loudness_lufs: float
    gain: float


def sound_to_shape(sound: Sound, loudness_lufs: float, sample_rate_hz: int) -> Shape:
    """A sound in samples, each pip placed from the first one; `loudness_lufs` where it names none.

    >>> shape = sound_to_shape(Sound(count=2), -18.0, 44100)
    >>> shape.pip_starts, shape.pip_samples, shape.edge_samples
    ((0, 8820), 8820, 662)
    """
    edge_samples = nearest(sound.fade * sample_rate_hz)
    return Shape(
        pip_starts=tuple(nearest(pip * sound.spacing * sample_rate_hz) for pip in range(sound.count)),
        pip_samples=max(nearest(sound.length * sample_rate_hz), 2 * edge_samples),
        edge_samples=edge_samples,
        pitch_hz=sound.pitch,
        partials=sound.partials,
        loudness_lufs=loudness_lufs if sound.loudness is None else sound.loudness,
        sample_rate_hz=sample_rate_hz,
    )


def pop_shape(frame_samples: int, loudness_lufs: float, sample_rate_hz: int) -> Shape:
    """The sync mark: exactly one frame. Where a frame is shorter than two edges they share it."""
    edge_samples = min(nearest(SHORTEST_EDGE * sample_rate_hz), frame_samples // 2)
    return Shape((0,), frame_samples, edge_samples, POP_HZ, (1.0,), loudness_lufs, sample_rate_hz)


def voice(shape: Shape, ceiling_dbtp: float) -> Voice:
    """Render a beep at its loudness, or as near to it as the ceiling lets it come.

    The crest is that of the tone without its edges, found between samples too, so that no moment
    of the beep can pass the ceiling, whatever its edges do.
    """
    attack = raised_cosine(shape.edge_samples)
    pip = _tone(shape, np.arange(shape.pip_samples) / shape.sample_rate_hz)
    pip[: len(attack)] *= attack
    pip[-len(attack) :] *= attack[::-1]
    plain_lufs = beep_loudness(pip, shape.sample_rate_hz)
    crest = float(np.max(np.abs(_tone(shape, np.arange(4096) / (4096 * shape.pitch_hz)))))
    room_db = ceiling_dbtp - HEADROOM_DB - gain_to_db(crest)
    gain_db = min(shape.loudness_lufs - plain_lufs, room_db)
    gain = db_to_gain(gain_db)
    samples = np.zeros(shape.sample_count)
    for start in shape.pip_starts:
        samples[start : start + shape.pip_samples] = pip * gain
    return Voice(samples, attack, plain_lufs + gain_db, gain)


def raised_cosine(sample_count: int) -> Samples:
    """A fade-in: the first sample is 0, the one after the last would be 1.

    >>> raised_cosine(4).round(3).tolist()
    [0.0, 0.146, 0.5, 0.854]
    """
    return (1 - np.cos(np.pi * np.arange(sample_count) / sample_count)) / 2


def _tone(shape: Shape, seconds: Samples) -> Samples:
    """The steady tone without edges, at unit level."""
    angle = 2 * np.pi * shape.pitch_hz * seconds
    tone = shape.partials[0] * np.cos(angle)
    for partial, level in enumerate(shape.partials[1:], start=2):
        tone += level * np.sin(partial * angle)
    return tone
