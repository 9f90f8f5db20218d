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
    """What stands under the name: what comes next, or the side and the round.

    In a rest the name is already what comes next, and a small line above it says so.

    >>> from overlay.words.phrases import PHRASES
    >>> second_line(TitleState(SegmentKind.WORK, "Row", round=2, rounds=2), PHRASES["en"])
    'Round 2 of 2'
    """
    if state.next is not None:
        return f"{phrases.next}: {state.next}"
    parts = [phrases.side(state.side)] if state.side else []
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
    room = within(scheme.title, frame)
    width = room.width_px - 2 * scheme.pad_px
    above = [Line(phrases.next, REGULAR, scheme.least_px)] if state.kind is SegmentKind.REST else []
    name = fit(state.name, BOLD, scheme.name_px, scheme.least_px, width) if state.name else []
    below = second_line(state, phrases)
    under = fit(below, REGULAR, scheme.text_px, scheme.least_px, width) if below else []
    lines = _that_fit([*above, *name, *under], room.height_px - scheme.pad_px)
    height = sum(line.height_px for line in lines)
    plate = Box(room.left, room.top, room.left + max(line.width_px for line in lines) + 2 * scheme.pad_px, room.bottom)
    canvas.plate(plate, scheme.radius_px, look.plate, look.plate_opacity)
    top = room.top + (room.height_px - height) // 2
    for line in lines:
        canvas.text(room.left + scheme.pad_px, top, line, look.ink)
        top += line.height_px
    return canvas.picture


def _that_fit(lines: list[Line], height_px: int) -> list[Line]:
    """All lines, smaller together where they are higher than their plate."""
    if sum(line.height_px for line in lines) <= height_px:
        return lines
    share = height_px / sum(line.height_px for line in lines)
    return [Line(line.text, line.font_name, int(line.size_px * share)) for line in lines]
