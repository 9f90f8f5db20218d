"""Files that a plan names: beside it or in a folder below, and nowhere else."""

from __future__ import annotations

from pathlib import Path, PurePosixPath, PureWindowsPath


def file_beside(plan: Path, name: str) -> Path:
    """The file that a plan names. Raises ValueError, in words for the plan's writer, where the name
    leads out of the plan's folder or where there is no such file.

    >>> file_beside(Path("class.yaml"), "../secret.png")
    Traceback (most recent call last):
    ValueError: ../secret.png leads out of the plan's folder: put the file beside the plan
    """
    folder = plan.parent.resolve()
    parts = PurePosixPath(name.replace("\\", "/"))
    outside = f"{name} leads out of the plan's folder: put the file beside the plan"
    if parts.is_absolute() or PureWindowsPath(name).drive or ".." in parts.parts:
        raise ValueError(outside)
    try:
        found = (folder / parts).resolve()
        if not found.is_relative_to(folder):
            raise ValueError(outside)
        if not found.is_file():
            raise ValueError(f"there is no file {name} beside the plan")
    except OSError:
        raise ValueError(f"{name} cannot be looked for: give the file a simpler name") from None
    return found
