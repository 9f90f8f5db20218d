"""The most memory that this program had, whatever the one had that started it."""

from __future__ import annotations

import re
from pathlib import Path


def most_mb() -> float:
    """In MB: of this program alone on Linux, where `getrusage` goes on counting from the program before."""
    status = Path("/proc/self/status")
    if status.is_file():
        found = re.search(r"VmHWM:\s*(\d+) kB", status.read_text("ascii"))
        if found:
            return int(found[1]) / 1024
    import resource

    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
