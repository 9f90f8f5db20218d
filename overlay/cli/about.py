"""What `overlay --version` says."""

from __future__ import annotations

import platform
from collections.abc import Iterator


def version_lines() -> Iterator[str]:
    """The tool's version on the first line, then those of everything that shapes what it makes."""
    from overlay.versions import versions

    (name, own), *parts = versions().items()
    yield f"{name} {own}"
    yield ""
    yield "The same plan gives the same files as long as these are the same:"
    parts.append(("Python", platform.python_version()))
    width = max(len(part) for part, _ in parts)
    yield from (f"  {part:{width}}  {number}" for part, number in parts)
