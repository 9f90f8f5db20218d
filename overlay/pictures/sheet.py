"""The contact sheet: every distinct title, preview and card over a stand-in picture, on one page."""

from __future__ import annotations

from collections.abc import Sequence

from PIL import Image

from overlay.pictures.canvas import Canvas
from overlay.pictures.frames import Layer
from overlay.pictures.stills import Still, png, stills_of
from overlay.pictures.text import fit
from overlay.plan.look import BOLD, REGULAR, Look
from overlay.timeline.model import Timeline
from overlay.units.color import Color
from overlay.units.raster import Box, Size

# A page as wide as a common screen twice over, so that it can be looked into.
_PAGE_PX, _MARGIN_PX, _GAP_PX, _LABEL_PX, _TITLE_PX = 3840, 96, 40, 34, 80
_PAPER, _INK = Color(0xFF, 0xFF, 0xFF), Color(0x12, 0x18, 0x21)
_HIGHEST_PX = 30_000
"""About the highest picture that viewers open."""


def contact_sheet(timeline: Timeline, look: Look, layers: Sequence[Layer]) -> bytes:
    """The sheet of these layers as PNG. Stills become smaller where there are many; none is left out."""
    stills = [still for layer in layers for still in stills_of(layer)]
    size = timeline.size
    columns = 4 if not size.is_tall else 6
    while True:
        cell_px = (_PAGE_PX - 2 * _MARGIN_PX - (columns - 1) * _GAP_PX) // columns
        picture_px = round(cell_px * size.height_px / size.width_px)
        row_px = picture_px + 2 * _LABEL_PX + _GAP_PX
        height_px = 2 * _MARGIN_PX + 2 * _TITLE_PX + -(-len(stills) // columns) * row_px
        if height_px <= _HIGHEST_PX or columns >= 24:
            break
        columns += 2
    page = Canvas(_PAGE_PX, height_px)
    page.picture.paste((*_PAPER.rgb, 255), (0, 0, _PAGE_PX, height_px))
    page.text(_MARGIN_PX, _MARGIN_PX, fit(timeline.title, BOLD, _TITLE_PX, 40, _PAGE_PX - 2 * _MARGIN_PX)[0], _INK)
    ground = stand_in(size).resize((cell_px, picture_px), Image.Resampling.LANCZOS)
    for number, still in enumerate(stills):
        left = _MARGIN_PX + number % columns * (cell_px + _GAP_PX)
        top = _MARGIN_PX + 2 * _TITLE_PX + number // columns * row_px
        page.picture.paste(_over(still, ground), (left, top))
        label = f"{timeline.frame_to_label(still.frame)}   {still.layer.name}"
        line = fit(label, REGULAR, _LABEL_PX, 16, cell_px)[0]
        page.text(left, top + picture_px + _LABEL_PX // 4, line, _INK)
    return png(page.picture.convert("RGB"))


def _over(still: Still, ground: Image.Image) -> Image.Image:
    """A still laid over the ground, both at the ground's size, opaque."""
    small = still.picture().resize(ground.size, Image.Resampling.LANCZOS)
    return Image.alpha_composite(ground, small)


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
