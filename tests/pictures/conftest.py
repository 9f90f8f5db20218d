"""Fonts for the tests of text: small ones made here, and those that a system has."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen
from numpy.typing import NDArray

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


@pytest.fixture
def decoded() -> Callable[[Any], NDArray[np.float64]]:
    """From a decoded frame to R'G'B' and alpha on the 8-bit scale, unrounded: (rows, columns, 4), by the
    inverse of BT.709 in limited range."""

    def rgba(frame: Any) -> NDArray[np.float64]:
        planes = [
            np.frombuffer(memoryview(plane), "<u2").reshape(plane.height, -1)[:, : plane.width]
            for plane in frame.planes
        ]
        bits = frame.format.components[0].bits
        luma, blue, red, alpha = np.array(planes, np.float64) / 2 ** (bits - 8)
        luma, blue_difference, red_difference = (luma - 16) / 219, (blue - 128) / 224, (red - 128) / 224
        red, blue = luma + 1.5748 * red_difference, luma + 1.8556 * blue_difference
        green = (luma - 0.2126 * red - 0.0722 * blue) / 0.7152
        color = np.clip(np.stack([red, green, blue], -1) * 255, 0, 255)
        return np.concatenate([color, alpha[..., None] * 255 / (256 - 2.0 ** -(bits - 8))], -1)

    return rgba
