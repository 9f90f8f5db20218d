"""What can go wrong, as data.

    OverlayError            everything we raise on purpose
    ├── PlanError       2   the plan cannot be used; carries every `Mistake` found, in file order
    ├── UsageError      2   the command line asks for something that cannot be
    └── MachineError    3   disk, missing tool, unreadable footage

Findings are not errors: a class that reads well but teaches badly is laid out all the same, and
the command that found them ends with status 1 (`EXIT_FINDINGS`).
"""

from __future__ import annotations

from typing import NamedTuple

EXIT_DONE = 0
EXIT_FINDINGS = 1
EXIT_PLAN = 2
EXIT_MACHINE = 3
EXIT_INTERRUPTED = 130


class OverlayError(Exception):
    """Base of every error that a person is meant to read.

    >>> OverlayError("The disk is full.", remedy="Free some space.").remedy
    'Free some space.'
    """

    exit_status = EXIT_MACHINE

    def __init__(self, message: str, *, remedy: str | None = None) -> None:
        super().__init__(message)
        self.message = message
        self.remedy = remedy


class Mistake(NamedTuple):
    """One thing wrong in a plan, at one place.

    `line` and `column` count from 1; 0 means the whole file. `source` is the line as written, `path` the
    file where it is another one than the plan.

    >>> Mistake(3, 5, "no such key: wrok", "Did you mean work?", "    wrok: 40s").line
    3
    """

    line: int
    column: int
    message: str
    remedy: str | None = None
    source: str | None = None
    path: str | None = None


class PlanError(OverlayError):
    """The plan cannot be used. Nothing was written.

    >>> error = PlanError("desk.yaml", [Mistake(2, 1, "the file is empty")])
    >>> str(error)
    'desk.yaml:2:1: the file is empty'
    """

    exit_status = EXIT_PLAN

    def __init__(self, path: str, mistakes: list[Mistake]) -> None:
        self.path = path
        self.mistakes = tuple(sorted(mistakes, key=lambda one: (one.path or "", one.line, one.column)))
        super().__init__("\n".join(f"{self.place(m)}: {m.message}" for m in self.mistakes))

    def place(self, mistake: Mistake) -> str:
        """`file:line:column`, or the file alone where no line applies."""
        path = mistake.path or self.path
        return f"{path}:{mistake.line}:{mistake.column}" if mistake.line else path

    def __reduce__(self) -> tuple[type[PlanError], tuple[str, list[Mistake]]]:
        """As another process is handed it."""
        return PlanError, (self.path, list(self.mistakes))


class UsageError(OverlayError):
    """The command line asks for something that cannot be."""

    exit_status = EXIT_PLAN


class MachineError(OverlayError):
    """The machine failed us: disk, missing part, unreadable file."""

    exit_status = EXIT_MACHINE
