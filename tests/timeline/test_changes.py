"""The frames on which pictures change."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest

from overlay.timeline.changes import timer_changes, title_changes
from overlay.timeline.layout import Layout
from overlay.units.clock import time_to_frame
from overlay.units.rate import RATE_NAMES

FIVE = """\
overlay: 1
title: A
video: {frame_rate: RATE}
timing: {preview: 5s, work: 20s}
blocks: [{intervals: [{name: A}]}]
"""


def test_five_seconds_at_30(laid_out: Callable[[str], Layout]) -> None:
    """Frames 0-29 show 5, 30-59 show 4, ... 120-149 show 1, and frame 150 is the next segment."""
    changes = timer_changes(laid_out(FIVE.replace("RATE", "30")).timeline)
    assert [(frame, state.seconds) for frame, state in changes[:6]] == [
        (0, 5),
        (30, 4),
        (60, 3),
        (90, 2),
        (120, 1),
        (150, 20),
    ]


@pytest.mark.parametrize("rate", RATE_NAMES)
def test_a_digit_stands_for_one_second(laid_out: Callable[[str], Layout], rate: str) -> None:
    """Each digit once, in turn, never 0, from the frame nearest to its own time, at every rate."""
    timeline = laid_out(FIVE.replace("RATE", rate)).timeline
    changes = timer_changes(timeline)
    assert [state.seconds for _, state in changes] == [5, 4, 3, 2, 1, *range(20, 0, -1)]
    assert [frame for frame, _ in changes] == [time_to_frame(Fraction(n), timeline.rate) for n in range(25)]


def test_an_odd_length_begins_short(laid_out: Callable[[str], Layout]) -> None:
    """4.5 s: 5 stands for half a second, the other digits for a whole one."""
    changes = timer_changes(laid_out(FIVE.replace("RATE", "30").replace("5s", "4.5s")).timeline)
    assert [(frame, state.seconds) for frame, state in changes[:5]] == [(0, 5), (15, 4), (45, 3), (75, 2), (105, 1)]


def test_a_hair_more_than_whole_seconds(laid_out: Callable[[str], Layout]) -> None:
    """5.01 s: less than half a frame has no digit of its own, and no digit is left out for it."""
    changes = timer_changes(laid_out(FIVE.replace("RATE", "25").replace("5s", "5.01s")).timeline)
    assert [(frame, state.seconds) for frame, state in changes[:5]] == [(0, 5), (25, 4), (50, 3), (75, 2), (100, 1)]


def test_equal_lengths_share_their_states(laid_out: Callable[[str], Layout]) -> None:
    """Two stretches of 20 s look the same, so they are drawn once."""
    timeline = laid_out(FIVE.replace("RATE", "30").replace("[{name: A}]", "[{name: A}, {name: B}]")).timeline
    states = [state for _, state in timer_changes(timeline)]
    assert (len(states), len(set(states))) == (45, 25)


def test_titles_say_what_comes_next(laid_out: Callable[[str], Layout]) -> None:
    """The name for the work, what comes next in its last seconds, and in a rest what comes after it."""
    text = FIVE.replace("RATE", "30").replace("[{name: A}]", "[{name: A, rest: 5s}, {name: B}]")
    found = [
        (frame, state.kind.value, state.name, state.next) for frame, state in title_changes(laid_out(text).timeline)
    ]
    assert found == [
        (0, "preview", "", None),
        (150, "work", "A", None),
        (570, "work", "A", "B"),
        (750, "rest", "B", None),
        (900, "work", "B", None),
    ]
