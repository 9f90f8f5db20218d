"""Lines of text as coverage masks: fixed cells for digits, boxes from ascent and descent.

A role is `REGULAR` or `BOLD` of `plan/look.py`; the files behind it are those of the `Fonts` given.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple, TypeVar

from overlay.pictures.direction import runs_right_to_left
from overlay.pictures.fonts import SHIPPED, Fonts, clusters_of
from overlay.pictures.shaping import UNIT, Shaped, coverage, shaped
from overlay.words.lines import units_of

if TYPE_CHECKING:
    from PIL import Image

T = TypeVar("T")
_CUT = "…"


@dataclass(frozen=True)
class Line:
    """One line in one role. Its box is as high as the ascent and descent of its fonts, whatever it says,
    and higher only where ink would leave it.

    `right_to_left` is the direction of the paragraph that the line belongs to: by default its own.
    """

    text: str
    font_name: str
    size_px: int
    fonts: Fonts = SHIPPED
    right_to_left: bool | None = None

    @property
    def is_right_to_left(self) -> bool:
        """Whether the line begins at the right."""
        return runs_right_to_left(self.text) if self.right_to_left is None else self.right_to_left

    @property
    def width_px(self) -> int:
        return _up(max(self._shaped.right, self._shaped.advance)) - self._left_px

    @property
    def height_px(self) -> int:
        return self.ascent_px + self._descent_px

    @property
    def ascent_px(self) -> int:
        """From the top of the box to the line that letters stand on."""
        return _up(max(self._shaped.ascent, self._shaped.top))

    def mask(self) -> Image.Image:
        """All the line's ink on its box (mode L, 255 is ink)."""
        size = max(1, self.width_px), max(1, self.height_px)
        return coverage(self._shaped.glyphs, self.size_px, self._left_px, -self._descent_px, *size)

    @property
    def _shaped(self) -> Shaped:
        return shaped(self.text, self.font_name, self.size_px, self.fonts, self.is_right_to_left)

    @property
    def _left_px(self) -> int:
        return min(0, self._shaped.left // UNIT)

    @property
    def _descent_px(self) -> int:
        return _up(max(self._shaped.descent, -self._shaped.bottom))


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
        return self.ascent_px + self._descent_px

    @property
    def ascent_px(self) -> int:
        return _up(self._all_digits.top)

    def mask(self) -> Image.Image:
        glyphs, left = [], 0
        for character in self.text:
            each, cell = self._alone(character), self._cell_px(character) * UNIT
            start = left + (cell - each.advance) // 2
            glyphs += [glyph._replace(x=glyph.x + start) for glyph in each.glyphs]
            left += cell
        return coverage(tuple(glyphs), self.size_px, 0, -self._descent_px, max(1, self.width_px), self.height_px)

    @property
    def _descent_px(self) -> int:
        return _up(-self._all_digits.bottom)

    @property
    def _all_digits(self) -> Shaped:
        return self._alone("0123456789")

    def _alone(self, text: str) -> Shaped:
        return shaped(text, self.font_name, self.size_px, self.fonts, False)

    def _cell_px(self, character: str) -> int:
        characters = "0123456789" if character.isdigit() else character
        return _up(max(self._alone(each).advance for each in characters))


class Fitted(NamedTuple):
    """Lines that keep to their room. Where `is_whole` is false some of the text found no place, and an
    ellipsis stands for it: that is a finding, not something to film."""

    lines: list[Line]
    is_whole: bool


def wrap(text: str, font_name: str, size_px: int, width_px: int, fonts: Fonts = SHIPPED) -> list[Line]:
    """The text as lines of at most `width_px`, broken between words, or where a script without spaces may
    be (UAX 14). A word that is wider alone is broken between characters, never between one and its marks.
    """
    right_to_left = runs_right_to_left(text)

    def line(part: str) -> Line:
        return Line(part.strip(), font_name, size_px, fonts, right_to_left)

    lines: list[Line] = []
    current = ""
    for unit in units_of(text):
        for piece in _pieces(unit, lambda part: line(part).width_px <= width_px):
            if current and (piece is not unit or line(current + piece).width_px > width_px):
                lines.append(line(current))
                current = ""
            current += piece
    return [*lines, line(current)] if current else lines


def _pieces(unit: str, fits: Callable[[str], bool]) -> list[str]:
    """A unit whole, or, where it is too wide alone, in the longest pieces that fit: at least one character each."""
    if fits(unit):
        return [unit]
    clusters, pieces = clusters_of(unit), list[str]()
    while clusters:
        # Twice as many until they are too many, then the last that fit between: a line may be a tiny part of it.
        count = 1
        while count < len(clusters) and fits("".join(clusters[: 2 * count])):
            count *= 2
        count += bisect_left(range(count + 1, 2 * count), True, key=lambda n: not fits("".join(clusters[:n])))
        pieces.append("".join(clusters[:count]))
        clusters = clusters[count:]
    return pieces


def largest_that_fits(sizes_px: Sequence[int], setting: Callable[[int], T], fits: Callable[[T], bool]) -> T | None:
    """Words set in the first of some sizes, the largest first, that fits; None where not even the last one does.

    >>> largest_that_fits(range(30, 9, -2), str, lambda written: int(written) < 25), largest_that_fits([], str, bool)
    ('24', None)
    """
    if not sizes_px:
        return None
    if fits(largest := setting(sizes_px[0])):
        return largest
    # What is far too long does not fit in the last size either: that is seen at once.
    if not fits(least := setting(sizes_px[-1])):
        return None
    return next((each for each in map(setting, sizes_px[1:-1]) if fits(each)), least)


def fit(text: str, font_name: str, size_px: int, least_px: int, width_px: int, fonts: Fonts = SHIPPED) -> list[Line]:
    """The text at `size_px` on one line; smaller where it must be; wrapped at `least_px` at last."""

    def one_line(size_px: int) -> Line:
        return Line(text, font_name, size_px, fonts)

    sizes_px = range(size_px, least_px - 1, -2)
    line = largest_that_fits(sizes_px, one_line, lambda line: line.width_px <= width_px)
    return wrap(text, font_name, least_px, width_px, fonts) if line is None else [line]


def fit_lines(
    text: str, font_name: str, size_px: int, least_px: int, width_px: int, most_lines: int, fonts: Fonts = SHIPPED
) -> Fitted:
    """The same in at most `most_lines` lines, and whether all of the text found its place in them.

    >>> from overlay.plan.look import BOLD
    >>> fit_lines("Row", BOLD, 60, 40, 300, 1).is_whole
    True
    >>> [line.text for line in fit_lines("Side-lying clamshell with a pause", BOLD, 60, 40, 300, 2).lines]
    ['Side-lying', 'clamshell wit…']
    """
    lines = fit(text, font_name, size_px, least_px, width_px, fonts)
    if len(lines) <= most_lines:
        return Fitted(lines, is_whole=True)
    last = lines[most_lines - 1]
    shorter = [replace(last, text=text.rstrip() + _CUT) for text in _from_the_start(last.text)]
    cut = next((line for line in shorter if line.width_px <= width_px), replace(last, text=_CUT))
    return Fitted([*lines[: most_lines - 1], cut], is_whole=False)


def _from_the_start(text: str) -> Iterator[str]:
    """A text and its beginnings, the longest first, whole characters each."""
    clusters = clusters_of(text)
    return ("".join(clusters[:count]) for count in range(len(clusters), 0, -1))


def _up(length: int) -> int:
    """Whole pixels that hold a length in 64ths of one."""
    return -(-length // UNIT)
