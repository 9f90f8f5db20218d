"""The progress layer: the class as one strip to scale, what is over faint, and the present place."""

from __future__ import annotations

from collections.abc import Hashable
from functools import lru_cache

from PIL import Image

from overlay.pictures.canvas import Canvas
from overlay.pictures.fonts import SHIPPED, Fonts
from overlay.pictures.frames import Layer, Part
from overlay.pictures.scheme import around, class_scheme, within
from overlay.pictures.strip import draw_class, place_on
from overlay.plan.look import Look
from overlay.timeline.changes import ProgressState, progress_changes
from overlay.timeline.model import Timeline
from overlay.units.raster import Box

STEP = 4
"""The present place moves in steps of so many pixels of a picture of 1080 lines."""
_FAINT = 0.4


def progress_layer(timeline: Timeline, look: Look, fonts: Fonts = SHIPPED) -> Layer:
    """The progress of a whole class along an edge of the picture."""
    scheme = class_scheme(timeline, look, fonts)
    frame, px = around(scheme.progress, timeline.size), scheme.scaled
    plate = within(scheme.progress, frame)
    pad, rail = px(18), max(2, plate.height_px // 12)
    strip = Box(
        plate.left + pad, plate.top + plate.height_px // 4, plate.right - pad, plate.bottom - plate.height_px // 4
    )
    column = place_on(strip, timeline)

    @lru_cache(maxsize=2)
    def ground(opacity: float) -> Image.Image:
        canvas = Canvas(frame.width_px, frame.height_px)
        canvas.plate(plate, min(scheme.radius_px, plate.height_px // 3), look.plate, look.opacity)
        draw_class(canvas, strip, timeline, look, opacity)
        return canvas.picture

    spans: dict[str | None, tuple[int, int]] = {}
    for segment in timeline.segments:
        left, right = column(segment.start), column(segment.end)
        spans[segment.block] = (spans.get(segment.block, (left, right))[0], right)

    def draw(state: Hashable) -> Image.Image:
        assert isinstance(state, ProgressState)
        canvas = Canvas.on(ground(1.0))
        here = strip.left + state.done_px
        canvas.picture.paste(ground(_FAINT).crop((strip.left, strip.top, here, strip.bottom)), (strip.left, strip.top))
        if state.block is not None:
            left, right = spans[state.block]
            canvas.fill(Box(left, plate.bottom - rail - 1, right, plate.bottom - 1), 0, look.ink)
        needle = max(4, px(8))
        place = min(max(here - needle // 2, strip.left), strip.right - needle)
        canvas.fill(Box(place, plate.top + 2, place + needle, plate.bottom - 2), needle // 2, look.ink)
        return canvas.picture

    changes = progress_changes(timeline, strip.width_px, px(STEP))
    shaped_by = (scheme, look, tuple((part.kind, part.start, part.end, part.block) for part in timeline.segments))
    return Layer.of(timeline, "progress", (Part(frame, changes, draw, shaped_by),))
