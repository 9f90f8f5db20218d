"""`overlay sync` as people meet it: what it prints, how it ends, what it writes and leaves alone."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from overlay.footage.takes import read_takes
from overlay.timeline.model import Timeline


@pytest.fixture(scope="module")
def shoot(corpus: SimpleNamespace, tmp_path_factory: pytest.TempPathFactory) -> SimpleNamespace:
    """A folder with a plan of two sides of one pattern, the whole class filmed, and each block in its own file."""
    folder = tmp_path_factory.mktemp("shoot")
    text = corpus.plan_of(20, 10, [3, 3], 1, 20, 10)
    (folder / "a.yaml").write_text(text, encoding="utf-8")
    session, timeline = corpus.laid_out(text)

    def film(name: str, sound: np.ndarray | None = None, **how: Any) -> Path:
        if sound is None:
            how = {"tone_db": 15.0, "bed": "speech", **how}
            sound = corpus.recordings.filmed(timeline, session.tones, corpus.recordings.Filmed(**how))
        path: Path = corpus.recordings.write_mp4(folder / name, sound)
        return path

    film("whole.mp4", zero=8.0)
    film("first.mp4", zero=4.0, length=125.0)
    film("second.mp4", zero=-118.0)
    return SimpleNamespace(folder=folder, film=film, timeline=timeline, blocks=("block-0", "block-1"))


def sync(folder: Path, *arguments: str | Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "overlay", "sync", "a.yaml", *map(str, arguments)]
    return subprocess.run(command, capture_output=True, text=True, encoding="utf-8", cwd=folder, check=False)


def test_the_whole_class_in_one_file(shoot: SimpleNamespace) -> None:
    """Exit 0, where and how sure in words, and a takes file beside the plan."""
    done = sync(shoot.folder, "whole.mp4")
    assert done.returncode == 0, done.stderr
    assert "whole.mp4: the class's first frame falls at 00:00:08;00" in done.stdout
    assert "beeps heard" in done.stdout
    assert "next best answer" in done.stdout
    takes = read_takes(shoot.folder / "a-takes.yaml", shoot.blocks)
    assert {block: float(take.offset) for block, take in takes.items()} == pytest.approx(
        {"block-0": 8, "block-1": 8}, abs=0.005
    )


def test_json_as_it_is_promised(shoot: SimpleNamespace, tmp_path: Path) -> None:
    """One object and nothing else on standard output; the keys, units and meanings of the issue."""
    done = sync(shoot.folder, "whole.mp4", "--json", "--takes", tmp_path / "t.yaml")
    assert done.returncode == 0, done.stderr
    (file,) = json.loads(done.stdout)["files"]
    assert list(file) == [
        *("path", "found", "offset_s", "drift_ppm", "confidence", "runner_up_offset_s", "runner_up_confidence", "beeps")
    ]
    assert file["found"] is True
    assert file["offset_s"] == pytest.approx(8, abs=0.005)
    assert file["drift_ppm"] == pytest.approx(0, abs=3)
    assert 0.95 < file["confidence"] <= 1
    assert file["runner_up_confidence"] < 0.05
    timeline: Timeline = shoot.timeline
    assert [(beep["kind"], beep["frame"]) for beep in file["beeps"]] == [
        (beep.kind.value, beep.frame) for beep in timeline.beeps
    ]
    for beep in file["beeps"]:
        assert beep["heard_s"] == pytest.approx(8 + beep["frame"] * 1001 / 30000, abs=0.02)
        assert abs(beep["error_ms"]) < 20


def test_a_class_split_over_files(shoot: SimpleNamespace, tmp_path: Path) -> None:
    """FO12: two files with a block each, of one pattern: each is put to its own block."""
    done = sync(shoot.folder, "first.mp4", "second.mp4", "--takes", tmp_path / "t.yaml")
    assert done.returncode == 0, done.stderr + done.stdout
    takes = read_takes(tmp_path / "t.yaml", shoot.blocks)
    assert (takes["block-0"].file.name, takes["block-1"].file.name) == ("first.mp4", "second.mp4")
    assert float(takes["block-0"].offset) == pytest.approx(4, abs=0.005)
    assert float(takes["block-1"].offset) == pytest.approx(-118, abs=0.005)


def test_half_a_class_changes_no_takes(shoot: SimpleNamespace, tmp_path: Path) -> None:
    """Footage that is shorter than the class: said which block is missing, exit 1; with --part it is written."""
    takes = tmp_path / "t.yaml"
    done = sync(shoot.folder, "first.mp4", "--takes", takes)
    assert done.returncode == 1
    assert "block-1" in done.stderr
    assert not takes.exists()
    done = sync(shoot.folder, "first.mp4", "--takes", takes, "--part")
    assert done.returncode == 1
    assert list(read_takes(takes, shoot.blocks)) == ["block-0"]


@pytest.mark.parametrize(
    ("name", "status", "words"),
    [
        ("silent.mp4", 1, "silent"),
        ("no-sound.mp4", 1, "no sound"),
        ("speech.mp4", 1, "not heard"),
        ("broken.mp4", 3, "cannot be read"),
        ("none.mp4", 3, "no file"),
        ("short.mp4", 1, "not found"),
        ("other.mp4", 1, "other.mp4: not found"),
    ],
)
def test_footage_that_does_not_do(
    shoot: SimpleNamespace, corpus: SimpleNamespace, tmp_path: Path, name: str, status: int, words: str
) -> None:
    """A clear message, exit 1 or 3, and the takes file as it was."""
    if name == "silent.mp4":
        shoot.film(name, np.zeros(20 * 48000, dtype=np.float32))
    elif name == "no-sound.mp4":
        corpus.recordings.write_mp4(shoot.folder / name, None, picture_seconds=20.0)
    elif name == "speech.mp4":
        shoot.film(name, length=100.0, voices="none")
    elif name == "broken.mp4":
        (shoot.folder / name).write_bytes(b"no film at all")
    elif name == "short.mp4":
        shoot.film(name, zero=1.0, length=6.0)
    elif name == "other.mp4":
        session, timeline = corpus.laid_out(corpus.plan_of(25, 15, [3], 1, 20, 10))
        how = corpus.recordings.Filmed(zero=8.0, tone_db=15.0, bed="speech")
        shoot.film(name, corpus.recordings.filmed(timeline, session.tones, how))
    takes = tmp_path / "t.yaml"
    before = "takes: 1\nblocks: []  # none yet\n"
    takes.write_text(before, encoding="utf-8")
    done = sync(shoot.folder, name, "--takes", takes)
    assert done.returncode == status, done.stderr
    assert words in done.stderr + done.stdout
    assert "Traceback" not in done.stderr
    assert takes.read_text("utf-8") == before


def test_a_place_that_somebody_names(shoot: SimpleNamespace, tmp_path: Path) -> None:
    """`--near`: the class is looked for within 20 s of it and nowhere else; where it is not, nothing is written."""
    takes = tmp_path / "t.yaml"
    done = sync(shoot.folder, "whole.mp4", "--near", "2:30", "--takes", takes)
    assert done.returncode == 1, done.stdout
    assert "not found" in done.stdout + done.stderr
    assert not takes.exists()
    done = sync(shoot.folder, "whole.mp4", "--near", "00:00:20:00", "--takes", takes)
    assert done.returncode == 0, done.stderr
    assert float(read_takes(takes, shoot.blocks)["block-0"].offset) == pytest.approx(8, abs=0.005)


def test_no_beeps_on_the_set(shoot: SimpleNamespace, corpus: SimpleNamespace, tmp_path: Path) -> None:
    """The frame of the first start is enough, even without sound: 12 s into the file, 10 s into the class."""
    corpus.recordings.write_mp4(shoot.folder / "mute.mp4", None, picture_seconds=300.0)
    done = sync(shoot.folder, "mute.mp4", "--start", "00:00:12;00", "--takes", tmp_path / "t.yaml", "--json")
    assert done.returncode == 0, done.stderr
    (file,) = json.loads(done.stdout)["files"]
    frame = next(beep.frame for beep in shoot.timeline.beeps if beep.kind.value == "start")
    assert file["offset_s"] == pytest.approx((360 - frame) * 1001 / 30000, abs=1e-4)
    assert (file["found"], file["beeps"]) == (True, [])


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--near", "soon"], "soon"),
        (["--near", "00:00:99:00"], "00:00:99:00"),
        (["--start", "00:00:12;00", "first.mp4"], "one file"),
        (["--start", "00:00:12;00", "--near", "10s"], "--near"),
    ],
)
def test_what_cannot_be_asked(shoot: SimpleNamespace, options: list[str], words: str) -> None:
    """Exit 2 with the reason."""
    done = sync(shoot.folder, "whole.mp4", *options)
    assert done.returncode == 2
    assert words in done.stderr


def test_a_wrong_takes_file_is_told_before_anything_is_heard(shoot: SimpleNamespace, tmp_path: Path) -> None:
    """Its place, exit 2, and it stays."""
    takes = tmp_path / "t.yaml"
    takes.write_text("takes: 1\nblocks: [{block: arms}]\n", encoding="utf-8")
    done = sync(shoot.folder, "whole.mp4", "--takes", takes)
    assert done.returncode == 2
    assert "t.yaml:2:" in done.stderr
    assert "Listening" not in done.stderr
