"""A file of footage as it is cut: how many frames it has, at which rate, and how it counts them.

Nothing is decoded. Where the file has a table of its frames, not even its packets are read.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from overlay.errors import MachineError
from overlay.footage.sound import UNSTEADY, Footage
from overlay.units.rate import RATE_NAMES, Counting, FrameRate
from overlay.units.timecode import label_to_frame

if TYPE_CHECKING:
    import av

NEARLY_A_RATE = Fraction(1, 5000)
"""The part by which a measured rate may stray from one that timecode labels; 29.97 and 30 lie five times as far
apart."""


@dataclass(frozen=True)
class Clip:
    """What the editor's program will see of a file.

    `frame_rate` is exact where timecode can label it, `end` is in exact seconds from the first picture.
    `start_frame` is the number of its first frame's timecode at its own rate, 0 where it has none.
    `is_steady` says that all frames last alike. A file without a picture has no frames.
    """

    path: Path
    frame_rate: Fraction
    frame_count: int
    end: Fraction
    is_steady: bool = True
    start_frame: int = 0
    has_sound: bool = True
    has_picture: bool = True


def read_clip(path: Path) -> Clip:
    """Look at a file. Raises MachineError where there is none, or it cannot be read as footage."""
    with Footage(path) as footage:
        video = footage.video
        if video is None:
            return Clip(path, Fraction(0), 0, Fraction(0), has_sound=footage.has_sound, has_picture=False)
        times = _times(footage, video)
        if len(times) < 2:
            raise MachineError(f"{path} has hardly a picture.", remedy="Copy it from the card again.")
        steps = np.diff(times)
        steps = steps[steps > 0]
        middle = int(np.median(steps))
        base = _base(video)
        mean = (int(times[-1]) - int(times[0])) * base / (len(times) - 1)
        rate = _labelled(1 / mean)
        return Clip(
            path,
            frame_rate=rate,
            frame_count=len(times),
            end=(int(times[-1]) - int(times[0]) + middle) * base,
            is_steady=bool(np.all(np.abs(steps - middle) <= UNSTEADY * middle + 1)),
            start_frame=_start_frame(footage.timecode, rate),
            has_sound=footage.has_sound,
        )


def _times(footage: Footage, video: av.VideoStream) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    """The times of all pictures in ascending order, in units of the stream's time base."""
    table = video.index_entries
    if len(table) and len(table) == video.frames:
        times = [entry.timestamp for entry in table]
    else:
        times = footage.picture_times()
    return np.sort(np.array(times, dtype=np.int64))


def _base(video: av.VideoStream) -> Fraction:
    base = video.time_base
    return Fraction(1) if base is None else Fraction(base.numerator, base.denominator)


def _labelled(rate: Fraction) -> Fraction:
    """The rate that timecode labels, where one is as near as a container's rounding."""
    known = (FrameRate.parse(name).value for name in RATE_NAMES)
    return next((each for each in known if abs(each - rate) <= each * NEARLY_A_RATE), rate.limit_denominator(1001))


def _start_frame(label: str | None, rate: Fraction) -> int:
    if label is None:
        return 0
    try:
        own = FrameRate.parse(f"{rate.numerator}/{rate.denominator}")
        counting = Counting.DROP if ";" in label or "." in label else Counting.NON_DROP
        return label_to_frame(label, own, counting)
    except ValueError:
        return 0
