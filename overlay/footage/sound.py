"""The sound of a file on the clock of its picture.

Zero is the first picture's time. A sample stands where its presentation time (pts) says, never where
its number among the samples would put it: sound may begin later or earlier than the picture, stop
and go on, and the coder's own delay is already in the pts.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any, Self

import numpy as np
from numpy.typing import NDArray

from overlay.errors import MachineError

if TYPE_CHECKING:
    import av

Mono = NDArray[np.float32]
Piece = tuple[int, Mono]
"""The sample at which it begins, counted from the first picture (negative before it), and mono samples."""

LARGEST_JITTER = Fraction(3, 1000)
"""Seconds by which a frame's pts may stray from a steady count: containers that write whole milliseconds
stray by one. More is a gap."""
LONGEST_GAP = 12 * 3600
"""Seconds. A longer one is a broken file."""
UNSTEADY = 0.1
"""A picture whose frame intervals vary by more than this part of their median has a variable frame rate."""
_SETTLING_FRAMES = 64
"""Frames of sound whose pts are averaged to place a stretch."""


@dataclass(frozen=True)
class Facts:
    """What a file turned out to be, once it is read to its end.

    `end` is in exact seconds from the first picture: the end of the last picture, or of the sound where
    there is no picture. `frame_rate` is the median one. `peak` is the largest sample, 1 being full scale.
    """

    end: Fraction
    has_picture: bool
    frame_rate: Fraction | None
    is_steady: bool
    has_sound: bool
    peak: float
    sounding: tuple[tuple[int, int], ...]
    """Stretches of samples that are there, `[start, end)`; what lies between them is a gap."""
    picture_count: int = 0
    """How many pictures there are."""


class Footage:
    """A file of footage, open for one reading.

    Read `pieces()` to the end, then ask for `facts()`. Raises MachineError for a file that cannot be read.
    """

    def __init__(self, path: Path) -> None:
        import av

        self.path = path
        self._peak = 0.0
        self._sounding: list[tuple[int, int]] = []
        self._picture_pts: list[int] = []
        if not path.exists():
            raise MachineError(f"There is no file {path}.", remedy="Check the name of the footage.")
        if path.is_dir():
            raise MachineError(f"{path} is a folder.", remedy="Name the files of footage in it.")
        try:
            self._container = av.open(str(path), metadata_errors="replace")
        except (av.error.FFmpegError, OSError, ValueError):
            raise _unreadable(path) from None
        self._video = next((stream for stream in self._container.streams.video if _is_picture(stream)), None)
        self._audio = self._container.streams.best("audio")
        if self._video is None and self._audio is None:
            self._container.close()
            raise _unreadable(path)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._container.close()

    @property
    def has_sound(self) -> bool:
        return self._audio is not None

    @property
    def video(self) -> av.VideoStream | None:
        """The moving pictures, if there are any."""
        return self._video

    @property
    def timecode(self) -> str | None:
        """The label of the first frame, where the file has one."""
        marked = [self._video, *self._container.streams.data] if self._video is not None else []
        labels = [stream.metadata.get("timecode") for stream in marked]
        return next((label for label in [*labels, self._container.metadata.get("timecode")] if label), None)

    @property
    def sample_rate_hz(self) -> int:
        """The rate of the pieces; 0 without sound."""
        return int(self._audio.rate) if isinstance(self._audio, _audio_stream()) else 0

    @property
    def zero(self) -> Fraction:
        """The first picture's time on the container's own clock, in exact seconds; without a picture the sound's."""
        stream = self._video if self._video is not None else self._audio
        if stream is None or stream.start_time is None or stream.time_base is None:
            return Fraction(0)
        return stream.start_time * Fraction(stream.time_base.numerator, stream.time_base.denominator)

    def pieces(self, far: Callable[[float], None] = lambda _: None) -> Iterator[Piece]:
        """The sound in ascending order, mixed to mono; pieces touch, or leave a gap.

        `far` is told about what share of the file was read, 0 to 1, where the file says how long it is.
        """
        rate_hz, length = self.sample_rate_hz, (self._container.duration or 0) / 1_000_000
        for start, samples in _placed(self._frames(), self.zero, rate_hz):
            last = self._sounding[-1][1] if self._sounding else start
            samples = samples[max(last - start, 0) :]
            start = max(start, last)
            if not len(samples):
                continue
            if start - last > LONGEST_GAP * rate_hz:
                raise _unreadable(self.path)
            if start > last or not self._sounding:
                self._sounding.append((start, start))
            self._sounding[-1] = (self._sounding[-1][0], start + len(samples))
            self._peak = max(self._peak, float(np.max(np.abs(samples))))
            if length:
                far(min(1.0, max(0.0, start / rate_hz / length)))
            yield start, samples

    def picture_times(self) -> list[int]:
        """The pts of all pictures, read without decoding; instead of `pieces()`."""
        import av

        try:
            packets = self._container.demux([self._video]) if self._video is not None else []
            return [packet.pts for packet in packets if packet.pts is not None and not packet.is_discard]
        except av.error.FFmpegError:
            raise _unreadable(self.path) from None

    def facts(self) -> Facts:
        """What was learnt from reading the whole file."""
        times = np.sort(np.array(self._picture_pts, dtype=np.int64))
        steps = np.diff(times)
        steps = steps[steps > 0]
        base, end = Fraction(1), Fraction(0)
        middle = int(np.median(steps)) if len(steps) else 0
        if self._video is not None and self._video.time_base is not None and len(times):
            base = Fraction(self._video.time_base.numerator, self._video.time_base.denominator)
            end = (int(times[-1]) + middle) * base - self.zero
        elif self._sounding:
            end = Fraction(self._sounding[-1][1], self.sample_rate_hz)
        return Facts(
            end=end,
            has_picture=self._video is not None,
            frame_rate=1 / (middle * base) if middle else None,
            is_steady=bool(np.all(np.abs(steps - middle) <= UNSTEADY * middle + 1)),
            has_sound=self.has_sound,
            peak=self._peak,
            sounding=tuple(self._sounding),
            picture_count=len(times),
        )

    def _frames(self) -> Iterator[av.AudioFrame]:
        """Decoded frames of sound in the order of the file; pts of pictures are noted on the way."""
        import av

        streams = [stream for stream in (self._video, self._audio) if stream is not None]
        mono = Resampler(format="flt", layout="mono", rate=self.sample_rate_hz or None)
        try:
            for packet in self._container.demux(streams):
                if packet.stream is self._video:
                    if packet.pts is not None and not packet.is_discard:
                        self._picture_pts.append(packet.pts)
                    continue
                try:
                    frames = packet.decode()
                except av.error.InvalidDataError:
                    continue  # a damaged packet is a gap
                for frame in frames:
                    if isinstance(frame, av.AudioFrame):
                        yield from mono.resample(frame)
        except av.error.FFmpegError:
            raise _unreadable(self.path) from None
        yield from mono.rest()


