"""The strip: time drawn to scale. Work is filled, rest hollow, preview hatched, the rest a line."""

from __future__ import annotations

from overlay.pictures.canvas import Canvas
from overlay.plan.look import Look
from overlay.timeline.model import SegmentKind
from overlay.units.color import Color
from overlay.units.raster import Box


def kind_color(kind: SegmentKind, look: Look) -> Color:
    """The colour of a kind of segment; shape and word say the same without it."""
    colors = {SegmentKind.WORK: look.work, SegmentKind.REST: look.rest, SegmentKind.PREVIEW: look.preview}
    return colors.get(kind, look.ink)


def draw_strip(canvas: Canvas, box: Box, kind: SegmentKind, look: Look) -> None:
    """A stretch of one kind, in the shape that its kind has everywhere."""
    color = kind_color(kind, look)
    radius = max(1, box.height_px // 5)
    if kind is SegmentKind.WORK:
        canvas.fill(box, radius, color)
    elif kind is SegmentKind.REST:
        canvas.outline(box, radius, max(2, box.height_px // 6), color)
    elif kind is SegmentKind.PREVIEW:
        canvas.hatch(box, radius, max(6, box.height_px // 2), color)
    else:
        canvas.fill(Box(box.left, box.bottom - box.height_px // 3, box.right, box.bottom), 1, color)
