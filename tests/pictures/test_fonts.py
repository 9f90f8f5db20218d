"""The fonts that ship with the tool, and those that a plan brings."""

from __future__ import annotations

import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from overlay.errors import PlanError
from overlay.pictures.fonts import SHIPPED, Fonts, covers, fonts_named, fonts_of, missing_characters, usable_font
from overlay.pictures.text import Line
from overlay.plan.look import BOLD, REGULAR, Family, Look, font_folder
from overlay.plan.read import parse_plan

MakeFont = Callable[..., Path]


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


@pytest.mark.parametrize("role", [REGULAR, BOLD])
def test_digits_are_as_wide_as_each_other(role: str) -> None:
    """A countdown does not jump: every digit has one advance."""
    assert len({Line(digit, role, 200).width_px for digit in "0123456789"}) == 1


def test_licence_and_origin_stand_beside_the_fonts() -> None:
    """The open licence ships with the files."""
    assert "SIL OPEN FONT LICENSE" in (font_folder() / "OFL.txt").read_text("utf-8")


def test_a_plans_fonts_are_asked_in_their_order(make_font: MakeFont) -> None:
    """The family first, then file after file; all of them stand in the list of files."""
    first, second = make_font("a.ttf", "בג"), make_font("b.ttf", "בגד")
    plan = first.parent / "plan.yaml"
    fonts = fonts_of(Look(fonts=["a.ttf", "b.ttf"]), plan)
    assert fonts == Fonts(further=(first, second), held=fonts.held)
    assert [path.name for path in fonts.files] == [REGULAR, "a.ttf", "b.ttf", BOLD]
    assert missing_characters(["Row בגד"], fonts) == ()
    assert missing_characters(["Row בגדה"], fonts) == ("ה",)


def test_a_family_takes_the_place_of_the_tools_own(make_font: MakeFont) -> None:
    """What it lacks is missing, though the tool's own would have it; one file serves both roles."""
    one, two = make_font("r.ttf", "AB"), make_font("b.ttf", "A")
    plan = one.parent / "plan.yaml"
    alone = fonts_of(Look(family=Family(regular="r.ttf")), plan)
    assert alone.faces(REGULAR)[0].path == alone.faces(BOLD)[0].path == one
    both = fonts_of(Look(family=Family(regular="r.ttf", bold="b.ttf")), plan)
    assert both.faces(BOLD)[0].path == two
    assert missing_characters(["AB"], alone) == ()
    assert missing_characters(["AB"], both) == ("B",)
    assert missing_characters(["AC"], alone) == ("C",)


def test_every_font_is_named_with_its_way() -> None:
    """For the place in the plan of what is wrong with it."""
    look = Look(family=Family(regular="r.ttf", bold="b.ttf"), fonts=["x.ttf", "y.otf"])
    assert list(fonts_named(look)) == [
        (("family", "regular"), "r.ttf"),
        (("family", "bold"), "b.ttf"),
        (("fonts", 0), "x.ttf"),
        (("fonts", 1), "y.otf"),
    ]


def test_a_letter_and_its_marks_come_from_one_font(make_font: MakeFont) -> None:
    """A mark that another font has alone is missing; a letter that is there composed is not."""
    make_font("letters.ttf", "ბé")
    make_font("marks.ttf", "\u0301\u0311")
    fonts = fonts_of(Look(family=Family(regular="letters.ttf"), fonts=["marks.ttf"]), _plan_beside(make_font))
    assert missing_characters(["ბ\u0311"], fonts) == ("\u0311",)
    assert missing_characters(["e\u0301"], fonts) == ()


def _plan_beside(make_font: MakeFont) -> Path:
    return make_font("other.ttf", "x").parent / "plan.yaml"


def test_joiners_and_selectors_need_no_glyph(make_font: MakeFont) -> None:
    """Characters without ink of their own are never missing."""
    face = fonts_of(Look(family=Family(regular="a.ttf")), make_font("a.ttf", "A").parent / "p.yaml").faces(BOLD)[0]
    for unseen in ("\u200d", "\u200c", "\u200f", "\ufe0f", "\u00a0"):
        assert covers(face, f"A{unseen}")


