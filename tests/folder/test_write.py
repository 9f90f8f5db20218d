"""Writing is all or nothing."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from overlay.errors import MachineError, UsageError
from overlay.folder.job import File
from overlay.folder.manifest import MANIFEST, Entry
from overlay.folder.write import ASIDE, UNDO, Writing


def failing() -> Iterator[bytes]:
    yield b"half"
    raise RuntimeError("a writer broke")


def write_two(folder: Path) -> None:
    with Writing(folder) as writing:
        writing.write(File("old.txt", [b"new"]), "kind", "sum")
        writing.write(File("next.txt", failing()), "kind", "sum")


def test_files_appear_together(tmp_path: Path) -> None:
    """Nothing is seen before `finish`; afterwards everything, with its size and sum."""
    folder = tmp_path / "out"
    with Writing(folder) as writing:
        entry = writing.write(File("a/b.txt", [b"one", b"two"]), "kind", "sum")
        assert not (folder / "a" / "b.txt").exists()
        writing.finish()
    assert (folder / "a" / "b.txt").read_bytes() == b"onetwo"
    assert (entry.bytes, entry.path, entry.kind) == (6, "a/b.txt", "kind")
    assert sorted(path.name for path in folder.iterdir()) == ["a"]


def test_a_failure_leaves_the_folder_as_it_was(tmp_path: Path) -> None:
    """The old file stays whole, and nothing unfinished stays behind."""
    folder = tmp_path / "out"
    folder.mkdir()
    (folder / "old.txt").write_bytes(b"old")
    with pytest.raises(RuntimeError, match="broke"):
        write_two(folder)
    assert [path.name for path in folder.iterdir()] == ["old.txt"]
    assert (folder / "old.txt").read_bytes() == b"old"


def test_a_failed_first_build_leaves_no_folder(tmp_path: Path) -> None:
    """A folder that was made for nothing goes again."""
    with pytest.raises(RuntimeError), Writing(tmp_path / "out") as writing:
        writing.write(File("next.txt", failing()), "kind", "sum")
    assert list(tmp_path.iterdir()) == []


def test_a_file_that_fails_its_check_is_not_given_its_name(tmp_path: Path) -> None:
    """Every file can be looked at before it counts."""

    def refuse(path: Path) -> None:
        raise MachineError(f"{path.name} is not right")

    with pytest.raises(MachineError), Writing(tmp_path / "out") as writing:
        writing.write(File("a.txt", [b"x"], check=refuse), "kind", "sum")
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_cannot_be_made(tmp_path: Path) -> None:
    """A file in the way is told plainly."""
    (tmp_path / "out").write_bytes(b"")
    with pytest.raises(MachineError, match="could not be written"), Writing(tmp_path / "out"):
        pass


def entry(writing: Writing, path: str, content: bytes) -> Entry:
    return writing.write(File(path, [content]), "kind", "sum")


def killed_while_renaming(folder: Path) -> None:
    """What a build leaves that ended in the middle: `a/b.txt` came, `old.txt` is another, `z.txt` not yet."""
    old, new = b"old", {"a/b.txt": b"new b", "old.txt": b"new", "z.txt": b"new z"}
    (folder / ASIDE / "old").mkdir(parents=True)
    (folder / ASIDE / "new").mkdir()
    (folder / "a").mkdir()
    (folder / "a" / "b.txt").write_bytes(new["a/b.txt"])
    (folder / "old.txt").write_bytes(new["old.txt"])
    (folder / ASIDE / "old" / "old.txt").write_bytes(old)
    (folder / "z.txt").write_bytes(b"old z")
    (folder / ASIDE / "old" / "z.txt").write_bytes(b"old z")
    (folder / ASIDE / "new" / "z.txt").write_bytes(new["z.txt"])
    coming = {path: hashlib.sha256(content).hexdigest() for path, content in new.items()}
    (folder / ASIDE / UNDO).write_text(json.dumps(coming), encoding="utf-8")


def test_a_build_killed_while_renaming_is_undone_by_the_next(tmp_path: Path) -> None:
    """What it had renamed goes back, so that the next build finds the folder of the last whole one."""
    killed_while_renaming(tmp_path)
    with Writing(tmp_path):
        pass
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == {"old.txt": b"old", "z.txt": b"old z"}


def test_what_was_changed_after_the_kill_stays(tmp_path: Path) -> None:
    """Work of a person's between the two builds is not undone."""
    killed_while_renaming(tmp_path)
    (tmp_path / "old.txt").write_bytes(b"corrected")
    with Writing(tmp_path):
        pass
    assert (tmp_path / "old.txt").read_bytes() == b"corrected"


