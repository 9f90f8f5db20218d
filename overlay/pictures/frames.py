"""A layer as parts that change: what to draw, where, and from which frame on.

A part owns a box of the picture and redraws only inside it. Each distinct state of a part is drawn
and encoded once, whatever the other parts show at the time. Where two parts have something in a
common coded slice, the later one lies above; that slice is coded once more for each pair that meets.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import dataclass

from PIL import Image

from overlay.timeline.model import Timeline
from overlay.units.raster import Box, Size
from overlay.units.rate import Counting, FrameRate

Picture = Image.Image


@dataclass(frozen=True)
class Part:
    """A box that is redrawn when its state changes.

    `changes` are (frame, state) pairs, ascending, the first at frame 0; a state of None is empty.
    `draw` gives the RGBA picture of a state, straight alpha, exactly as large as `box`.

    `shaped_by` is everything beside the state that a picture depends on (places, colours, words, a
    photograph's sum), so that two parts which are drawn by the same function, with equal `shaped_by`
    and equal states by their `repr`, show the same, today or in another build. With it, a rebuild
    finds a coded picture in the cache and need not draw it; None means that nobody says, and nothing
    is kept.
    """

    box: Box
    changes: tuple[tuple[int, Hashable], ...]
    draw: Callable[[Hashable], Picture]
    shaped_by: Hashable | None = None


@dataclass(frozen=True)
class Layer:
    """One transparent movie as long as the class."""

    name: str
    size: Size
    rate: FrameRate
    counting: Counting
    start_frame: int
    frame_count: int
    parts: tuple[Part, ...]
    flash_frame: int | None = None
    """The one frame that is all white, whatever the parts show: the mate of the sync pop."""

    @classmethod
    def of(cls, timeline: Timeline, name: str, parts: tuple[Part, ...]) -> Layer:
        """A layer of a class: its size, rate, length and start."""
        return cls(
            name=name,
            size=timeline.size,
            rate=timeline.rate,
            counting=timeline.counting,
            start_frame=timeline.start_frame,
            frame_count=timeline.frame_count,
            parts=parts,
            flash_frame=timeline.flash_frame,
        )
