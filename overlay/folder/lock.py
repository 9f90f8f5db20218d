"""One build at a time in a folder: a lock of the operating system, which ends with whoever holds it."""

from __future__ import annotations

import errno
import os
import sys
from pathlib import Path

from overlay.errors import MachineError

LOCK = ".class-overlay-lock"
"""The file that is locked. It is empty, and goes away with the lock; one that was left behind locks nothing."""
_NO_LOCKS_HERE = {errno.ENOLCK, errno.ENOSYS, errno.ENOTSUP, errno.EOPNOTSUPP}
"""What a disk says that knows no locks, such as one across a network. A build there goes on without."""


class Lock:
    """A lock on a folder, from when it is made until `release`.

    Raises MachineError where another build holds it, OSError where the file cannot be made.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     Lock(Path(folder)).release()
    ...     os.listdir(folder)
    []
    """

    def __init__(self, folder: Path) -> None:
        self._path = folder / LOCK
        while True:
            # Never inherited, so that no process that we start holds the lock for longer than we do.
            self._file = os.open(self._path, os.O_RDWR | os.O_CREAT, 0o666)
            try:
                if not _is_locked(self._file):
                    raise MachineError(
                        f"Another build is writing to {folder} now.",
                        remedy="Wait until it is done, or name another folder with --out.",
                    )
                if self._is_of_that_name():
                    return
            except BaseException:
                os.close(self._file)
                raise
            # Whoever had it took the file away between our opening and our locking it.
            os.close(self._file)

    def _is_of_that_name(self) -> bool:
        try:
            return os.path.samestat(os.fstat(self._file), self._path.stat())
        except FileNotFoundError:
            return False

    def release(self) -> None:
        """Let others build. The file goes first where it can, so that nobody locks one that is on its way out."""
        try:
            if sys.platform == "win32":
                os.close(self._file)
                self._path.unlink()
            else:
                self._path.unlink()
                os.close(self._file)
        except OSError:
            # On Windows somebody else has opened it by now: then it is theirs to remove.
            if sys.platform != "win32":
                os.close(self._file)


def _is_locked(file: int) -> bool:
    """Lock a file for ourselves; False where somebody else has."""
    try:
        if sys.platform == "win32":
            import msvcrt

            msvcrt.locking(file, msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        if error.errno in _NO_LOCKS_HERE:
            return True
        if error.errno in (errno.EAGAIN, errno.EACCES, errno.EDEADLK):
            return False
        raise
    return True
