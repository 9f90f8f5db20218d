"""The contact sheet: every distinct title, preview and card over a stand-in picture, on one page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PIL import Image

from overlay.pictures.canvas import Canvas
from overlay.pictures.fonts import SHIPPED, Fonts
from overlay.pictures.frames import Layer
from overlay.pictures.stills import Still, png, stills_of
from overlay.pictures.text import fit, fit_lines
from overlay.plan.look import BOLD, REGULAR
from overlay.timeline.model import Timeline
from overlay.units.color import Color
from overlay.units.raster import Box, Size

# A page as wide as a common screen twice over, so that it can be looked into.
_PAGE_PX, _MARGIN_PX, _GAP_PX, _LABEL_PX, _TITLE_PX = 3840, 96, 40, 34, 80
_PAPER, _INK = Color(0xFF, 0xFF, 0xFF), Color(0x12, 0x18, 0x21)
_HIGHEST_PX = 30_000
"""About the highest picture that viewers open."""


@dataclass(frozen=True)
class _Section:
    """The stills of one layer as a grid: each shows the layer's own box of the picture. Pixels of the page."""

    stills: tuple[Still, ...]
    box: Box
    columns: int

    @property
    def cell(self) -> tuple[int, int]:
        width_px = (_PAGE_PX - 2 * _MARGIN_PX - (self.columns - 1) * _GAP_PX) // self.columns
        return width_px, round(width_px * self.box.height_px / self.box.width_px)

    @property
    def row_px(self) -> int:
        return self.cell[1] + 2 * _LABEL_PX + _GAP_PX

    @property
    def height_px(self) -> int:
        return -(-len(self.stills) // self.columns) * self.row_px


def contact_sheet(timeline: Timeline, layers: Sequence[Layer], fonts: Fonts = SHIPPED) -> bytes:
    """The sheet of these layers as PNG. Stills become smaller where there are many; none is left out."""
    columns = 3
    while True:
        sections = [_Section(tuple(stills_of(layer)), layer.parts[0].box, columns) for layer in layers]
        height_px = 2 * _MARGIN_PX + 2 * _TITLE_PX + sum(section.height_px for section in sections)
        if height_px <= 2 * _PAGE_PX or (columns >= 8 and height_px <= _HIGHEST_PX) or columns >= 24:
            break
        columns += 1
    page = Canvas(_PAGE_PX, height_px)
    page.picture.paste((*_PAPER.rgb, 255), (0, 0, _PAGE_PX, height_px))
    title = fit_lines(timeline.title, BOLD, _TITLE_PX, 40, _PAGE_PX - 2 * _MARGIN_PX, 1, fonts).lines[0]
    page.text(_MARGIN_PX, _MARGIN_PX, title, _INK)
    top, ground = _MARGIN_PX + 2 * _TITLE_PX, stand_in(timeline.size)
    for section in sections:
        _draw(page, section, top, ground, timeline, fonts)
        top += section.height_px
    return png(page.picture.convert("RGB"))


def _draw(page: Canvas, section: _Section, top_px: int, ground: Image.Image, timeline: Timeline, fonts: Fonts) -> None:
    box = (section.box.left, section.box.top, section.box.right, section.box.bottom)
    width_px, height_px = section.cell
    here = ground.crop(box)
    for number, still in enumerate(section.stills):
        left = _MARGIN_PX + number % section.columns * (width_px + _GAP_PX)
        top = top_px + number // section.columns * section.row_px
        over = Image.alpha_composite(here, still.picture().crop(box))
        page.picture.paste(over.resize((width_px, height_px), Image.Resampling.LANCZOS), (left, top))
        label = f"{timeline.frame_to_label(still.frame)}   {still.layer.name}"
        page.text(left, top + height_px + _LABEL_PX // 4, fit(label, REGULAR, _LABEL_PX, 16, width_px, fonts)[0], _INK)


def stand_in(size: Size) -> Image.Image:
    """Something like a room to lay pictures over: a wall with light from one side, a floor, a mat.

    RGBA, opaque, of the picture's size.
    """
    width, height = size.width_px, size.height_px
    slope = Image.linear_gradient("L").rotate(90).resize((width, height))
    wall = Image.merge(
        "RGB", [slope.point([low + value * 50 // 255 for value in range(256)]) for low in (150, 152, 146)]
    )
    floor_top = height * 7 // 10
    floor = slope.crop((0, floor_top, width, height))
    wood = Image.merge(
        "RGB", [floor.point([low + value * 30 // 255 for value in range(256)]) for low in (122, 104, 86)]
    )
    wall.paste(wood, (0, floor_top))
    room = Canvas.on(wall.convert("RGBA"))
    mat = Box(width * 22 // 100, height * 80 // 100, width * 78 // 100, height * 88 // 100)
    room.polygon(
        [
            (mat.left + mat.width_px * 0.06, mat.top),
            (mat.right - mat.width_px * 0.06, mat.top),
            (mat.right, mat.bottom),
            (mat.left, mat.bottom),
        ],
        Color(0x4C, 0x5A, 0x66),
    )
    return room.picture
