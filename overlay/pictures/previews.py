"""Preview cards: what a block will ask for, its exercises as strips to scale."""

from __future__ import annotations

from dataclasses import dataclass

from PIL import Image

from overlay.pictures.canvas import Canvas
from overlay.pictures.scheme import LEAST_TEXT
from overlay.pictures.strip import draw_strip
from overlay.pictures.text import Line, fit
from overlay.plan.look import BOLD, REGULAR, Look
from overlay.timeline.model import Segment, SegmentKind, Shown, Timeline
from overlay.units.clock import format_duration
from overlay.units.raster import Box, Size
from overlay.words.phrases import Phrases


@dataclass(frozen=True)
class _Row:
    name: list[Line]
    length: Line
    shown: Shown

    @property
    def height_px(self) -> int:
        return sum(line.height_px for line in self.name)


def preview_segments(timeline: Timeline) -> tuple[Segment, ...]:
    """One preview a block; a block without a preview of its own has none."""
    return tuple(segment for segment in timeline.segments if segment.kind is SegmentKind.PREVIEW)


def preview_card(segment: Segment, size: Size, look: Look, phrases: Phrases) -> Image.Image:
    """The card of one block as a full picture, RGBA with straight alpha."""
    px = _Scale(size)
    safe = size.graphics_safe()
    width = min(safe.width_px, px(1180))
    inner = width - 2 * px(48)
    heading = fit(segment.block_name or phrases.preview, BOLD, px(88), px.least, inner)
    below = _second_line(segment, phrases)
    under = fit(below, REGULAR, px(56), px.least, inner) if below else []
    room = safe.height_px - 2 * px(40) - sum(line.height_px for line in [*heading, *under])
    each = min(px(150), room // max(1, len(segment.shows)))
    strip_height, gap = max(px(16), each // 5), px(18)
    size_px = max(px.least, min(px(60), int((each - strip_height - gap - px(6)) / 1.362)))
    lengths = [Line(format_duration(shown.work), BOLD, size_px) for shown in segment.shows]
    length_width = max((line.width_px for line in lengths), default=0)
    rows = [
        _Row(fit(shown.move.name, REGULAR, size_px, px.least, inner - length_width - px(32)), line, shown)
        for shown, line in zip(segment.shows, lengths, strict=True)
    ]
    height = sum(line.height_px for line in [*heading, *under]) + 2 * px(40)
    height += sum(row.height_px + px(6) + strip_height + gap for row in rows)
    left = safe.left
    plate = Box(left, max(safe.top, (size.height_px - height) // 2), left + width, 0)
    plate = Box(plate.left, plate.top, plate.right, min(safe.bottom, plate.top + height))
    canvas = Canvas(size.width_px, size.height_px)
    canvas.plate(plate, px(20), look.plate, look.plate_opacity)
    x, y = plate.left + px(48), plate.top + px(40)
    for line in [*heading, *under]:
        canvas.text(x, y, line, look.ink)
        y += line.height_px
    y += gap
    longest = max((shown.work for shown in segment.shows), default=1)
    for row in rows:
        canvas.text(plate.right - px(48) - row.length.width_px, y, row.length, look.ink)
        for line in row.name:
            canvas.text(x, y, line, look.ink)
            y += line.height_px
        y += px(6)
        strip = Box(x, y, x + int(inner * row.shown.work / longest), y + strip_height)
        draw_strip(canvas, strip, SegmentKind.WORK, look)
        y += strip_height + gap
    return canvas.picture


class _Scale:
    """Lengths given for a picture of 1080 lines, on this one."""

    def __init__(self, size: Size) -> None:
        self.short_side_px = size.short_side_px
        self.least = -(-size.short_side_px // LEAST_TEXT)

    def __call__(self, px: int) -> int:
        return max(1, round(px * self.short_side_px / 1080))


def _second_line(segment: Segment, phrases: Phrases) -> str:
    parts = [phrases.side(segment.side)] if segment.side else []
    if segment.rounds and segment.rounds > 1:
        parts.append(f"{segment.rounds} {phrases.rounds}")
    text = " · ".join(parts)
    return text[:1].upper() + text[1:]
