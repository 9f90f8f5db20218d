"""The titles layer: what is done now, on which side, in which round, and what comes next."""

from __future__ import annotations

from collections.abc import Hashable

from PIL import Image

from overlay.pictures.canvas import Canvas
from overlay.pictures.frames import Layer, Part
from overlay.pictures.scheme import Scheme, around, within
from overlay.pictures.text import Line, fit
from overlay.pictures.timer import class_scheme
from overlay.plan.look import BOLD, REGULAR, Look
from overlay.timeline.changes import TitleState, title_changes
from overlay.timeline.model import SegmentKind, Timeline
from overlay.units.raster import Box
from overlay.words.phrases import Phrases


def second_line(state: TitleState, phrases: Phrases) -> str:
    """What stands under the name: the side, unless the name says it already, and the round.

    >>> from overlay.plan.fields import Side
    >>> from overlay.words.phrases import phrases_of
    >>> second_line(TitleState(SegmentKind.WORK, "Row", Side.LEFT, round=2, rounds=2), phrases_of("en"))
    'Left · Round 2 of 2'
    """
    side = state.side and phrases.side(state.side)
    parts = [side] if side and side.casefold() not in state.name.casefold() else []
    if state.round and state.rounds and state.rounds > 1:
        parts.append(f"{phrases.round} {state.round} {phrases.of} {state.rounds}")
    text = " · ".join(parts)
    return text[:1].upper() + text[1:]


def titles_layer(timeline: Timeline, look: Look) -> Layer:
    """The titles of a whole class. Every plate is as wide as its words need."""
    scheme = class_scheme(timeline)
    frame = around(scheme.title, timeline.size)
    changes = tuple((frame_, _shown(state)) for frame_, state in title_changes(timeline))

    def draw(state: Hashable) -> Image.Image:
        assert isinstance(state, TitleState)
        return title_picture(state, scheme, look, timeline.phrases, frame)

    return Layer.of(timeline, "titles", (Part(frame, changes, draw),))


def _shown(state: TitleState) -> TitleState | None:
    return state if state.name else None


def title_picture(state: TitleState, scheme: Scheme, look: Look, phrases: Phrases, frame: Box) -> Image.Image:
    """One title on its plate, as large as `frame`."""
    canvas = Canvas(frame.width_px, frame.height_px)
    lines = title_lines(state, scheme, phrases)
    plate = within(title_plate(state, scheme, phrases), frame)
    canvas.plate(plate, scheme.radius_px, look.plate, look.plate_opacity)
    top = plate.top + (plate.height_px - sum(line.height_px for line in lines)) // 2
    for line in lines:
        canvas.text(plate.left + scheme.pad_px, top, line, look.ink)
        top += line.height_px
    return canvas.picture


def title_plate(state: TitleState, scheme: Scheme, phrases: Phrases) -> Box:
    """The plate of a title: as wide as its words, as high as the timer's or higher."""
    lines, room = title_lines(state, scheme, phrases), scheme.title
    width = max((line.width_px for line in lines), default=0) + 2 * scheme.pad_px
    height = max(scheme.timer.height_px, sum(line.height_px for line in lines) + scheme.pad_px // 2)
    return Box(room.left, room.top, room.left + width, room.top + height)


def title_lines(state: TitleState, scheme: Scheme, phrases: Phrases) -> list[Line]:
    """The title's lines, as large as they fit its room and never smaller than is read from afar.

    In a rest the name is already what comes next, and a small line above it says so.
    """
    width, height = scheme.title.width_px - 2 * scheme.pad_px, scheme.title.height_px - scheme.pad_px
    below = second_line(state, phrases)
    coming = f"{phrases.next}: {state.next}" if state.next else ""
    lines: list[Line] = []
    for size in range(scheme.name_px, scheme.least_px - 1, -2):
        small = max(scheme.least_px, min(scheme.text_px, size))
        lines = [Line(phrases.next, REGULAR, scheme.least_px)] if state.kind is SegmentKind.REST else []
        lines += fit(state.name, BOLD, size, max(size * 3 // 4, scheme.least_px), width) if state.name else []
        lines += fit(below, BOLD, small, scheme.least_px, width) if below else []
        lines += fit(coming, REGULAR, small, scheme.least_px, width) if coming else []
        if sum(line.height_px for line in lines) <= height:
            break
    return lines
