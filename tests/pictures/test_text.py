"""Lines of text: shaping, order, boxes and breaks, measured by their ink."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont, features

from overlay.pictures.fonts import Fonts
from overlay.pictures.shaping import coverage, shaped
from overlay.pictures.text import Digits, Line, fit, fit_lines, largest_that_fits, wrap
from overlay.plan.look import BOLD, REGULAR, font_folder

MakeFont = Callable[..., Path]
SystemFont = Callable[[str], Path]
LONG = "Side-lying clamshell with a pause and a very slow return"


def ink(mask: Image.Image) -> int:
    return int(np.asarray(mask, dtype=np.int64).sum())


def roomy_ink(line: Line) -> int:
    """The ink of a line on a picture far larger than its box."""
    set_ = shaped(line.text, line.font_name, line.size_px, line.fonts, line.is_right_to_left)
    return ink(coverage(set_.glyphs, line.size_px, -1000, -1000, line.width_px + 2000, 3000))


def by_pillow(text: str, path: Path, size_px: int) -> Image.Image:
    """The same line drawn by Pillow with Raqm, in its own box of ascent and descent, 20 px of room around."""
    if not features.check("raqm"):
        pytest.skip("Pillow finds no FriBiDi here, so it has no Raqm to compare with")
    font = ImageFont.truetype(str(path), size_px, layout_engine=ImageFont.Layout.RAQM)
    picture = Image.new("L", (round(font.getlength(text)) + 40, sum(font.getmetrics()) + 40), 0)
    ImageDraw.Draw(picture).text((20, 20), text, fill=255, font=font)
    return picture


def columns(picture: Image.Image) -> NDArray[np.float64]:
    """How much ink stands in each column, smoothed over 5 px."""
    profile = np.asarray(picture, dtype=np.float64).sum(axis=0) / 255
    return np.convolve(profile, np.ones(5) / 5, mode="same")


@pytest.mark.parametrize(
    ("text", "file"),
    [
        ("AVATAR To Ty Wave fi ffl", "NotoSans-Bold.ttf"),
        ("Größe, Ελληνικά, Українська", "NotoSans-Bold.ttf"),
        ("Tiếng Việt, Ậ Ỗ", "NotoSans-Bold.ttf"),
        ("שלום עולם", "DejaVuSans.ttf"),
        ("שלום Row 2 × 12 (ימין) 45s", "DejaVuSans.ttf"),
        ("Row שלום (12:30), left", "DejaVuSans.ttf"),
        ("التجديف بالشريط (يمين) 2 من 3", "DejaVuSans.ttf"),
        ("Row: التجديف 12:30, left [a]", "DejaVuSans.ttf"),
        ("हिन्दी में व्यायाम", "NotoSansDevanagari-Regular.ttf"),
        ("ออกกำลังกาย", "NotoSansThai-Regular.ttf"),
        ("خواتین کی ورزش", "NotoNastaliqUrdu-Regular.ttf"),
    ],
)
def test_a_line_is_set_as_pillow_sets_it_with_raqm(text: str, file: str, system_font: SystemFont) -> None:
    """Against an independent whole: FriBiDi's order, FreeType's ink. Lengths agree within a pixel, and the
    ink stands in the same places (Pillow moves each glyph to a whole pixel and hints it)."""
    path = font_folder() / file if file.startswith("NotoSans-") else system_font(file)
    size_px = 80
    theirs = by_pillow(text, path, size_px)
    line = Line(text, REGULAR, size_px, Fonts(path, path) if path.parent != font_folder() else Fonts(path))
    if path.parent == font_folder():
        line = Line(text, BOLD, size_px)
    length = ImageFont.truetype(str(path), size_px, layout_engine=ImageFont.Layout.RAQM).getlength(text)
    assert shaped(text, line.font_name, size_px, line.fonts, line.is_right_to_left).advance / 64 == pytest.approx(
        length, abs=1
    )
    ours = Image.new("L", theirs.size, 0)
    mask = line.mask()
    box = theirs.getbbox()
    own = mask.getbbox()
    assert box is not None
    assert own is not None
    ours.paste(mask, (box[0] - own[0], 20))
    difference = np.abs(columns(ours) - columns(theirs)).sum() / columns(theirs).sum()
    assert difference < 0.06
    assert ink(ours) == pytest.approx(ink(theirs), rel=0.04)


def test_the_comparison_sees_a_wrong_order(system_font: SystemFont) -> None:
    """The check above can fail: the same words in the other direction stand elsewhere."""
    path = system_font("DejaVuSans.ttf")
    text = "שלום Row 2 × 12 (ימין) 45s"
    right, wrong = (Line(text, REGULAR, 80, Fonts(path, path), rtl).mask() for rtl in (True, False))
    assert np.abs(columns(right) - columns(wrong)).sum() / columns(right).sum() > 0.3


def test_letters_are_kerned() -> None:
    """A pair such as AV stands closer than its two letters alone."""
    for role in (REGULAR, BOLD):
        together = shaped("AV", role, 100, Fonts(), False).advance
        apart = sum(shaped(each, role, 100, Fonts(), False).advance for each in "AV")
        assert together < apart


def test_words_of_another_script_come_from_the_font_that_has_them(make_font: MakeFont) -> None:
    """Run by run: a word of boxes between two words of the family, in its place, none lost."""
    boxes = make_font("boxes.ttf", "אבג", width=500, top=600)
    fonts = Fonts(further=(boxes,))
    line = Line("Row אבג now", REGULAR, 100, fonts)
    alone = [Line(part, REGULAR, 100, fonts).mask() for part in ("Row", "אבג", "now")]
    assert ink(line.mask()) == pytest.approx(sum(map(ink, alone)), rel=0.01)
    assert ink(alone[1]) == pytest.approx(3 * 50 * 60 * 255, rel=0.01)
    faces = [glyph.face.path for glyph in shaped(line.text, REGULAR, 100, fonts, False).glyphs]
    assert faces == [*[fonts.files[0]] * 4, *[boxes] * 3, *[fonts.files[0]] * 4]


def test_the_first_font_that_has_a_character_is_taken(make_font: MakeFont) -> None:
    """In the order of the list, and never for what the family has."""
    first, second = make_font("1.ttf", "אA", width=200), make_font("2.ttf", "אב", width=600)
    fonts = Fonts(further=(first, second))
    faces = [glyph.face.path for glyph in shaped("Aאב", REGULAR, 100, fonts, False).glyphs]
    assert faces == [fonts.files[0], second, first]


def test_the_language_reaches_the_shaper(make_font: MakeFont) -> None:
    """One font may draw a letter in two ways for two languages (OpenType locl): never by the machine's locale."""
    from fontTools.feaLib.builder import addOpenTypeFeaturesFromString
    from fontTools.ttLib import TTFont

    path = make_font("l.ttf", "AB")
    with TTFont(path) as opened:
        rules = "feature locl { script latn; language NLD; sub u0041 by u0042; } locl;"
        addOpenTypeFeaturesFromString(opened, f"languagesystem DFLT dflt; languagesystem latn dflt; {rules}")
        opened.save(path)
    numbers = {
        language: shaped("A", REGULAR, 40, Fonts(path, language=language), False).glyphs[0].number
        for language in ("und", "en", "nl")
    }
    assert numbers == {"und": 1, "en": 1, "nl": 2}


