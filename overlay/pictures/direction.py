"""Which way text runs: levels by the Unicode Bidirectional Algorithm (UAX 9), a line being a paragraph."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from typing import TypeVar

T = TypeVar("T")

_RIGHT_TO_LEFT = frozenset({"R", "AL", "AN"})
_LEVEL = re.compile(r"Level\(\s*(\d+)")


def runs_right_to_left(text: str) -> bool:
    """Whether a paragraph begins at the right: its first strong character says so (UAX 9, P2 and P3).

    >>> runs_right_to_left("2 × שלום"), runs_right_to_left("Row שלום")
    (True, False)
    """
    strong = (unicodedata.bidirectional(character) for character in text)
    return next((kind != "L" for kind in strong if kind in ("L", "R", "AL")), False)


def levels_of(text: str, *, right_to_left: bool) -> list[int]:
    """The level of each character of a paragraph: even runs to the right, odd to the left.

    >>> levels_of("a שב 1", right_to_left=False)
    [0, 0, 1, 1, 1, 2]
    """
    if not right_to_left and not any(unicodedata.bidirectional(character) in _RIGHT_TO_LEFT for character in text):
        return [0] * len(text)
    from bidi import get_display

    # The library tells the levels, one a byte of UTF-8, in its account of the work alone.
    account = str(get_display(text, base_dir="R" if right_to_left else "L", debug=True))
    told = account[account.rindex(" levels: [") : account.rindex(" paragraphs: [")]
    by_byte = [int(level) for level in _LEVEL.findall(told)]
    levels, byte = [], 0
    for character in text:
        levels.append(by_byte[byte])
        byte += len(character.encode("utf-8"))
    if byte != len(by_byte):
        raise ValueError("the levels do not belong to this text")
    for place in range(len(text.rstrip()), len(text)):
        levels[place] = int(right_to_left)  # L1: spaces at the end of a line
    return levels


def in_visual_order(items: Sequence[T], levels: Sequence[int]) -> list[T]:
    """Things in the order in which they stand from left to right (UAX 9, L2).

    >>> "".join(in_visual_order("abCDe", [0, 0, 1, 1, 0]))
    'abDCe'
    """
    ordered = list(range(len(items)))
    odd = [level for level in levels if level % 2]
    for level in range(max(levels, default=0), min(odd, default=1) - 1, -1):
        place = 0
        while place < len(ordered):
            end = place
            while end < len(ordered) and levels[ordered[end]] >= level:
                end += 1
            ordered[place:end] = reversed(ordered[place:end])
            place = max(end, place + 1)
    return [items[index] for index in ordered]
