"""A folder that may hold other people's files, and files of an earlier plan."""

from __future__ import annotations

import hashlib
import json
import os
import runpy
import shutil
import subprocess
import sys
import tempfile
import threading
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import pytest

from overlay.errors import EXIT_MACHINE, MachineError, UsageError
from overlay.folder.fill import Filled, fill
from overlay.folder.job import File, Output
from overlay.folder.manifest import MadeFrom
from overlay.pipeline import build

faulty = SimpleNamespace(**runpy.run_path(str(Path(__file__).with_name("faulty.py"))))
FONTS = Path(__file__).parents[2] / "fonts"

PLAN = "overlay: 1\ntitle: A\nlanguage: LANGUAGES\nblocks: [{intervals: [{name: {en: B, es: C}}]}]\n"


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    path = tmp_path / "a.yaml"
    path.write_text(PLAN.replace("LANGUAGES", "[en, es]"), encoding="utf-8")
    return path


def files(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@pytest.mark.parametrize("name", ["captions/en.srt", "timeline.json", "manifest.json"])
def test_a_file_that_is_not_ours_stops_the_build(plan: Path, tmp_path: Path, name: str) -> None:
    """Somebody else's file of the same name is never overwritten; the message names it and the ways on."""
    folder = tmp_path / "out"
    (folder / name).parent.mkdir(parents=True, exist_ok=True)
    (folder / name).write_bytes(b"mine")
    with pytest.raises(UsageError, match=name) as caught:
        build(plan, out=folder, only=["captions"])
    assert "--out" in str(caught.value.remedy)
    assert files(folder) == {name: b"mine"}
    build(plan, out=folder, only=["captions"], replace=True)
    assert files(folder)[name] != b"mine"


def test_a_file_that_was_changed_since_stops_the_build(plan: Path, tmp_path: Path) -> None:
    """Captions that somebody corrected by hand are not lost."""
    folder = build(plan, only=["captions"]).folder
    (folder / "captions" / "en.srt").write_bytes(b"corrected")
    with pytest.raises(UsageError, match=r"captions/en\.srt"):
        build(plan, only=["captions"])
    assert (folder / "captions" / "en.srt").read_bytes() == b"corrected"


def test_other_files_in_the_folder_stay(plan: Path, tmp_path: Path) -> None:
    """What the tool did not write it does not touch."""
    folder = tmp_path / "out"
    folder.mkdir()
    (folder / "notes.txt").write_bytes(b"mine")
    for _ in range(2):
        build(plan, out=folder, only=["captions"])
    assert files(folder)["notes.txt"] == b"mine"


def test_files_of_a_language_that_is_gone_go(plan: Path) -> None:
    """A language taken out of the plan leaves no captions behind, on disk or in the manifest."""
    folder = build(plan, only=["captions"]).folder
    assert "captions/es.srt" in files(folder)
    plan.write_text(PLAN.replace("LANGUAGES", "en").replace(", es: C", ""), encoding="utf-8")
    build(plan, only=["captions"])
    assert not [name for name in files(folder) if "es." in name]
    listed = [row["path"] for row in json.loads((folder / "manifest.json").read_text("utf-8"))["files"]]
    assert listed == ["captions/en.srt", "captions/en.ttml", "captions/en.vtt", "timeline.json"]


def test_files_of_an_earlier_plan_are_told(plan: Path) -> None:
    """Captions alone, made anew after a change, leave a shot list of the old plan: that is said."""
    assert build(plan, only=["captions", "shot-list"]).outdated == ()
    plan.write_text(plan.read_text("utf-8") + "pace: 120\n", encoding="utf-8")
    built = build(plan, only=["captions"])
    assert [entry.path for entry in built.outdated] == ["paper/shot-list.pdf"]


def row(*files: File) -> Output:
    return Output("captions", "captions", lambda job: iter(files))


def never() -> Iterator[bytes]:
    raise AssertionError("nothing may be made before the folder was looked at")
    yield b""


def test_others_files_are_told_before_anything_is_made(tmp_path: Path) -> None:
    """All of them in one message, and nothing was drawn for hours in vain."""
    names = ["captions/a.srt", "captions/b.srt", "captions/c.srt"]
    (tmp_path / "captions").mkdir()
    for name in names[:2]:
        (tmp_path / name).write_bytes(b"mine")
    (tmp_path / "captions" / "c.srt").symlink_to("nowhere")
    with pytest.raises(UsageError, match=r"captions/a\.srt, captions/b\.srt, captions/c\.srt\.$") as caught:
        fill(tmp_path, [row(*(File(name, never()) for name in names))], faulty.job(), MadeFrom("sum"), lambda _: None)
    assert "--replace" in str(caught.value.remedy)


def test_what_is_made_ahead(tmp_path: Path) -> None:
    """Pages are made by a thread of their own, but only those that are needed, and their errors are ours."""
    threads = []

    def page(words: bytes) -> Iterator[bytes]:
        threads.append(threading.current_thread())
        yield words

    def made(*files: File) -> Filled:
        return fill(tmp_path, [replace(row(*files), ahead=True)], faulty.job(), MadeFrom("sum"), lambda _: None)

    made(File("a.txt", page(b"a"), inputs=("a",)), File("b.txt", page(b"b"), inputs=("b",)))
    assert len(set(threads)) == 1
    assert threads[0] is not threading.current_thread()
    again = made(File("a.txt", never(), inputs=("a",)), File("b.txt", page(b"c"), inputs=("c",)))
    assert [entry.path for entry in again.reused] == ["a.txt"]
    before = files(tmp_path)
    assert (before["a.txt"], before["b.txt"]) == (b"a", b"c")
    with pytest.raises(MachineError, match="never made"):
        made(File("a.txt", unset(), inputs=("d",)))
    assert files(tmp_path) == before


def unset() -> Iterator[bytes]:
    raise MachineError("This page was never made.", remedy="None.")
    yield b""


@pytest.mark.parametrize("replace", [False, True])
def test_a_name_that_is_a_folder_or_a_link(replace: bool, tmp_path: Path) -> None:
    """No file can be put there, and no link may lead out of the folder: exit 3, each named, before anything is made."""
    out, elsewhere = tmp_path / "out", tmp_path / "elsewhere"
    (out / "captions" / "en.srt").mkdir(parents=True)
    elsewhere.mkdir()
    (out / "tones").symlink_to(elsewhere)
    (out / "paper").write_bytes(b"mine")
    names = ["captions/en.srt", "tones/tones.wav", "paper/script.pdf"]
    with pytest.raises(MachineError, match=r": captions/en\.srt, paper, tones\.$") as caught:
        fill(
            out,
            [row(*(File(name, never()) for name in names))],
            faulty.job(),
            MadeFrom("sum"),
            lambda _: None,
            replace=replace,
        )
    assert caught.value.exit_status == EXIT_MACHINE
    assert list(elsewhere.iterdir()) == []


def test_a_manifest_that_lists_what_lies_outside(tmp_path: Path) -> None:
    """A forged or broken manifest makes nothing outside ours to remove."""
    out = tmp_path / "out"
    (tmp_path / "mine.txt").write_bytes(b"mine")
    faulty.build(out, "old")
    manifest = json.loads((out / "manifest.json").read_text("utf-8"))
    sum_ = hashlib.sha256(b"mine").hexdigest()
    for path in ("../mine.txt", str(tmp_path / "mine.txt"), "a/../../mine.txt"):
        manifest["files"].append({**manifest["files"][0], "path": path, "bytes": 4, "sha256": sum_})
    (out / "manifest.json").write_text(json.dumps(manifest), encoding="utf-8")
    faulty.build(out, "new")
    assert (tmp_path / "mine.txt").read_bytes() == b"mine"


@pytest.mark.skipif(sys.platform == "win32", reason="Windows knows no such permissions")
def test_a_folder_that_may_not_be_written_to() -> None:
    """A clear message and exit 3; the files stay as they are. Root becomes nobody for it."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        folder.chmod(0o755)
        old = faulty.wanted(folder / "out", "old")
        for path in (folder / "out", *(folder / "out").rglob("*")):
            path.chmod(0o555)
        folder.chmod(0o555)
        is_root = os.geteuid() == 0
        if is_root:
            os.seteuid(65534)
        try:
            for out in (folder / "out", folder / "new"):
                with pytest.raises(MachineError, match="could not be written: Permission denied") as caught:
                    faulty.build(out, "new")
                assert "--out" in str(caught.value.remedy)
        finally:
            if is_root:
                os.seteuid(0)
            for path in (folder, folder / "out", *(folder / "out").rglob("*")):
                path.chmod(0o755)
        assert faulty.files(folder / "out") == old
        assert not (folder / "new").exists()


def test_a_disk_that_is_full(tmp_path: Path) -> None:
    """A real one: at every size up to the one that does, the folder is as it was, without litter."""
    disk = tmp_path / "disk"
    disk.mkdir()
    mount = shutil.which("mount")
    if not mount or subprocess.run([mount, "-t", "tmpfs", "none", disk], capture_output=True).returncode:
        pytest.skip("needs a system on which a small disk may be mounted")
    try:
        new, failures = faulty.wanted(tmp_path / "new", "new"), 0
        old = faulty.wanted(disk / "out", "old")
        for pages in range(40, 120, 8):
            subprocess.run([mount, "-o", f"remount,size={pages * 4}k", disk], check=True)
            try:
                faulty.build(disk / "out", "new")
            except MachineError as error:
                failures += "No space left on device" in error.message
                assert faulty.files(disk / "out") == old
            else:
                assert faulty.files(disk / "out") == new
                break
        assert failures >= 2
        assert faulty.files(disk / "out") == new
    finally:
        subprocess.run(["umount", disk], check=True)


def test_only_what_changed_is_made_again(tmp_path: Path) -> None:
    """Another cue leaves pictures and tones alone, not even their times change; other names of exercises do not."""
    plan, only = tmp_path / "a.yaml", ["captions", "tones", "titles", "timer", "stills", "progress", "rehearsal"]
    text = "overlay: 1\ntitle: A\nvideo: {size: 640x360}\nblocks: [{intervals: [{name: Row, cues: [CUE]}]}]\n"
    plan.write_text(text.replace("CUE", "Stand tall."), encoding="utf-8")
    first = build(plan, only=only)
    times = {path: path.stat().st_mtime_ns for path in first.folder.rglob("*") if path.is_file()}
    assert first.reused == ()
    plan.write_text(text.replace("CUE", "Stand taller."), encoding="utf-8")
    again = build(plan, only=only)
    touched = [path for path, time in times.items() if path.stat().st_mtime_ns > time]
    changed = {path.relative_to(first.folder).as_posix() for path in touched}
    cues = {"captions/en.srt", "captions/en.vtt", "captions/en.ttml", "rehearsal.html"}
    assert changed == {*cues, "timeline.json", "manifest.json"}
    assert {entry.path for entry in again.reused} == {entry.path for entry in again.entries} - changed
    fresh = build(plan, only=only, out=tmp_path / "fresh", anew=True)
    assert files(fresh.folder) == files(again.folder)
    plan.write_text(text.replace("Row", "Press").replace("CUE", "Stand taller."), encoding="utf-8")
    other = build(plan, only=only)
    assert {entry.path for entry in other.reused} == {"tones/tones.wav", "pictures/timer.mov", "pictures/progress.mov"}
    assert files(other.folder) == files(build(plan, only=only, out=tmp_path / "other", anew=True).folder)
    assert {entry.path for entry in build(plan, only=["timer"]).reused} == {"timeline.json", "pictures/timer.mov"}
    assert build(plan, only=["timer"], anew=True).reused == build(plan, only=["timer"]).reused


def test_the_key_holds_what_fonts_and_images_hold(tmp_path: Path) -> None:
    """The same names with other content are other inputs: nothing of the old is taken."""
    from PIL import Image

    shutil.copy(FONTS / "NotoSans-Bold.ttf", tmp_path / "a.ttf")
    Image.new("RGB", (64, 64), "red").save(tmp_path / "a.png")
    plan, only = tmp_path / "a.yaml", ["previews", "stills", "timer", "shot-list", "strip"]
    plan.write_text(
        "overlay: 1\ntitle: A\nvideo: {size: 640x360}\nlook: {family: {regular: a.ttf}}\n"
        "exercises: {row: {name: Row, image: a.png}}\nblocks: [{intervals: [row]}]\n",
        encoding="utf-8",
    )
    build(plan, only=only)
    assert len(build(plan, only=only).reused) == len(build(plan, only=only).entries)
    Image.new("RGB", (64, 64), "blue").save(tmp_path / "a.png")
    reused = {entry.path for entry in build(plan, only=only).reused}
    assert "pictures/previews.mov" not in reused
    assert "pictures/timer.mov" in reused
    shutil.copy(FONTS / "NotoSans-Regular.ttf", tmp_path / "a.ttf")
    assert {entry.path for entry in build(plan, only=only).reused} == {"timeline.json", "paper/timeline.svg"}
