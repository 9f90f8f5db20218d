"""Files onto the disk: written aside, checked, then renamed into place, the manifest last.

Renaming many files cannot be done at once. So before the first one, a second name of every file that is to go
is kept aside, with a list of what is to come (`UNDO`). Whatever happens from there on until that list is removed,
an error or the end of the process, is undone: at once, or by the next build.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import shutil
from collections.abc import Iterator, Sequence
from pathlib import Path, PurePosixPath
from types import TracebackType

from overlay.errors import MachineError, UsageError
from overlay.folder.disk import Content, Disk
from overlay.folder.interrupts import interrupts_wait
from overlay.folder.job import File
from overlay.folder.lock import Lock
from overlay.folder.manifest import MANIFEST, Entry, entries_of

ASIDE = ".class-overlay-unfinished"
"""Where files stand until they are whole. It holds nothing but ours and goes away by itself."""
UNDO = "undo.json"
"""The list beside them that says what is being renamed."""
_IN_USE = (32, 33)
"""What Windows says of a file that another program has open: ERROR_SHARING_VIOLATION, ERROR_LOCK_VIOLATION."""
_CLOSE_IT = "Another program has it open: close it there, then build again."
_REMEDY = "Free some space, check that the folder may be written to, or name another one"


class Writing:
    """One build's writing into a folder, and nobody else's meanwhile. Until `finish`, the folder holds what it held.

    Used as a context, and raises MachineError where the disk refuses. `listed` is what the folder's manifest
    lists, by path.
    """

    def __init__(self, folder: Path, disk: Disk | None = None) -> None:
        self.folder = folder
        self._disk = disk or Disk()
        self._aside, self._new, self._old = folder / ASIDE, folder / ASIDE / "new", folder / ASIDE / "old"
        self._lock: Lock | None = None
        self._made_folders: list[Path] = []
        self._wanted: dict[str, Content] = {}
        self._standing: dict[str, tuple[tuple[int, ...], Content | None]] = {}
        self.listed: dict[str, Entry] = {}
        self.reused: set[str] = set()
        """Paths of files that stand in the folder already just as they are wanted."""

    def __enter__(self) -> Writing:
        try:
            with interrupts_wait(), self._explained(self.folder):
                for path in reversed([path for path in (self.folder, *self.folder.parents) if not path.exists()]):
                    self._disk.make_folder(path)
                    self._made_folders.append(path)
                self._lock = Lock(self.folder)
                self._undo()
                if self._aside.exists():
                    self._disk.remove_tree(self._aside)
                for path in (self._aside, self._new, self._old):
                    self._disk.make_folder(path)
                self.listed = {entry.path: entry for entry in entries_of(self._disk.read(self.folder / MANIFEST))}
        except BaseException:
            self._leave(failed=True)
            raise
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._leave(failed=kind is not None)

    def _leave(self, *, failed: bool) -> None:
        """Nothing of ours stays but what was asked for; what cannot be removed now the next build removes."""
        with interrupts_wait():
            if self._lock is not None:
                if not (self._aside / UNDO).exists():
                    with contextlib.suppress(OSError):
                        self._disk.remove_tree(self._aside)
                    shutil.rmtree(self._aside, ignore_errors=True)
                self._lock.release()
                self._lock = None
            if failed:
                for path in reversed(self._made_folders):
                    with contextlib.suppress(OSError):
                        path.rmdir()

    def stands(self, path: str) -> Content | None:
        """What stands in the folder under a path now: looked at again only where it may have changed since."""
        place = self.folder / path
        try:
            status = place.lstat()
        except OSError:
            return None
        signature = (status.st_size, status.st_mtime_ns, status.st_ctime_ns, status.st_ino, status.st_mode)
        if path not in self._standing or self._standing[path][0] != signature:
            with self._explained(place, "read"):
                self._standing[path] = signature, self._disk.content(place)
        return self._standing[path][1]

    def is_as_listed(self, entry: Entry) -> bool:
        """Whether a file still is what the manifest says."""
        return self.stands(entry.path) == (entry.bytes, entry.sha256)

    def was_made_from(self, path: str, inputs_sha256: str | None) -> bool:
        """Whether the manifest says that these inputs made a file."""
        before = self.listed.get(path)
        return before is not None and inputs_sha256 is not None and before.inputs_sha256 == inputs_sha256

    def write(
        self, file: File, kind: str, plan_sha256: str, inputs_sha256: str | None = None, *, anew: bool = False
    ) -> Entry:
        """Write one file aside and check it. Unless `anew`, nothing is made where the same inputs made it before and
        it stands as it was written.

        Raises MachineError where the disk refuses.
        """
        before = self.listed.get(file.path)
        if before and not anew and self.was_made_from(file.path, inputs_sha256) and self.is_as_listed(before):
            content, details = Content(before.bytes, before.sha256), before.details
        else:
            content = self._again(file, file.same_as) if file.same_as is not None else self._write(file)
            details = file.details() if file.details is not None else None
        self._wanted[file.path] = content
        if self.stands(file.path) == content:
            self.reused.add(file.path)
        return Entry(file.path, kind, *content, plan_sha256, inputs_sha256, details)

    def _write(self, file: File) -> Content:
        target = self._new / file.path
        digest, size_bytes = hashlib.sha256(), 0
        with self._explained(self.folder / file.path):
            self._make_parents(target, self._new)
            with self._disk.create(target) as out:
                for piece in file.content:
                    self._disk.write(out, piece)
                    digest.update(piece)
                    size_bytes += len(piece)
                self._disk.settle(out)
            if self._disk.size_bytes(target) != size_bytes:
                raise OSError("the disk took only a part of it")
        if file.check is not None:
            file.check(target)
        return Content(size_bytes, digest.hexdigest())

    def _again(self, file: File, first: str) -> Content:
        """A file that was written already under another name."""
        target = self._new / file.path
        with self._explained(self.folder / file.path):
            self._make_parents(target, self._new)
            is_new = (self._new / first).exists()
            self._disk.name_again((self._new if is_new else self.folder) / first, target)
        return self._wanted[first]

    def finish(self, stale: Sequence[Entry] = ()) -> None:
        """Put everything into place, the manifest last, and remove what an earlier build wrote and this one no
        longer makes. A file that stands as it is wanted is not touched."""
        lost = [path for path in self._wanted if not (self._new / path).exists() and path not in self.reused]
        changed = [path for path in self.reused if self.stands(path) != self._wanted[path]]
        if lost or changed:
            raise UsageError(f"Changed while the build ran: {', '.join(lost + changed)}.", remedy="Build again.")
        placed = sorted(self._wanted.keys() - self.reused, key=lambda path: (path == MANIFEST, path))
        gone = [entry.path for entry in stale if self.is_as_listed(entry)]
        with interrupts_wait(), self._explained(self.folder):
            try:
                self._swap(placed, gone)
            except BaseException:
                self._undo()
                raise

    def _swap(self, placed: Sequence[str], gone: Sequence[str]) -> None:
        for path in (*placed, *gone):
            if (self.folder / path).is_file():
                self._make_parents(self._old / path, self._old)
                self._disk.name_again(self.folder / path, self._old / path)
        coming = {**{path: self._wanted[path].sha256 for path in placed}, **dict.fromkeys(gone)}
        with self._disk.create(self._aside / UNDO) as out:
            self._disk.write(out, json.dumps(coming).encode("ascii"))
            self._disk.settle(out)
        for path in placed:
            with self._explained(self.folder / path):
                self._make_parents(self.folder / path, self.folder)
                self._disk.replace(self._new / path, self.folder / path)
        for path in gone:
            with self._explained(self.folder / path):
                self._disk.remove(self.folder / path)
        self._disk.remove(self._aside / UNDO)
        self._remove_empty(gone)

    def _undo(self) -> None:
        """Give back what a renaming that came to no end took away. What somebody has changed since stays."""
        raw = self._disk.read(self._aside / UNDO)
        if raw is None:
            return
        try:
            coming: dict[str, str | None] = json.loads(raw)
        except ValueError:
            coming = {}  # it was not even written whole, so nothing had been renamed
        for path, sha256 in coming.items():
            place, kept = self.folder / path, self._old / path
            standing = self._disk.content(place)
            if standing is not None and standing.sha256 != sha256:
                continue
            if kept.is_file():
                self._disk.replace(kept, place)
            elif standing is not None:
                self._disk.remove(place)
        self._disk.remove(self._aside / UNDO)
        self._remove_empty(list(coming))

    def _remove_empty(self, paths: Sequence[str]) -> None:
        """Remove the folders of paths that hold nothing any more."""
        parents = {parent for path in paths for parent in PurePosixPath(path).parents if parent.parts}
        for parent in sorted(parents, key=lambda parent: -len(parent.parts)):
            with contextlib.suppress(OSError):
                self._disk.remove_folder(self.folder / parent)

    def _make_parents(self, path: Path, root: Path) -> None:
        missing = [parent for parent in path.parents if parent.is_relative_to(root) and not parent.is_dir()]
        for parent in reversed(missing):
            self._disk.make_folder(parent)

    @contextlib.contextmanager
    def _explained(self, path: Path, done: str = "written") -> Iterator[None]:
        try:
            yield
        except OSError as error:
            reason = error.strerror or str(error)
            remedy = _CLOSE_IT if getattr(error, "winerror", None) in _IN_USE else f"{_REMEDY} with --out."
            raise MachineError(f"{path} could not be {done}: {reason}.", remedy=remedy) from None


def write_new(path: Path, text: str) -> None:
    """Write a text file that is not there yet, whole or not at all. Raises UsageError where there is one, MachineError
    otherwise."""
    try:
        with path.open("x", encoding="utf-8", newline="\n") as out:
            try:
                out.write(text)
                out.flush()
            except OSError:
                with contextlib.suppress(OSError):
                    path.unlink()
                raise
    except FileExistsError:
        raise UsageError(f"{path} is there already; nothing was changed.", remedy="Choose another name.") from None
    except OSError as error:
        raise MachineError(f"{path} could not be written: {error.strerror}.", remedy=f"{_REMEDY}.") from None


def write_over(path: Path, text: str) -> None:
    """Write a text file whole, or leave what was there. Raises MachineError where the disk refuses."""
    aside = path.with_name(f"{path.name}.class-overlay-unfinished")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        aside.write_text(text, encoding="utf-8", newline="")
        aside.replace(path)
    except OSError as error:
        with contextlib.suppress(OSError):
            aside.unlink()
        raise MachineError(f"{path} could not be written: {error.strerror}.", remedy=f"{_REMEDY}.") from None
