"""Files that a plan names, such as a theme, a font or an image: they stand beside it, and nowhere else."""

from __future__ import annotations

import stat
from pathlib import Path
from typing import Annotated, Any

from pydantic import PlainValidator

from overlay.plan.fields import LONGEST_NAME, one_text, written

LARGEST_BYTES = 64 * 1024 * 1024
"""More than a photograph or a font of ten thousand characters has."""


def file_beside(plan: Path, name: str) -> Path:
    """The file that a plan names: a plain file beside it or in a folder below, not empty and of at most
    `LARGEST_BYTES`. It is not opened, so that no device or pipe can hold us up.

    Raises ValueError, in words for the plan's writer.

    >>> file_beside(Path("class.yaml"), "../secret.png")
    Traceback (most recent call last):
    ValueError: ../secret.png leads out of the plan's folder: put the file beside the plan
    """
    _inside(name)
    try:
        folder = plan.parent.resolve()
        found = (folder / name).resolve(strict=True)
        outside = not found.is_relative_to(folder)
        entry = found.stat()
    except FileNotFoundError:
        raise ValueError(f"there is no file {name} beside the plan") from None
    except (OSError, RuntimeError, ValueError):  # RuntimeError: links that lead in a circle
        raise ValueError(f"{name} cannot be looked for: give the file a simpler name") from None
    if outside:
        raise ValueError(_OUTSIDE.format(name))
    if not stat.S_ISREG(entry.st_mode):
        raise ValueError(f"{name} is not a plain file")
    if not entry.st_size:
        raise ValueError(f"{name} is empty: save it again")
    if entry.st_size > LARGEST_BYTES:
        raise ValueError(f"{name} is larger than {LARGEST_BYTES // 1024**2} MB: save it smaller")
    return found


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
