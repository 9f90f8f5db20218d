"""The previews layer: the card of each block, and full pictures for opening and closing where wanted."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import replace
from typing import NamedTuple

from PIL import Image

from overlay.pictures.canvas import Canvas
from overlay.pictures.fonts import SHIPPED, Fonts
from overlay.pictures.frames import Layer, Part
from overlay.pictures.images import Images, image_sums, no_images
from overlay.pictures.previews import draw_card, set_card
from overlay.pictures.scheme import Scheme, around, class_scheme
from overlay.pictures.strip import draw_class
from overlay.pictures.text import Line, fit, largest_that_fits, wrap
from overlay.plan.look import BOLD, REGULAR, Look
from overlay.plan.session import View
from overlay.timeline.changes import CardState, PreviewState, card_changes
from overlay.timeline.model import SegmentKind, Timeline
from overlay.timeline.summary import summarize
from overlay.units.raster import Box

# Lengths of a picture of 1080 lines, in pixels.
_LEAST_TITLE, _NEEDED, _CAUTION, _STRIP, _GAP = 64, 60, 48, 44, 34


def previews_layer(
    timeline: Timeline, look: Look, view: View = View.DIRECT, fonts: Fonts = SHIPPED, images: Images = no_images
) -> Layer:
    """The previews of a whole class, and its cards."""
    scheme = class_scheme(timeline, look, fonts)
    changes = card_changes(timeline)
    frame = _frame(timeline, scheme, look, {state for _, state in changes})

    def draw(state: Hashable) -> Image.Image:
        canvas = Canvas(timeline.size.width_px, timeline.size.height_px)
        if isinstance(state, CardState):
            _draw_full(canvas, state, timeline, scheme, look)
        else:
            assert isinstance(state, PreviewState)
            draw_card(canvas, set_card(state, scheme, look, timeline.phrases), state, scheme, look, view, images)
        return canvas.picture.crop((frame.left, frame.top, frame.right, frame.bottom))

    named = {shown.move.image for _, state in changes if isinstance(state, PreviewState) for shown in state.shows}
    sums = image_sums({name for name in named if name is not None}, images)
    # A full card has the whole class on it, but none of what is said.
    shaped_by = (scheme, look, view, sums, replace(timeline, cues=(), beeps=()))
    return Layer.of(timeline, "previews", (Part(frame, changes, draw, shaped_by),))


def _frame(timeline: Timeline, scheme: Scheme, look: Look, states: set[CardState | PreviewState | None]) -> Box:
    """The box that every card of the class fits into."""
    size = timeline.size
    if any(isinstance(state, CardState) for state in states):
        return Box(0, 0, size.width_px, size.height_px)
    previews = (state for state in states if isinstance(state, PreviewState))
    plates = [set_card(state, scheme, look, timeline.phrases).plate for state in previews]
    if not plates:
        return around(Box(scheme.safe.left, scheme.safe.top, scheme.safe.left, scheme.safe.top), size)
    left, top = min(plate.left for plate in plates), min(plate.top for plate in plates)
    return around(Box(left, top, max(p.right for p in plates), max(p.bottom for p in plates)), size)


class Full(NamedTuple):
    """A full picture set: its paragraphs from the top, and whether any of their lines found no room."""

    paragraphs: list[list[Line]]
    top_px: int
    room: Box
    is_cut: bool


def set_full(state: CardState, timeline: Timeline, scheme: Scheme) -> Full:
    """The title of the class, and before it what is needed and the caution, as large as they fit."""
    phrases, px = timeline.phrases, scheme.scaled
    room = scheme.preview_room(None)
    things = ", ".join(summarize(timeline).equipment)

    def set_at(size: int) -> list[list[Line]]:
        title = fit(timeline.title, BOLD, size * 2, min(size * 2, px(_LEAST_TITLE)), room.width_px, scheme.fonts)
        paragraphs = [title]
        if state.kind is SegmentKind.OPENING:
            if things:
                paragraphs.append(wrap(f"{phrases.needed}: {things}", BOLD, size, room.width_px, scheme.fonts))
            paragraphs.append(wrap(phrases.caution, REGULAR, min(size, px(_CAUTION)), room.width_px, scheme.fonts))
        return paragraphs

    def height_of(paragraphs: list[list[Line]]) -> int:
        lines_px = sum(line.height_px for lines in paragraphs for line in lines)
        return lines_px + px(_GAP) * len(paragraphs) + px(_STRIP)

    sizes = range(px(_NEEDED), scheme.least_px - 1, -2)
    paragraphs = largest_that_fits(sizes, set_at, lambda paragraphs: height_of(paragraphs) <= room.height_px)
    if paragraphs is not None:
        return Full(paragraphs, room.top + (room.height_px - height_of(paragraphs)) // 2, room, is_cut=False)
    paragraphs = set_at(sizes[-1])
    height = height_of(paragraphs)
    while height > room.height_px:
        height -= max(paragraphs, key=len).pop().height_px
    return Full(paragraphs, room.top, room, is_cut=True)


def _draw_full(canvas: Canvas, state: CardState, timeline: Timeline, scheme: Scheme, look: Look) -> None:
    """A picture of its own: title and strip of the class, and before it what is needed and the caution."""
    size, px = timeline.size, scheme.scaled
    canvas.picture.paste((*look.plate.rgb, 255), (0, 0, size.width_px, size.height_px))
    full = set_full(state, timeline, scheme)
    room, y = full.room, full.top_px
    for number, lines in enumerate(full.paragraphs):
        for line in lines:
            canvas.text_between(room.left, room.right, y, line, look.ink)
            y += line.height_px
        if number == 0:
            y += px(_GAP) // 2
            draw_class(canvas, Box(room.left, y, room.right, y + px(_STRIP)), timeline, look)
            y += px(_STRIP)
        y += px(_GAP)
