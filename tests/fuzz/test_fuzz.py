"""Plans and recordings of every kind of wrong: read or refused in plain words, in little time and memory.

More of them, by hand: `python tests/fuzz/plans.py 0 20000`, `python tests/fuzz/media.py FOLDER 0 500`.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
SLOWEST_SECONDS, LARGEST_MB = 5, 500


def came_of(*arguments: str) -> dict[str, Any]:
    """What a run printed; in a process of its own, so that a crash of a library is seen and memory is its own."""
    ended = subprocess.run([sys.executable, *arguments], capture_output=True, text=True, encoding="utf-8")
    assert ended.returncode == 0, ended.stderr[-2000:]
    figures: dict[str, Any] = json.loads(ended.stdout)
    assert figures["slowest"][0] < SLOWEST_SECONDS
    assert figures["peak_mb"] < LARGEST_MB
    return figures


def test_plans_by_grammar() -> None:
    """Each becomes every text that it should, or mistakes with words; never another error."""
    ends = came_of(str(HERE / "plans.py"), "0", "120")["ends"]
    assert ends.keys() == {"refused", "written"}
    assert min(ends.values()) > 20


def test_broken_recordings(tmp_path: Path) -> None:
    """Each is listened to as far as it goes, or refused by its name."""
    ends = came_of(str(HERE / "media.py"), str(tmp_path), "0", "12")["ends"]
    assert ends.keys() == {"refused", "read"}
