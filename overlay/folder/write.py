"""Files onto the disk: written aside, checked, then renamed into place, the manifest last."""

from __future__ import annotations

import contextlib
import hashlib
import os
import shutil
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from types import TracebackType

from overlay.errors import MachineError, UsageError
from overlay.folder.job import File
from overlay.folder.manifest import MANIFEST, Entry, is_as_written

ASIDE = ".class-overlay-unfinished"
"""Where files stand until they are whole. It holds nothing but ours and goes away by itself."""


class Writing:
    """One build's writing into a folder. Until `finish`, the folder holds what it held before.

    Used as a context. What ends the block early leaves nothing unfinished behind; a build that was
    killed while it renamed is finished by the next one, from the manifest that stands aside.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._aside = folder / ASIDE
        self._written: list[str] = []
        self._sums: dict[str, tuple[int, str]] = {}
        self.kept: set[str] = set()
        """Paths of files that stand in the folder just as they would be made now."""
        self._made_folder = False
        self._is_renaming = False

    def __enter__(self) -> Writing:
        with _explained(self.folder):
            self._made_folder = not self.folder.exists()
            self.folder.mkdir(parents=True, exist_ok=True)
            if (self._aside / MANIFEST).is_file():
                self._rename(path.relative_to(self._aside) for path in _files_below(self._aside))
            shutil.rmtree(self._aside, ignore_errors=True)
            self._aside.mkdir()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if not self._is_renaming:
            shutil.rmtree(self._aside, ignore_errors=True)
        if kind is not None and self._made_folder:
            with contextlib.suppress(OSError):
                self.folder.rmdir()

    def write(self, file: File, kind: str, made_from: str) -> Entry:
        """Write one file aside and check it. Raises MachineError where the disk refuses."""
        if file.same_as is not None:
            return self._again(file, kind, made_from)
        if file.known_sha256 is not None and _sum_of(self.folder / file.path) == file.known_sha256:
            return self._kept(file, kind, made_from)
        target = self._aside / file.path
        digest, size_bytes = hashlib.sha256(), 0
        with _explained(target):
            target.parent.mkdir(parents=True, exist_ok=True)
            with target.open("wb") as out:
                for piece in file.content:
                    out.write(piece)
                    digest.update(piece)
                    size_bytes += len(piece)
                out.flush()
                os.fsync(out.fileno())
        if file.check is not None:
            file.check(target)
        self._written.append(file.path)
        self._sums[file.path] = size_bytes, digest.hexdigest()
        if file.made is not None:
            file.made(digest.hexdigest())
        return Entry(file.path, kind, size_bytes, digest.hexdigest(), made_from, file.details)

    def _kept(self, file: File, kind: str, made_from: str) -> Entry:
        """A file that stands in the folder from an earlier build, just as it would be made now."""
        assert file.known_sha256 is not None
        standing, target = self.folder / file.path, self._aside / file.path
        with _explained(target):
            _name_again(standing, target)
            size_bytes = target.stat().st_size
        self.kept.add(file.path)
        self._written.append(file.path)
        self._sums[file.path] = size_bytes, file.known_sha256
        return Entry(file.path, kind, size_bytes, file.known_sha256, made_from, file.details)

    def _again(self, file: File, kind: str, made_from: str) -> Entry:
        """A file that was written already under another name."""
        assert file.same_as is not None
        first, target = self._aside / file.same_as, self._aside / file.path
        with _explained(target):
            _name_again(first, target)
        self._written.append(file.path)
        self._sums[file.path] = self._sums[file.same_as]
        size_bytes, sha256 = self._sums[file.same_as]
        return Entry(file.path, kind, size_bytes, sha256, made_from, file.details)

    def finish(self, stale: Sequence[Entry] = ()) -> None:
        """Rename everything into place, the manifest last, and remove what an earlier build wrote and
        this one no longer makes."""
        with _explained(self.folder):
            self._is_renaming = True
            self._rename(Path(path) for path in self._written)
            for entry in stale:
                if is_as_written(self.folder, entry):
                    (self.folder / entry.path).unlink()
            self._is_renaming = False

    def _rename(self, paths: Iterable[Path]) -> None:
        for path in sorted(paths, key=lambda path: path.as_posix() == MANIFEST):
            target = self.folder / path
            target.parent.mkdir(parents=True, exist_ok=True)
            (self._aside / path).replace(target)


def _sum_of(path: Path) -> str | None:
    """The SHA-256 sum of a file's content; None where there is none to read."""
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError:
        return None


def _name_again(file: Path, target: Path) -> None:
    """Give a file a second name, or make a copy where the disk knows one name only."""
    target.parent.mkdir(parents=True, exist_ok=True)
    try:
        os.link(file, target)
    except OSError:
        shutil.copyfile(file, target)


def _files_below(folder: Path) -> list[Path]:
    return sorted(path for path in folder.rglob("*") if path.is_file())


def write_new(path: Path, text: str) -> None:
    """Write a text file that is not there yet. Raises UsageError where there is one, MachineError otherwise."""
    try:
        with path.open("x", encoding="utf-8", newline="\n") as out:
            out.write(text)
    except FileExistsError:
        raise UsageError(f"{path} is there already; nothing was changed.", remedy="Choose another name.") from None
    except OSError as error:
        raise MachineError(f"{path} could not be written: {error.strerror}.") from None


@contextlib.contextmanager
def _explained(path: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        reason = error.strerror or str(error)
        remedy = "Free some space, check that the folder may be written to, or name another one with --out."
        raise MachineError(f"{path} could not be written: {reason}.", remedy=remedy) from None
