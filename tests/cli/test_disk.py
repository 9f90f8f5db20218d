"""Disks that refuse: one clear message, exit 3, nothing half-written, and a way on that works."""

from __future__ import annotations

import os
import runpy
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from overlay.errors import EXIT_DONE, EXIT_MACHINE

PLAN = """\
overlay: 1
title: A
video: {size: 640x360, frame_rate: 25}
timing: {work: 4s, preview: 4s}
blocks: [{intervals: [{name: Row, cues: [Pull]}]}]
"""
commands = SimpleNamespace(**runpy.run_path(str(Path(__file__).with_name("commands.py"))))


def refused(ended: Any) -> str:
    """What a command said that the machine failed: a line with the reason, a line with what to do."""
    assert ended.status == EXIT_MACHINE, ended
    assert ended.out == ""
    what, remedy = ended.errors.splitlines()
    assert what.endswith(".")
    assert remedy.endswith(".")
    return what


@contextmanager
def small_disk(folder: Path, size: str) -> Iterator[Path]:
    """A disk of its own in memory."""
    if sys.platform != "linux" or os.geteuid() != 0:
        pytest.skip("only root on Linux may put a disk into memory")
    folder.mkdir()
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", f"size={size}", "none", str(folder)], capture_output=True, check=False
    )
    if mounted.returncode:
        pytest.skip("no disk may be put into memory here")
    try:
        yield folder
    finally:
        subprocess.run(["umount", str(folder)], check=True)


def files(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_a_plan_on_a_disk_that_takes_nothing(tmp_path: Path) -> None:
    """Beside the plan nothing can be written, which is said; elsewhere everything can."""
    out = tmp_path / "elsewhere"
    out.mkdir()
    with small_disk(tmp_path / "disk", "4m") as disk:
        (disk / "a.yaml").write_text(PLAN, encoding="utf-8")
        build = ["build", "a.yaml", "-q", "--only"]
        (made,) = commands.run(disk, [*build, "tones", "--out", str(out)])
        assert made.status == EXIT_DONE
        sync = ["sync", "a.yaml", str(out / "tones" / "tones.wav"), "-q", "--part"]
        subprocess.run(["mount", "-o", "remount,ro", str(disk)], check=True)
        beside = (
            [*build, "captions"],
            ["proof", "a.yaml", "-q"],
            [*sync, "--start", "4s"],
            ["series", ".", "-q", "--no-sheets"],
            ["new", "b.yaml"],
        )
        for command, ended in zip(beside, commands.run(disk, *beside), strict=True):
            assert "Read-only file system" in refused(ended), command
        assert [path.name for path in disk.iterdir()] == ["a.yaml"]
        elsewhere = (
            ["check", "a.yaml"],
            [*build, "captions,titles", "--no-cache", "--out", str(out / "assets")],
            ["proof", "a.yaml", "-q", "--out", str(out / "proof.mp4")],
            [*sync, "--start", "4s", "--takes", str(out / "takes.yaml")],
            ["series", ".", "-q", "--no-sheets", "--out", str(out / "series")],
            ["new", str(out / "b.yaml")],
        )
        for command, ended in zip(elsewhere, commands.run(disk, *elsewhere), strict=True):
            assert ended.status in (EXIT_DONE, 1), (command, ended)
            assert "could not" not in ended.errors, command
        for made_file in ("assets/manifest.json", "proof.mp4", "takes.yaml", "series/series.html", "b.yaml"):
            assert (out / made_file).is_file(), made_file


def test_a_full_disk(tmp_path: Path) -> None:
    """The files of an earlier build stand as they were, and nothing is left of what found no room."""
    with small_disk(tmp_path / "disk", "300k") as disk:
        plan = disk / "a.yaml"
        plan.write_text(PLAN, encoding="utf-8")
        build = ["build", "a.yaml", "-q", "--only"]
        assert commands.run(disk, [*build, "captions"])[0].status == EXIT_DONE
        plan.write_text(PLAN.replace("Pull", "Push"), encoding="utf-8")
        before = files(disk)
        (disk / "takes.yaml").write_bytes(b"")
        full = (
            [*build, "captions,tones"],
            ["proof", "a.yaml", "-q"],
        )
        for ended in commands.run(disk, *full):
            assert "No space left on device" in refused(ended)
        (disk / "takes.yaml").unlink()
        assert files(disk) == before
        filler = disk / "filler"
        filler.write_bytes(bytes(os.statvfs(disk).f_bavail * os.statvfs(disk).f_bsize))
        for ended in commands.run(disk, ["new", "b.yaml"], ["series", ".", "-q", "--no-sheets"], [*build, "captions"]):
            assert "No space left on device" in refused(ended)
        filler.unlink()
        assert files(disk) == before


LONG = "x" * 300


@pytest.mark.skipif(sys.platform == "win32", reason="Windows counts the letters of a whole path")
def test_names_and_paths_that_are_too_long(tmp_path: Path) -> None:
    """Of what is read and of what is to be written."""
    (tmp_path / "a.yaml").write_text(PLAN, encoding="utf-8")
    fits = f"{'y' * 250}.yaml"
    (tmp_path / fits).write_text(PLAN, encoding="utf-8")
    before = files(tmp_path)
    deep = "/".join(["d" * 100] * 45)
    too_long = (
        ["check", f"{LONG}.yaml"],
        ["build", f"{deep}/a.yaml"],
        ["build", fits, "--only", "captions", "-q"],
        ["build", "a.yaml", "--only", "captions", "-q", "--out", LONG],
        ["build", "a.yaml", "--only", "captions", "-q", "--out", deep],
        ["build", "a.yaml", "--only", "captions", "-q", "--takes", LONG],
        ["build", "a.yaml", "--only", "captions", "-q", "--out", "a.yaml"],
        ["rehearse", LONG, "--no-browser"],
        ["sync", "a.yaml", f"{LONG}.mp4", "-q"],
        ["sync", "a.yaml", "a.yaml", "-q", "--takes", LONG],
        ["proof", fits, "-q"],
        ["proof", "a.yaml", "-q", "--out", f"{LONG}.mp4"],
        ["verify", "a.yaml", f"{LONG}.mp4", "-q"],
        ["series", LONG],
        ["series", ".", "-q", "--no-sheets", "--out", LONG],
        ["new", LONG],
    )
    for command, ended in zip(too_long, commands.run(tmp_path, *too_long), strict=True):
        assert "too long" in refused(ended) or "Not a directory" in ended.errors, command
    assert files(tmp_path) == before
    assert not [path for path in tmp_path.iterdir() if path.is_dir()]


@pytest.mark.skipif(sys.platform != "linux", reason="4096 bytes are what Linux takes for a path")
def test_a_folder_so_deep_that_a_file_in_it_has_no_name(tmp_path: Path) -> None:
    """Its own path can still be told, those of the files in it cannot: nothing stands there afterwards."""
    (tmp_path / "a.yaml").write_text(PLAN, encoding="utf-8")
    folder = tmp_path
    while len(str(folder)) < 3900:
        folder = folder / ("d" * 99)
        folder.mkdir()
    out = folder / ("e" * (4080 - len(str(folder)) - 1))
    (ended,) = commands.run(tmp_path, ["build", "a.yaml", "--only", "captions", "-q", "--out", str(out)])
    assert "too long" in refused(ended)
    assert list(folder.iterdir()) == []