@pytest.mark.parametrize("role", [REGULAR, BOLD])
@pytest.mark.parametrize("size_px", [15, 45, 80, 190])
@pytest.mark.parametrize(
    "text",
    [
        "ÅÉÑ gjpqy",
        "Żuraw",
        "Кошка",
        "Ωμέγα",
        "Ậ Ỗ Ǻ Ẫ",
        "A\u0302\u0303\u0304\u0305\u0306",
        "g\u0323\u0324\u0331\u0332",
        "jf",
        "0/3",
    ],
)
def test_no_ink_of_a_line_is_cut_off(text: str, size_px: int, role: str) -> None:
    """Accents, stacked ones too, descenders and strokes: a roomier picture holds no more ink."""
    line = Line(text, role, size_px)
    assert line.mask().size == (line.width_px, line.height_px)
    assert ink(line.mask()) == roomy_ink(line)


@pytest.mark.parametrize(
    ("text", "file"),
    [
        ("शक्ति र्कीं त्रूँ", "NotoSansDevanagari-Regular.ttf"),
        ("ที่ปั้ ญู ฏุ", "NotoSansThai-Regular.ttf"),
        ("لله تجديفٌ ـٰٓ إِبّ", "NotoSansArabic-Regular.ttf"),
        ("خواتین کی ورزش پمپ", "NotoNastaliqUrdu-Regular.ttf"),
        ("שָׁלוֹם לְ", "NotoSansHebrew-Regular.ttf"),
    ],
)
def test_no_ink_of_other_scripts_is_cut_off(text: str, file: str, system_font: SystemFont) -> None:
    """The same for scripts that stack high and reach deep, beside the family's own letters."""
    fonts = Fonts(further=(system_font(file),))
    for each in (text, f"Row {text}"):
        line = Line(each, BOLD, 80, fonts)
        assert 0 < ink(line.mask()) == roomy_ink(line)


