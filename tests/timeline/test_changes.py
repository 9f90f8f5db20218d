"""The frames on which pictures change."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from itertools import pairwise

import pytest

from overlay.timeline.changes import NEARLY, Tells, countdown_changes, progress_changes, timer_changes, title_changes
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
    changes = countdown_changes(laid_out(FIVE.replace("RATE", "30")).timeline)
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
    changes = countdown_changes(timeline)
    assert [state.seconds for _, state in changes] == [5, 4, 3, 2, 1, *range(20, 0, -1)]
    assert [frame for frame, _ in changes] == [time_to_frame(Fraction(n), timeline.rate) for n in range(25)]


def test_an_odd_length_begins_short(laid_out: Callable[[str], Layout]) -> None:
    """4.5 s: 5 stands for half a second, the other digits for a whole one."""
    changes = countdown_changes(laid_out(FIVE.replace("RATE", "30").replace("5s", "4.5s")).timeline)
    assert [(frame, state.seconds) for frame, state in changes[:5]] == [(0, 5), (15, 4), (45, 3), (75, 2), (105, 1)]


def test_a_hair_more_than_whole_seconds(laid_out: Callable[[str], Layout]) -> None:
    """5.01 s: less than half a frame has no digit of its own, and no digit is left out for it."""
    changes = countdown_changes(laid_out(FIVE.replace("RATE", "25").replace("5s", "5.01s")).timeline)
    assert [(frame, state.seconds) for frame, state in changes[:5]] == [(0, 5), (25, 4), (50, 3), (75, 2), (100, 1)]


def test_equal_lengths_share_their_states(laid_out: Callable[[str], Layout]) -> None:
    """Two stretches of 20 s look the same, so they are drawn once."""
    timeline = laid_out(FIVE.replace("RATE", "30").replace("[{name: A}]", "[{name: A}, {name: B}]")).timeline
    states = [state for _, state in countdown_changes(timeline)]
    assert (len(states), len(set(states))) == (45, 25)


def test_titles_say_what_comes_next(laid_out: Callable[[str], Layout]) -> None:
    """The name for the work, what comes next in its last seconds, and in a rest what comes after it."""
    text = FIVE.replace("RATE", "30").replace("[{name: A}]", "[{name: A, rest: 5s}, {name: B}]")
    found = [
        (frame, state.kind.value, state.name, state.note and (state.note.tells, state.note.text))
        for frame, state in title_changes(laid_out(text).timeline)
    ]
    assert found == [
        (0, "preview", "", None),
        # A block without a name has no title, but what comes first is there.
        (150, "work", "A", None),
        (570, "work", "A", (Tells.NEXT, "B")),
        (750, "rest", "B", None),
        (900, "work", "B", None),
    ]


def test_the_easier_version_is_shown_in_the_first_round_only(laid_out: Callable[[str], Layout]) -> None:
    """After the name was read, for as long as it takes to read, and over before what comes next."""
    text = FIVE.replace("RATE", "30").replace(
        "[{intervals: [{name: A}]}]", "[{rounds: 2, intervals: [{name: A, easier: Use one foot.}]}]"
    )
    notes = [(frame, state.note and state.note.tells) for frame, state in title_changes(laid_out(text).timeline)]
    assert [(frame, tells) for frame, tells in notes if tells is not Tells.NEXT] == [
        (0, None),
        (150, None),
        (270, Tells.EASIER),
        (390, None),
        (750, None),
        (1200, None),
    ]


def test_equipment_is_told_when_it_changes(laid_out: Callable[[str], Layout]) -> None:
    """In the rest before it, or with what comes next where there is no rest; not when it stays."""
    a = "{name: A, equipment: [band], rest: 5s}, {name: B, equipment: [chair]}, {name: C, equipment: [chair]}"
    text = FIVE.replace("RATE", "30").replace("[{name: A}]", f"[{a}, {{name: D, equipment: [mat]}}]")
    told = [(s.kind.value, s.name, s.note.things) for _, s in title_changes(laid_out(text).timeline) if s.note]
    assert [(kind, name, things) for kind, name, things in told if things] == [
        ("work", "A", ("chair",)),
        ("rest", "B", ("chair",)),
        ("work", "C", ("mat",)),
    ]


@pytest.mark.parametrize("rate", RATE_NAMES)
def test_the_gauge_changes_with_every_digit_and_never_steps_far(laid_out: Callable[[str], Layout], rate: str) -> None:
    """Each digit's frame is a change of the gauge too; no step is wider than two of those that were asked for,
    or than a frame needs; it only ever shrinks."""
    timeline = laid_out(FIVE.replace("RATE", rate)).timeline
    changes = timer_changes(timeline, 380, 2)
    frames = [frame for frame, _ in changes]
    assert frames == sorted(set(frames))
    assert {frame for frame, _ in countdown_changes(timeline)} <= set(frames)
    digits = dict(countdown_changes(timeline))
    for (_, one), (frame, two) in pairwise(changes):
        assert one is not None
        assert two is not None
        if one.kind is two.kind:
            assert 0 < one.gauge_px - two.gauge_px <= 8
        if frame in digits:
            shown = digits[frame]
            assert shown is not None
            assert shown.seconds == two.seconds


def test_the_last_seconds_before_work_stand_out(laid_out: Callable[[str], Layout]) -> None:
    """Three of the preview, of a rest before work; none of work or of a rest before a preview."""
    text = FIVE.replace("RATE", "30").replace("[{name: A}]", "[{name: A, rest: 5s}, {name: B}]")
    changes = timer_changes(laid_out(text).timeline, 380, 2)
    near = {(state.kind.value, state.seconds) for _, state in changes if state and state.nearly}
    assert near == {(kind, seconds) for kind in ("preview", "rest") for seconds in range(1, NEARLY + 1)}


def test_progress_moves_a_step_at_a_time(laid_out: Callable[[str], Layout]) -> None:
    """Every place once, in order, on the first frame that has reached it; the block changes on its frame."""
    text = FIVE.replace("RATE", "25").replace("[{name: A}]}]", "[{name: A}]}, {id: two, intervals: [{name: B}]}]")
    timeline = laid_out(text).timeline
    changes = progress_changes(timeline, 100, 4)
    places = [state.done_px for _, state in changes if state]
    assert sorted(set(places)) == list(range(0, 100, 4))
    assert places == sorted(places)
    for frame, state in changes:
        assert state is not None
        assert state.done_px * timeline.frame_count <= 100 * frame + 100
    starts = {segment.block: segment.span.start_frame for segment in reversed(timeline.segments)}
    assert starts["two"] in [frame for frame, state in changes if state and state.block == "two"][:1]
