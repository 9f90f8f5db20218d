"""Marks for the side that is worked: the viewer's own, at that end of a plate.

Performers face the camera. Mirrored, the side that works in the picture is the viewer's own side, and
an arrow points to it. As filmed it is the other one, and an arrow would point away from the limb that
moves: there the mark is a body in two halves, the viewer's own half filled.
"""

from __future__ import annotations

from overlay.pictures.canvas import Canvas
from overlay.plan.fields import Side
from overlay.plan.session import View
from overlay.units.color import Color
from overlay.units.raster import Box


def draw_mark(canvas: Canvas, box: Box, side: Side, view: View, color: Color) -> None:
    """The mark of a side, as large as its box."""
    if view is View.MIRRORED:
        _arrow(canvas, box, side, color)
    else:
        _halves(canvas, box, side, color)


def _arrow(canvas: Canvas, box: Box, side: Side, color: Color) -> None:
    middle, quarter = (box.top + box.bottom) / 2, box.height_px / 4
    neck = box.left + box.width_px * 0.52
    points = [
        (float(box.left), middle - quarter / 1.6),
        (neck, middle - quarter / 1.6),
        (neck, float(box.top)),
        (float(box.right), middle),
        (neck, float(box.bottom)),
        (neck, middle + quarter / 1.6),
        (float(box.left), middle + quarter / 1.6),
    ]
    if side is Side.LEFT:
        points = [(box.left + box.right - x, y) for x, y in points]
    canvas.polygon(points, color)


def _halves(canvas: Canvas, box: Box, side: Side, color: Color) -> None:
    """Head and trunk, seen from behind as the viewer stands: one half filled, the other hollow."""
    middle = (box.left + box.right) // 2
    line = max(2, box.height_px // 14)
    head = box.height_px * 3 // 10
    top = box.top + head + line
    trunk_px = box.width_px * 4 // 5
    trunk = Box(middle - trunk_px // 2, top, middle - trunk_px // 2 + trunk_px, box.bottom)
    canvas.outline(Box(middle - head // 2, box.top, middle - head // 2 + head, box.top + head), head // 2, line, color)
    canvas.outline(trunk, trunk.width_px // 4, line, color)
    half = Box(trunk.left, trunk.top, middle, trunk.bottom)
    if side is Side.RIGHT:
        half = Box(middle, trunk.top, trunk.right, trunk.bottom)
    canvas.fill(half, min(half.width_px, half.height_px) // 3, color)
