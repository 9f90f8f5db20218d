"""Lines of text as coverage masks: fixed cells for digits, boxes from ascent and descent."""

from __future__ import annotations

from dataclasses import dataclass

from PIL import Image, ImageDraw

from overlay.pictures.fonts import font


@dataclass(frozen=True)
class Line:
    """One line in one font. Its box is as high as the font's ascent and descent, whatever it says."""

    text: str
    font_name: str
    size_px: int

    @property
    def width_px(self) -> int:
        left, _, right, _ = font(self.font_name, self.size_px).getbbox(self.text)
        return round(max(right, font(self.font_name, self.size_px).getlength(self.text)) - min(0, left))

    @property
    def height_px(self) -> int:
        ascent, descent = font(self.font_name, self.size_px).getmetrics()
        return ascent + descent

    @property
    def ascent_px(self) -> int:
        """From the top of the box to the line that letters stand on."""
        return font(self.font_name, self.size_px).getmetrics()[0]

    def mask(self) -> Image.Image:
        left, _, _, _ = font(self.font_name, self.size_px).getbbox(self.text)
        image = Image.new("L", (max(1, self.width_px), self.height_px), 0)
        origin = (-min(0, left), 0)
        ImageDraw.Draw(image).text(origin, self.text, fill=255, font=font(self.font_name, self.size_px))
        return image


@dataclass(frozen=True)
class Digits(Line):
    """A countdown's digits, each in a cell of its own that is as wide as the widest digit.

    The box is cut to the height of the digits, so that they can be set large.
    """

    @property
    def width_px(self) -> int:
        return sum(self._cell_px(character) for character in self.text)

    @property
    def height_px(self) -> int:
        _, top, _, bottom = font(self.font_name, self.size_px).getbbox("0123456789", anchor="ls")
        return round(bottom - top)

    def mask(self) -> Image.Image:
        face = font(self.font_name, self.size_px)
        _, top, _, _ = face.getbbox("0123456789", anchor="ls")
        image = Image.new("L", (self.width_px, self.height_px), 0)
        draw = ImageDraw.Draw(image)
        x = 0
        for character in self.text:
            cell = self._cell_px(character)
            draw.text((x + cell / 2, -top), character, fill=255, font=face, anchor="ms")
            x += cell
        return image

    def _cell_px(self, character: str) -> int:
        face = font(self.font_name, self.size_px)
        return round(max(face.getlength(digit) for digit in ("0123456789" if character.isdigit() else character)))


def wrap(text: str, font_name: str, size_px: int, width_px: int) -> list[Line]:
    """The text as lines of at most `width_px`; a word that is wider alone is broken anywhere."""
    lines: list[str] = []
    for word in text.split():
        candidate = f"{lines[-1]} {word}" if lines else word
        if lines and Line(candidate, font_name, size_px).width_px <= width_px:
            lines[-1] = candidate
            continue
        while Line(word, font_name, size_px).width_px > width_px and len(word) > 1:
            fits = next(
                end
                for end in range(len(word) - 1, 0, -1)
                if end == 1 or Line(word[:end], font_name, size_px).width_px <= width_px
            )
            lines.append(word[:fits])
            word = word[fits:]
        lines.append(word)
    return [Line(line, font_name, size_px) for line in lines]


def fit(text: str, font_name: str, size_px: int, least_px: int, width_px: int) -> list[Line]:
    """The text at `size_px` on one line; smaller where it must be; wrapped at `least_px` at last."""
    for size in range(size_px, least_px - 1, -2):
        line = Line(text, font_name, size)
        if line.width_px <= width_px:
            return [line]
    return wrap(text, font_name, least_px, width_px)
