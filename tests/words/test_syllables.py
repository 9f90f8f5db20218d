"""Syllables by the rules of each language."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from overlay.words.spoken import as_spoken
from overlay.words.syllables import consonants, syllables

COACHING = Path(__file__).with_name("coaching")
IPA_VOWELS = "aeiouyæøœɐɑɒɔəɘɚɛɜɝɞɨɪɯɵʉʊʌʏᵻ\u0329"  # noqa: RUF001 (phonetic letters)


@pytest.mark.parametrize(("text", "count"), [
    # STANDARDS.md section 8, from the tests of textstat.
    ("faeries", 2),
    ("relived", 2),
    ("the quick brown fox jumped over the lazy dog", 11),
])  # fmt: skip
def test_published_counts(text: str, count: int) -> None:
    """Where counting by hyphenation points fails."""
    assert sum(map(syllables, text.split())) == count


@pytest.mark.parametrize(
    ("language", "words"),
    [
        # Divided by hand, after the school rules of each language.
        ("es", "sién-ta-te le-er dí-a pie a-ho-ra gui-ta-rra que a-guan-ta muy yo-ga cuí-da-te ac-ción"),
        ("it", "mi-o du-e gi-noc-chia spal-la più a-ria qua pol-lì-ce fian-co ma-glia"),
        ("pt", "mão mãos co-ra-ção po-si-ções di-a bar-ri-ga á-gua quei-xo jo-e-lho ao tu-a"),
        ("fr", "mouve-ment dou-cement ge-noux é-paule touchent tra-va-iller pli-ez jambes ré-a-li-ser l’é-cart que"),
        ("de", "Knie ste-hen neu-e be-en-den Mus-kel Feu-er auf-ste-hen Po-si-tion ru-hig Yo-ga geh’s"),
        ("sv", "trä-ning ar-men"),
        ("el", "πό-δι"),
        ("ru", "ко-ле-но йо-га"),  # noqa: RUF001 (Cyrillic)
        ("ko", "운-동"),
        ("zh", "训-练"),
        ("ja", "や-す-み"),
    ],
)
def test_divided_by_hand(language: str, words: str) -> None:
    """The count of each word is the count of its parts."""
    found = {word: syllables(word.replace("-", ""), language) for word in words.split()}
    wanted = {word: 1 + word.count("-") for word in words.split()}
    assert found == wanted


def test_what_is_no_word() -> None:
    """No letter, no syllable; a word without a vowel has one."""
    assert [syllables(word) for word in ("", "💪", "hmm", "’em", "W")] == [0, 0, 1, 1, 3]


def test_consonant_sounds() -> None:
    """Letters that make one sound together count once."""
    assert [consonants(word) for word in ("press", "chest", "knee", "a")] == [3, 3, 2, 0]
    assert consonants("hombros", "es") == 4
    assert consonants("pieds", "fr") == 1


@pytest.mark.skipif(shutil.which("espeak-ng") is None, reason="espeak-ng, a program, is not installed")
@pytest.mark.parametrize("language", ["en", "es", "fr", "de", "pt", "it"])
def test_beside_a_synthesizer(language: str) -> None:
    """espeak-ng finds the same number of vowels in at least 90 of 100 different words of the sentences."""
    lines = (COACHING / f"{language}.txt").read_text("utf-8").splitlines()
    words = sorted({word.lower() for line in lines for word in as_spoken(line.split(" | ")[-1], language)} - {",", "."})
    command = ["espeak-ng", "-q", "-v", {"en": "en-us", "fr": "fr-fr"}.get(language, language), "--ipa", "--sep=_"]
    spoken = subprocess.run(command, input="\n".join(words), capture_output=True, encoding="utf-8", check=True).stdout
    sounds = [line for line in spoken.splitlines() if line.strip()]
    counts = [sum(bool(re.search(f"[{IPA_VOWELS}]", sound)) for sound in re.split("[_ ]", line)) for line in sounds]
    same = sum(max(1, n) == syllables(word, language) for word, n in zip(words, counts, strict=True))
    print(f"{language}: the same count for {same} of {len(words)} words")
    assert same >= 0.9 * len(words)
