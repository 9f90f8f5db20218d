"""Work spread over processes: what goes wrong in one place stays there."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from overlay.errors import Mistake, OverlayError, PlanError, UsageError
from overlay.series.spread import spread

ASLEEP = """
import os, sys, time
from pathlib import Path
from overlay.series.spread import spread

def task(path):
    aside = Path(path)
    aside.touch()
    try:
        time.sleep(60)
    finally:
        aside.unlink()

if __name__ == "__main__":
    list(spread(task, [(f"{sys.argv[1]}/{n}",) for n in range(6)], 2))
"""


def task(kind: str) -> str:
    """Ends in the way that it is told."""
    if kind == "plan":
        raise PlanError("a.yaml", [Mistake(3, 5, "no", "Yes?", "  no", "b.yaml")])
    if kind == "usage":
        raise UsageError("Not so.", remedy="But so.")
    if kind == "fault":
        raise ZeroDivisionError("of ours")
    if kind == "killed":
        os._exit(1)
    return kind


@pytest.mark.parametrize("workers", [1, 2])
def test_what_goes_wrong_with_one_stops_no_other(workers: int) -> None:
    """Errors arrive whole, with remedy, file and line, from other processes too; a fault of ours is one line."""
    ended = {end.number: end for end in spread(task, [("a",), ("plan",), ("usage",), ("fault",), ("b",)], workers)}
    assert [ended[number].result for number in range(5)] == ["a", None, None, None, "b"]
    errors = [ended[number].error for number in (1, 2, 3)]
    assert isinstance(errors[0], PlanError)
    assert (errors[0].mistakes[0].path, errors[0].mistakes[0].remedy) == ("b.yaml", "Yes?")
    assert [(error.message, error.exit_status) for error in errors if isinstance(error, OverlayError)] == [
        ("b.yaml:3:5: no", 2),
        ("Not so.", 2),
        ("The tool itself failed here (ZeroDivisionError: of ours).", 3),
    ]


def test_a_process_that_is_killed_takes_its_own_class_only() -> None:
    """The others of its time are done again, each by itself."""
    ended = {end.number: end for end in spread(task, [("a",), ("killed",), ("b",), ("c",)], 2)}
    assert [ended[number].result for number in (0, 2, 3)] == ["a", "b", "c"]
    assert ended[1].error is not None
    assert "ended before its time" in ended[1].error.message


@pytest.mark.skipif(sys.platform == "win32", reason="Windows knows no signals that a process can answer")
def test_ctrl_c_stops_all_and_each_tidies_up(tmp_path: Path) -> None:
    """What each had begun is undone, nothing new is begun, and it is over at once."""
    script = tmp_path / "asleep.py"
    script.write_text(ASLEEP, "utf-8")
    folder = tmp_path / "work"
    folder.mkdir()
    process = subprocess.Popen([sys.executable, str(script), str(folder)], stderr=subprocess.PIPE, text=True)
    until = time.monotonic() + 60
    while len(list(folder.iterdir())) < 2 and time.monotonic() < until:
        time.sleep(0.05)
    assert len(list(folder.iterdir())) == 2
    process.send_signal(2)
    _, said = process.communicate(timeout=30)
    assert list(folder.iterdir()) == []
    assert process.returncode != 0
    assert said.count("Traceback") == 1, said
