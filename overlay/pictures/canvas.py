"""Drawing with straight alpha: coverage masks with a solid colour under them.

The colour of a plate runs on for `BLEED_PX` beyond its edge, under alpha 0, so that neither a soft
edge nor a codec brings in another colour; further out everything is black.
"""

from __future__ import annotations

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
        canvas = cls(ground.width, ground.height)
        canvas.picture = ground.copy()
        return canvas

    def plate(self, box: Box, radius_px: int, color: Color, opacity: float) -> None:
        """A filled plate with round corners: what everything readable stands on."""
        under = (box.left - BLEED_PX, box.top - BLEED_PX, box.right + BLEED_PX, box.bottom + BLEED_PX)
        self.picture.paste((*color.rgb, 0), under)
        self._ink(self._rounded(box, radius_px), color, opacity)

    def fill(self, box: Box, radius_px: int, color: Color) -> None:
        """A solid shape on a plate: a stretch of work."""
        if box.width_px > 0:
            self._ink(self._rounded(box, radius_px), color, 1.0)

    def outline(self, box: Box, radius_px: int, width_px: int, color: Color) -> None:
        """A hollow shape on a plate: a stretch of rest."""
        if box.width_px <= 0:
            return
        mask = self._rounded(box, radius_px)
        inner = Box(box.left + width_px, box.top + width_px, box.right - width_px, box.bottom - width_px)
        if inner.width_px > 0 and inner.height_px > 0:
            mask = ImageChops.subtract(mask, self._rounded(inner, max(0, radius_px - width_px)))
        self._ink(mask, color, 1.0)

    def hatch(self, box: Box, radius_px: int, pitch_px: int, color: Color) -> None:
        """A hatched shape on a plate: a stretch of preview. The lines stand still when the box shrinks."""
        if box.width_px <= 0:
            return
        size = (self.picture.width * _FINER, self.picture.height * _FINER)
        lines = Image.new("L", (size[0], box.height_px * _FINER), 0)
        draw = ImageDraw.Draw(lines)
        pitch, height = pitch_px * _FINER, box.height_px * _FINER
        for x in range(-height - pitch, size[0] + pitch, pitch):
            draw.polygon(
                [(x, height), (x + pitch // 2, height), (x + pitch // 2 + height, 0), (x + height, 0)], fill=255
            )
        whole = Image.new("L", self.picture.size, 0)
        whole.paste(lines.reduce(_FINER), (0, box.top))
        self._ink(ImageChops.multiply(whole, self._rounded(box, radius_px)), color, 1.0)

    def text(self, left_px: int, top_px: int, line: Line, color: Color) -> None:
        """A line of text whose box has its upper left corner here."""
        mask = Image.new("L", self.picture.size, 0)
        mask.paste(line.mask(), (left_px, top_px))
        self._ink(mask, color, 1.0)

    def polygon(self, points: list[tuple[float, float]], color: Color) -> None:
        """A solid shape given by its corners, in pixels."""
        size = (self.picture.width * _FINER, self.picture.height * _FINER)
        mask = Image.new("L", size, 0)
        ImageDraw.Draw(mask).polygon([(x * _FINER, y * _FINER) for x, y in points], fill=255)
        self._ink(mask.reduce(_FINER), color, 1.0)

    def _rounded(self, box: Box, radius_px: int) -> Image.Image:
        local = Image.new("L", (box.width_px * _FINER, box.height_px * _FINER), 0)
        corner = min(radius_px * _FINER, local.width // 2, local.height // 2)
        ImageDraw.Draw(local).rounded_rectangle((0, 0, local.width - 1, local.height - 1), corner, fill=255)
        mask = Image.new("L", self.picture.size, 0)
        mask.paste(local.reduce(_FINER), (box.left, box.top))
        return mask

    def _ink(self, mask: Image.Image, color: Color, opacity: float) -> None:
        if opacity < 1:
            mask = mask.point([round(value * opacity) for value in range(256)])
        layer = Image.new("RGBA", self.picture.size, (*color.rgb, 0))
        layer.putalpha(mask)
        self.picture.alpha_composite(layer)
