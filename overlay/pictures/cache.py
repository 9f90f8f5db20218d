"""Coded pictures kept from one build to the next.

One SQLite file in the user's cache folder: safe for several builds at once, and never in the way of
one. Whatever is wrong with it (locked, broken, no room), a build goes on without.

A key is a sum over all that shapes a coded picture: what it shows, the size, the coding, every file
of the tool's own code and fonts, and the versions of the libraries that draw and code. So a changed
tool never finds what an older one left; that is thrown out in time, the longest unused first.
"""

from __future__ import annotations

import contextlib
import hashlib
import sqlite3
from collections.abc import Callable, Iterable, Iterator
from functools import cache
from pathlib import Path

from overlay.plan.look import font_folder
from overlay.versions import builds

LIMIT_BYTES = 256_000_000
_WAIT_SECONDS = 2.0
_LAYOUT = """
CREATE TABLE IF NOT EXISTS pictures
    (key BLOB PRIMARY KEY, content BLOB NOT NULL, used INTEGER NOT NULL, bytes INTEGER NOT NULL);
CREATE INDEX IF NOT EXISTS by_use ON pictures (used, bytes);
"""
_SUM_BYTES = 16


class PictureCache:
    """What pictures were made into, by key: one file of a folder, with at most `limit_bytes` in it.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     cache = PictureCache(Path(folder))
    ...     cache.keep([(b"key", b"picture")])
    ...     found = cache.find([b"key", b"other"])
    ...     cache.close()
    >>> found
    {b'key': b'picture'}
    """

    def __init__(self, folder: Path, limit_bytes: int = LIMIT_BYTES) -> None:
        self._limit_bytes = limit_bytes
        self._file: sqlite3.Connection | None = None
        with contextlib.suppress(OSError, sqlite3.Error):
            folder.mkdir(parents=True, exist_ok=True)
            self._file = sqlite3.connect(folder / "pictures.sqlite", timeout=_WAIT_SECONDS, isolation_level=None)
            # Losing the last entries when the power fails costs coding them again, nothing else.
            self._file.execute("PRAGMA journal_mode = WAL")
            self._file.execute("PRAGMA synchronous = OFF")
            self._file.executescript(_LAYOUT)

    def find(self, keys: Iterable[bytes]) -> dict[bytes, bytes]:
        """What is kept of these keys."""
        found: dict[bytes, bytes] = {}
        with self._using() as file:
            if file is not None:
                for key in keys:
                    row = file.execute("SELECT content FROM pictures WHERE key = ?", (key,)).fetchone()
                    if row is not None and row[0][:_SUM_BYTES] == _sum(row[0][_SUM_BYTES:]):
                        found[key] = row[0][_SUM_BYTES:]
                if not found:
                    return found
                turn = self._turn(file)
                file.execute("BEGIN IMMEDIATE")
                file.executemany("UPDATE pictures SET used = ? WHERE key = ?", [(turn, key) for key in found])
                file.execute("COMMIT")
        return found

    def keep(self, pictures: Iterable[tuple[bytes, bytes]]) -> None:
        """Keep pictures, and throw out the longest unused where they grow beyond the limit."""
        with self._using() as file:
            if file is not None:
                turn = self._turn(file)
                rows = [(key, _sum(content) + content, turn, len(content)) for key, content in pictures]
                file.execute("BEGIN IMMEDIATE")
                file.executemany("INSERT OR REPLACE INTO pictures VALUES (?, ?, ?, ?)", rows)
                self._throw_out(file)
                file.execute("COMMIT")

    def close(self) -> None:
        """Let go of the file."""
        if self._file is not None:
            with contextlib.suppress(sqlite3.Error):
                self._file.close()
            self._file = None

    @contextlib.contextmanager
    def _using(self) -> Iterator[sqlite3.Connection | None]:
        """The open file; one that makes trouble is not asked again in this build."""
        try:
            yield self._file
        except sqlite3.Error:
            self.close()

    def _turn(self, file: sqlite3.Connection) -> int:
        """A count that grows with use: the cache knows no clock."""
        (last,) = file.execute("SELECT coalesce(max(used), 0) FROM pictures").fetchone()
        return int(last) + 1

    def _throw_out(self, file: sqlite3.Connection) -> None:
        (size_bytes,) = file.execute("SELECT coalesce(sum(bytes), 0) FROM pictures").fetchone()
        if size_bytes > self._limit_bytes:
            for number, length in file.execute("SELECT rowid, bytes FROM pictures ORDER BY used").fetchall():
                if size_bytes <= self._limit_bytes:
                    break
                file.execute("DELETE FROM pictures WHERE rowid = ?", (number,))
                size_bytes -= length


@cache
def tool_sum() -> bytes:
    """A sum over what makes files: our own code with its templates, words and fonts, and the libraries' versions."""
    total = hashlib.blake2b(digest_size=20)
    for folder in (Path(__file__).resolve().parents[1], font_folder()):
        files = {path.relative_to(folder).as_posix(): path for path in folder.rglob("*") if path.is_file()}
        for name, path in sorted(files.items()):
            # In a wheel the fonts stand inside the package, and only Python knows when it writes its own files.
            if not name.startswith("fonts/") and path.suffix != ".pyc":
                total.update(name.encode("utf-8"))
                total.update(hashlib.blake2b(path.read_bytes()).digest())
    total.update(repr(builds()).encode("utf-8"))
    return total.digest()


def key_maker(*common: object) -> Callable[..., bytes]:
    """A function that makes keys out of values by their `repr`, on top of what is common to all of them.

    >>> key_maker("a")("b") == key_maker("a")("b") != key_maker("a", "b")()
    True
    """
    start = hashlib.blake2b(repr(common).encode("utf-8"), digest_size=20)

    def key(*values: object) -> bytes:
        total = start.copy()
        total.update(repr(values).encode("utf-8"))
        return total.digest()

    return key


def _sum(content: bytes) -> bytes:
    """What stands before each content, so that a damaged one is known."""
    return hashlib.blake2b(content, digest_size=_SUM_BYTES).digest()