def test_a_box_comes_from_ascent_and_descent() -> None:
    """Whatever a line says; ink that leaves the box makes it higher, and only there."""
    plain = {(Line(text, BOLD, 80).height_px, Line(text, BOLD, 80).ascent_px) for text in ("x", "Åg", "Row", "…")}
    assert len(plain) == 1
    ((height, ascent),) = plain
    # Noto Sans: ascent 1069, descent 293 of 1000 units (its table hhea).
    assert (height, ascent) == (86 + 24, 86)
    tall = Line("A\u0302\u0303\u0304\u0305\u0306", BOLD, 80)
    assert tall.ascent_px > ascent
    assert tall.height_px - tall.ascent_px == height - ascent


def test_digits_stand_in_fixed_cells_in_any_font(make_font: MakeFont) -> None:
    """A family whose digits differ in width: each stands in the middle of a cell of the widest."""
    narrow = make_font("n.ttf", "1:", width=200)
    fonts = Fonts(narrow, narrow, (make_font("w.ttf", "0123456789", width=500),))
    assert len({Digits(text, BOLD, 100, fonts).width_px for text in ("11", "10", "88")}) == 1
    one = np.asarray(Digits("1", BOLD, 100, fonts).mask()).sum(axis=0).nonzero()[0]
    assert (one[0], one[-1]) == (20, 39)  # 20 px of ink in a cell of 60


@pytest.mark.parametrize("text", ["0123456789", "1:07"])
@pytest.mark.parametrize("size_px", [20, 190, 800])
def test_nothing_of_a_digit_is_cut_off(text: str, size_px: int) -> None:
    """The cells hold all the ink that the digits have by themselves."""
    alone = sum(roomy_ink(Line(each, BOLD, size_px)) for each in text)
    # A cell may begin at half a pixel, which moves ink between neighbouring pixels.
    assert ink(Digits(text, BOLD, size_px).mask()) == pytest.approx(alone, rel=0.002)


def test_long_names_shrink_then_wrap_and_lose_nothing() -> None:
    """Smaller on one line first; whole words on several then; a word too wide is broken, not cut."""
    assert len(fit("Seated band row", BOLD, 76, 45, 500)) == 1
    lines = fit(LONG, BOLD, 76, 45, 500)
    assert " ".join(line.text for line in lines) == LONG
    assert all(line.width_px <= 500 for line in lines)
    broken = wrap("Donaudampfschifffahrtsgesellschaft", BOLD, 60, 300)
    assert "".join(line.text for line in broken) == "Donaudampfschifffahrtsgesellschaft"
    assert all(line.width_px <= 300 for line in broken)


