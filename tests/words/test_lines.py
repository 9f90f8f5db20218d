"""Where captions break."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlay.words.lines import CaptionRules, break_lines, split_captions


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


texts = st.lists(st.text(st.characters(categories=["L"]), min_size=1, max_size=12), min_size=1, max_size=60)


@given(words=texts, most=st.integers(20, 120))
def test_no_word_is_lost(words: list[str], most: int) -> None:
    """All words, in order, in captions that each fit."""
    rules = CaptionRules()
    parts = split_captions(" ".join(words), rules, most)
    assert " ".join(parts).split() == " ".join(words).split()
    assert all(break_lines(part, 37, 2) for part in parts)


def test_a_word_longer_than_a_line_stays_whole() -> None:
    """Nothing is broken inside a word."""
    assert split_captions("a " + "x" * 90 + " b", CaptionRules(), 99) == ("a", "x" * 90, "b")
