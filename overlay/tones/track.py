"""The tone track of a class, its stems, the ducker's key, and how loud it all is.

Every beep of the timeline starts on its own sample. Files are streamed: a track is an iterator of
the file's bytes, of the same few chunks of memory however long the class is.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import numpy as np

from overlay.plan.outputs import ToneSettings
from overlay.timeline.model import Beep, BeepKind, Timeline
from overlay.tones.beep import (
    HEADROOM_DB,
    POP_HZ,
    SHORTEST_EDGE,
    Shape,
    Voice,
    pop_shape,
    raised_cosine,
    sound_to_shape,
    voice,
)
from overlay.tones.loudness import MOMENTARY, LoudnessMeter, Samples, TruePeakMeter
from overlay.tones.mix import Event, Piece, cut_short, mix
from overlay.tones.wave import Description, broadcast_wave
from overlay.units.clock import frame_to_sample, nearest
from overlay.units.level import db_to_gain

_APART = MOMENTARY + Fraction(1, 5)
"""Seconds of silence after which what comes next cannot raise a momentary reading of what came before."""
_DUCK_BLOCK_SAMPLES = 1 << 16


@dataclass(frozen=True)
class KindLevel:
    """How loud one kind of beep is by itself.

    `loudness_lufs` is over one pip itself, `momentary_max_lufs` what a meter with its window of
    400 ms shows. `held_by_ceiling` says that the loudness asked for would have passed the ceiling.
    `cut_short` of its `beeps` gave way to the next beep or to the end of the class.
    """

    kind: str
    beeps: int
    cut_short: int
    loudness_lufs: float
    momentary_max_lufs: float
    true_peak_dbtp: float
    held_by_ceiling: bool


@dataclass(frozen=True)
class LevelReport:
    """How loud a tone track is. None where nothing is heard."""

    momentary_max_lufs: float | None
    true_peak_dbtp: float | None
    kinds: tuple[KindLevel, ...]

    def data(self) -> dict[str, Any]:
        """The report as plain data, figures to a hundredth; kinds by their word."""
        kinds = {kind.kind: _rounded({k: v for k, v in vars(kind).items() if k != "kind"}) for kind in self.kinds}
        own = {"momentary_max_lufs": self.momentary_max_lufs, "true_peak_dbtp": self.true_peak_dbtp}
        return {**_rounded(own), "kinds": kinds}


def _rounded(figures: dict[str, Any]) -> dict[str, Any]:
    return {name: round(value, 2) if isinstance(value, float) else value for name, value in figures.items()}


def tone_track(timeline: Timeline, settings: ToneSettings) -> Iterator[bytes]:
    """The bytes of the tone track: every beep, exactly as long as the class."""
    levels = level_report(timeline, settings)
    described = _description(timeline, "Beeps", levels.momentary_max_lufs, levels.true_peak_dbtp)
    voices = voices_of(timeline, settings, timeline.sample_rate_hz)
    yield from broadcast_wave(described, mix(events_of(timeline), voices, timeline.sample_count))


def stem_tracks(timeline: Timeline, settings: ToneSettings) -> dict[str, Iterator[bytes]]:
    """A track for each kind of beep in the class, by the kind's word; together they are the whole."""
    voices = voices_of(timeline, settings, timeline.sample_rate_hz)
    stems = {}
    for kind in voices:
        pieces = mix(events_of(timeline), voices, timeline.sample_count, {kind})
        stems[kind] = broadcast_wave(_description(timeline, f"Beeps, {kind} alone"), pieces)
    return stems


def duck_track(
    timeline: Timeline, settings: ToneSettings, spoken: Iterable[tuple[Fraction, Fraction]]
) -> Iterator[bytes]:
    """A key for a ducker on the music: a 1 kHz tone at the ceiling while words are said, else silence.

    `spoken` are the exact seconds from and to which somebody speaks. Nobody is meant to hear it.
    """
    rate_hz = timeline.sample_rate_hz
    stretches = _joined(sorted((nearest(start * rate_hz), nearest(end * rate_hz)) for start, end in spoken))
    pieces = _key(stretches, db_to_gain(settings.ceiling - HEADROOM_DB), timeline.sample_rate_hz)
    yield from broadcast_wave(_description(timeline, "Key for a ducker, not to be heard"), pieces)


def level_report(timeline: Timeline, settings: ToneSettings) -> LevelReport:
    """Loudest momentary loudness and true peak, of each kind and of the whole.

    The whole is measured where beeps stand near each other as well, each such pattern once.
    """
    rate_hz = timeline.sample_rate_hz
    voices = voices_of(timeline, settings, rate_hz)
    events = events_of(timeline)
    counts = Counter(event.kind for event in events)
    cuts = Counter(event.kind for event in cut_short(events, voices, timeline.sample_count))
    kinds = []
    for kind, sound in voices.items():
        momentary_lufs, peak_dbtp = _measured([(0, sound.samples)], rate_hz)
        asked_lufs = _asked_lufs(kind, settings)
        held = sound.loudness_lufs < asked_lufs - 0.005
        level = (sound.loudness_lufs, momentary_lufs, peak_dbtp, held)
        kinds.append(KindLevel(kind, counts[kind], cuts[kind], *level))
    patterns = set(_patterns(events, voices, timeline.sample_count, nearest(_APART * rate_hz)))
    readings = [_measured(mix(near, voices, end), rate_hz) for near, end in sorted(patterns)]
    return LevelReport(_loudest(m for m, _ in readings), _loudest(p for _, p in readings), tuple(kinds))


