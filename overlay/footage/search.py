"""Where the class lies in a recording: one path through all offsets, piece by piece.

The beeps are taken in pieces of a few minutes, none across two blocks. For each piece and each offset
on a grid of 20 ms the evidence of its beeps is added up. Then the best path is found through all pieces
in order: within a block the offset moves by no more than clocks drift; from one block to the next it may
leap forward, at a cost, because people pause. A piece may lie outside the recording. So the pattern of the
whole class decides, and the best path that lies elsewhere is the runner-up.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from overlay.footage.evidence import CELL_RATE_HZ, Values

MOST_DRIFT = 150e-6
"""Seconds a second by which two clocks may differ: twice what quartz in phones does at worst (from memory)."""
PAUSE_COST = 8.0
"""Nats that a pause must earn: about one in the number of offsets it could have led to."""
ELSEWHERE_CELLS = 15
"""Cells: answers closer than 0.3 s to each other are one answer."""
SILENT_PIECE = 8.0
"""Nats that a piece may cost at most: a block that was filmed without its beeps."""


class Planned(NamedTuple):
    """A beep of the class: its kind, its frame, and its sample as seconds since the class's frame 0."""

    kind: str
    frame: int
    time: float


@dataclass(frozen=True)
class PieceOfClass:
    """A few beeps that follow each other in one block.

    `may_move_back` is by how many seconds the offset may fall before this piece: rest that may be skipped.
    """

    block: int
    beeps: tuple[Planned, ...]
    may_move_back: float

    @property
    def middle(self) -> float:
        return (self.beeps[0].time + self.beeps[-1].time) / 2


@dataclass(frozen=True)
class Way:
    """An answer: the offset of each piece in seconds (on the band's clock, from its first cell), and its evidence."""

    offsets: tuple[float, ...]
    score: float


class Search:
    """All offsets of all pieces over one recording's evidence.

    `weights` has each kind's evidence a cell; offsets run from the whole class before the recording to its end.
    """

    def __init__(self, pieces: Sequence[PieceOfClass], weights: Mapping[str, Values]) -> None:
        self.pieces = pieces
        cells = min((len(weight) for weight in weights.values()), default=0)
        self.before = int(np.ceil(max(piece.beeps[-1].time for piece in pieces) * CELL_RATE_HZ)) + 1
        self.count = self.before + cells
        self.evidence = np.zeros((len(pieces), self.count), dtype=np.float32)
        for row, piece in zip(self.evidence, pieces, strict=True):
            for kind, _, time in piece.beeps:
                shift = self.before - round(time * CELL_RATE_HZ)
                row[shift : shift + cells] += weights[kind][: self.count - shift]
        np.maximum(self.evidence, -SILENT_PIECE, out=self.evidence)

    def best(
        self, *, apart_from: Way | None = None, block: int | None = None, near: tuple[float, float] | None = None
    ) -> Way:
        """The best way; the best that lies elsewhere than another one, in all pieces or in those of one block.

        `near` bounds the first piece's offset (seconds from the first cell).
        """
        evidence = self.evidence
        if apart_from is not None or near is not None:
            evidence = evidence.copy()
        if apart_from is not None:
            for row, piece, offset in zip(evidence, self.pieces, apart_from.offsets, strict=True):
                if block in (None, piece.block):
                    at = self._index(offset)
                    row[max(at - ELSEWHERE_CELLS, 0) : at + ELSEWHERE_CELLS + 1] = -np.inf
        if near is not None:
            low, high = self._index(near[0]), self._index(near[1])
            evidence[0, : max(low, 0)] = -np.inf
            evidence[0, max(high, 0) + 1 :] = -np.inf
        return self._walk(evidence)

    def _index(self, offset: float) -> int:
        return round(offset * CELL_RATE_HZ) + self.before

    def _walk(self, evidence: Values) -> Way:
        totals = [evidence[0]]
        for row, before, piece in zip(evidence[1:], self.pieces, self.pieces[1:], strict=False):
            totals.append(row + np.maximum(*self._from(totals[-1], before, piece)))
        at = int(np.argmax(totals[-1]))
        score, path = float(totals[-1][at]), [at]
        for number in range(len(self.pieces) - 1, 0, -1):
            at = self._came_from(totals[number - 1], self.pieces[number - 1], self.pieces[number], at)
            path.append(at)
        offsets = tuple((index - self.before) / CELL_RATE_HZ for index in reversed(path))
        return Way(offsets, score)

    def _from(self, total: Values, before: PieceOfClass, piece: PieceOfClass) -> tuple[Values, Values]:
        """The best total before each offset of the next piece: gone straight on, and after a pause."""
        drift = self._drift_cells(before, piece)
        straight = total.copy()
        for shift in range(1, drift + 1):
            straight[shift:] = np.maximum(straight[shift:], total[:-shift])
            straight[:-shift] = np.maximum(straight[:-shift], total[shift:])
        paused = np.full_like(total, -np.inf)
        if piece.block != before.block:
            back = self._back_cells(piece)
            highest = np.maximum.accumulate(total) - np.float32(PAUSE_COST)
            paused[: len(paused) - back or None] = highest[back:]
            paused[len(paused) - back :] = highest[-1]
        return straight, paused

    def _came_from(self, total: Values, before: PieceOfClass, piece: PieceOfClass, at: int) -> int:
        drift = self._drift_cells(before, piece)
        low = max(at - drift, 0)
        # Of equals the nearest: an offset does not move without a reason.
        near = sorted(range(low, min(at + drift + 1, len(total))), key=lambda index: (-total[index], abs(index - at)))
        if piece.block == before.block:
            return near[0]
        reach = total[: at + self._back_cells(piece) + 1]
        far = int(np.argmax(reach))
        return far if reach[far] - np.float32(PAUSE_COST) > total[near[0]] else near[0]

    def _drift_cells(self, before: PieceOfClass, piece: PieceOfClass) -> int:
        return int(np.ceil((piece.middle - before.middle) * MOST_DRIFT * CELL_RATE_HZ)) + 1

    def _back_cells(self, piece: PieceOfClass) -> int:
        return int(piece.may_move_back * CELL_RATE_HZ)
