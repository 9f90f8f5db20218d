"""Numbers on the command line."""

from __future__ import annotations

from collections.abc import Callable

import typer


def whole_number(least: int, most: int) -> Callable[[str | int], int]:
    """What reads a whole number within bounds, for an option's `parser`.

    >>> whole_number(1, 64)("12")
    12
    """

    def read(value: str | int) -> int:
        # A default is handed over as it is, by some releases of the command line's library.
        text = str(value)
        if text.isascii() and text.isdigit() and least <= int(text) <= most:
            return int(text)
        raise typer.BadParameter(f"{text} is not a whole number from {least} to {most}")

    return read
