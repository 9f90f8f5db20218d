"""A build that is stopped by hand."""

from __future__ import annotations

import signal
import subprocess
import sys
from pathlib import Path

import pytest

DEMO = Path(__file__).parents[2] / "demo" / "desk-break.yaml"


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no SIGINT to send to one program")
def test_ctrl_c_leaves_nothing_behind(tmp_path: Path) -> None:
    """Exit 130, a plain sentence, no folder of halves, no traceback."""
    command = [sys.executable, "-m", "overlay", "build", str(DEMO), "--no-cache", "--out", str(tmp_path / "out")]
    running = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, encoding="utf-8")
    assert running.stderr is not None
    told = running.stderr.readline()
    while not told.startswith("Making tones"):
        told = running.stderr.readline()
        assert told, "the build ended before it could be stopped"
    running.send_signal(signal.SIGINT)
    _, errors = running.communicate(timeout=60)
    assert running.returncode == 130
    assert "Stopped" in errors
    assert "Traceback" not in errors
    assert list(tmp_path.iterdir()) == []
