"""Files that a plan names, such as a theme, a font or an image: they stand beside it, or above it in its series."""

from __future__ import annotations

import stat
from pathlib import Path
from typing import Annotated, Any

from pydantic import PlainValidator

from overlay.errors import UsageError
from overlay.plan.fields import LONGEST_NAME, one_text, written

LARGEST_BYTES = 64 * 1024 * 1024
"""More than a photograph or a font of ten thousand characters has."""
SERIES, ROOT_MARKS = "series.yaml", (".git", "series.yaml")
"""What marks the folder of a series, which plans in folders below it share files of."""


def file_beside(plan: Path, name: str, root: Path | None = None) -> Path:
    """The file that a plan names: a plain file beside it or in a folder below, else the same in the nearest folder
    above that has it, up to `root` (`root_of`). It is not empty and has at most `LARGEST_BYTES`, and is not opened,
    so that no device or pipe can hold us up.

    Raises ValueError, in words for the plan's writer, and UsageError as `root_of` does.

    >>> file_beside(Path("class.yaml"), "../secret.png")
    Traceback (most recent call last):
    ValueError: ../secret.png leads out of the plan's folder: put the file beside the plan
    """
    _inside(name)
    try:
        folder = plan.parent.resolve()
        top = root_of(plan, root)
        folders = [folder, *(above for above in folder.parents if above.is_relative_to(top))]
        place = next(folder / name for folder in folders if _is_there(folder / name))
        found = place.resolve(strict=True)
        outside = not found.is_relative_to(top)
        entry = found.stat()
    except (StopIteration, FileNotFoundError):
        raise ValueError(_missing(name, len(folders))) from None
    except (OSError, RuntimeError, ValueError):  # RuntimeError: links that lead in a circle
        raise ValueError(f"{name} cannot be looked for: give the file a simpler name") from None
    if outside:
        raise ValueError(_OUTSIDE.format(name) if top == folder else f"{name} leads out of the folder {top}")
    if not stat.S_ISREG(entry.st_mode):
        raise ValueError(f"{name} is not a plain file")
    if not entry.st_size:
        raise ValueError(f"{name} is empty: save it again")
    if entry.st_size > LARGEST_BYTES:
        raise ValueError(f"{name} is larger than {LARGEST_BYTES // 1024**2} MB: save it smaller")
    return found


def root_of(plan: Path, root: Path | None = None) -> Path:
    """The folder that no file of a plan stands outside of: `root` if it is given, else the nearest one above the plan
    that has one of `ROOT_MARKS`, else the plan's own. Raises UsageError where the plan is not in `root`."""
    folder = plan.parent.resolve()
    if root is not None:
        if not folder.is_relative_to(root.resolve()):
            raise UsageError(f"The plan {plan} is not in the folder {root}.", remedy="Name a folder above it: --root")
        return root.resolve()
    marked = (above for above in (folder, *folder.parents) if any((above / mark).exists() for mark in ROOT_MARKS))
    return next(marked, folder)


def _is_there(path: Path) -> bool:
    try:
        path.lstat()
    except (FileNotFoundError, NotADirectoryError):
        return False
    return True


def _missing(name: str, folder_count: int) -> str:
    above = " or in a folder above it, up to its series" if folder_count > 1 else ""
    return f"there is no file {name} beside the plan{above}"


_OUTSIDE = "{} leads out of the plan's folder: put the file beside the plan"


def _inside(name: str) -> str:
    # A colon makes a drive, a stream or an address of the web, and a backslash a folder on some systems only.
    if "\\" in name:
        raise ValueError(f"{name} has a backslash: write / between a folder and a name")
    if name.startswith(("/", "~")) or ":" in name or ".." in name.split("/"):
        raise ValueError(_OUTSIDE.format(name))
    return name


def _file_name(value: Any) -> str:
    text = one_text(value, "the name of a file beside the plan")
    if len(text) > LONGEST_NAME:
        raise ValueError(f"this name has {len(text)} characters: {LONGEST_NAME} is the most here")
    return _inside(text)


FileName = Annotated[str, PlainValidator(_file_name), written(r"^[^/~:\\\\][^:\\\\]*$")]
"""The name of a file beside the plan, or folder/name below it, with / on every system."""
