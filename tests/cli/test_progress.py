"""Progress on a terminal and in a log."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from overlay.cli.progress import TimeLeft, shown_progress

PLAN = "overlay: 1\ntitle: A\nblocks: [{intervals: [{name: B}]}]\n"
BUILD = [sys.executable, "-m", "overlay", "build", "a.yaml", "--only", "captions"]


def test_nothing_is_said_of_the_time_left_too_soon() -> None:
    """A share after half a second is a guess; after ten it is a figure, which then runs down and never below zero."""
    left = TimeLeft(now=100.0)
    left.is_now_at(0.5, now=100.5)
    assert left.seconds(now=100.5) is None
    left.is_now_at(0.2, now=110.0)
    assert left.seconds(now=110.0) == 40.0
    assert left.seconds(now=170.0) == 0.0


def test_a_log_gets_plain_lines(capsys: pytest.CaptureFixture[str]) -> None:
    """A line a step on standard error; quiet, nothing at all."""
    for quiet, expected in ((False, "Making tones\n"), (True, "")):
        with shown_progress(quiet=quiet) as watch:
            watch.step("Making tones")
            watch.far(0.5)
        assert capsys.readouterr() == ("", expected)


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no pseudo-terminal to ask")
@pytest.mark.parametrize("no_color", [True, False])
def test_a_terminal_gets_one_line_that_goes_away(tmp_path: Path, no_color: bool) -> None:
    """It is redrawn in place, names no step twice, and has no colour where the person wants none (no-color.org)."""
    import pty

    (tmp_path / "a.yaml").write_text(PLAN, encoding="utf-8")
    environment = {**os.environ, "TERM": "xterm-256color", "COLUMNS": "80", "NO_COLOR": "1" if no_color else ""}
    ours, theirs = pty.openpty()
    running = subprocess.Popen(BUILD, cwd=tmp_path, stdout=subprocess.PIPE, stderr=theirs, env=environment)
    os.close(theirs)
    shown = b""
    while True:
        try:
            piece = os.read(ours, 65536)
        except OSError:  # Linux ends a terminal whose other end is closed with an error.
            break
        if not piece:
            break
        shown += piece
    os.close(ours)
    assert running.stdout is not None
    assert b"captions/" in running.stdout.read()
    running.stdout.close()
    assert running.wait() == 0
    assert b"Making captions" in shown
    assert b"\x1b[2K" in shown
    assert (b"\x1b[33m" in shown) is not no_color


def test_quiet_says_nothing_where_all_is_well(tmp_path: Path) -> None:
    """Neither progress nor summary; what is to be mended is told all the same."""
    plan = tmp_path / "a.yaml"
    plan.write_text(PLAN + "closing: {length: 5s}\ncaution: ''\n", encoding="utf-8")
    done = subprocess.run([*BUILD, "-q"], cwd=tmp_path, capture_output=True, text=True, encoding="utf-8", check=True)
    assert done.stdout == ""
    assert "Making" not in done.stderr
    assert "caution" in done.stderr
