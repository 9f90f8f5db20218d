"""Drawing with straight alpha: coverage masks with a solid colour under them.

The colour of a plate runs on for `BLEED_PX` beyond its edge, under alpha 0, so that neither a soft
edge nor a codec brings in another colour; further out everything is black. Every shape touches only
its own box of the picture, so that a small change on a large picture is cheap.
"""

from __future__ import annotations

from functools import lru_cache

from PIL import Image, ImageChops, ImageDraw

from overlay.pictures.text import Line
from overlay.units.color import Color
from overlay.units.raster import Box

BLEED_PX = 12
_FINER = 4


class Canvas:
    """One transparent picture being drawn, in its own coordinates from its upper left corner."""

    def __init__(self, width_px: int, height_px: int) -> None:
        self.picture = Image.new("RGBA", (width_px, height_px), (0, 0, 0, 0))

    @classmethod
    def on(cls, ground: Image.Image) -> Canvas:
        """A canvas that begins as a copy of another picture."""
        canvas = cls.__new__(cls)
        canvas.picture = ground.copy()
        return canvas

    def plate(self, box: Box, radius_px: int, color: Color, opacity: float) -> None:
        """A filled plate with round corners: what everything readable stands on."""
        under = (box.left - BLEED_PX, box.top - BLEED_PX, box.right + BLEED_PX, box.bottom + BLEED_PX)
        self.picture.paste((*color.rgb, 0), under)
        self._ink(_rounded(box.width_px, box.height_px, radius_px), box.left, box.top, color, opacity)

    def fill(self, box: Box, radius_px: int, color: Color) -> None:
        """A solid shape on a plate: a stretch of work."""
        if box.width_px > 0 and box.height_px > 0:
            self._ink(_rounded(box.width_px, box.height_px, radius_px), box.left, box.top, color)

    def outline(self, box: Box, radius_px: int, width_px: int, color: Color) -> None:
        """A hollow shape on a plate: a stretch of rest."""
        if box.width_px > 0 and box.height_px > 0:
            self._ink(_hollow(box.width_px, box.height_px, radius_px, width_px), box.left, box.top, color)

    def hatch(self, box: Box, radius_px: int, pitch_px: int, color: Color) -> None:
        """A hatched shape on a plate: a stretch of preview. The lines stand still when the box shrinks."""
        if box.width_px > 0 and box.height_px > 0:
            mask = _hatched(box.width_px, box.height_px, radius_px, pitch_px)
            self._ink(mask, box.left, box.top, color)

    def text(self, left_px: int, top_px: int, line: Line, color: Color) -> None:
        """A line of text whose box has its upper left corner here."""
        self._ink(_mask(line), left_px, top_px, color)

    def text_between(self, left_px: int, right_px: int, top_px: int, line: Line, color: Color) -> None:
        """A line of text that begins at the left, or at the right where its script runs that way."""
        self.text(right_px - line.width_px if line.is_right_to_left else left_px, top_px, line, color)

    def polygon(self, points: list[tuple[float, float]], color: Color) -> None:
        """A solid shape given by its corners, in pixels."""
        left, top = int(min(x for x, _ in points)), int(min(y for _, y in points))
        width, height = (int(max(p[axis] for p in points)) + 2 - low for axis, low in ((0, left), (1, top)))
        mask = Image.new("L", (width * _FINER, height * _FINER), 0)
        ImageDraw.Draw(mask).polygon([((x - left) * _FINER, (y - top) * _FINER) for x, y in points], fill=255)
        self._ink(mask.reduce(_FINER), left, top, color)

    def picture_at(self, left_px: int, top_px: int, picture: Image.Image, radius_px: int) -> None:
        """Another picture (RGBA) with round corners, laid over what is there."""
        mask = _rounded(picture.width, picture.height, radius_px)
        rounded = picture.copy()
        rounded.putalpha(ImageChops.multiply(picture.getchannel("A"), mask))
        self.picture.alpha_composite(rounded, (left_px, top_px))

    def _ink(self, mask: Image.Image, left_px: int, top_px: int, color: Color, opacity: float = 1.0) -> None:
        if opacity < 1:
            mask = mask.point([round(value * opacity) for value in range(256)])
        box = (max(0, left_px), max(0, top_px), left_px + mask.width, top_px + mask.height)
        if box[0] != left_px or box[1] != top_px:
            mask = mask.crop((box[0] - left_px, box[1] - top_px, mask.width, mask.height))
        layer = Image.new("RGBA", mask.size, (*color.rgb, 0))
        layer.putalpha(mask)
        self.picture.alpha_composite(layer, box[:2])


@lru_cache(maxsize=512)
def _mask(line: Line) -> Image.Image:
    return line.mask()


@lru_cache(maxsize=512)
def _rounded(width_px: int, height_px: int, radius_px: int) -> Image.Image:
    """The coverage of a rectangle with round corners. Only the corners are drawn finer and reduced."""
    mask = Image.new("L", (width_px, height_px), 255)
    corner = min(radius_px, width_px // 2, height_px // 2)
    if not corner:
        return mask
    finer = Image.new("L", (2 * corner * _FINER, 2 * corner * _FINER), 0)
    ImageDraw.Draw(finer).ellipse((0, 0, finer.width - 1, finer.height - 1), fill=255)
    disc = finer.reduce(_FINER)
    for x, left in ((0, 0), (corner, width_px - corner)):
        for y, top in ((0, 0), (corner, height_px - corner)):
            mask.paste(disc.crop((x, y, x + corner, y + corner)), (left, top))
    return mask


@lru_cache(maxsize=512)
def _hollow(width_px: int, height_px: int, radius_px: int, line_px: int) -> Image.Image:
    mask = _rounded(width_px, height_px, radius_px)
    if width_px <= 2 * line_px or height_px <= 2 * line_px:
        return mask
    inner = Image.new("L", mask.size, 0)
    hole = _rounded(width_px - 2 * line_px, height_px - 2 * line_px, max(0, radius_px - line_px))
    inner.paste(hole, (line_px, line_px))
    return ImageChops.subtract(mask, inner)


@lru_cache(maxsize=512)
def _hatched(width_px: int, height_px: int, radius_px: int, pitch_px: int) -> Image.Image:
    lines = _hatching(-(-width_px // 256) * 256, height_px, pitch_px).crop((0, 0, width_px, height_px))
    return ImageChops.multiply(lines, _rounded(width_px, height_px, radius_px))


@lru_cache(maxsize=16)
def _hatching(width_px: int, height_px: int, pitch_px: int) -> Image.Image:
    lines = Image.new("L", (width_px * _FINER, height_px * _FINER), 0)
    draw = ImageDraw.Draw(lines)
    pitch, height = pitch_px * _FINER, height_px * _FINER
    for x in range(-height - pitch, lines.width + pitch, pitch):
        draw.polygon([(x, height), (x + pitch // 2, height), (x + pitch // 2 + height, 0), (x + height, 0)], fill=255)
    return lines.reduce(_FINER)
