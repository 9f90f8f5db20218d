"""File names that every system takes."""

from __future__ import annotations

import re
import unicodedata

_RESERVED = frozenset(
    ["con", "prn", "aux", "nul", *(f"com{n}" for n in range(1, 10)), *(f"lpt{n}" for n in range(1, 10))]
)
_LONGEST = 60


def file_name(text: str, taken: frozenset[str] = frozenset()) -> str:
    """A name made of small letters, digits and dashes, other than every name already taken.

    >>> file_name("Legs, right!"), file_name("CON"), file_name("深"), file_name("pull", frozenset({"pull"}))
    ('legs-right', 'con-1', 'item', 'pull-2')
    """
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode("ascii").lower()
    name = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:_LONGEST].strip("-") or "item"
    if name in _RESERVED:
        name += "-1"
    unique, number = name, 2
    while unique in taken:
        unique, number = f"{name}-{number}", number + 1
    return unique
