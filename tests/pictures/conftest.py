"""Fonts for the tests of text: small ones made here, and those that a system has."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path

import pytest
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen

MakeFont = Callable[..., Path]


def _box(left: int, bottom: int, right: int, top: int) -> object:
    pen = TTGlyphPen(None)
    pen.moveTo((left, bottom))
    for point in ((left, top), (right, top), (right, bottom)):
        pen.lineTo(point)
    pen.closePath()
    return pen.glyph()


@pytest.fixture
def make_font(tmp_path: Path) -> MakeFont:
    """A maker of font files of 1000 units an em: every character is a box of `width` units as high as `top`."""

    def make(name: str, characters: Iterable[str], *, width: int = 400, top: int = 700, wght: bool = False) -> Path:
        names = [".notdef", *(f"u{ord(character):04X}" for character in characters)]
        builder = FontBuilder(1000, isTTF=True)
        builder.setupGlyphOrder(names)
        builder.setupCharacterMap({ord(character): f"u{ord(character):04X}" for character in characters})
        builder.setupGlyf({each: _box(50, 0, 50 + width, top) for each in names})
        builder.setupHorizontalMetrics(dict.fromkeys(names, (width + 100, 50)))
        builder.setupHorizontalHeader(ascent=800, descent=-200)
        builder.setupNameTable({"familyName": "Tiny", "styleName": "Regular"})
        builder.setupOS2(sTypoAscender=800, sTypoDescender=-200)
        builder.setupPost()
        if wght:
            builder.setupFvar([("wght", 100, 400, 900, "Weight")], [])
            # Heavier means wider: at 900 the box is `width` units wider still.
            from fontTools.ttLib.tables.TupleVariation import TupleVariation

            grown = [(0, 0), (0, 0), (width, 0), (width, 0), (0, 0), (width, 0), (0, 0), (0, 0)]
            builder.setupGvar({each: [TupleVariation({"wght": (0, 1, 1)}, grown)] for each in names})
        path = tmp_path / name
        builder.save(path)
        return path

    return make


@pytest.fixture
def system_font() -> Callable[[str], Path]:
    """A font of Debian's fonts-noto-core or fonts-dejavu-core by its file's name."""

    def find(name: str) -> Path:
        folder = "dejavu" if name.startswith("DejaVu") else "noto"
        path = Path("/usr/share/fonts/truetype") / folder / name
        if not path.is_file():
            pytest.skip(f"{name} of fonts-{folder}-core is not installed here")
        return path

    return find