def test_a_variable_font_serves_both_roles_by_its_weight(make_font: MakeFont) -> None:
    """The axis wght is set by value, 400 and 700: the bold is drawn heavier, by as much as the axis says."""
    path = make_font("v.ttf", "A", wght=True)
    fonts = fonts_of(Look(family=Family(regular="v.ttf")), path.parent / "plan.yaml")
    regular, bold = (sum(Line("A", role, 100, fonts).mask().tobytes()) / 255 for role in (REGULAR, BOLD))
    assert regular == pytest.approx(40 * 70, rel=0.01)
    # From 400 to 900 the box doubles; 700 is 3/5 of the way.
    assert bold == pytest.approx((40 + 24) * 70, rel=0.01)
    heavy = fonts_of(Look(family=Family(regular="v.ttf", regular_weight=650, bold_weight=900)), path.parent / "p.yaml")
    regular, bold = (sum(Line("A", role, 100, heavy).mask().tobytes()) / 255 for role in (REGULAR, BOLD))
    assert (regular, bold) == (pytest.approx(60 * 70, rel=0.01), pytest.approx(80 * 70, rel=0.01))


@pytest.mark.parametrize("weight", ["0", "1001", "bold", "400.5"])
def test_a_weight_is_a_number_of_the_axis(weight: str) -> None:
    """OpenType 1.9.1, registered axis `wght`: 1 to 1000."""
    plan = f"overlay: 1\ntitle: A\nlook: {{family: {{regular: v.ttf, bold_weight: {weight}}}}}\nblocks: []\n"
    with pytest.raises(PlanError) as caught:
        parse_plan(plan.encode(), "plan.yaml")
    assert any(f"{weight} is" in mistake.message for mistake in caught.value.mistakes)


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"GIF89a" + bytes(100), "not a TrueType or OpenType font"),
        (b"wOF2" + bytes(100), "not a TrueType or OpenType font"),
        (b"\0\1\0\0", "a broken font"),
        (b"ttcf" + b"\xff" * 100, "a broken font"),
        (b"OTTO" + bytes(8), "has no outlines"),
    ],
)
def test_what_is_no_font_is_refused(content: bytes, message: str, tmp_path: Path) -> None:
    """Whatever its name says."""
    (tmp_path / "a.ttf").write_bytes(content)
    with pytest.raises(ValueError, match=f"a.ttf .*{message}|a.ttf is {message}"):
        usable_font(tmp_path / "plan.yaml", "a.ttf")


@pytest.mark.parametrize("kept", [20, 300, 5_000, 100_000])
def test_a_font_that_was_cut_off_is_refused(kept: int, tmp_path: Path) -> None:
    """A download that stopped half-way."""
    (tmp_path / "a.ttf").write_bytes((font_folder() / BOLD).read_bytes()[:kept])
    with pytest.raises(ValueError, match="a broken font"):
        usable_font(tmp_path / "plan.yaml", "a.ttf")


def test_debians_font_tool_names_the_same_characters() -> None:
    """Against fontconfig: the characters of the shipped bold face, all of them."""
    try:
        told = subprocess.run(
            ["fc-query", "--format=%{charset}", str(font_folder() / BOLD)], capture_output=True, text=True, check=True
        ).stdout
    except FileNotFoundError:
        pytest.skip("fontconfig's fc-query is not installed here")
    theirs: set[int] = set()
    for part in told.split():
        first, _, last = part.partition("-")
        theirs |= set(range(int(first, 16), int(last or first, 16) + 1))
    face = SHIPPED.faces(BOLD)[0]
    ours = {code for code in range(0x20, 0x30000) if not 0xD800 <= code < 0xE000 and covers(face, chr(code))}
    assert {code for code in theirs - ours if code >= 0x20} == set()
    # What is ours alone has no ink, or is drawn by taking it apart or putting it together.
    import unicodedata

    for code in ours - theirs:
        character = chr(code)
        parts = unicodedata.normalize("NFD", character)
        unseen = character.isspace() or unicodedata.category(character) == "Cf" or 0xFE00 <= code <= 0xFE0F
        assert unseen or code == 0x34F or (parts != character and all(ord(part) in theirs for part in parts))
