"""Numbers in words, beside a general library."""

from __future__ import annotations

import re
import unicodedata

import pytest

from overlay.words.counting import LANGUAGES, number_in_words

NUMBERS = [*range(1101), 1234, 2000, 2500, 10_000, 21_000, 45_678, 100_000, 999_999]


def bare(words: str) -> str:
    """Letters only: how a language writes its number words together makes no sound."""
    plain = "".join(c for c in unicodedata.normalize("NFD", words) if c.isalpha())
    return re.sub("(cent|vingt)s(?=$)", r"\1", plain)


@pytest.mark.parametrize("language", LANGUAGES)
def test_as_num2words_says_them(language: str) -> None:
    """The library num2words has the same words, but for its Italian 118 (`diciotto` loses its i there)."""
    library = pytest.importorskip("num2words", reason="num2words, a library, is not installed").num2words
    numbers = [n for n in NUMBERS if language != "it" or n < 100 or n % 100 != 18]
    ours = {n: bare(number_in_words(n, language)) for n in numbers}
    assert ours == {n: bare(library(n, lang=language)) for n in numbers}


def test_beyond_and_elsewhere() -> None:
    """A million and more is read digit by digit; a language without a table counts in English."""
    assert number_in_words(1_000_002, "es") == "uno cero cero cero cero cero dos"
    assert number_in_words(30, "eu") == "thirty"
