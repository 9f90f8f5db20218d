"""A proof's sound: the beeps over what the camera heard, written as it is made."""

from __future__ import annotations

import wave
from collections.abc import Iterator, Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from overlay.footage.conform import Filmed
from overlay.footage.moments import Moments
from overlay.footage.sound import Resampler
from overlay.plan.outputs import ToneSettings
from overlay.timeline.model import Timeline
from overlay.tones.mix import Piece, mix
from overlay.tones.track import events_of, voices_of
from overlay.units.clock import frame_to_sample, frame_to_time, nearest
from overlay.units.level import db_to_gain
from overlay.units.rate import FrameRate
from overlay.units.span import Span

RATE_HZ = 48000
FOOTAGE_DB = -6.0
"""What the footage's sound is turned down by, so that with beeps of at most -6 dBTP it cannot pass full scale."""
_BLOCK_SECONDS = 10
_RUN_UP = Fraction(1, 4)
"""Seconds decoded before a place that was jumped to: the first frame of a coder is not whole."""

Mono = NDArray[np.float32]


def write_sound(
    path: Path, timeline: Timeline, settings: ToneSettings, moments: Moments, filmed: Sequence[Filmed]
) -> None:
    """Write the sound of a proof as a wave file (mono, 16 bit, 48 kHz), a few seconds at a time.

    Every stretch begins on the sample of its first frame.
    """
    tones = _Tones(timeline, settings)
    with _FilmedSound(filmed, timeline.rate) as footage, wave.open(str(path), "wb") as out:
        out.setparams((1, 2, RATE_HZ, 0, "NONE", ""))
        for start, span in moments.starts():
            begins, ends = (frame_to_sample(f, timeline.rate, RATE_HZ) for f in (start, start + span.frame_count))
            first = frame_to_sample(span.start_frame, timeline.rate, RATE_HZ)
            for at in range(0, ends - begins, _BLOCK_SECONDS * RATE_HZ):
                count = min(_BLOCK_SECONDS * RATE_HZ, ends - begins - at)
                sound = footage.sound(first + at, count) * np.float32(db_to_gain(FOOTAGE_DB))
                sound += tones.sound(first + at, count)
                out.writeframesraw((np.clip(sound, -1, 1) * 32767).astype("<i2").tobytes())


class _Tones:
    """The beeps of a class from any sample on, ascending."""

    def __init__(self, timeline: Timeline, settings: ToneSettings) -> None:
        count = frame_to_sample(timeline.frame_count, timeline.rate, RATE_HZ)
        voices = voices_of(timeline, settings, RATE_HZ)
        self._pieces = mix(events_of(timeline, RATE_HZ), voices, count)
        self._held: list[Piece] = []

    def sound(self, first: int, count: int) -> Mono:
        total = np.zeros(count, dtype=np.float32)
        while (not self._held or self._held[-1][0] < first + count) and (piece := next(self._pieces, None)):
            self._held.append(piece)
        self._held = [piece for piece in self._held if piece[0] + len(piece[1]) > first]
        for start, samples in self._held:
            _add(total, samples.astype(np.float32), start - first)
        return total


class _FilmedSound:
    """What the camera heard from any sample of the class on, ascending; silence where nothing was filmed."""

    def __init__(self, filmed: Sequence[Filmed], rate: FrameRate) -> None:
        self._filmed = [(each, *self._samples(each.span, rate)) for each in filmed if each.clip.has_sound]
        self._rate = rate
        self._open: tuple[Filmed, _Reading] | None = None

    def __enter__(self) -> _FilmedSound:
        return self

    def __exit__(self, *_: object) -> None:
        if self._open is not None:
            self._open[1].close()

    @staticmethod
    def _samples(span: Span, rate: FrameRate) -> tuple[int, int]:
        return frame_to_sample(span.start_frame, rate, RATE_HZ), frame_to_sample(span.end_frame, rate, RATE_HZ)

    def sound(self, first: int, count: int) -> Mono:
        total = np.zeros(count, dtype=np.float32)
        for each, begins, ends in self._filmed:
            start, end = max(first, begins), min(first + count, ends)
            if start < end:
                in_file = nearest(frame_to_time(each.first_frame, self._rate) * RATE_HZ) + start - begins
                total[start - first : end - first] += self._reading(each).sound(in_file, end - start)
        return total

    def _reading(self, each: Filmed) -> _Reading:
        if self._open is None or self._open[0] is not each:
            if self._open is not None:
                self._open[1].close()
            self._open = each, _Reading(each.clip.path)
        return self._open[1]


class _Reading:
    """A file's sound from any sample on, counted from its first picture: decoded on, or jumped to."""

    def __init__(self, path: Path) -> None:
        import av

        self._container = av.open(str(path), metadata_errors="replace")
        audio: Any = self._container.streams.best("audio")
        zero: Any = next(iter(self._container.streams.video), audio)
        self._audio, self._base = audio, _exact(audio.time_base)
        self._zero = (zero.start_time or 0) * _exact(zero.time_base)
        self._held: list[tuple[int, Mono]] = []
        self._frames = self._decoded()
        self._end = 0

    def close(self) -> None:
        self._container.close()

    def sound(self, first: int, count: int) -> Mono:
        if first - self._end > 2 * RATE_HZ:
            time = Fraction(first, RATE_HZ) + self._zero - _RUN_UP
            self._container.seek(max(int(time / self._base), 0), stream=self._audio)
            self._frames, self._held = self._decoded(), []
        total = np.zeros(count, dtype=np.float32)
        while (not self._held or self._held[-1][0] < first + count) and (piece := next(self._frames, None)):
            self._held.append(piece)
            self._end = piece[0] + len(piece[1])
            if self._end <= first:
                self._held.pop()
        self._held = [piece for piece in self._held if piece[0] + len(piece[1]) > first]
        for start, samples in self._held:
            _add(total, samples, start - first)
        return total

    def _decoded(self) -> Iterator[tuple[int, Mono]]:
        """Decoded frames as mono at 48 kHz, each with its place."""

        mono = Resampler(format="flt", layout="mono", rate=RATE_HZ)
        at: int | None = None
        for frame in _whole_frames(self._container, self._audio):
            if frame.pts is not None:
                said = nearest((frame.pts * self._base - self._zero) * RATE_HZ)
                # Times in a container are rounded: counted on while they keep step.
                at = said if at is None or abs(said - at) > RATE_HZ // 200 else at
            for piece in mono.resample(frame):
                samples = np.asarray(piece.to_ndarray(), dtype=np.float32).reshape(-1)
                if at is not None:
                    yield at, samples
                    at += len(samples)


def _whole_frames(container: Any, stream: Any) -> Iterator[Any]:
    """The decoded frames of a stream; a damaged packet is a gap, and what cannot be read any further the end."""
    import av

    try:
        for packet in container.demux(stream):
            try:
                yield from packet.decode()
            except av.error.InvalidDataError:
                continue
    except av.error.FFmpegError:
        return


def _exact(base: Any) -> Fraction:
    return Fraction(base.numerator, base.denominator)


def _add(total: NDArray[np.float32], piece: NDArray[np.float32], at: int) -> None:
    start, end = max(at, 0), min(at + len(piece), len(total))
    if start < end:
        total[start:end] += piece[start - at : end - at]
