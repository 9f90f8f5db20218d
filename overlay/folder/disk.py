"""Everything that a build does to files, one operation at a time: tests put another one in its place that fails."""

from __future__ import annotations

import hashlib
import os
import shutil
from pathlib import Path
from typing import BinaryIO, NamedTuple

_PIECE_BYTES = 1 << 24
"""Read at a time: after each piece a thread may have to wait for those that lay out the class."""


class Content(NamedTuple):
    """What a file holds, by its size and its SHA-256 sum in hexadecimal."""

    bytes: int
    sha256: str


class Disk:
    """The file system as it is. Every method raises OSError where the system refuses."""

    def make_folder(self, path: Path) -> None:
        """Make one folder."""
        path.mkdir()

    def create(self, path: Path) -> BinaryIO:
        """A new, empty file to write to."""
        return path.open("wb")

    def write(self, file: BinaryIO, piece: bytes) -> None:
        """Add a piece to a file that was created."""
        file.write(piece)

    def settle(self, file: BinaryIO) -> None:
        """See that what was written is on the disk itself."""
        file.flush()
        os.fsync(file.fileno())

    def size_bytes(self, path: Path) -> int:
        """The size of a file."""
        return path.stat().st_size

    def name_again(self, path: Path, second: Path) -> None:
        """Give a file a second name, or make a copy where the disk knows one name only."""
        try:
            os.link(path, second)
        except OSError:
            shutil.copyfile(path, second)

    def replace(self, path: Path, target: Path) -> None:
        """Give a file another name, at once, whoever had that name before."""
        path.replace(target)

    def remove(self, path: Path) -> None:
        """Remove a file."""
        path.unlink()

    def remove_folder(self, path: Path) -> None:
        """Remove an empty folder."""
        path.rmdir()

    def remove_tree(self, path: Path) -> None:
        """Remove a folder with all that is in it."""
        shutil.rmtree(path)

    def read(self, path: Path) -> bytes | None:
        """A file's content; None where there is no such file."""
        try:
            return path.read_bytes()
        except (FileNotFoundError, NotADirectoryError):
            return None

    def content(self, path: Path) -> Content | None:
        """What a plain file holds; None where there is none of that name, or something else."""
        if path.is_symlink() or not path.is_file():
            return None
        digest, piece = hashlib.sha256(), memoryview(bytearray(min(_PIECE_BYTES, path.stat().st_size + 1)))
        with path.open("rb", buffering=0) as file:
            while size_bytes := file.readinto(piece):
                digest.update(piece[:size_bytes])
            return Content(file.tell(), digest.hexdigest())
