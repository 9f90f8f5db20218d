"""What people read on the terminal. Text of a plan is printed as it is, never as markup."""

from __future__ import annotations

import codecs
import io
import sys
import unicodedata
from collections.abc import Iterator
from pathlib import Path

from overlay.errors import MachineError, OverlayError, PlanError


def say(text: str, *, to_error: bool = False) -> None:
    """Print a line."""
    print(text, file=sys.stderr if to_error else sys.stdout)


def typed(path: Path) -> str:
    """A path as one types it in a command, whatever the shell.

    >>> typed(Path("my class.yaml")), typed(Path("my-class.yaml"))
    ('"my class.yaml"', 'my-class.yaml')
    """
    return f'"{path}"' if " " in str(path) else str(path)


_PLAIN = str.maketrans(
    {"“": '"', "”": '"', "„": '"', "\u2018": "'", "’": "'", "–": "-", "—": "-", "…": "...", "×": "x"}
)


def show_what_can_be_shown() -> None:
    """Let a terminal that lacks a character show another one in its place: printing never fails."""
    codecs.register_error(_near.__name__, _near)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors=_near.__name__)


def _near(error: UnicodeError) -> tuple[str, int]:
    """Plain signs for typographic ones, letters for those with marks, and question marks for all else.

    >>> "“Größe”… 深".encode("ascii", "replace"), _near(UnicodeEncodeError("ascii", "“Größe”… 深", 0, 10, ""))[0]
    (b'?Gr??e?? ?', '"Gro?e"... ?')
    """
    if not isinstance(error, UnicodeEncodeError):
        raise error
    lacking = error.object[error.start : error.end].translate(_PLAIN)
    parts = (unicodedata.normalize("NFD", character) for character in lacking)
    return "".join(part[0] if part[0].isascii() else "?" for part in parts), error.end


def in_plain_words(error: OSError) -> MachineError:
    """What the system refuses that nobody expected, such as a name that is too long to be looked up.

    >>> in_plain_words(OSError(36, "File name too long", "x.yaml")).message
    'x.yaml cannot be used: File name too long.'
    """
    what = error.filename if isinstance(error.filename, str) else "A file"
    return MachineError(
        f"{what} cannot be used: {error.strerror or error}.",
        remedy="Check the name, and that it may be read; or name another one.",
    )


def show_error(error: OverlayError) -> None:
    """An error on standard error."""
    for line in error_lines(error):
        say(line, to_error=True)


def error_lines(error: OverlayError) -> Iterator[str]:
    """An error in lines: where, what, the line itself, and what would be right."""
    if not isinstance(error, PlanError):
        yield error.message
        if error.remedy:
            yield error.remedy
        return
    for mistake in error.mistakes:
        remedy = f" {mistake.remedy}" if mistake.remedy else ""
        yield f"{error.place(mistake)}: {mistake.message}.{remedy}"
        if mistake.source is not None:
            shown = "".join(c if c.isprintable() else " " for c in mistake.source)
            start = max(0, min(mistake.column - 40, len(shown) - 100))
            yield f"    {shown[start : start + 100]}"
            yield f"    {' ' * (mistake.column - 1 - start)}^"
