"""The titles layer: what is done now, on which side, in which round, and what comes next."""

from __future__ import annotations

from collections.abc import Hashable, Iterator
from dataclasses import dataclass, replace

from PIL import Image

from overlay.pictures.canvas import Canvas
from overlay.pictures.fonts import SHIPPED, Fonts
from overlay.pictures.frames import Layer, Part
from overlay.pictures.images import Images, draw_image, image_sums, no_images
from overlay.pictures.marks import draw_mark
from overlay.pictures.scheme import Scheme, around, class_scheme, within
from overlay.pictures.text import Line, fit, largest_that_fits
from overlay.plan.fields import Side
from overlay.plan.look import BOLD, REGULAR, Look
from overlay.plan.session import View
from overlay.timeline.changes import Note, Tells, TitleState, title_changes
from overlay.timeline.model import SegmentKind, Timeline
from overlay.units.raster import Box
from overlay.words.phrases import Phrases


@dataclass(frozen=True)
class Title:
    """A title set: its plate, its lines from the top with the words' left edge, and the mark of its side.

    All in pixels of the picture. `is_cut` says that not even the smallest type held all its words.
    """

    plate: Box
    lines: tuple[Line, ...]
    text_left_px: int
    text_right_px: int
    mark: Box | None = None
    image: Box | None = None
    is_cut: bool = False


def titles_layer(
    timeline: Timeline, look: Look, view: View = View.DIRECT, fonts: Fonts = SHIPPED, images: Images = no_images
) -> Layer:
    """The titles of a whole class. Every plate is as wide as its words need."""
    scheme = class_scheme(timeline, look, fonts)
    frame = around(scheme.title.box, timeline.size)
    changes = tuple((start, _shown(state)) for start, state in title_changes(timeline))
    named = {state.image for _, state in changes if state is not None and state.image is not None}
    shaped_by = (scheme, look, timeline.phrases, view, image_sums(named, images))

    def draw(state: Hashable) -> Image.Image:
        assert isinstance(state, TitleState)
        return title_picture(state, scheme, look, timeline.phrases, view, frame, images)

    return Layer.of(timeline, "titles", (Part(frame, changes, draw, shaped_by),))


def _shown(state: TitleState) -> TitleState | None:
    return state if state.name else None


