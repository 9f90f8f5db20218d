"""Every text of a plan with the way to it, and the slots that a text may have."""

from __future__ import annotations

import re
from collections.abc import Iterator

from pydantic import BaseModel

from overlay.plan.fields import Text

Way = tuple[str | int, ...]

SLOT = re.compile(r"\{([^{}]*)\}")
SIDE_SLOTS = frozenset({"side", "other_side"})
CALL_SLOTS = {"next": frozenset({"next"}), "last": frozenset({"seconds"})}


def texts_of(part: object, way: Way = ()) -> Iterator[tuple[Way, Text]]:
    """Every text below a part of a plan, in the order of its keys.

    A cue that is written as its bare words is found at the cue's own place.
    """
    if isinstance(part, Text):
        yield way, part
    elif isinstance(part, BaseModel):
        for key in type(part).model_fields:
            yield from texts_of(getattr(part, key), (*way, key))
    elif isinstance(part, dict):
        for key, inner in part.items():
            yield from texts_of(inner, (*way, key))
    elif isinstance(part, tuple):
        for number, inner in enumerate(part):
            yield from texts_of(inner, (*way, number))


def slots_of(text: Text) -> set[str]:
    """The names in braces in a text, in any of its languages.

    >>> sorted(slots_of(Text((("", "{side} hand, {other_side} knee"),))))
    ['other_side', 'side']
    """
    return {name for _, words in text.versions for name in SLOT.findall(words)}
