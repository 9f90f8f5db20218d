"""The class as one strip of equal cells, to scale: what stands in each."""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from overlay.timeline.model import Segment, Timeline

_CELL_SECONDS = (1, 2, 3, 5, 10, 15, 20, 30, 60, 120, 300, 600)


class Strip(NamedTuple):
    """Cells of `cell` exact seconds each, and the segment in the middle of each."""

    cell: Fraction
    cells: tuple[Segment, ...]


def strip_of(timeline: Timeline, most_cells: int) -> Strip:
    """The class in at most `most_cells` cells, each a round number of seconds.

    The last cell may be shorter; a segment shorter than a cell may have none.
    """
    fitting = (Fraction(n) for n in _CELL_SECONDS if timeline.duration / n <= most_cells)
    cell = next(fitting, timeline.duration / most_cells)
    count = -(-timeline.duration // cell)
    cells: list[Segment] = []
    at = 0
    for number in range(count):
        middle = min(cell * number + cell / 2, (cell * number + timeline.duration) / 2)
        while timeline.segments[at].end <= middle:
            at += 1
        cells.append(timeline.segments[at])
    return Strip(cell, tuple(cells))