def events_of(timeline: Timeline, sample_rate_hz: int | None = None) -> list[Event]:
    """The timeline's beeps in order, on the samples of its own or of another sample rate."""
    if sample_rate_hz in (None, timeline.sample_rate_hz):
        return sorted(Event(beep.sample, beep.kind.value) for beep in timeline.beeps)
    at_rate = (timeline.rate, sample_rate_hz or timeline.sample_rate_hz)
    return sorted(Event(frame_to_sample(beep.frame, *at_rate), beep.kind.value) for beep in timeline.beeps)


def voices_of(timeline: Timeline, settings: ToneSettings, sample_rate_hz: int) -> dict[str, Voice]:
    """The voice of each kind of beep that the class has, in the kinds' own order."""
    shapes = _shapes_of(timeline, settings, sample_rate_hz)
    return {kind: voice(shape, settings.ceiling) for kind, shape in shapes.items()}


def beep_figures(timeline: Timeline, settings: ToneSettings) -> dict[str, dict[str, Any]]:
    """What a player needs to make the same sounds itself, by the kind's word, as plain data.

    `pip_starts_s`, `length_s` and `fade_s` are seconds on the class's own samples, `pitch_hz` is the
    fundamental, and each of `partials` is the linear level of the pitch and its overtones, 1 being full scale.
    """
    rate_hz = timeline.sample_rate_hz
    return {
        kind: {
            "pip_starts_s": [start / rate_hz for start in shape.pip_starts],
            "length_s": shape.pip_samples / rate_hz,
            "fade_s": shape.edge_samples / rate_hz,
            "pitch_hz": shape.pitch_hz,
            "partials": [level * voice(shape, settings.ceiling).gain for level in shape.partials],
        }
        for kind, shape in _shapes_of(timeline, settings, rate_hz).items()
    }


def _shapes_of(timeline: Timeline, settings: ToneSettings, sample_rate_hz: int) -> dict[str, Shape]:
    present = {beep.kind: beep for beep in timeline.beeps[::-1]}
    return {
        kind.value: (
            pop_shape(_frame_samples(timeline, present[kind], sample_rate_hz), settings.loudness, sample_rate_hz)
            if kind is BeepKind.POP
            else sound_to_shape(settings.sound(kind.value), settings.loudness, sample_rate_hz)
        )
        for kind in BeepKind
        if kind in present
    }


def _asked_lufs(kind: str, settings: ToneSettings) -> float:
    own_lufs = None if kind == BeepKind.POP.value else settings.sound(kind).loudness
    return settings.loudness if own_lufs is None else own_lufs


def _frame_samples(timeline: Timeline, beep: Beep, sample_rate_hz: int) -> int:
    start, end = (frame_to_sample(frame, timeline.rate, sample_rate_hz) for frame in (beep.frame, beep.frame + 1))
    return end - start


def _description(
    timeline: Timeline, contents: str, momentary_lufs: float | None = None, peak_dbtp: float | None = None
) -> Description:
    return Description(
        title=timeline.title,
        contents=contents,
        rate=timeline.rate,
        counting=timeline.counting,
        start_frame=timeline.start_frame,
        sample_rate_hz=timeline.sample_rate_hz,
        sample_count=timeline.sample_count,
        momentary_max_lufs=momentary_lufs,
        true_peak_dbtp=peak_dbtp,
    )


def _patterns(
    events: list[Event], voices: Mapping[str, Voice], sample_count: int, apart_samples: int
) -> Iterator[tuple[tuple[Event, ...], int]]:
    """Beeps that stand near each other, counted from the first of them, and the sample of their end."""
    near: list[Event] = []
    end = 0
    for event in events:
        if near and event.sample - end >= apart_samples:
            yield _from_zero(near, min(end, sample_count))
            near = []
        near.append(event)
        end = max(end, event.sample + len(voices[event.kind].samples))
    if near:
        yield _from_zero(near, min(end, sample_count))


def _from_zero(near: list[Event], end: int) -> tuple[tuple[Event, ...], int]:
    first = near[0].sample
    return tuple(Event(event.sample - first, event.kind) for event in near), end - first


def _measured(pieces: Iterable[Piece], sample_rate_hz: int) -> tuple[float, float]:
    """Momentary maximum in LUFS and true peak in dBTP of mono pieces that sound in both channels."""
    loudness, peak = LoudnessMeter(sample_rate_hz), TruePeakMeter(channels=1)
    position = 0

    def feed(samples: Samples) -> None:
        loudness.feed(np.column_stack((samples, samples)))
        peak.feed(samples[:, None])

    for start, samples in pieces:
        feed(np.zeros(start - position))
        feed(samples)
        position = start + len(samples)
    feed(np.zeros(nearest(_APART * sample_rate_hz)))
    return loudness.momentary_max_lufs, peak.true_peak_dbtp


def _loudest(levels: Iterable[float]) -> float | None:
    return max((level for level in levels if math.isfinite(level)), default=None)


def _joined(stretches: Iterable[tuple[int, int]]) -> list[tuple[int, int]]:
    """Stretches in order of their starts, those that touch or overlap made one."""
    joined: list[tuple[int, int]] = []
    for start, end in stretches:
        if joined and start <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
        elif end > start:
            joined.append((start, end))
    return joined


def _key(stretches: Iterable[tuple[int, int]], gain: float, sample_rate_hz: int) -> Iterator[Piece]:
    edge = nearest(SHORTEST_EDGE * sample_rate_hz)
    rise = np.append(raised_cosine(edge), 1.0)
    for start, end in stretches:
        for block in range(start, end, _DUCK_BLOCK_SAMPLES):
            at = np.arange(block, min(end, block + _DUCK_BLOCK_SAMPLES))
            level = gain * rise[np.minimum(at - start, edge)] * rise[np.minimum(end - 1 - at, edge)]
            yield block, level * np.sin(2 * np.pi * POP_HZ * at / sample_rate_hz)
