"""Every operation on files fails in turn, in every way: the promise holds each time.

The way is that of SQLite's own tests of I/O errors (sqlite.org/testing.html, "I/O Error Testing"): a layer that
fails at the N-th operation, for N from 1 on until a run comes through, once for a fault that passes and once for one
that stays.
"""

from __future__ import annotations

import runpy
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest

from overlay.errors import EXIT_MACHINE, MachineError

faulty = SimpleNamespace(**runpy.run_path(str(Path(__file__).with_name("faulty.py"))))
FAULTS = {
    "disk full": (faulty.full, faulty.OPERATIONS),
    "permission denied": (faulty.denied, faulty.OPERATIONS),
    "file in use": (faulty.in_use, ("replace", "remove", "content")),
    "short write": (faulty.short, ("write",)),
    "short write, not a word": (faulty.silent, ("write",)),
}
LASTING = {
    "disk full": (faulty.full, faulty.MORE_ROOM),
    "permission denied": (faulty.denied, faulty.OPERATIONS),
    "short write": (faulty.short, ("write",)),
}


@pytest.fixture(scope="module")
def old(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    return faulty.wanted(tmp_path_factory.mktemp("old"), "old")


@pytest.fixture(scope="module")
def new(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    return faulty.wanted(tmp_path_factory.mktemp("new"), "new")


def failed(folder: Path, disk: object) -> MachineError | None:
    """How a build ended."""
    try:
        faulty.build(folder, "new", disk)
    except MachineError as error:
        return error
    return None


@pytest.mark.parametrize("name", FAULTS)
def test_one_operation_fails(name: str, old: dict[str, bytes], new: dict[str, bytes], tmp_path: Path) -> None:
    """The folder is as it was, without litter; the message names a file of it and a way on; the next build is whole."""
    trouble, among = FAULTS[name]
    failures = 0
    for number in range(1, 1000):
        folder = tmp_path / str(number)
        faulty.build(folder, "old")
        disk = faulty.FaultyDisk(number, trouble, among)
        error = failed(folder, disk)
        if disk.count < number:
            break
        failures += error is not None
        if error is None:
            assert faulty.files(folder) == new, number
        else:
            assert (faulty.files(folder), error.exit_status) == (old, EXIT_MACHINE), number
            assert str(folder) in error.message
            assert "could not be" in error.message
            assert error.remedy
            assert (name == "file in use") == ("Another program has it open" in error.remedy)
            faulty.build(folder, "new")
            assert faulty.files(folder) == new, number
    assert failures > 0.8 * (number - 1) > 4, (failures, number)
    assert faulty.files(folder) == new


@pytest.mark.parametrize("name", LASTING)
def test_all_operations_fail_from_one_on(
    name: str, old: dict[str, bytes], new: dict[str, bytes], tmp_path: Path
) -> None:
    """Where nothing can be undone any more, each name still has one file or the other, whole."""
    trouble, among = LASTING[name]
    for number in range(1, 1000):
        folder = tmp_path / str(number)
        faulty.build(folder, "old")
        disk = faulty.FaultyDisk(number, trouble, among, lasting=True)
        failed(folder, disk)
        assert faulty.is_whole(faulty.named(folder), old, new), number
        if name != "permission denied":
            assert faulty.files(folder) in (old, new), number
        faulty.build(folder, "new")
        assert faulty.files(folder) == new, number
        if disk.count < number:
            break
    assert number > 5


def test_a_first_build_that_fails_leaves_no_folder(new: dict[str, bytes], tmp_path: Path) -> None:
    """Folders made on the way to it go as well."""
    for number in range(1, 1000):
        folder = tmp_path / "some" / "where"
        disk = faulty.FaultyDisk(number, faulty.full)
        if failed(folder, disk) is None:
            break
        assert list(tmp_path.iterdir()) == [], number
    assert faulty.files(folder) == new
    assert number > 20


@pytest.mark.parametrize("lasting", [False, True])
def test_undoing_fails_too(lasting: bool, old: dict[str, bytes], new: dict[str, bytes], tmp_path: Path) -> None:
    """A build ends while it renames; the next one fails at each operation of its undoing; the one after is whole."""
    for number in range(1, 1000):
        folder = tmp_path / str(number)
        faulty.build(folder, "old")
        failed(folder, faulty.FaultyDisk(3, faulty.denied, ("replace", "remove", "read"), lasting=True))
        assert faulty.is_whole(faulty.named(folder), old, new)
        disk = faulty.FaultyDisk(number, faulty.denied, lasting=lasting)
        failed(folder, disk)
        assert faulty.is_whole(faulty.named(folder), old, new), number
        faulty.build(folder, "new")
        assert faulty.files(folder) == new, number
        if disk.count < number:
            break
    assert number > 20


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no fork and no SIGKILL")
def test_killed_at_each_operation(tmp_path: Path) -> None:
    """SIGKILL before each operation on files, one build each: whole files only, and the next build completes it."""
    command = [sys.executable, str(Path(__file__).with_name("faulty.py")), str(tmp_path)]
    ended = subprocess.run(command, capture_output=True, text=True, encoding="utf-8")
    assert ended.returncode == 0, ended.stderr
    assert int(ended.stdout) > 40
