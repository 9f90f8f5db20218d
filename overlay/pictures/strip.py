"""The strip: time drawn to scale. Work is filled, rest hollow, preview hatched, the rest a line."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from overlay.pictures.canvas import Canvas
from overlay.plan.look import Look
from overlay.timeline.model import Segment, SegmentKind, Timeline
from overlay.units.color import Color
from overlay.units.raster import Box


def kind_color(kind: SegmentKind, look: Look) -> Color:
    """The colour of a kind of segment; shape and word say the same without it."""
    colors = {SegmentKind.WORK: look.work, SegmentKind.REST: look.rest, SegmentKind.PREVIEW: look.preview}
    return colors.get(kind, look.ink)


def draw_strip(canvas: Canvas, box: Box, kind: SegmentKind, look: Look, *, color: Color | None = None) -> None:
    """A stretch of one kind, in the shape that its kind has everywhere."""
    color = color or kind_color(kind, look)
    radius = max(1, box.height_px // 5)
    if kind is SegmentKind.WORK:
        canvas.fill(box, radius, color)
    elif kind is SegmentKind.REST:
        canvas.outline(box, radius, max(2, box.height_px // 6), color)
    elif kind is SegmentKind.PREVIEW:
        canvas.hatch(box, radius, max(6, box.height_px // 2), color)
    else:
        canvas.fill(Box(box.left, box.bottom - max(2, box.height_px // 3), box.right, box.bottom), 1, color)


def place_on(box: Box, timeline: Timeline) -> Callable[[Fraction], int]:
    """From an exact time of the class to its column on a strip of the whole class."""
    start, lasts = timeline.class_start, timeline.duration - timeline.class_start

    def column(time: Fraction) -> int:
        return box.left + round((time - start) / lasts * box.width_px)

    return column


def draw_class(canvas: Canvas, box: Box, timeline: Timeline, look: Look, opacity: float = 1.0) -> None:
    """The whole class as one strip, a gap before each block. Fainter towards the plate's colour."""
    column, gap = place_on(box, timeline), max(2, box.height_px // 6)
    before: Segment | None = None
    for segment in timeline.segments:
        if segment.kind is SegmentKind.LEADER:
            continue
        is_new = before is not None and before.block != segment.block
        left, right = column(segment.start) + (gap if is_new else 0), column(segment.end) - 1
        before = segment
        color = kind_color(segment.kind, look).over(look.plate, opacity)
        draw_strip(canvas, Box(left, box.top, max(left + 1, right), box.bottom), segment.kind, look, color=color)
