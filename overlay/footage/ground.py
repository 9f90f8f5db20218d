"""What lies below a proof's pictures: the footage, each frame at its own time, or a plain ground."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from fractions import Fraction
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from overlay.errors import MachineError
from overlay.footage.clip import Clip
from overlay.footage.conform import Filmed
from overlay.pictures.canvas import Canvas
from overlay.pictures.fonts import SHIPPED, Fonts
from overlay.pictures.text import Line
from overlay.plan.look import REGULAR
from overlay.units.color import Color
from overlay.units.raster import Size
from overlay.units.rate import FrameRate

if TYPE_CHECKING:
    import av

Rgb = NDArray[np.uint8]
"""A picture: height × width × 3, 0 to 255."""

PLAIN = Color(104, 112, 116)
"""A grey on which light and dark both show."""
FADED = Color(176, 182, 185)
_WORTH_SEEKING = Fraction(3, 2)
"""Seconds ahead from which on a jump in the file is quicker than decoding on."""


def plain_ground(size: Size, words: str = "", fonts: Fonts = SHIPPED) -> Rgb:
    """A ground of one colour; `words` stand in its middle."""
    canvas = Canvas(size.width_px, size.height_px)
    canvas.picture.paste((*PLAIN.rgb, 255), (0, 0, size.width_px, size.height_px))
    if words:
        line = Line(words, REGULAR, size.short_side_px // 18, fonts)
        left, top = (size.width_px - line.width_px) // 2, (size.height_px - line.height_px) // 2
        canvas.text(left, top, line, FADED)
    return np.array(canvas.picture.convert("RGB"))


class FootageGround:
    """The footage below a class, picture by picture; ask in ascending order of frames, jumps are allowed.

    Used as a context. A picture is scaled to fit, turned the way it was filmed, and shown from its own time (pts) on.
    """

    def __init__(self, filmed: Sequence[Filmed], size: Size, rate: FrameRate, fonts: Fonts = SHIPPED) -> None:
        self.filmed, self.size, self.rate = filmed, size, rate
        self.gap = plain_ground(size, "Not filmed", fonts)
        self._empty = plain_ground(size)
        self._reading: _Reading | None = None
        # All reading is done by one thread, a picture ahead: decoding and scaling leave Python to the composition.
        self._thread = ThreadPoolExecutor(max_workers=1)
        self._last: tuple[int, Rgb] | None = None
        self._ahead: tuple[int, Future[Rgb]] | None = None

    def __enter__(self) -> FootageGround:
        return self

    def __exit__(self, *_: object) -> None:
        self._thread.shutdown(cancel_futures=True)
        if self._reading is not None:
            self._reading.close()

    def picture(self, frame: int) -> Rgb:
        """What was filmed on a frame of the class; a plain ground that says so where nothing was."""
        if self._last is None or self._last[0] != frame:
            if self._ahead is None or self._ahead[0] != frame:
                self._ahead = frame, self._thread.submit(self._read, frame)
            self._last = frame, self._ahead[1].result()
            self._ahead = frame + 1, self._thread.submit(self._read, frame + 1)
        return self._last[1]

    def _read(self, frame: int) -> Rgb:
        for each in self.filmed:
            if frame in each.span:
                break
        else:
            return self.gap
        if self._reading is None or self._reading.clip != each.clip:
            if self._reading is not None:
                self._reading.close()
            self._reading = _Reading(each.clip, self.size, self._empty)
        # A quarter of a frame early would be the picture before; times in a container are rounded.
        time = (each.first_frame + frame - each.span.start_frame + Fraction(1, 4)) / self.rate.value
        return self._reading.at(time)


class _Reading:
    """A file being decoded, in ascending order as long as that is quicker than a jump."""

    def __init__(self, clip: Clip, size: Size, empty: Rgb) -> None:
        import av

        self.clip, self.size, self.empty = clip, size, empty
        try:
            self._container = av.open(str(clip.path), metadata_errors="replace")
        except (av.error.FFmpegError, OSError, ValueError):
            raise _unreadable(clip) from None
        from av.stream import Disposition

        self._stream = next(s for s in self._container.streams.video if not s.disposition & Disposition.attached_pic)
        self._stream.thread_type = "AUTO"
        base = self._stream.time_base
        self._base = Fraction(1) if base is None else Fraction(base.numerator, base.denominator)
        self._zero = (self._stream.start_time or 0) * self._base
        self._frames = self._decoded()
        self._now: av.VideoFrame | None = None
        self._next: av.VideoFrame | None = next(self._frames, None)
        self._shown: tuple[int | None, Rgb] = (None, empty)

    def close(self) -> None:
        self._container.close()

    def at(self, time: Fraction) -> Rgb:
        """The picture that shows at a second of the file, counted from its first picture."""
        if self._next is not None and time - self._time(self._next) > _WORTH_SEEKING:
            self._seek(time)
        while self._next is not None and (self._now is None or self._time(self._next) <= time):
            self._now, self._next = self._next, next(self._frames, None)
        if self._now is None:
            return self.empty
        if self._shown[0] != self._now.pts:
            self._shown = self._now.pts, fitted(self._now, self.size, self.empty)
        return self._shown[1]

    def _seek(self, time: Fraction) -> None:
        self._container.seek(int((time + self._zero) / self._base), stream=self._stream)
        self._frames = self._decoded()
        self._now, self._next = None, next(self._frames, None)

    def _time(self, frame: av.VideoFrame) -> Fraction:
        return (frame.pts or 0) * self._base - self._zero

    def _decoded(self) -> Iterator[av.VideoFrame]:
        import av

        try:
            for packet in self._container.demux(self._stream):
                try:
                    yield from packet.decode()
                except av.error.InvalidDataError:
                    continue  # a damaged packet: the picture before it stays
        except av.error.FFmpegError:
            raise _unreadable(self.clip) from None


def fitted(frame: av.VideoFrame, size: Size, ground: Rgb) -> Rgb:
    """A decoded frame as people see it: its pixels made square, turned upright, all of it in the middle of a size."""
    quarters = round(frame.rotation / 90) % 4
    shape: Any = frame.sample_aspect_ratio if hasattr(frame, "sample_aspect_ratio") else None
    wide = frame.width * float(shape or 1) or frame.width
    seen_width, seen_height = (frame.height, wide) if quarters % 2 else (wide, frame.height)
    scale = min(size.width_px / seen_width, size.height_px / seen_height)
    width, height = (max(2, round(side * scale / 2) * 2) for side in (seen_width, seen_height))
    width, height = min(width, size.width_px), min(height, size.height_px)
    across, down = (height, width) if quarters % 2 else (width, height)
    small = frame.reformat(across, down, "rgb24", interpolation="FAST_BILINEAR").to_ndarray()
    if quarters:
        small = np.rot90(small, quarters)
    if (width, height) == (size.width_px, size.height_px):
        return np.ascontiguousarray(small)
    picture = ground.copy()
    left, top = (size.width_px - width) // 2, (size.height_px - height) // 2
    picture[top : top + height, left : left + width] = small
    return picture


def _unreadable(clip: Clip) -> MachineError:
    return MachineError(
        f"The pictures of {clip.path} cannot be read.",
        remedy="Copy the file from the card again, or convert it to MP4.",
    )
