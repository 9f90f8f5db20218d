"""Preview cards: what a block will ask for, its exercises as strips to scale."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from PIL import Image

from overlay.pictures.canvas import Canvas
from overlay.pictures.scheme import LEAST_TEXT
from overlay.pictures.strip import draw_strip
from overlay.pictures.text import Line, fit, wrap
from overlay.pictures.timer import class_scheme
from overlay.pictures.titles import title_plate
from overlay.plan.look import BOLD, REGULAR, Look
from overlay.timeline.changes import TitleState
from overlay.timeline.model import Segment, SegmentKind, Shown, Timeline
from overlay.units.clock import format_duration
from overlay.units.raster import Box, Size
from overlay.words.phrases import Phrases

# Lengths of a picture of 1080 lines, in pixels.
_WIDTH, _PAD_X, _PAD_Y, _BETWEEN_COLUMNS, _RADIUS = 1180, 48, 40, 64, 20
_HEADING, _LEAST_HEADING, _UNDER, _LARGEST_ROW, _ROW_GAP, _STRIP_GAP = 88, 60, 56, 60, 18, 6


@dataclass(frozen=True)
class _Row:
    """One exercise: its name, how long it is worked, and the strip below. Heights in pixels."""

    name: list[Line]
    length: Line
    shown: Shown
    strip_px: int
    above_strip_px: int
    gap_px: int

    @property
    def height_px(self) -> int:
        return sum(line.height_px for line in self.name) + self.above_strip_px + self.strip_px + self.gap_px


@dataclass(frozen=True)
class _List:
    """The rows of a card in columns of one width, and how many exercises found no room at all."""

    columns: list[list[_Row]]
    column_px: int
    left_out: int = 0

    @property
    def height_px(self) -> int:
        return max(sum(row.height_px for row in column) for column in self.columns)


def preview_segments(timeline: Timeline) -> tuple[Segment, ...]:
    """One preview a block; a block without a preview of its own has none."""
    return tuple(segment for segment in timeline.segments if segment.kind is SegmentKind.PREVIEW)


def preview_card(segment: Segment, timeline: Timeline, look: Look) -> Image.Image:
    """The card of one block as a full picture, RGBA with straight alpha; it stands below timer and title."""
    size, phrases = timeline.size, timeline.phrases
    px = _Scale(size)
    safe = size.graphics_safe()
    safe = replace(safe, top=_below_title(segment, timeline) + px(_ROW_GAP))
    for width in dict.fromkeys((min(safe.width_px, px(_WIDTH)), safe.width_px)):
        inner = width - 2 * px(_PAD_X)
        heading = fit(segment.block_name or phrases.preview, BOLD, px(_HEADING), px(_LEAST_HEADING), inner)
        below = _second_line(segment, phrases)
        heading += fit(below, REGULAR, px(_UNDER), px.least, inner) if below else []
        head = sum(line.height_px for line in heading) + px(_ROW_GAP)
        rows = _fitting(segment.shows, inner, safe.height_px - 2 * px(_PAD_Y) - head, px)
        if not rows.left_out:
            break
    height = head + rows.height_px + 2 * px(_PAD_Y)
    top = safe.top + (safe.height_px - height) // 2
    plate = Box(safe.left, top, safe.left + width, top + height)
    canvas = Canvas(size.width_px, size.height_px)
    canvas.plate(plate, px(_RADIUS), look.plate, look.plate_opacity)
    x, y = plate.left + px(_PAD_X), plate.top + px(_PAD_Y)
    for line in heading:
        canvas.text(x, y, line, look.ink)
        y += line.height_px
    y += px(_ROW_GAP)
    longest = max((shown.work for shown in segment.shows), default=Fraction(1))
    for number, column in enumerate(rows.columns):
        left = x + number * (rows.column_px + px(_BETWEEN_COLUMNS))
        _draw_column(canvas, column, Box(left, y, left + rows.column_px, plate.bottom), longest, look)
    if rows.left_out:
        more = Line(f"+ {rows.left_out}", BOLD, px.least)
        canvas.text(plate.right - px(_PAD_X) - more.width_px, plate.top + px(_PAD_Y), more, look.ink)
    return canvas.picture


def _draw_column(canvas: Canvas, column: list[_Row], box: Box, longest: Fraction, look: Look) -> None:
    y = box.top
    for row in column:
        canvas.text(
            box.right - row.length.width_px, y + row.name[0].ascent_px - row.length.ascent_px, row.length, look.ink
        )
        below = y + row.height_px
        for line in row.name:
            canvas.text(box.left, y, line, look.ink)
            y += line.height_px
        if row.strip_px:
            top = below - row.gap_px - row.strip_px
            strip = Box(box.left, top, box.left + int(box.width_px * row.shown.work / longest), top + row.strip_px)
            draw_strip(canvas, strip, SegmentKind.WORK, look)
        y = below


def _fitting(shows: tuple[Shown, ...], width_px: int, height_px: int, px: _Scale) -> _List:
    """The rows as large as they fit: smaller first, then in two columns, then without their strips."""
    for rows in _attempts(shows, width_px, px):
        if rows.height_px <= height_px:
            return rows
    # More exercises than any card can show legibly: as many as there is room for, and the rest counted.
    count = len(shows) - 1
    while (
        count > 1 and (rows := _columns(shows[:count], width_px, px, px.least, 2, strips=False)).height_px > height_px
    ):
        count -= 1
    return _List(rows.columns, rows.column_px, len(shows) - count)


def _attempts(shows: tuple[Shown, ...], width_px: int, px: _Scale) -> Iterator[_List]:
    sizes = range(max(px(_LARGEST_ROW), px.least), px.least - 1, -2)
    yield from (_columns(shows, width_px, px, size, 1) for size in sizes)
    yield from (_columns(shows, width_px, px, size, 2) for size in sizes)
    yield _columns(shows, width_px, px, px.least, 2, strips=False)


def _columns(
    shows: tuple[Shown, ...], width_px: int, px: _Scale, size_px: int, count: int, *, strips: bool = True
) -> _List:
    column_px = (width_px - (count - 1) * px(_BETWEEN_COLUMNS)) // count
    lengths = [Line(format_duration(shown.work), BOLD, size_px) for shown in shows]
    name_px = column_px - max((line.width_px for line in lengths), default=0) - px(32)
    strip_px = max(px(16), size_px // 2) if strips else 0
    rows = [
        _Row(
            wrap(shown.move.name, REGULAR, size_px, name_px),
            line,
            shown,
            strip_px,
            px(_STRIP_GAP),
            px(_ROW_GAP),
        )
        for shown, line in zip(shows, lengths, strict=True)
    ]
    a_column = -(-len(rows) // count)
    return _List([rows[start : start + a_column] for start in range(0, len(rows), a_column)], column_px)


class _Scale:
    """Lengths given for a picture of 1080 lines, on this one."""

    def __init__(self, size: Size) -> None:
        self.short_side_px = size.short_side_px
        self.least = -(-size.short_side_px // LEAST_TEXT)

    def __call__(self, px: int) -> int:
        return max(1, round(px * self.short_side_px / 1080))


def _below_title(segment: Segment, timeline: Timeline) -> int:
    """The first row of the picture that neither the timer nor the block's title needs."""
    scheme = class_scheme(timeline)
    title = TitleState(segment.kind, segment.name or "", segment.side)
    return max(scheme.timer.bottom, title_plate(title, scheme, timeline.phrases).bottom)


def _second_line(segment: Segment, phrases: Phrases) -> str:
    side = segment.side and phrases.side(segment.side)
    parts = [side] if side and side.casefold() not in (segment.block_name or "").casefold() else []
    if segment.rounds and segment.rounds > 1:
        parts.append(f"{segment.rounds} {phrases.rounds}")
    text = " · ".join(parts)
    return text[:1].upper() + text[1:]
