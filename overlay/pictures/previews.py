"""Preview cards: what a block will ask for, its exercises as strips to scale, each lit in its turn."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from functools import partial
from itertools import product

from overlay.pictures.canvas import Canvas
from overlay.pictures.fonts import Fonts
from overlay.pictures.images import Images, draw_image
from overlay.pictures.marks import draw_mark
from overlay.pictures.scheme import Scheme
from overlay.pictures.strip import draw_strip
from overlay.pictures.text import Line, fit, largest_that_fits, wrap
from overlay.pictures.titles import set_title
from overlay.plan.look import BOLD, REGULAR, Flank, Look
from overlay.plan.session import View
from overlay.timeline.changes import Note, PreviewState, Tells, TitleState
from overlay.timeline.model import SegmentKind, Shown
from overlay.units.clock import format_duration
from overlay.units.raster import Box
from overlay.words.phrases import Phrases

# Lengths of a picture of 1080 lines, in pixels.
_WIDTH, _PAD_X, _PAD_Y, _BETWEEN_COLUMNS = 1180, 44, 34, 72
_HEADING, _LEAST_HEADING, _UNDER, _LARGEST_ROW, _LIT_PAD, _STRIP_GAP = 84, 60, 54, 60, 16, 6


@dataclass(frozen=True)
class _Row:
    """One exercise: its name, how long it is worked, what it needs, and the strip below. Heights in pixels."""

    name: list[Line]
    length: Line
    things: list[Line]
    shown: Shown
    number: int
    image_px: int
    strip_px: int
    above_strip_px: int
    pad_px: int

    @property
    def height_px(self) -> int:
        words = sum(line.height_px for line in (*self.name, *self.things))
        words = max(words, self.image_px)
        return words + self.above_strip_px + self.strip_px + 2 * self.pad_px


@dataclass(frozen=True)
class _List:
    """The rows of a card in columns of one width, and how many exercises found no room at all."""

    columns: list[list[_Row]]
    column_px: int
    left_out: int = 0

    @property
    def height_px(self) -> int:
        return max((sum(row.height_px for row in column) for column in self.columns), default=0)


@dataclass(frozen=True)
class Card:
    """A preview set: its plate, its heading, its rows, and the mark of its side. Pixels of the picture."""

    plate: Box
    heading: tuple[Line, ...]
    rows: _List
    mark: Box | None
    longest: Fraction

    @property
    def is_cut(self) -> bool:
        return self.rows.left_out > 0


def set_card(state: PreviewState, scheme: Scheme, look: Look, phrases: Phrases) -> Card:
    """The card of a block, as large as its room holds it: it stands off the timer and the title."""

    def px(length: int) -> int:
        return max(1, round(scheme.scaled(length) * look.previews.scale))

    room = scheme.preview_room(_title_plate(state, scheme, phrases) if state.name and look.titles.show else None)
    mark_px = px(_HEADING) if state.side else 0
    for width in dict.fromkeys((min(room.width_px, px(_WIDTH)), room.width_px)):
        inner = width - 2 * px(_PAD_X)
        beside = inner - (mark_px + px(_PAD_X) // 2 if mark_px else 0)
        heading = fit(state.name or phrases.preview, BOLD, px(_HEADING), px(_LEAST_HEADING), beside, scheme.fonts)
        below = _second_line(state, phrases)
        heading += fit(below, REGULAR, px(_UNDER), scheme.least_px, beside, scheme.fonts) if below else []
        head = sum(line.height_px for line in heading)
        rows = _fitting(state.shows, inner, room.height_px - 2 * px(_PAD_Y) - head, px, scheme.least_px, scheme.fonts)
        if not rows.left_out:
            break
    height = head + rows.height_px + 2 * px(_PAD_Y)
    top = room.top + max(0, room.height_px - height) // 2
    spare = room.width_px - width
    left = room.left + {Flank.LEFT: 0, Flank.CENTER: spare // 2, Flank.RIGHT: spare}[look.previews.at]
    plate = Box(left, top, left + width, min(top + height, room.bottom))
    mark_left = plate.right - px(_PAD_X) - mark_px
    mark_top = plate.top + px(_PAD_Y) + px(6)
    mark = Box(mark_left, mark_top, mark_left + mark_px, mark_top + mark_px) if mark_px else None
    longest = max((shown.work for shown in state.shows), default=Fraction(1))
    return Card(plate, tuple(heading), rows, mark, longest)


def _title_plate(state: PreviewState, scheme: Scheme, phrases: Phrases) -> Box:
    """The highest plate that the block's title has meanwhile: near the end it tells the first exercise."""
    first = state.shows[0].move
    notes = (None, Note(Tells.NEXT, first.name, things=first.equipment))
    states = (TitleState(SegmentKind.PREVIEW, state.name or "", state.side, note=note) for note in notes)
    return max((set_title(each, scheme, phrases).plate for each in states), key=lambda plate: plate.height_px)


