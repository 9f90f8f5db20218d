"""The command line as people meet it."""

from __future__ import annotations

import json
import os
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
    done = overlay("build", plan, "--no-cache")
    assert done.returncode == 2
    assert f"a.yaml{place}" in done.stderr
    assert words in done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout == ""
    assert [path.name for path in folder.iterdir()] == ["mine.txt"]


@pytest.mark.parametrize("command", ["check", "build"])
def test_check_refuses_what_build_would(tmp_path: Path, command: str) -> None:
    """A character that cannot be drawn is told before the shoot, even where it stands in a cue."""
    plan = tmp_path / "a.yaml"
    plan.write_text("overlay: 1\ntitle: A\nblocks: [{intervals: [{name: B, cues: [Go 💪]}]}]\n", encoding="utf-8")
    done = overlay(command, plan)
    assert done.returncode == 2
    assert "a.yaml:3:" in done.stderr
    assert "U+1F4AA" in done.stderr


def test_escapes_of_a_terminal_never_reach_it(tmp_path: Path) -> None:
    """The line that is shown with a mistake is shown as text."""
    plan = tmp_path / "a.yaml"
    plan.write_bytes(b"overlay: 1\ntitle: A \x1b[31m red\nblocks: []\n")
    done = overlay("check", plan)
    assert done.returncode == 2
    assert "\x1b" not in done.stderr


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


def test_check_as_data() -> None:
    """One JSON object on standard output and nothing else."""
    done = overlay("check", "--json", DEMO)
    data = json.loads(done.stdout)
    assert (done.returncode, done.stderr) == (0, "")
    assert data["duration_s"] == 718.0
    assert data["work_by_side_s"] == {"left": 60.0, "right": 60.0}
    assert [block["id"] for block in data["blocks"]][:2] == ["wake-up", "push"]
    assert data["findings"] == []


def test_findings_end_with_1_and_remarks_only_when_strict(tmp_path: Path) -> None:
    """Findings must be mended; remarks may be meant."""
    plan = tmp_path / "a.yaml"
    text = DEMO.read_text("utf-8")
    plan.write_text(text.replace("opening:", "target: 20m\nopening:"), encoding="utf-8")
    done = overlay("check", plan)
    assert done.returncode == 1
    assert "off-target" in done.stdout
    assert [f["name"] for f in json.loads(overlay("check", "--json", plan).stdout)["findings"]] == ["off-target"]
    plan.write_text(text.replace("exercises:\n", "exercises:\n  spare: {name: Spare}\n", 1), encoding="utf-8")
    assert overlay("check", plan).returncode == 0
    assert overlay("check", "--strict", plan).returncode == 1


def test_several_mistakes_each_with_its_line_and_a_caret(tmp_path: Path) -> None:
    """In the order of the file: what is wrong, the line itself, and a mark below the place."""
    plan = tmp_path / "a.yaml"
    blocks = "blocks:\n  - {sied: right, intervals: [{name: B}]}\n"
    plan.write_text(f"overlay: 1\ntitle: A\npace: fast\n{blocks}", encoding="utf-8")
    done = overlay("check", plan)
    assert done.returncode == 2
    assert done.stdout == ""
    lines = [line for line in done.stderr.splitlines() if line]
    assert [line.split("a.yaml")[1].split(" ")[0] for line in lines[::3]] == [":3:7:", ":5:6:"]
    assert lines[1:3] == ["    pace: fast", "          ^"]
    assert lines[4:6] == ["      - {sied: right, intervals: [{name: B}]}", "         ^"]


def test_a_new_plan_checks_clean_and_is_never_written_over(tmp_path: Path) -> None:
    """What `new` writes reads, checks clean and builds; a file that is there stays."""
    assert overlay("new", "mine.yaml", cwd=tmp_path).returncode == 0
    checked = overlay("check", "mine.yaml", "--strict", cwd=tmp_path)
    assert checked.returncode == 0, checked.stdout
    assert overlay("build", "mine.yaml", "--only", "captions", cwd=tmp_path).returncode == 0
    before = (tmp_path / "mine.yaml").read_bytes()
    again = overlay("new", "mine.yaml", cwd=tmp_path)
    assert again.returncode == 2
    assert "there already" in again.stderr
    assert (tmp_path / "mine.yaml").read_bytes() == before


def test_the_schema_is_printed() -> None:
    """The plan format as one JSON object."""
    assert json.loads(overlay("schema").stdout)["required"] == ["overlay", "title", "blocks"]


@pytest.mark.parametrize("encoding", ["utf-8", "cp1252", "ascii"])
def test_the_proof_prints_in_any_character_set(tmp_path: Path, encoding: str) -> None:
    """A terminal that lacks a character shows another one; it is never an error."""
    plan = tmp_path / "a.yaml"
    plan.write_text(DEMO.read_text("utf-8").replace("Wake up", "Żuraw ½"), encoding="utf-8")
    environment = {**os.environ, "PYTHONIOENCODING": encoding, "PYTHONUTF8": "0"}
    command = [sys.executable, "-m", "overlay", "check", plan]
    done = subprocess.run(command, capture_output=True, env=environment, check=False)
    assert done.returncode == 0, done.stderr
    assert "uraw" in done.stdout.decode(encoding)
    assert (b"##" in done.stdout) is (encoding != "utf-8")


def test_the_strip_is_to_scale_and_fits_the_terminal() -> None:
    """Every line within the width; the cells add up to the class."""
    environment = {**os.environ, "COLUMNS": "70", "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"}
    command = [sys.executable, "-m", "overlay", "check", str(DEMO)]
    shown = subprocess.run(command, capture_output=True, env=environment, check=True).stdout.decode("ascii")
    assert max(map(len, shown.splitlines())) <= 70
    rows = [line for line in shown.splitlines() if set(line) <= set("#./-") and len(line) > 10]
    assert [len(row) for row in rows] == [36, 36]
    cells = "".join(rows)
    # 718 s in 2 rows of 70: cells of 10 s, 72 of them, 45 of work.
    assert len(cells) == 72
    assert abs(cells.count("#") - 45) <= 3
