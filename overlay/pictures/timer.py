"""The timer layer: seconds left, the kind of segment as a word, and its strip running out."""

from __future__ import annotations

from collections.abc import Hashable
from functools import cache

from PIL import Image

from overlay.pictures.canvas import Canvas
from overlay.pictures.frames import Layer, Part
from overlay.pictures.scheme import Scheme, around, scheme_for, within
from overlay.pictures.strip import draw_strip, kind_color
from overlay.pictures.text import Digits, Line
from overlay.plan.look import BOLD, Look
from overlay.timeline.changes import TimerState, timer_changes
from overlay.timeline.model import SegmentKind, Timeline
from overlay.units.color import Color
from overlay.units.raster import Box
from overlay.words.phrases import Phrases


def countdown_label(seconds: int) -> str:
    """What the digits say: seconds up to 99, minutes and seconds from there on.

    >>> countdown_label(7), countdown_label(99), countdown_label(100)
    ('7', '99', '1:40')
    """
    return str(seconds) if seconds < 100 else f"{seconds // 60}:{seconds % 60:02}"


def kind_word(kind: SegmentKind, phrases: Phrases) -> str:
    """The word for a kind of segment."""
    return str(getattr(phrases, kind.value))


def class_scheme(timeline: Timeline) -> Scheme:
    """The places for this class: wide enough for its longest countdown."""
    states = [state for _, state in timer_changes(timeline) if state is not None]
    labels = {"00", *(_widest(countdown_label(state.seconds)) for state in states)}
    return scheme_for(timeline.size, labels, [kind_word(kind, timeline.phrases) for kind in SegmentKind])


def _widest(label: str) -> str:
    return "".join("0" if character.isdigit() else character for character in label)


def timer_layer(timeline: Timeline, look: Look) -> Layer:
    """The timer of a whole class."""
    scheme = class_scheme(timeline)
    frame = around(scheme.timer, timeline.size)

    @cache
    def ground(kind: SegmentKind) -> Image.Image:
        return _ground(kind, scheme, look, timeline.phrases, frame)

    def draw(state: Hashable) -> Image.Image:
        assert isinstance(state, TimerState)
        canvas = Canvas.on(ground(state.kind))
        digits = Digits(countdown_label(state.seconds), BOLD, scheme.digits_size_px)
        place = within(scheme.digits, frame)
        canvas.text(place.right - digits.width_px, place.top, digits, look.ink)
        gauge = within(scheme.gauge, frame)
        left = min(gauge.width_px, int(gauge.width_px * state.seconds / state.length))
        draw_strip(canvas, Box(gauge.left, gauge.top, gauge.left + left, gauge.bottom), state.kind, look)
        return canvas.picture

    return Layer.of(timeline, "timer", (Part(frame, timer_changes(timeline), draw),))


def _ground(kind: SegmentKind, scheme: Scheme, look: Look, phrases: Phrases, frame: Box) -> Image.Image:
    """What does not change within a segment: plate, word, and the line that the strip runs out over."""
    canvas = Canvas(frame.width_px, frame.height_px)
    canvas.plate(within(scheme.timer, frame), scheme.radius_px, look.plate, look.plate_opacity)
    gauge = within(scheme.gauge, frame)
    word = Line(kind_word(kind, phrases), BOLD, scheme.text_px)
    canvas.text(gauge.left, scheme.kind_top_px - frame.top, word, look.ink)
    thin = scheme.scaled(4)
    muted: Color = kind_color(kind, look).over(look.plate, 0.6)
    canvas.fill(Box(gauge.left, gauge.bottom - thin, gauge.right, gauge.bottom), 0, muted)
    return canvas.picture