def draw_card(
    canvas: Canvas, card: Card, state: PreviewState, scheme: Scheme, look: Look, view: View, images: Images
) -> None:
    """A card on a canvas that is as large as the picture."""
    pad_x, pad_y = (round(scheme.scaled(pad) * look.previews.scale) for pad in (_PAD_X, _PAD_Y))
    plate = card.plate
    canvas.plate(plate, scheme.radius_px, look.plate, look.opacity)
    x, y = plate.left + pad_x, plate.top + pad_y
    right = card.mark.left if card.mark else plate.right - pad_x
    for line in card.heading:
        canvas.text_between(x, right, y, line, look.ink)
        y += line.height_px
    if card.mark is not None and state.side is not None:
        draw_mark(canvas, card.mark, state.side, view, look.ink)
    gap = scheme.scaled(_BETWEEN_COLUMNS)
    for number, column in enumerate(card.rows.columns):
        left = x + number * (card.rows.column_px + gap)
        top = y
        for row in column:
            box = Box(left, top, left + card.rows.column_px, top + row.height_px)
            _draw_row(canvas, row, box, card.longest, look, scheme, images, is_lit=row.number == state.lit)
            top += row.height_px
    if card.rows.left_out:
        more = Line(f"+ {card.rows.left_out}", BOLD, scheme.least_px, scheme.fonts)
        canvas.text(plate.right - pad_x - more.width_px, plate.bottom - pad_y // 2 - more.height_px, more, look.ink)


def _draw_row(
    canvas: Canvas, row: _Row, box: Box, longest: Fraction, look: Look, scheme: Scheme, images: Images, *, is_lit: bool
) -> None:
    ink = look.ink
    if is_lit:
        # A patch in ink's own colour: told by more than colour, and read as well as any other row.
        ink = look.plate
        patch = Box(box.left - row.pad_px, box.top, box.right + row.pad_px, box.bottom)
        canvas.fill(patch, min(scheme.radius_px, row.pad_px), look.ink)
    y = box.top + row.pad_px
    canvas.text(box.right - row.length.width_px, y + row.name[0].ascent_px - row.length.ascent_px, row.length, ink)
    left = box.left
    if row.image_px and row.shown.move.image:
        square = Box(left, y, left + row.image_px, y + row.image_px)
        draw_image(canvas, square, row.shown.move.image, images, row.pad_px // 2)
        left += row.image_px + row.pad_px
    for line in (*row.name, *row.things):
        canvas.text_between(left, box.right - row.length.width_px - row.pad_px, y, line, ink)
        y += line.height_px
    if row.strip_px:
        top = box.bottom - row.pad_px - row.strip_px
        strip = Box(box.left, top, box.left + int(box.width_px * row.shown.work / longest), top + row.strip_px)
        draw_strip(canvas, strip, SegmentKind.WORK, look, color=look.plate if is_lit else None)


def _fitting(
    shows: tuple[Shown, ...], width_px: int, height_px: int, px: Callable[[int], int], least_px: int, fonts: Fonts
) -> _List:
    """The rows as large as they fit: smaller first, then in two columns, then without their strips."""

    def fits(rows: _List) -> bool:
        return rows.height_px <= height_px

    # No row is lower than its words: of more there is no need to set all to see that they do not fit.
    most = min(len(shows), 2 * max(0, height_px) // least_px)
    if most == len(shows):
        sizes = range(max(px(_LARGEST_ROW), least_px), least_px - 1, -2)
        for detail, columns in product((2, 1), (1, 2)):
            setting = partial(_columns, shows, width_px, px, count=columns, detail=detail, fonts=fonts)
            found = largest_that_fits(sizes, setting, fits)
            if found is not None:
                return found
    # More exercises than any card can show legibly: as many as there is room for, and the rest counted.
    for count in range(most, 0, -1):
        for columns in (1, 2):
            rows = _columns(shows[:count], width_px, px, least_px, columns, 0, fonts)
            if fits(rows):
                return _List(rows.columns, rows.column_px, len(shows) - count)
    return _List([], width_px, len(shows))


def _columns(
    shows: tuple[Shown, ...],
    width_px: int,
    px: Callable[[int], int],
    size_px: int,
    count: int,
    detail: int,
    fonts: Fonts,
) -> _List:
    """Rows in `count` columns; `detail` 2 is with equipment and strips, 1 with strips, 0 the names alone."""
    column_px = (width_px - (count - 1) * px(_BETWEEN_COLUMNS)) // count
    lengths = [Line(format_duration(shown.work), BOLD, size_px, fonts) for shown in shows]
    # An image is two lines high.
    image_px = 2 * size_px if detail > 1 and any(shown.move.image for shown in shows) else 0
    name_px = column_px - max((line.width_px for line in lengths), default=0) - px(32)
    name_px -= image_px + px(_LIT_PAD) if image_px else 0
    least = min(size_px, max(px(45), size_px * 3 // 4))
    rows = [
        _Row(
            wrap(shown.move.name, BOLD, size_px, name_px, fonts),
            line,
            wrap(", ".join(shown.move.equipment), REGULAR, least, name_px, fonts) if detail > 1 else [],
            shown,
            number,
            image_px if shown.move.image else 0,
            max(px(14), size_px // 3) if detail else 0,
            px(_STRIP_GAP) if detail else 0,
            px(_LIT_PAD) if detail else px(4),
        )
        for number, (shown, line) in enumerate(zip(shows, lengths, strict=True))
    ]
    a_column = -(-len(rows) // count)
    return _List([rows[start : start + a_column] for start in range(0, len(rows), a_column)], column_px)


def _second_line(state: PreviewState, phrases: Phrases) -> str:
    side = state.side and phrases.side(state.side)
    parts = [side] if side and side.casefold() not in (state.name or "").casefold() else []
    if state.rounds and state.rounds > 1:
        parts.append(f"{state.rounds} {phrases.rounds}")
    text = " · ".join(parts)
    return text[:1].upper() + text[1:]
