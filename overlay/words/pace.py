"""How long a text takes to say."""

from __future__ import annotations

import re
from fractions import Fraction

_WORD = re.compile(r"\w+(?:['’-]\w+)*")
_PAUSES = {",": Fraction(1, 5), ";": Fraction(3, 10), ":": Fraction(3, 10), ".": Fraction(2, 5)}
_PAUSES |= {"!": _PAUSES["."], "?": _PAUSES["."], "…": _PAUSES["."]}
_PAUSE = re.compile(r"[,;:.!?…](?=\s+\w)")


def time_to_say(text: str, pace: int) -> Fraction:
    """Exact seconds that a person needs for `text` at `pace` words a minute, pauses inside included.

    The pauses at punctuation are common practice, no source; the pace is of words without them.

    >>> time_to_say("Sit tall before you pull.", 150)
    Fraction(2, 1)
    """
    words = len(_WORD.findall(text))
    return Fraction(60 * words, pace) + sum((_PAUSES[mark] for mark in _PAUSE.findall(text)), Fraction(0))
