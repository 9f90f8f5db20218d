"""The type in the page: the tool's own letters, read back by a font library from the page's data."""

from __future__ import annotations

import base64
import io
import re

import pytest
from fontTools.ttLib import TTFont

from overlay.page.faces import face_rules
from overlay.plan.look import font_folder


@pytest.mark.parametrize(("weight", "name"), [("400", "NotoSans-Regular.ttf"), ("700", "NotoSans-Bold.ttf")])
def test_letters_are_the_tools_own(weight: str, name: str) -> None:
    """Every character that the fonts have is there, as wide as in the whole font; others are left to the browser."""
    rules = face_rules("Śquat ½ ×\N{FLEXED BICEPS}")
    data = re.findall(rf"font-weight:{weight};src:url\(data:font/ttf;base64,([^)]*)\)", rules)[0]
    with TTFont(io.BytesIO(base64.b64decode(data))) as font, TTFont(font_folder() / name) as whole:
        ours, theirs = font.getBestCmap(), whole.getBestCmap()
        assert set("Śquat ½×0123456789:") <= {chr(code) for code in ours}
        assert len(ours) < 60
        for code, glyph in ours.items():
            assert font["hmtx"][glyph][0] == whole["hmtx"][theirs[code]][0]
        assert len({font["hmtx"][ours[ord(digit)]][0] for digit in "0123456789"}) == 1


def test_the_same_letters_give_the_same_bytes() -> None:
    """No clock in the font."""
    assert face_rules("Row") == face_rules("Row")
