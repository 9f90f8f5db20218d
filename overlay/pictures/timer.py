"""The timer layer: seconds left, the kind of segment as a word, and its strip running out."""

from __future__ import annotations

from collections.abc import Hashable
from functools import lru_cache

from PIL import Image

from overlay.pictures.canvas import Canvas
from overlay.pictures.fonts import SHIPPED, Fonts
from overlay.pictures.frames import Layer, Part
from overlay.pictures.scheme import Scheme, around, class_scheme, countdown_label, kind_word, within
from overlay.pictures.strip import draw_strip, kind_color
from overlay.pictures.text import Digits, Line
from overlay.plan.look import BOLD, Gauge, Look
from overlay.timeline.changes import TimerState, timer_changes
from overlay.timeline.model import SegmentKind, Timeline
from overlay.units.color import Color
from overlay.units.raster import Box
from overlay.words.phrases import Phrases

STEP = 3
"""A smooth gauge runs out in steps of so many pixels of a picture of 1080 lines. From two metres such a
step on a laptop (0.18 mm a pixel) is just under a minute of arc, which is what the eye resolves (common
practice, no source): it is seen to run, not to step."""


def timer_layer(timeline: Timeline, look: Look, fonts: Fonts = SHIPPED) -> Layer:
    """The timer of a whole class."""
    scheme = class_scheme(timeline, look, fonts)
    frame = around(scheme.timer.plate, timeline.size)
    gauge = within(scheme.timer.gauge, frame)

    @lru_cache(maxsize=4)
    def counted(kind: SegmentKind, seconds: int, *, nearly: bool) -> Image.Image:
        return _counted(ground(kind), seconds, scheme, look, frame, nearly=nearly)

    @lru_cache(maxsize=len(SegmentKind))
    def ground(kind: SegmentKind) -> Image.Image:
        return _ground(kind, scheme, look, timeline.phrases, frame)

    def draw(state: Hashable) -> Image.Image:
        assert isinstance(state, TimerState)
        canvas = Canvas.on(counted(state.kind, state.seconds, nearly=state.nearly))
        strip = Box(gauge.left, gauge.top, gauge.left + state.gauge_px, gauge.bottom)
        draw_strip(canvas, strip, state.kind, look)
        return canvas.picture

    step_px = scheme.scaled(STEP) if look.timer.gauge is Gauge.SMOOTH else None
    changes = timer_changes(timeline, gauge.width_px, step_px)
    return Layer.of(timeline, "timer", (Part(frame, changes, draw, shaped_by=(scheme, look, timeline.phrases)),))


def _ground(kind: SegmentKind, scheme: Scheme, look: Look, phrases: Phrases, frame: Box) -> Image.Image:
    """What does not change within a segment: plate, word, and the line that the strip runs out over."""
    places = scheme.timer
    canvas = Canvas(frame.width_px, frame.height_px)
    canvas.plate(within(places.plate, frame), scheme.radius_px, look.plate, look.opacity)
    gauge = within(places.gauge, frame)
    word = Line(kind_word(kind, phrases), BOLD, places.text_px, scheme.fonts)
    canvas.text(gauge.left, places.kind_top_px - frame.top, word, look.ink)
    thin = scheme.scaled(4)
    muted: Color = kind_color(kind, look).over(look.plate, 0.6)
    canvas.fill(Box(gauge.left, gauge.bottom - thin, gauge.right, gauge.bottom), 0, muted)
    return canvas.picture


def _counted(ground: Image.Image, seconds: int, scheme: Scheme, look: Look, frame: Box, *, nearly: bool) -> Image.Image:
    """The ground with its digits, which stand on a patch of work's colour when work is nearly there."""
    canvas = Canvas.on(ground)
    digits = Digits(countdown_label(seconds), BOLD, scheme.timer.digits_size_px, scheme.fonts)
    place, plate = within(scheme.timer.digits, frame), within(scheme.timer.plate, frame)
    left = place.right - digits.width_px
    if nearly:
        inset = (place.left - plate.left) // 2
        patch = Box(plate.left + inset, plate.top + inset, place.right + inset, plate.bottom - inset)
        canvas.fill(patch, max(0, scheme.radius_px - inset // 2), look.work)
    canvas.text(left, place.top, digits, look.plate if nearly else look.ink)
    return canvas.picture
