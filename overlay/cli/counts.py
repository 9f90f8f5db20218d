"""Numbers on the command line."""

from __future__ import annotations

from collections.abc import Callable

import typer


def whole_number(least: int, most: int) -> Callable[[str], int]:
    """What reads a whole number within bounds, for an option's `parser`.

    >>> whole_number(1, 64)("12")
    12
    """

    def read(text: str) -> int:
        if text.isascii() and text.isdigit() and least <= int(text) <= most:
            return int(text)
        raise typer.BadParameter(f"{text} is not a whole number from {least} to {most}")

    return read
