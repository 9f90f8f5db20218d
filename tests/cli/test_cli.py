"""The command line as people meet it."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

DEMO = Path(__file__).parents[2] / "demo" / "desk-break.yaml"


def overlay(*arguments: str | Path, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "overlay", *map(str, arguments)]
    return subprocess.run(command, capture_output=True, text=True, encoding="utf-8", cwd=cwd, check=False)


def test_check_prints_the_class() -> None:
    """Total length, a row a block, work on each side, what is needed."""
    done = overlay("check", DEMO)
    assert done.returncode == 0, done.stderr
    assert "Desk-break strength: 11:58" in done.stdout
    assert "right 1:00" in done.stdout
    assert "left 1:00" in done.stdout
    assert "chair, desk, long band" in done.stdout
    for block in ("Wake up", "Push", "Legs, right", "Legs, left", "Pull", "Let it go"):
        assert block in done.stdout


@pytest.mark.parametrize(
    ("content", "place", "words"),
    [
        (b"overlay: 1\ntitle: A\nblcks: []\n", ":3:1:", "Did you mean blocks?"),
        (b"", ":1:1:", "empty"),
        (b"\xff\xfe", ":1:1:", "UTF-8"),
        (b"title: 'open", ":1:", "quote"),
        (b"overlay: 1\ntitle: A\nblocks: [{intervals: [{name: B, work: 0s}]}]\n", ":3:", "zero"),
        ("overlay: 1\ntitle: A 💪\nblocks: [{intervals: [{name: B}]}]\n".encode(), ":2:10:", "U+1F4AA"),
    ],
)
def test_a_wrong_plan_changes_nothing(tmp_path: Path, content: bytes, place: str, words: str) -> None:
    """File, line, column, what is wrong; exit 2; nothing written, nothing lost; never a traceback."""
    plan = tmp_path / "a.yaml"
    plan.write_bytes(content)
    folder = tmp_path / "a-assets"
    folder.mkdir()
    (folder / "mine.txt").write_bytes(b"mine")
    done = overlay("build", plan)
    assert done.returncode == 2
    assert f"a.yaml{place}" in done.stderr
    assert words in done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout == ""
    assert [path.name for path in folder.iterdir()] == ["mine.txt"]


def test_a_missing_plan(tmp_path: Path) -> None:
    """The name is told, and what to do."""
    done = overlay("build", "none.yaml", cwd=tmp_path)
    assert done.returncode == 2
    assert "There is no plan none.yaml" in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_a_mistyped_output(tmp_path: Path) -> None:
    """An output that does not exist gets a suggestion."""
    done = overlay("build", DEMO, "--out", tmp_path / "out", "--only", "captoins")
    assert done.returncode == 2
    assert "Did you mean captions?" in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_cannot_be_written(tmp_path: Path) -> None:
    """The machine's fault ends with 3."""
    (tmp_path / "out").write_bytes(b"a file in the way")
    done = overlay("build", DEMO, "--out", tmp_path / "out", "--only", "captions")
    assert done.returncode == 3
    assert "could not be written" in done.stderr
    assert (tmp_path / "out").read_bytes() == b"a file in the way"