def test_a_text_that_has_no_room_says_so() -> None:
    """Within its lines it is whole; with fewer it is cut with an ellipsis, inside the width, and told."""
    count = len(fit(LONG, BOLD, 76, 45, 500))
    assert count > 1
    assert fit_lines(LONG, BOLD, 76, 45, 500, count) == (fit(LONG, BOLD, 76, 45, 500), True)
    for most in range(1, count):
        lines, is_whole = fit_lines(LONG, BOLD, 76, 45, 500, most)
        assert not is_whole
        assert len(lines) == most
        assert lines[-1].text.endswith("…")
        assert LONG.startswith(" ".join(line.text for line in lines).removesuffix("…"))
        assert all(line.width_px <= 500 for line in lines)


@settings(max_examples=60)
@given(
    st.text(st.sampled_from("abcÅgW -–'/éΩж" + "\u0301"), min_size=1, max_size=60).filter(lambda text: text.strip()),
    st.integers(60, 600),
)
def test_wrapped_lines_keep_to_their_width(text: str, width_px: int) -> None:
    """No line is wider, unless it is a single character; nothing but spaces is lost; no mark leaves its letter."""
    from uniseg.graphemecluster import grapheme_clusters

    lines = wrap(text, REGULAR, 40, width_px)
    assert "".join("".join(line.text for line in lines).split()) == "".join(text.split())
    for line in lines:
        assert line.width_px <= width_px or len(list(grapheme_clusters(line.text))) == 1
    starts = {line.text[0] for line in lines if line.text}
    assert "\u0301" not in starts or text.strip().startswith("\u0301") or " \u0301" in text


def test_scripts_without_spaces_break_where_they_may() -> None:
    """Chinese breaks between characters, but a full stop never begins a line (UAX 14)."""
    text = "深呼吸。放松肩膀。"
    lines = wrap(text, REGULAR, 40, 120)
    assert len(lines) > 1
    assert "".join(line.text for line in lines) == text
    assert not any(line.text.startswith("。") for line in lines)


def test_wrapped_lines_run_as_their_paragraph_does(make_font: MakeFont) -> None:
    """A line of a right-to-left text that begins with a Latin word still begins at the right."""
    fonts = Fonts(further=(make_font("h.ttf", "אבגדה", width=500),))
    lines = wrap("אבגדה Row now אבגדה", REGULAR, 60, 200, fonts)
    assert len(lines) > 2
    assert all(line.is_right_to_left for line in lines)


def test_the_same_text_gives_the_same_bytes() -> None:
    """Twice the same, and never by the machine's locale or fonts."""
    from overlay.pictures.shaping import _kept as remembered

    before = Line("Größe AV 12", BOLD, 77).mask().tobytes()
    remembered.cache_clear()
    assert Line("Größe AV 12", BOLD, 77).mask().tobytes() == before


def test_a_word_out_of_all_measure_is_cut_in_few_steps(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every piece fits, none would take another letter, and a line costs a dozen looks, not one a letter."""
    from overlay.pictures import text as module

    looks: list[int] = []

    def shaped(text: str, *how: Any) -> Any:
        looks.append(len(text))
        return real(text, *how)

    real = module.shaped
    monkeypatch.setattr(module, "shaped", shaped)
    word = "Unbreakable" * 400
    lines = wrap(word, BOLD, 60, 900)
    assert "".join(line.text for line in lines) == word
    assert all(line.width_px <= 900 for line in lines)
    assert sum(looks) < 40 * len(word)
    for line, following in pairwise(lines):
        assert Line(line.text + following.text[0], BOLD, 60).width_px > 900


def test_the_largest_size_that_fits_is_sought_only_where_one_does() -> None:
    """First the largest, then the least; all between them only if that one fits."""
    tried: list[int] = []

    def setting(size_px: int) -> int:
        tried.append(size_px)
        return size_px

    assert largest_that_fits(range(60, 39, -2), setting, lambda size: size < 10) is None
    assert tried == [60, 40]
    assert largest_that_fits(range(60, 39, -2), setting, lambda size: size < 55) == 54