def title_picture(
    state: TitleState, scheme: Scheme, look: Look, phrases: Phrases, view: View, frame: Box, images: Images
) -> Image.Image:
    """One title on its plate, as large as `frame`."""
    title = set_title(state, scheme, phrases)
    canvas = Canvas(frame.width_px, frame.height_px)
    plate = within(title.plate, frame)
    canvas.plate(plate, scheme.radius_px, look.plate, look.opacity)
    top = plate.top + (plate.height_px - sum(line.height_px for line in title.lines)) // 2
    for line in title.lines:
        canvas.text_between(title.text_left_px - frame.left, title.text_right_px - frame.left, top, line, look.ink)
        top += line.height_px
    if title.mark is not None and state.side is not None:
        draw_mark(canvas, within(title.mark, frame), state.side, view, look.ink)
    if title.image is not None and state.image is not None:
        draw_image(canvas, within(title.image, frame), state.image, images, scheme.radius_px // 2)
    return canvas.picture


def set_title(state: TitleState, scheme: Scheme, phrases: Phrases) -> Title:
    """The title's words, as large as they fit its room and never smaller than is read from afar."""
    room, pad = scheme.title.box, scheme.pad_px
    mark_px = scheme.name_px * 3 // 2 if state.side else 0
    image_px = scheme.name_px * 2 if state.image else 0
    beside = sum(px + pad * 2 // 3 for px in (mark_px, image_px) if px)
    lines, is_cut = _lines(state, scheme, phrases, room.width_px - 2 * pad - beside)
    width = max((line.width_px for line in lines), default=0) + 2 * pad + beside
    height = max(scheme.timer.plate.height_px, sum(line.height_px for line in lines) + pad // 2)
    plate = scheme.title.plate(min(width, room.width_px), min(height, room.height_px))
    # The mark stands at the end of the side that it tells, the image at the other.
    is_left = state.side is Side.LEFT
    at_left, at_right = (mark_px, image_px) if is_left else (image_px, mark_px)
    boxes = [
        _square(plate, plate.left + pad, at_left),
        _square(plate, plate.right - pad - at_right, at_right),
    ]
    mark, image = boxes if is_left else reversed(boxes)
    text_left = plate.left + pad + (at_left + pad * 2 // 3 if at_left else 0)
    text_right = plate.right - pad - (at_right + pad * 2 // 3 if at_right else 0)
    return Title(plate, lines, text_left, text_right, mark, image, is_cut)


def _square(plate: Box, left_px: int, side_px: int) -> Box | None:
    """A square in the middle of a plate's height; None where it has no side."""
    top = plate.top + (plate.height_px - side_px) // 2
    return Box(left_px, top, left_px + side_px, top + side_px) if side_px else None


def _lines(state: TitleState, scheme: Scheme, phrases: Phrases, width_px: int) -> tuple[tuple[Line, ...], bool]:
    """The lines that fit the room, and whether any had to be left out.

    In a rest the name is already what comes next, and a small line above it says so.
    """
    height = scheme.title.box.height_px - scheme.pad_px // 2
    below = second_line(state, phrases)
    above = [Line(phrases.next, REGULAR, scheme.least_px, scheme.fonts)] if state.kind is SegmentKind.REST else []

    def lines_at(size: int) -> list[Line]:
        small = max(scheme.least_px, min(scheme.under_px, size))
        weight = BOLD if state.note is None else REGULAR
        lines = [*above, *fit(state.name, BOLD, size, max(size * 3 // 4, scheme.least_px), width_px, scheme.fonts)]
        return [*lines, *(fit(below, weight, small, scheme.least_px, width_px, scheme.fonts) if below else [])]

    sizes = range(scheme.name_px, scheme.least_px - 1, -2)
    fitting = largest_that_fits(sizes, lines_at, lambda lines: sum(line.height_px for line in lines) <= height)
    if fitting is not None:
        return tuple(fitting), False
    lines = lines_at(sizes[-1])
    while sum(line.height_px for line in lines) > height:
        lines.pop()
    last = lines[-1]
    while lines[-1].width_px > width_px or not lines[-1].text.endswith("…"):
        last = replace(last, text=last.text[:-1].rstrip())
        lines[-1] = replace(last, text=f"{last.text}…")
    return tuple(lines), True


def second_line(state: TitleState, phrases: Phrases) -> str:
    """What stands under the name: the side, unless the name says it already, and the round; for a while
    the easier version, what is needed, or what comes next.

    >>> from overlay.words.phrases import phrases_of
    >>> second_line(TitleState(SegmentKind.WORK, "Row", Side.LEFT, round=2, rounds=2), phrases_of("en"))
    'Left · Round 2 of 2'
    """
    parts = _told(state.note, phrases) if state.note else _place(state, phrases)
    text = " · ".join(parts)
    return text[:1].upper() + text[1:]


def _place(state: TitleState, phrases: Phrases) -> Iterator[str]:
    side = state.side and phrases.side(state.side)
    if side and side.casefold() not in state.name.casefold():
        yield side
    if state.round and state.rounds and state.rounds > 1:
        yield f"{phrases.round} {state.round} {phrases.of} {state.rounds}"


def _told(note: Note, phrases: Phrases) -> Iterator[str]:
    if note.tells is Tells.EASIER:
        yield f"{phrases.easier}: {note.text}"
    elif note.tells is Tells.NEEDED:
        yield f"{phrases.needed}: {', '.join(note.things)}"
    else:
        yield f"{phrases.next}: {note.text}"
        side = note.side and phrases.side(note.side)
        if side and side.casefold() not in note.text.casefold():
            yield side
        if note.things:
            yield ", ".join(note.things)
