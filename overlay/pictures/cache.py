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
import struct
from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path

from overlay.plan.look import font_folder

LIMIT_BYTES = 256_000_000
_WAIT_SECONDS = 2.0
_LAYOUT = """
CREATE TABLE IF NOT EXISTS pictures (key BLOB PRIMARY KEY, content BLOB NOT NULL, used INTEGER NOT NULL) WITHOUT ROWID;
CREATE INDEX IF NOT EXISTS by_use ON pictures (used);
"""
Slices = Mapping[int, bytes]


def cache_folder() -> Path:
    """Where the platform wants a user's caches, with a folder of our own in it."""
    from platformdirs import user_cache_path

    return user_cache_path("class-overlay", appauthor=False)


class PictureCache:
    """Coded slices of pictures by key, in one file of a folder, at most `limit_bytes` of them.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     cache = PictureCache(Path(folder))
    ...     cache.keep([(b"key", {3: b"slice"})])
    ...     found = cache.find([b"key", b"other"])
    ...     cache.close()
    >>> found
    {b'key': {3: b'slice'}}
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

    def find(self, keys: Iterable[bytes]) -> dict[bytes, dict[int, bytes]]:
        """What is kept of these keys."""
        found: dict[bytes, dict[int, bytes]] = {}
        with self._using() as file:
            if file is not None:
                for key in keys:
                    row = file.execute("SELECT content FROM pictures WHERE key = ?", (key,)).fetchone()
                    if row is not None and (slices := _unpacked(row[0])) is not None:
                        found[key] = slices
                turn = self._turn(file)
                file.execute("BEGIN IMMEDIATE")
                file.executemany("UPDATE pictures SET used = ? WHERE key = ?", [(turn, key) for key in found])
                file.execute("COMMIT")
        return found

    def keep(self, pictures: Iterable[tuple[bytes, Slices]]) -> None:
        """Keep pictures, and throw out the longest unused where they grow beyond the limit."""
        with self._using() as file:
            if file is not None:
                rows = [(key, _packed(slices)) for key, slices in pictures]
                turn = self._turn(file)
                file.execute("BEGIN IMMEDIATE")
                file.executemany(
                    "INSERT OR REPLACE INTO pictures VALUES (?, ?, ?)", [(key, content, turn) for key, content in rows]
                )
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
        (size_bytes,) = file.execute("SELECT coalesce(sum(length(content)), 0) FROM pictures").fetchone()
        for key, length in file.execute("SELECT key, length(content) FROM pictures ORDER BY used").fetchall():
            if size_bytes <= self._limit_bytes:
                break
            file.execute("DELETE FROM pictures WHERE key = ?", (key,))
            size_bytes -= length


def tool_sum() -> bytes:
    """A sum over what draws and codes: our own code, our fonts, and the libraries' versions."""
    import av
    import numpy as np
    import PIL
    from PIL import features

    total = hashlib.blake2b(digest_size=20)
    package = Path(__file__).resolve().parents[1]
    for path in sorted([*package.rglob("*.py"), *font_folder().glob("*.?tf")]):
        total.update(path.name.encode("utf-8"))
        total.update(hashlib.blake2b(path.read_bytes()).digest())
    parts = [features.version(part) for part in ("freetype2", "raqm", "harfbuzz", "fribidi")]
    total.update(repr((PIL.__version__, parts, np.__version__, av.__version__, av.library_versions)).encode("utf-8"))
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


def _packed(slices: Slices) -> bytes:
    """Slices in one piece: how many, their places and lengths, the slices, and a sum over all of it."""
    places = struct.pack(f">I{2 * len(slices)}I", len(slices), *slices, *map(len, slices.values()))
    content = places + b"".join(slices.values())
    return hashlib.blake2b(content, digest_size=16).digest() + content


def _unpacked(packed: bytes) -> dict[int, bytes] | None:
    """The slices again; None where the piece was damaged."""
    total, content = packed[:16], packed[16:]
    if hashlib.blake2b(content, digest_size=16).digest() != total:
        return None
    (count,) = struct.unpack_from(">I", content)
    numbers = struct.unpack_from(f">{2 * count}I", content, 4)
    slices, position = {}, 4 + 8 * count
    for place, length in zip(numbers[:count], numbers[count:], strict=True):
        slices[place] = content[position : position + length]
        position += length
    return slices
