"""Answers of several files become takes."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from types import SimpleNamespace

import pytest

from overlay.errors import UsageError
from overlay.footage.beeps import Tally
from overlay.footage.cover import cover, place_in_file
from overlay.footage.listen import Answer, BlockPlace, Why
from overlay.footage.sound import Facts
from overlay.footage.takes import Take
from overlay.timeline.model import Timeline


@pytest.fixture
def timeline(corpus: SimpleNamespace) -> Timeline:
    """Two blocks of 20 + 10 + 20 s work, the first from 10 s, the second from 90 s on."""
    made: Timeline = corpus.laid_out(corpus.plan_of(20, 10, [2, 2], 1, 20, 10) + "closing: {length: 10s}\n")[1]
    return made


def answer(name: str, end: int, *places: tuple[int, float, int]) -> Answer:
    """A file of so many seconds; places are (block, offset, beeps heard of 10)."""
    facts = Facts(Fraction(end), True, Fraction(30), True, True, 0.5, ((0, end * 48000),))
    why = Why.FOUND if places else Why.NOT_HEARD
    found = tuple(BlockPlace(block, offset, Tally(10, heard)) for block, offset, heard in places)
    return Answer(Path(name), facts, why, offset=places[0][1] if places else None, drift_ppm=5.0, places=found)


def chosen(timeline: Timeline, *answers: Answer) -> dict[str, tuple[str, float]]:
    takes = cover(timeline, answers, {}).takes
    return {take.block: (take.file.name, float(take.offset)) for take in takes}


def test_the_take_that_is_heard_better(timeline: Timeline) -> None:
    """A block in two files: the one with more beeps heard; of equals the later."""
    first, second = answer("a.mp4", 300, (0, 5, 9), (1, 5, 9)), answer("b.mp4", 300, (0, 7, 10), (1, 7, 9))
    assert chosen(timeline, first, second) == {"block-0": ("b.mp4", 7), "block-1": ("b.mp4", 7)}
    worse = answer("b.mp4", 300, (0, 7, 8), (1, 7, 9))
    assert chosen(timeline, first, worse) == {"block-0": ("a.mp4", 5), "block-1": ("b.mp4", 7)}


def test_a_block_that_is_cut_off_is_a_finding(timeline: Timeline) -> None:
    """All work must lie inside the file, at both ends."""
    covered = cover(timeline, [answer("a.mp4", 100, (0, -12, 10), (1, -12, 10))], {})
    assert covered.takes == ()
    assert [text for text in covered.findings if "block-0" in text]
    assert [text for text in covered.findings if "block-1" in text]


def test_takes_that_stand_already_count(timeline: Timeline) -> None:
    """A day later the missing block is filmed: nothing is missing any more."""
    other = answer("b.mp4", 300, (1, 7, 10))
    assert cover(timeline, [other], {}).findings
    known = {"block-0": Take("block-0", Path("a.mp4"), Fraction(3))}
    assert cover(timeline, [other], known).findings == ()


def test_ends_that_are_missing_are_told(timeline: Timeline) -> None:
    """The class's end cut off is a finding, its opening cut off a remark."""
    whole = answer("a.mp4", 300, (0, -2, 10), (1, -2, 10))
    covered = cover(timeline, [whole], {})
    assert covered.findings == ()
    assert "begins 2s after the class does" in " ".join(covered.remarks)
    short = replace(whole, facts=replace(whole.facts, end=timeline.duration - 6))
    assert "ends 4s before the class does" in " ".join(cover(timeline, [short], {}).findings)


def test_what_an_editor_should_know(timeline: Timeline) -> None:
    """FO1, FO8: a variable frame rate, gaps, and a clock that is half a frame off over the class."""
    good = answer("a.mp4", 300, (0, 5, 10), (1, 5, 10))
    assert cover(timeline, [good], {}).remarks == ()
    facts = replace(good.facts, is_steady=False, sounding=((0, 100), (200, 300)))
    remarks = " ".join(cover(timeline, [replace(good, facts=facts, drift_ppm=200.0)], {}).remarks)
    for words in ("frame rate varies", "1 place", "+200.0 ppm"):
        assert words in remarks


@pytest.mark.parametrize(
    ("text", "seconds"), [("00:00:10;00", Fraction(1001, 100)), ("1:30", 90), ("12.5", Fraction(25, 2)), ("1m2s", 62)]
)
def test_places_in_a_file(timeline: Timeline, text: str, seconds: Fraction) -> None:
    """Timecode at the plan's rate, or a time."""
    assert place_in_file(text, timeline) == seconds


def test_places_that_are_none(timeline: Timeline) -> None:
    """The reason in plain words."""
    with pytest.raises(UsageError):
        place_in_file("00:01:00;00", timeline)
