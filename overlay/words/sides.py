"""The words for left and right, and putting them into a text."""

from __future__ import annotations

import re

from overlay.plan.fields import Side
from overlay.words.phrases import phrases_of

_SLOT = re.compile(r"\{(\w+)\}")


def side_word(side: Side, language: str) -> str:
    """The word for a side.

    >>> side_word(Side.LEFT, "es")
    'izquierda'
    """
    words = phrases_of(language)
    return words.left if side is Side.LEFT else words.right


def fill(text: str, values: dict[str, str]) -> str:
    """The text with every `{slot}` that has a value put in; a slot at the beginning is capitalised.

    >>> fill("{side} elbow leads, {other_side} rests. {shrug}", {"side": "left", "other_side": "right"})
    'Left elbow leads, right rests. {shrug}'
    """

    def put(match: re.Match[str]) -> str:
        value = values.get(match[1])
        if value is None:
            return match[0]
        return value[:1].upper() + value[1:] if match.start() == 0 else value

    return _SLOT.sub(put, text)


def side_values(side: Side | None, language: str) -> dict[str, str]:
    """What `{side}` and `{other_side}` stand for in a block of this side; nothing without a side."""
    if side is None:
        return {}
    return {"side": side_word(side, language), "other_side": side_word(side.other, language)}
