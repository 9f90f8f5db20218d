"""What was most likely meant by a name that is not known."""

from __future__ import annotations

from collections.abc import Sequence


def nearest_name(name: str, known: Sequence[str]) -> str | None:
    """The known name that was most likely meant, if any is near.

    >>> nearest_name("seated-rwo", ["seated-row", "press"]), nearest_name("x", ["press"])
    ('seated-row', None)
    """
    import difflib

    near = difflib.get_close_matches(name, known, n=1, cutoff=0.6)
    return near[0] if near else None


def did_you_mean(name: str, known: Sequence[str]) -> str:
    """A remedy: the nearest name, or all that are known."""
    near = nearest_name(name, known)
    return f"Did you mean {near}?" if near else f"Known here: {', '.join(known)}."
