"""Disks that fail, and a small build to fail in.

Run by itself, it ends builds by SIGKILL before each of their operations on files in turn, and says how many:

    python tests/folder/faulty.py EMPTY-FOLDER
"""

from __future__ import annotations

import errno
import os
import signal
import sys
from collections.abc import Callable, Iterator
from functools import cache, partial
from pathlib import Path
from typing import Any, BinaryIO

from overlay.folder.disk import Disk
from overlay.folder.fill import Filled, fill
from overlay.folder.job import File, Job, Output
from overlay.folder.lock import LOCK
from overlay.folder.manifest import MadeFrom
from overlay.folder.write import ASIDE
from overlay.plan.read import parse_plan
from overlay.timeline.layout import lay_out

OPERATIONS = [name for name in vars(Disk) if not name.startswith("_")]
MORE_ROOM = ("make_folder", "create", "write", "settle", "name_again")
"""What needs room on the disk."""
PLAN = b"overlay: 1\ntitle: A\nblocks: [{intervals: [{name: B}]}]\n"
LONG = b"long " * 20_000

Trouble = Callable[[str, tuple[Any, ...]], bool]
"""Told the name and the arguments of an operation that is to fail; says whether it goes on all the same."""


class QuickDisk(Disk):
    """The disk as it is, but nobody waits for it."""

    def settle(self, file: BinaryIO) -> None:
        file.flush()


class FaultyDisk(QuickDisk):
    """A disk on which the N-th of some operations, counted from 1, meets trouble; all that follow too if `lasting`."""

    def __init__(
        self, number: int, trouble: Trouble, among: tuple[str, ...] | list[str] = OPERATIONS, *, lasting: bool = False
    ) -> None:
        self.number, self.trouble, self.among, self.lasting = number, trouble, among, lasting
        self.count = 0

    def met(self, name: str, arguments: tuple[Any, ...]) -> bool:
        """Whether an operation goes on; it counts as one more."""
        if name not in self.among:
            return True
        self.count += 1
        if self.count == self.number or (self.lasting and self.count > self.number):
            return self.trouble(name, arguments)
        return True


def _operation(name: str) -> Callable[..., Any]:
    sound = getattr(QuickDisk, name)

    def operation(disk: FaultyDisk, *arguments: Any) -> Any:
        return sound(disk, *arguments) if disk.met(name, arguments) else None

    return operation


for each in OPERATIONS:
    setattr(FaultyDisk, each, _operation(each))


def refuse(number: int, name: str, arguments: tuple[Any, ...]) -> bool:
    """The system refuses with an error of this number."""
    raise OSError(number, os.strerror(number))


def cut(number: int | None, name: str, arguments: tuple[Any, ...]) -> bool:
    """Half of a piece is written; then there is an error, or nobody says a word."""
    file, piece = arguments
    file.write(piece[: len(piece) // 2])
    if number is not None:
        refuse(number, name, arguments)
    return False


def kill(name: str, arguments: tuple[Any, ...]) -> bool:
    """The process ends where it stands."""
    os.kill(os.getpid(), signal.SIGKILL)
    return False


def in_use(name: str, arguments: tuple[Any, ...]) -> bool:
    """Another program has the file open, as Windows says it."""
    error = PermissionError(errno.EACCES, "The process cannot access the file because another process uses it")
    error.winerror = 32  # type: ignore[attr-defined]  # ERROR_SHARING_VIOLATION; only Windows has the attribute
    raise error


full, denied = partial(refuse, errno.ENOSPC), partial(refuse, errno.EACCES)
short, silent = partial(cut, errno.ENOSPC), partial(cut, None)


def outputs(version: str) -> list[Output]:
    """Files of a version: one that both have, one of each alone, some that differ, one of them twice, one long."""

    def make(job: Job) -> Iterator[File]:
        yield File("same.txt", [b"same"])
        yield File("text.txt", [version.encode(), b" text"])
        yield File("sound/long.wav", [version.encode(), LONG], lambda: {"levels": version})
        yield File(f"sound/{version}/only.wav", [version.encode()])
        yield File("pictures/1.png", [version.encode(), b" picture"], inputs=(version,))
        yield File("pictures/2.png", [], same_as="pictures/1.png")

    return [Output("all", "kind of its own", make)]


@cache
def job() -> Job:
    """A class for the head of the manifest."""
    session = parse_plan(PLAN, "a.yaml")
    return Job(session, lay_out(session))


def build(folder: Path, version: str, disk: Disk | None = None) -> Filled:
    """Fill a folder with the files of a version."""
    return fill(folder, outputs(version), job(), MadeFrom(version), lambda _: None, disk=disk or QuickDisk())


def files(folder: Path) -> dict[str, bytes]:
    """Every file below a folder, by its path."""
    found = (path for path in folder.rglob("*") if path.is_file())
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in found}


def named(folder: Path) -> dict[str, bytes]:
    """The files that have their names, without what stands aside."""
    return {path: content for path, content in files(folder).items() if not path.startswith((ASIDE, LOCK))}


def wanted(folder: Path, version: str) -> dict[str, bytes]:
    """What a folder of a version holds."""
    build(folder, version)
    return files(folder)


def is_whole(found: dict[str, bytes], old: dict[str, bytes], new: dict[str, bytes]) -> bool:
    """Whether each name has the old file or the new one, or is missing where one of them lacks it; nothing else."""
    names = {*old, *new}
    return found.keys() <= names and all(found.get(name) in (old.get(name), new.get(name)) for name in names)


def kill_at_each_operation(folder: Path) -> int:
    """End a build over an older one before each of its operations in turn, look, and build again; how many they are."""
    old, new = wanted(folder / "old", "old"), wanted(folder / "new", "new")
    for number in range(1, 1000):
        out = folder / f"out-{number}"
        build(out, "old")
        child = os.fork()
        if not child:
            build(out, "new", FaultyDisk(number, kill))
            os._exit(0)
        status = os.waitpid(child, 0)[1]
        found = named(out)
        assert is_whole(found, old, new), (number, sorted(found))
        build(out, "new")
        assert files(out) == new, number
        if not os.WIFSIGNALED(status):
            assert found == new
            return number - 1
    raise AssertionError("the build never came to its end")


if __name__ == "__main__":
    print(kill_at_each_operation(Path(sys.argv[1])))
