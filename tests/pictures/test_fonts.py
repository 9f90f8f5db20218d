"""The fonts that ship with the tool."""

from __future__ import annotations

import pytest

from overlay.pictures.fonts import font, missing_characters
from overlay.plan.look import BOLD, REGULAR, font_folder


@pytest.mark.parametrize(
    "text",
    [
        "Größe, Straße",
        "Łódź, Żuraw",
        "Ñandú, ¿qué?",
        "Ελληνικά ώρα",
        "Українська, Ёлка",
        "Tiếng Việt",
        "½ × ° “quote” – — …",
    ],
)
def test_wide_coverage(text: str) -> None:
    """Latin with accents, Greek, Cyrillic, and the signs of coaching language."""
    assert missing_characters([text]) == ()


def test_missing_characters_are_named() -> None:
    """What cannot be drawn is found, each once, in order."""
    assert missing_characters(["Go 💪!", "深呼吸 深"]) == ("吸", "呼", "深", "💪")


@pytest.mark.parametrize("name", [REGULAR, BOLD])
def test_digits_are_as_wide_as_each_other(name: str) -> None:
    """A countdown does not jump: every digit has one advance."""
    assert len({font(name, 200).getlength(digit) for digit in "0123456789"}) == 1


def test_licence_and_origin_stand_beside_the_fonts() -> None:
    """The open licence ships with the files."""
    assert "SIL OPEN FONT LICENSE" in (font_folder() / "OFL.txt").read_text("utf-8")
