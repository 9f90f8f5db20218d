"""What people read on the terminal. Text of a plan is printed as it is, never as markup."""

from __future__ import annotations

import sys

from overlay.errors import OverlayError, PlanError


def say(text: str, *, to_error: bool = False) -> None:
    """Print a line, whatever the terminal's character set can show of it."""
    stream = sys.stderr if to_error else sys.stdout
    encoding = stream.encoding or "utf-8"
    print(text.encode(encoding, "replace").decode(encoding), file=stream)


def show_error(error: OverlayError) -> None:
    """An error on standard error: where, what, the line itself, and what would be right."""
    if not isinstance(error, PlanError):
        say(error.message, to_error=True)
        if error.remedy:
            say(error.remedy, to_error=True)
        return
    for mistake in error.mistakes:
        remedy = f" {mistake.remedy}" if mistake.remedy else ""
        say(f"{error.place(mistake)}: {mistake.message}.{remedy}", to_error=True)
        if mistake.source is not None:
            shown = mistake.source.expandtabs(1)
            start = max(0, min(mistake.column - 40, len(shown) - 100))
            say(f"    {shown[start : start + 100]}", to_error=True)
            say(f"    {' ' * (mistake.column - 1 - start)}^", to_error=True)