def test_a_build_killed_before_that_leaves_the_old_files(tmp_path: Path) -> None:
    """Without a manifest aside nothing of it counts."""
    folder = tmp_path / "out"
    (folder / ASIDE).mkdir(parents=True)
    (folder / ASIDE / "old.txt").write_bytes(b"half")
    (folder / "old.txt").write_bytes(b"old")
    with Writing(folder):
        pass
    assert (folder / "old.txt").read_bytes() == b"old"
    assert [path.name for path in folder.iterdir()] == ["old.txt"]


def test_stale_files_go_unless_somebody_changed_them(tmp_path: Path) -> None:
    """What an earlier build wrote and this one makes no longer is removed; what was changed since stays."""
    folder = tmp_path / "out"
    with Writing(folder) as writing:
        before = [entry(writing, name, name.encode()) for name in ("one.txt", "two.txt")]
        writing.finish()
    (folder / "two.txt").write_bytes(b"my notes")
    with Writing(folder) as writing:
        entry(writing, "new.txt", b"new")
        writing.finish(before)
    assert sorted(path.name for path in folder.iterdir()) == ["new.txt", "two.txt"]


def test_a_file_that_comes_out_the_same_is_not_touched(tmp_path: Path) -> None:
    """It keeps its time and its place on the disk, so that an editor's program has nothing to load again."""
    with Writing(tmp_path) as writing:
        entry(writing, "a.txt", b"same")
        writing.finish()
    before = (tmp_path / "a.txt").stat()
    with Writing(tmp_path) as writing:
        entry(writing, "a.txt", b"same")
        assert writing.reused == {"a.txt"}
        writing.finish()
    after = (tmp_path / "a.txt").stat()
    assert (after.st_ino, after.st_mtime_ns) == (before.st_ino, before.st_mtime_ns)


def manifest_of(entries: list[Entry]) -> bytes:
    return json.dumps({"files": [each.data() for each in entries]}).encode("utf-8")


def built_once(folder: Path) -> Entry:
    """A folder with one movie, as its manifest lists it, made from the inputs of the sum `in`."""
    with Writing(folder) as writing:
        made = File("a/b.mov", [b"movie"], lambda: {"levels": 1})
        first = writing.write(made, "layer", "one", "in")
        writing.write(File(MANIFEST, [manifest_of([first])]), "manifest", "one")
        writing.finish()
    return first


def test_the_same_inputs_are_not_asked_again(tmp_path: Path) -> None:
    """Neither content nor details; the entry is the one of the first time, for the plan of this time."""
    first = built_once(tmp_path)
    with Writing(tmp_path) as writing:
        again = writing.write(File("a/b.mov", failing(), dict), "layer", "two", "in")
        assert writing.reused == {"a/b.mov"}
        writing.finish()
    assert again == replace(first, plan_sha256="two")
    assert (tmp_path / "a" / "b.mov").read_bytes() == b"movie"


DIFFERENT: list[tuple[bytes | None, str | None, bool]] = [
    (b"movia", "in", False),
    (None, "in", False),
    (b"movie", "other", False),
    (b"movie", None, False),
    (b"movie", "in", True),
]


@pytest.mark.parametrize(("there", "inputs", "anew"), DIFFERENT)
def test_whatever_differs_is_made_again(there: bytes | None, inputs: str | None, anew: bool, tmp_path: Path) -> None:
    """Content that was changed or lost, other inputs, none that are known, or being told so."""
    built_once(tmp_path)
    (tmp_path / "a" / "b.mov").unlink()
    if there is not None:
        (tmp_path / "a" / "b.mov").write_bytes(there)
    with Writing(tmp_path) as writing:
        writing.write(File("a/b.mov", [b"other"]), "layer", "two", inputs, anew=anew)
        writing.finish()
    assert (tmp_path / "a" / "b.mov").read_bytes() == b"other"


def test_a_file_changed_while_the_build_runs_is_not_written_over(tmp_path: Path) -> None:
    """A file taken as it stands must still stand so at the end."""
    built_once(tmp_path)
    with Writing(tmp_path) as writing:
        writing.write(File("a/b.mov", [b"movie"]), "layer", "two", "in")
        (tmp_path / "a" / "b.mov").write_bytes(b"by hand")
        with pytest.raises(UsageError, match=r"a/b\.mov"):
            writing.finish()
    assert (tmp_path / "a" / "b.mov").read_bytes() == b"by hand"