class Resampler:
    """libav's resampler, `wanted` as it takes it, for sound that may change its form on the way."""

    def __init__(self, **wanted: Any) -> None:
        self._wanted = wanted
        self._form: tuple[str, str, int] | None = None
        self._now: Any = None

    def resample(self, frame: av.AudioFrame) -> list[av.AudioFrame]:
        """What comes of a frame, and first what was left of another form."""
        import av

        form, before = (frame.format.name, frame.layout.name, frame.sample_rate), []
        if form != self._form:
            before = self.rest()
            self._form, self._now = form, av.AudioResampler(**self._wanted)
        return [*before, *self._now.resample(frame)]

    def rest(self) -> list[av.AudioFrame]:
        """What is left at the end."""
        return [] if self._now is None else list(self._now.resample(None))


def _placed(frames: Iterator[av.AudioFrame], zero: Fraction, rate_hz: int) -> Iterator[Piece]:
    """Frames put on the picture's clock: counted on while their pts keep step, placed anew where they do not.

    Places within this function are samples since the picture's zero, `zero` seconds on the container's clock.
    """
    run: list[tuple[float | None, Mono]] = []
    first: int | None = None
    count = 0
    jitter = float(LARGEST_JITTER * rate_hz)
    zero_samples = float(zero * rate_hz)
    for frame in frames:
        samples = np.asarray(frame.to_ndarray().reshape(-1), dtype=np.float32)
        at = None
        if frame.pts is not None and (base := frame.time_base) is not None:
            at = frame.pts * base.numerator * rate_hz / base.denominator - zero_samples
        expected = first if first is not None else _first_of(run)
        if at is not None and expected is not None:
            strayed = at - expected - count
            # A clock that goes back by a second or more is broken: the sound itself goes on.
            if abs(strayed) > jitter and strayed > -rate_hz:
                yield from _settled(run)
                run, first, count = [], None, 0
        if first is None:
            run.append((at, samples))
            if len(run) == _SETTLING_FRAMES:
                first = _start_of(run)
                yield from _settled(run)
                run = []
        else:
            yield first + count, samples
        count += len(samples)
    yield from _settled(run)


def _settled(run: list[tuple[float | None, Mono]]) -> Iterator[Piece]:
    """The frames that a stretch began with, placed by what all of them say."""
    at = _start_of(run)
    for _, samples in run:
        yield at, samples
        at += len(samples)


def _first_of(run: list[tuple[float | None, Mono]]) -> float | None:
    """Where a stretch begins by its first frame that has a pts."""
    count = 0
    for at, samples in run:
        if at is not None:
            return at - count
        count += len(samples)
    return None


def _start_of(run: list[tuple[float | None, Mono]]) -> int:
    """Where a stretch begins: the middle of what its frames say, so that rounded pts even out."""
    starts, count = [], 0
    for at, samples in run:
        if at is not None:
            starts.append(at - count)
        count += len(samples)
    middle = sorted(starts)[len(starts) // 4 : len(starts) - len(starts) // 4]
    return round(sum(middle) / max(len(middle), 1))


def _is_picture(stream: av.VideoStream) -> bool:
    """Whether a stream is moving pictures, not the cover of a record."""
    from av.stream import Disposition

    return not stream.disposition & Disposition.attached_pic


def _audio_stream() -> type[av.AudioStream]:
    import av

    return av.AudioStream


def _unreadable(path: Path) -> MachineError:
    return MachineError(
        f"{path} cannot be read as footage.",
        remedy="Play it to see whether it is whole; copy it from the card again, or convert it to MP4.",
    )
