"""Where captions break."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlay.plan.outputs import CaptionSettings
from overlay.units.raster import Size
from overlay.words.lines import CaptionRules, break_lines, cells, rules_for, split_captions, units_of


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        # BBC Subtitle Guidelines 3.4 and Netflix Timed Text Style Guide, General Requirements 4:
        # after punctuation, before a conjunction or preposition, never between article and noun.
        ("Press the shoulders down, then pull to your ribs.", ("Press the shoulders down,", "then pull to your ribs.")),
        ("Keep the back heel up and let the hips drop.", ("Keep the back heel up", "and let the hips drop.")),
        ("Feet wide. Tap one shoulder quietly, now.", ("Feet wide.", "Tap one shoulder quietly, now.")),
    ],
)
def test_breaks_at_sense(text: str, lines: tuple[str, ...]) -> None:
    """Lines break where the sense does."""
    assert break_lines(text, 37, 2) == lines


def test_one_line_unless_too_long() -> None:
    """Netflix: text stays on one line unless it is too long for it."""
    assert break_lines("Sit tall before you pull.", 37, 2) == ("Sit tall before you pull.",)


wide = st.characters(categories=["L", "P"], min_codepoint=0x3000, max_codepoint=0x9FFF)
letters = st.characters(categories=["L"], max_codepoint=0x24F)
texts = st.lists(st.text(letters, min_size=1, max_size=12), min_size=1, max_size=60)


@given(words=texts, most=st.integers(20, 120))
def test_no_word_is_lost(words: list[str], most: int) -> None:
    """All words, whole and in order, in captions that each fit."""
    parts = split_captions(" ".join(words), CaptionRules(), most)
    assert " ".join(parts).split() == " ".join(words).split()
    assert all(break_lines(part, 37, 2) for part in parts)


@given(
    st.text(st.characters(categories=["L", "P"], min_codepoint=0x3000, max_codepoint=0x9FFF), min_size=1, max_size=90)
)
def test_scripts_without_spaces_lose_nothing(text: str) -> None:
    """Broken where Unicode lets them break; every sign is there, in order."""
    parts = split_captions(text, CaptionRules(), 74)
    assert "".join(parts).replace(" ", "") == "".join(text.split())


@pytest.mark.parametrize(
    ("text", "characters", "lines"),
    [
        # Unicode Standard Annex 14: no break before a closing mark; wide signs count for two.
        ("深く息を吸って、ゆっくり吐きます。肩を楽に。", 37, ("深く息を吸って、", "ゆっくり吐きます。肩を楽に。")),
        ("หายใจเข้าลึกๆ แล้วหายใจออก", 20, ("หายใจเข้าลึกๆ", "แล้วหายใจออก")),
    ],
)
def test_scripts_without_spaces_break_by_unicode(text: str, characters: int, lines: tuple[str, ...]) -> None:
    """Line-break opportunities come from a library."""
    assert break_lines(text, characters, 2) == lines
    assert all(cells(line) <= characters for line in lines)


@pytest.mark.parametrize(
    ("text", "below"),
    [
        ("Drop the shoulders away from your ears", "from your ears"),
        ("Baja los hombros lejos de las orejas, despacio", "despacio"),
        ("Senke die Schultern und halte den Nacken lang", "und halte den Nacken lang"),
    ],
)
def test_phrases_stay_together(text: str, below: str) -> None:
    """No article, preposition or conjunction is left at the end of a line; no lone short word below."""
    found = break_lines(text, 30, 2)
    assert found is not None
    last = found[0].split()[-1].lower()
    assert last not in {"the", "from", "your", "los", "de", "las", "die", "und", "den"}
    if below != "despacio":
        assert found[1] == below


def test_typographic_signs_are_no_reason_to_break_inside_a_word() -> None:
    """Quotes and dashes stand in scripts with spaces: a hyphenated word stays whole."""
    assert units_of("Say “pull-apart” – twice…") == ("Say ", "“pull-apart” ", "– ", "twice…")


def test_no_lone_short_word_below() -> None:
    """One word over is not set by itself."""
    found = break_lines("Keep pulling your elbows back to the wall now", 43, 2)
    assert found is not None
    assert len(found[1].split()) > 1


RULES = [
    # Figures as published: BBC Subtitle Guidelines v1.2.5 (3.1, 3.3, 4.5), Netflix Timed Text Style Guide.
    ("standard", 37, 2, 2, "0"),
    ("broadcast", 37, 2, 0, "1"),
    ("streaming", 42, 2, 2, "0"),
    ("tall", 25, 3, 2, "0"),
]


@pytest.mark.parametrize(("name", "characters", "lines", "gap", "chained"), RULES)
def test_rule_sets(name: str, characters: int, lines: int, gap: int, chained: str) -> None:
    """Each named set has its published figures, and the plan's own over them."""
    settings_ = CaptionSettings.model_validate({"rules": name})
    rules = rules_for(Size(1920, 1080), settings_)
    assert (rules.characters_a_line, rules.lines, rules.gap_frames) == (characters, lines, gap)
    assert rules.chained_under == Fraction(chained)
    own = CaptionSettings.model_validate({"rules": name, "characters_a_line": "32", "longest": "5s"})
    assert rules_for(Size(1920, 1080), own) == replace(rules, characters_a_line=32, longest=Fraction(5))


def test_the_shape_chooses_the_rules() -> None:
    """Tall pictures get short lines, three of them (BBC 3.1, 3.3)."""
    assert rules_for(Size(1080, 1920), CaptionSettings()).characters_a_line == 25
    assert rules_for(Size(1080, 1080), CaptionSettings()).characters_a_line == 37


def test_a_word_longer_than_a_line_stays_whole() -> None:
    """Nothing is broken inside a word."""
    assert split_captions("a " + "x" * 90 + " b", CaptionRules(), 99) == ("a", "x" * 90, "b")
