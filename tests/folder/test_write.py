"""Writing is all or nothing."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from overlay.errors import MachineError
from overlay.folder.job import File
from overlay.folder.manifest import MANIFEST, Entry
from overlay.folder.write import ASIDE, Writing


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


def test_a_build_killed_while_renaming_is_finished_by_the_next(tmp_path: Path) -> None:
    """The manifest stands aside last; from there on the new files win, and the next build puts them in place."""
    folder = tmp_path / "out"
    aside = folder / ASIDE
    (aside / "a").mkdir(parents=True)
    (folder / "old.txt").write_bytes(b"old")
    (aside / "a" / "b.txt").write_bytes(b"new b")
    (aside / "old.txt").write_bytes(b"new")
    (aside / MANIFEST).write_bytes(b"{}")
    with Writing(folder):
        pass
    assert (folder / "old.txt").read_bytes() == b"new"
    assert (folder / "a" / "b.txt").read_bytes() == b"new b"
    assert (folder / MANIFEST).read_bytes() == b"{}"
    assert not aside.exists()


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


def test_a_file_that_would_come_out_the_same_is_kept(tmp_path: Path) -> None:
    """Its content is not even asked for; the entry is the one of the first time, and nothing else is told."""
    told: list[str] = []
    with Writing(tmp_path) as writing:
        first = writing.write(File("a/b.mov", [b"movie"], {"levels": 1}, made=told.append), "layer", "one")
        writing.finish()
    assert told == [first.sha256]
    with Writing(tmp_path) as writing:
        file = File("a/b.mov", failing(), {"levels": 1}, known_sha256=first.sha256, made=told.append)
        again = writing.write(file, "layer", "two")
        assert writing.kept == {"a/b.mov"}
        writing.finish()
    assert (again.path, again.bytes, again.sha256, again.plan_sha256) == ("a/b.mov", 5, first.sha256, "two")
    assert (tmp_path / "a" / "b.mov").read_bytes() == b"movie"
    assert told == [first.sha256]
    assert [path.name for path in tmp_path.iterdir()] == ["a"]


@pytest.mark.parametrize("there", [b"movia", None])
def test_a_file_that_was_changed_or_lost_is_made_again(there: bytes | None, tmp_path: Path) -> None:
    """Only a file with just the content that is wanted is kept."""
    with Writing(tmp_path) as writing:
        first = writing.write(File("b.mov", [b"movie"]), "layer", "one")
        writing.finish()
    (tmp_path / "b.mov").unlink()
    if there is not None:
        (tmp_path / "b.mov").write_bytes(there)
    with Writing(tmp_path) as writing:
        writing.write(File("b.mov", [b"movie"], known_sha256=first.sha256), "layer", "two")
        assert writing.kept == set()
        writing.finish()
    assert (tmp_path / "b.mov").read_bytes() == b"movie"
