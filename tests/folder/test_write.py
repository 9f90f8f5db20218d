"""Writing is all or nothing."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from overlay.errors import MachineError
from overlay.folder.catalog import File
from overlay.folder.write import Writing


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
