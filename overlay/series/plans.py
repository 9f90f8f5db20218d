"""Which plans are meant by files and folders, and which folder each class is built into."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from pathlib import Path

from overlay.errors import MachineError, UsageError
from overlay.plan.beside import SERIES
from overlay.plan.source import LARGEST_BYTES

_PLAN = re.compile(rb"""^\s*\{?\s*["']?overlay["']?\s*:""", re.MULTILINE)
"""What a plan has and no other file of a series: the key of the plan format."""
_ENDINGS = (".yaml", ".yml")


def plans_in(named: Sequence[Path]) -> list[Path]:
    """The plans that are named, in that order, and for a folder those in it and in folders below, by name.

    Shared files are no plans, and hidden folders are not looked into. None is given twice. Raises UsageError for a
    folder without plans, MachineError where one cannot be read.
    """
    found: dict[Path, Path] = {}
    for path in named:
        plans = list(_below(path)) if path.is_dir() else [path]
        if not plans:
            raise UsageError(f"There is no plan in the folder {path}.", remedy="Start one with: overlay new FILE")
        for plan in plans:
            found.setdefault(plan.resolve(), plan)
    return list(found.values())


def _below(folder: Path) -> Iterator[Path]:
    try:
        entries = sorted(folder.iterdir(), key=lambda path: in_order(path.name))
        for path in entries:
            if path.suffix in _ENDINGS and path.name != SERIES and path.is_file() and _is_plan(path):
                yield path
        for path in entries:
            if path.is_dir() and not path.is_symlink() and not path.name.startswith("."):
                yield from _below(path)
    except OSError as error:
        remedy = "Check its name, and that you may look into it."
        raise MachineError(f"The folder {folder} cannot be read: {error.strerror}.", remedy=remedy) from None


def in_order(name: str) -> tuple[tuple[int, str], ...]:
    """What puts names in order as people count: numbers by their value, capitals like small letters.

    >>> sorted(["week-10", "Week-2", "week-1"], key=in_order)
    ['week-1', 'Week-2', 'week-10']
    """
    parts = re.split(r"(\d+)", name.casefold())
    return tuple((int(part), "") if number % 2 else (0, part) for number, part in enumerate(parts))


def _is_plan(path: Path) -> bool:
    with path.open("rb") as file:
        return _PLAN.search(file.read(LARGEST_BYTES)) is not None


def class_folders(plans: Sequence[Path], out: Path | None) -> list[Path]:
    """The folder of each class: beside its plan, or all of them in `out`.

    Raises UsageError where two classes would share one.
    """
    folders: dict[Path, Path] = {}
    for plan in plans:
        folder = (out if out is not None else plan.parent) / f"{plan.stem}-assets"
        if folder in folders:
            raise UsageError(
                f"{folders[folder]} and {plan} would both be built into {folder}.",
                remedy="Give one of the plans another name, or build them one after the other.",
            )
        folders[folder] = plan
    return list(folders)
