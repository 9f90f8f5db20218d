"""How many syllables and consonant sounds a word has.

English goes by the CMU Pronouncing Dictionary (english.py). For the other languages the syllables are the groups of
vowel letters, with what each language does to them:

- Spanish, Italian, Portuguese: of two vowels that meet, `i` and `u` make no syllable beside a vowel of another kind
  (`aire`, `muévete`), all other vowels make one each (`le-er`, `dí-a`); `u` is mute in `que` and `gui`. In Italian
  `mio`, `due` have two, as have Portuguese endings without an accent (`di-a`, `energi-a`); `ão`, `õe`, `ãe` are one.
- French: the last `e`, `es` and the verbs' `ent` are mute, and so is an `e` between two single consonants within a
  word (`mouv'ment`); `é`, `ï` and `ë` begin a syllable after a vowel.
- German: the pairs `ei`, `ai`, `ie`, `au`, `eu`, `äu`, `oi`, `ui` and double vowels are one, other vowels one each.
- Any other language: each group of vowels is one (Latin, Greek), or each vowel (Cyrillic), kana and Hangul or Chinese
  characters one each; of other scripts two letters make one.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable

from overlay.words.english import english_syllables

_LETTERS = {
    "en": {"w": 3},
    "es": dict.fromkeys("fhjlmnrsxz", 2) | {"w": 3, "ñ": 2},
    "fr": {"w": 3},
    "de": {"y": 3},
    "pt": dict.fromkeys("fhjlmnrswx", 2) | {"y": 3},
    "it": dict.fromkeys("fhlmnrsz", 2) | {"j": 3, "w": 3, "y": 3},
}
"""Syllables of the names of letters, where they are not one."""


def syllables(word: str, language: str = "en") -> int:
    """The syllables of one word without digits; 0 only where it has no letter.

    >>> syllables("faeries"), syllables("relived"), syllables("W")
    (2, 2, 3)
    >>> syllables("guía", "es"), syllables("mouvement", "fr"), syllables("Oberschenkel", "de")
    (2, 2, 4)
    """
    letters = unicodedata.normalize("NFC", word.lower()).replace("’", "'").strip("'\u2018")
    if not any(letter.isalpha() for letter in letters):
        return 0
    if len(letters) == 1:
        return _LETTERS.get(language, {}).get(letters, 1)
    plain = _without_accents(letters)
    if language == "en" and plain.isascii():
        return english_syllables(plain)
    count = _RULES.get(language, _any_language)
    joined = letters.replace("'", "")
    return count(joined) or _any_language(joined) or 1


_CONSONANT = re.compile(r"sch|tch|[cgprstw]h|ck|([b-df-hj-np-tv-xz])\1*")
_CONSONANT_NO_H = (
    r"sch|[cgnlpt]h|([b-df-gj-np-tv-xz])\1*"  # a lone h is mute
    "|[βγδζθκλμνξπρσςτφχψбвгджзклмнпрстфхцчшщ]"
)
_FRENCH_MUTE_CONSONANTS = "(?:[dnpstxz]+|(?<=e)r)$"


def consonants(word: str, language: str = "en") -> int:
    """The consonant sounds of one word by its spelling: doubled letters and `ch`, `sch`, `th`, `ck` … are one.

    >>> consonants("stretch"), consonants("shoulder"), consonants("hombro", "es")
    (4, 4, 3)
    """
    letters = _without_accents(word.lower())
    if language == "fr":
        letters = re.sub(_FRENCH_MUTE_CONSONANTS, "", letters)
    return len(re.findall(_CONSONANT if language in ("en", "de") else _CONSONANT_NO_H, letters))


def _without_accents(letters: str) -> str:
    return "".join(c for c in unicodedata.normalize("NFD", letters) if not unicodedata.combining(c))


_VOWEL_RUN = re.compile("[aeiouyáàâãäéèêëíìîïóòôõöúùûüœæ]+")


def _spanish(word: str) -> int:
    word = re.sub(r"(?<=q)u|(?<=g)u(?=[eiéí])", "", word)
    word = re.sub(r"y(?=[aeiouáéíóú])", "j", word)
    return _strong_vowels(word)


def _italian(word: str) -> int:
    word = re.sub(r"(?<=q)u", "w", word)
    return _strong_vowels(word) + bool(re.fullmatch(r"[^aeiou]*(?<![cg])[iu][aeo]", word))


def _portuguese(word: str) -> int:
    word = re.sub(r"(?<=q)u|(?<=g)u(?=[eiéêí])", "", word)
    word = re.sub(r"ã[oe]|õe|^ao", "ã", word)
    word = re.sub(r"(?<=[qg])u", "w", word)
    return _strong_vowels(word) + bool(re.fullmatch(r"[a-zç]*[^aeiouq][iu][aeo]s?", word))


def _strong_vowels(word: str) -> int:
    runs = _VOWEL_RUN.findall(word)
    return sum(max(1, sum(vowel not in "iuüy" for vowel in run)) for run in runs)


# As text: a pattern is made when a language first needs it, and kept by `re`.
_FRENCH_VOWEL = "aeiouyàâéèêëîïôöùûüœ"
_FRENCH_SINGLE = "(?:ch|qu?|gn|ph|th|[b-df-hj-np-tv-xz])"
_FRENCH_MUTE_END = rf"(?:(?<=[^{_FRENCH_VOWEL}])|(?<=[éiuy]))e(?:s|nt)?$"
_FRENCH_MUTE_INSIDE = rf"([{_FRENCH_VOWEL}][nm]?{_FRENCH_SINGLE})e(?={_FRENCH_SINGLE}[{_FRENCH_VOWEL}])"
_FRENCH_ENT = r"ment$|^(?:souv|cont|arg|tal|acc|prés|réc|abs|exc?ell|urg|pati|différ|d|v|l|c|par|mom)ent$"


def _french(word: str) -> int:
    word = re.sub(r"(?<=q)u|(?<=g)u(?=[eiéèê])", "", word)
    word = re.sub(r"(?<=[aeiou])y(?=[aeiouéè])", "j", word)
    if not re.search(_FRENCH_ENT, word):
        word = re.sub(_FRENCH_MUTE_END, "", word)
    word = re.sub(_FRENCH_MUTE_INSIDE, r"\1", word)
    word = re.sub(r"(?<=[aeoé])(?=[éïë])|(?<=[bcdfgptv][lr]i)(?=[eéoa])|(?<=é)(?=[aou])|(?<=u)(?=e[rz])", "-", word)
    return len(_VOWEL_RUN.findall(word))


def _german(word: str) -> int:
    word = re.sub(r"(?<=q)u|^y(?=[aeiou])|(?<=[ts])i(?=on)", "", word)
    word = re.sub(r"^(be|ge)(?=e)", r"\1-", word)
    return len(re.findall("aa|ee|oo|ie|[aeu]i|[aäe]u|o[iy]|ey|[aeiouyäöüéèà]", word))


_ANY_SYLLABLE = (
    "[aeiouyæøœıαεηιουω]+|[аеиоуыэюяіє]"  # noqa: RUF001 (Latin and Greek in groups, Cyrillic one by one)
    "|[あいうえおか-ぢつ-もやゆよら-ろわ-ん]|[アイウエオカ-ヂツ-モヤユヨラ-ロワ-ンー]"  # not the small kana
    "|[가-힣]|[㐀-鿿]"
)
_OTHER_SCRIPTS = "[\u0530-\u10ff\u1200-\u1dff]"


def _any_language(word: str) -> int:
    plain = unicodedata.normalize("NFC", _without_accents(word.replace("й", "j")))
    return len(re.findall(_ANY_SYLLABLE, plain)) + (len(re.findall(_OTHER_SCRIPTS, plain)) + 1) // 2


_RULES: dict[str, Callable[[str], int]] = {
    "es": _spanish,
    "it": _italian,
    "pt": _portuguese,
    "fr": _french,
    "de": _german,
}
