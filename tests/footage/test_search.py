"""The best way through all offsets, on evidence that is made by hand."""

from __future__ import annotations

import numpy as np
import pytest

from overlay.footage.evidence import CELL_RATE_HZ
from overlay.footage.search import PieceOfClass, Planned, Search

QUIET, CLEAR = -1.3, 4.5
BLOCK = (0.0, 20.0, 30.0, 50.0)


def pieces(*blocks: float) -> list[PieceOfClass]:
    return [
        PieceOfClass(number, tuple(Planned("start", 0, begin + time) for time in BLOCK), 5.0)
        for number, begin in enumerate(blocks)
    ]


def evidence(seconds: float, *heard: float) -> dict[str, np.ndarray]:
    weights = np.full(int(seconds * CELL_RATE_HZ), QUIET, dtype=np.float32)
    for time in heard:
        if 0 <= time < seconds:
            weights[round(time * CELL_RATE_HZ)] = CLEAR
    return {"start": weights}


def test_a_pause_between_blocks() -> None:
    """The second block is 37 s later than planned: both offsets come out."""
    heard = [12 + time for time in BLOCK] + [12 + 37 + 80 + time for time in BLOCK]
    way = Search(pieces(0, 80), evidence(300, *heard)).best()
    assert way.offsets == pytest.approx((12, 49))
    assert way.score == pytest.approx(8 * CLEAR - 8)


def test_recording_that_begins_late_and_ends_early() -> None:
    """Beeps outside the recording cost nothing; the offset may lie before it."""
    heard = [time - 25 for time in BLOCK] + [80 - 25 + time for time in BLOCK[:2]]
    way = Search(pieces(0, 80), evidence(80, *heard)).best()
    assert way.offsets == pytest.approx((-25, -25))


def test_no_block_is_heard_twice() -> None:
    """Two blocks of one pattern, one of them in the recording: one place is used once."""
    search = Search(pieces(0, 80), evidence(200, *(30 + time for time in BLOCK)))
    way = search.best()
    assert way.score == pytest.approx(4 * CLEAR)
    assert way.offsets == pytest.approx((-50, -50), abs=0.03), (
        "the second: behind the first one the other would be heard"
    )
    other = search.best(apart_from=way)
    assert other.offsets[0] == pytest.approx(30)
    assert other.score == pytest.approx(4 * CLEAR + 4 * QUIET)


def test_the_runner_up_lies_elsewhere() -> None:
    """Beeps at equal distances: one distance off is next best, and clearly worse."""
    beeps = tuple(Planned("start", 0, 30.0 * number) for number in range(10))
    search = Search([PieceOfClass(0, beeps, 0.0)], evidence(400, *(50 + 30.0 * number for number in range(10))))
    way = search.best()
    other = search.best(apart_from=way)
    assert way.offsets == pytest.approx((50,))
    assert abs(other.offsets[0] - 50) == pytest.approx(30)
    assert way.score - other.score == pytest.approx(CLEAR - QUIET)


def test_near_keeps_to_a_place() -> None:
    """What somebody names decides between two places that fit alike."""
    heard = [time + at for time in BLOCK for at in (20, 150)]
    search = Search(pieces(0), evidence(300, *heard))
    assert search.best(near=(140, 160)).offsets == pytest.approx((150,))
    assert search.best(near=(10, 30)).offsets == pytest.approx((20,))
