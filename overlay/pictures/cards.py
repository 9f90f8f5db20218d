"""The previews layer: the card of each block, and full pictures for opening and closing where wanted."""

from __future__ import annotations

from collections.abc import Hashable

from PIL import Image

from overlay.pictures.canvas import Canvas
from overlay.pictures.fonts import SHIPPED, Fonts
from overlay.pictures.frames import Layer, Part
from overlay.pictures.images import Images, no_images
from overlay.pictures.previews import draw_card, set_card
from overlay.pictures.scheme import Scheme, around, class_scheme
from overlay.pictures.strip import draw_class
from overlay.pictures.text import Line, fit, wrap
from overlay.plan.look import BOLD, REGULAR, Look
from overlay.plan.session import View
from overlay.timeline.changes import CardState, PreviewState, card_changes
from overlay.timeline.model import SegmentKind, Timeline
from overlay.timeline.summary import summarize
from overlay.units.raster import Box

# Lengths of a picture of 1080 lines, in pixels.
_TITLE, _LEAST_TITLE, _NEEDED, _STRIP, _GAP = 120, 64, 60, 44, 34


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

    return Layer.of(timeline, "previews", (Part(frame, changes, draw),))


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


def _draw_full(canvas: Canvas, state: CardState, timeline: Timeline, scheme: Scheme, look: Look) -> None:
    """A picture of its own: title and strip of the class, and before it what is needed and the caution."""
    size, phrases, px = timeline.size, timeline.phrases, scheme.scaled
    canvas.picture.paste((*look.plate.rgb, 255), (0, 0, size.width_px, size.height_px))
    room = scheme.preview_room(None, look.previews.at)
    title = fit(timeline.title, BOLD, px(_TITLE), px(_LEAST_TITLE), room.width_px, scheme.fonts)
    below: list[list[Line]] = []
    if state.kind is SegmentKind.OPENING:
        things = ", ".join(summarize(timeline).equipment)
        if things:
            below.append(wrap(f"{phrases.needed}: {things}", BOLD, px(_NEEDED), room.width_px, scheme.fonts))
        below.append(wrap(phrases.caution, REGULAR, scheme.least_px, room.width_px, scheme.fonts))
    paragraphs = [title, *below]
    gaps = px(_GAP) * len(paragraphs) + px(_STRIP)
    while sum(line.height_px for lines in paragraphs for line in lines) + gaps > room.height_px:
        longest = max(paragraphs, key=len)
        longest.pop()
    height = sum(line.height_px for lines in paragraphs for line in lines) + gaps
    y = room.top + (room.height_px - height) // 2
    for number, lines in enumerate(paragraphs):
        for line in lines:
            canvas.text_between(room.left, room.right, y, line, look.ink)
            y += line.height_px
        if number == 0:
            y += px(_GAP) // 2
            draw_class(canvas, Box(room.left, y, room.right, y + px(_STRIP)), timeline, look)
            y += px(_STRIP)
        y += px(_GAP)
