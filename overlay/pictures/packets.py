"""Coded pictures put by on disk while a movie's tables wait for their lengths."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from types import TracebackType
from typing import IO


class Packets:
    """Packets in order, in a file without a name that goes away by itself. Memory holds their lengths.

    >>> with Packets() as packets:
    ...     numbers = [packets.add(b"one"), packets.add(b"three")]
    ...     (numbers, packets.lengths, list(packets), packets[1])
    ([0, 1], [3, 5], [b'one', b'three'], b'three')
    """

    def __init__(self) -> None:
        self.lengths: list[int] = []
        self._starts: list[int] = []
        self._end = 0
        self._file: IO[bytes] = tempfile.TemporaryFile()  # noqa: SIM115 (closed by `__exit__`)

    def __enter__(self) -> Packets:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._file.close()

    def add(self, packet: bytes) -> int:
        """Put a packet by; gives its number, counted from 0."""
        self._file.seek(self._end)
        self._file.write(packet)
        self._starts.append(self._end)
        self.lengths.append(len(packet))
        self._end += len(packet)
        return len(self.lengths) - 1

    def __getitem__(self, number: int) -> bytes:
        self._file.seek(self._starts[number])
        return self._file.read(self.lengths[number])

    def __iter__(self) -> Iterator[bytes]:
        return (self[number] for number in range(len(self.lengths)))
