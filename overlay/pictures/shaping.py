"""From a line of text to placed glyphs and their coverage, by HarfBuzz.

The shaper that Pillow's layout engine Raqm wraps, asked directly: Raqm needs the library FriBiDi on
the machine, which Pillow's packages do not bring, and takes the language from the machine's locale.
Here everything comes from the arguments, so the same text gives the same picture on every system.
Lengths are 64ths of a pixel, upwards and to the right from where the base line begins.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import groupby
from typing import TYPE_CHECKING, NamedTuple

from overlay.pictures.direction import in_visual_order, levels_of
from overlay.pictures.fonts import Face, Fonts, clusters_of, covers, font

if TYPE_CHECKING:
    from PIL import Image

UNIT = 64
"""Lengths to a pixel."""


class Glyph(NamedTuple):
    """One glyph of a face, and where its origin stands."""

    face: Face
    number: int
    x: int
    y: int


class Shaped(NamedTuple):
    """A line of glyphs: how far it runs, how high its fonts reach, and the box of its ink."""

    glyphs: tuple[Glyph, ...]
    advance: int
    ascent: int
    descent: int
    left: int
    bottom: int
    right: int
    top: int


class _Run(NamedTuple):
    """Characters of one face, one script and one level."""

    text: str
    face: Face
    script: str
    level: int


_LONG = 500
"""Characters. What is longer is no line but all of a text, measured and broken: not kept in memory."""


def shaped(text: str, role: str, size_px: int, fonts: Fonts, right_to_left: bool) -> Shaped:
    """Text set on one line; `right_to_left` is the paragraph's direction."""
    return (_shaped if len(text) > _LONG else _kept)(text, role, size_px, fonts, right_to_left)


def _shaped(text: str, role: str, size_px: int, fonts: Fonts, right_to_left: bool) -> Shaped:
    faces = fonts.faces(role)
    runs = _runs(text, faces, right_to_left)
    glyphs: list[Glyph] = []
    x = 0
    for run in in_visual_order(runs, [run.level for run in runs]):
        placed, advance = _shape(run, size_px, fonts.language, x)
        glyphs += placed
        x += advance
    heights = [font(face, size_px).get_font_extents("ltr") for face in {faces[0], *(run.face for run in runs)}]
    ascent, descent = max(height.ascender for height in heights), max(-height.descender for height in heights)
    return Shaped(tuple(glyphs), x, ascent, descent, *_ink(glyphs, size_px))


_kept = lru_cache(maxsize=8192)(_shaped)


def _runs(text: str, faces: tuple[Face, ...], right_to_left: bool) -> list[_Run]:
    levels = levels_of(text, right_to_left=right_to_left)
    kinds = list(zip(_faces(text, faces), _scripts(text), levels, strict=True))
    runs: list[_Run] = []
    start = 0
    for kind, same in groupby(kinds):
        end = start + len(list(same))
        runs.append(_Run(text[start:end], *kind))
        start = end
    return runs


def _faces(text: str, faces: tuple[Face, ...]) -> list[Face]:
    """For each character the first face that has its whole grapheme cluster; the first of all where none has."""
    if covers(faces[0], text):
        return [faces[0]] * len(text)
    found: list[Face] = []
    for cluster in clusters_of(text):
        found += [next((face for face in faces if covers(face, cluster)), faces[0])] * len(cluster)
    return found


_ANY = frozenset({"Zyyy", "Zinh", "Zzzz"})


def _scripts(text: str) -> list[str]:
    """The script of each character; what belongs to all of them goes with the one before it, or after."""
    from fontTools.unicodedata import script

    own = [script(character) for character in text]
    last = next((each for each in own if each not in _ANY), "Latn")
    resolved = []
    for each in own:
        last = last if each in _ANY else each
        resolved.append(last)
    return resolved


def _shape(run: _Run, size_px: int, language: str, x: int) -> tuple[list[Glyph], int]:
    import uharfbuzz

    buffer = uharfbuzz.Buffer()
    buffer.add_str(run.text)
    buffer.direction = "rtl" if run.level % 2 else "ltr"
    buffer.script = run.script
    buffer.language = language
    uharfbuzz.shape(font(run.face, size_px), buffer)
    glyphs, start = [], x
    for info, position in zip(buffer.glyph_infos, buffer.glyph_positions, strict=True):
        glyphs.append(Glyph(run.face, info.codepoint, x + position.x_offset, position.y_offset))
        x += position.x_advance
    return glyphs, x - start


def _ink(glyphs: list[Glyph], size_px: int) -> tuple[int, int, int, int]:
    """The left, bottom, right and top of all ink; zeroes where there is none."""
    boxes = []
    for glyph in glyphs:
        box = font(glyph.face, size_px).get_glyph_extents(glyph.number)
        if box is not None and box.width:
            left, top = glyph.x + box.x_bearing, glyph.y + box.y_bearing
            boxes.append((left, top + box.height, left + box.width, top))
    if not boxes:
        return 0, 0, 0, 0
    lefts, bottoms, rights, tops = zip(*boxes, strict=True)
    return min(lefts), min(bottoms), max(rights), max(tops)


def coverage(
    glyphs: tuple[Glyph, ...], size_px: int, left_px: int, bottom_px: int, width_px: int, height_px: int
) -> Image.Image:
    """The glyphs as a mask (mode L, 255 is ink), with its lower left corner at these whole pixels."""
    import uharfbuzz
    from PIL import Image

    raster = uharfbuzz.RasterDraw()
    raster.scale_factor = (UNIT, UNIT)
    raster.extents = uharfbuzz.RasterExtents(left_px, bottom_px, width_px, height_px, 0)
    for glyph in glyphs:
        raster.transform = (1, 0, 0, 1, glyph.x, glyph.y)
        raster.draw_glyph(font(glyph.face, size_px), glyph.number)
    image = raster.render()
    size, stride = (width_px, height_px), image.extents.stride
    return Image.frombytes("L", size, image.buffer, "raw", "L", stride, -1)
