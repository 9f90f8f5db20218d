"""Putting words into a text: the block's side, the next exercise, the seconds left."""

from __future__ import annotations

import re

from overlay.plan.fields import Side
from overlay.words.phrases import Phrases

_SLOT = re.compile(r"\{(\w+)\}")
# English uses "right" for much besides a side.
NOT_A_SIDE = re.compile(r"\ball right\b|\bright (?:now|away|here|there|after|before)\b|\bleft over\b", re.IGNORECASE)


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


def side_values(side: Side | None, phrases: Phrases) -> dict[str, str]:
    """What `{side}` and `{other_side}` stand for in a block of this side; nothing without a side."""
    if side is None:
        return {}
    return {"side": phrases.side(side), "other_side": phrases.side(side.other)}


def side_runs(text: str, phrases: Phrases) -> list[tuple[str, bool]]:
    """A text in pieces, each with whether it is a side word.

    >>> from overlay.words.phrases import phrases_of
    >>> side_runs("Right now the left heel.", phrases_of("en"))
    [('Right now the ', False), ('left', True), (' heel.', False)]
    """
    words = re.compile(rf"\b(?:{re.escape(phrases.left)}|{re.escape(phrases.right)})\b", re.IGNORECASE)
    others = [match.span() for match in NOT_A_SIDE.finditer(text)]
    runs: list[tuple[str, bool]] = []
    at = 0
    for match in words.finditer(text):
        if any(start <= match.start() < end for start, end in others):
            continue
        runs += [(text[at : match.start()], False), (match[0], True)]
        at = match.end()
    return [run for run in (*runs, (text[at:], False)) if run[0]]
