"""What a proof shows of a class, by hand."""

from __future__ import annotations

import pytest

from overlay.footage.moments import Moments
from overlay.plan.read import parse_plan
from overlay.timeline.layout import lay_out
from overlay.timeline.model import BeepKind, Timeline
from overlay.units.span import Span

# Preview 0-10 with pips at 7, 8, 9; work 10-40; a rest of 10 s with pips at 47, 48, 49; work 50-80.
PLAN = """\
overlay: 1
title: Small
video: {frame_rate: 25}
timing: {preview: 10s, work: 30s, rest: 10s}
blocks: [{intervals: [{name: Row}, {name: Press}]}]
closing: {length: 20s}
"""


@pytest.fixture
def timeline() -> Timeline:
    return lay_out(parse_plan(PLAN.encode(), "a.yaml")).timeline


def test_seconds_around_every_beep(timeline: Timeline) -> None:
    """1.5 s on both sides; what meets is one stretch: 5.5-11.5, 38.5-41.5, 45.5-51.5, 78.5-81.5 at 25 a second."""
    moments = Moments(timeline)
    assert moments.spans == (Span(137, 288), Span(962, 1038), Span(1137, 1288), Span(1962, 2038))
    assert moments.frame_count == 151 + 76 + 151 + 76
    shown = [moments.class_frame(frame) for frame in range(moments.frame_count)]
    assert shown == [frame for span in moments.spans for frame in range(span.start_frame, span.end_frame)]
    for beep in timeline.beeps:
        assert {beep.frame - 37, beep.frame, beep.frame + 37} <= set(shown)
    assert moments.starts()[1] == (151, Span(962, 1038))


def test_all_of_it(timeline: Timeline) -> None:
    """Every frame once."""
    moments = Moments(timeline, full=True)
    assert (moments.spans, moments.frame_count) == ((Span(0, 2500),), 2500)
    assert moments.class_frame(1234) == 1234


@pytest.mark.parametrize(
    ("frame", "words", "is_heard"),
    [
        (0, "ready in 7.0 s", False),
        (174, "ready in 0.1 s", False),
        (175, "ready", True),
        (186, "ready", True),
        (225, "ready", True),
        (249, "start in 0.1 s", False),
        (250, "start", True),
        (287, "start 1.4 s ago", False),
        (625, "start 15.0 s ago", False),  # 375 frames from the start, 375 from the stop: the stop is not nearer
        (2400, "stop 16.0 s ago", False),
    ],
)
def test_which_beep_a_frame_is_about(timeline: Timeline, frame: int, words: str, is_heard: bool) -> None:
    """The one just heard for half a second, else the nearest, in tenths of a second."""
    near = Moments(timeline).near(frame)
    assert near is not None
    if frame == 625:
        assert near.words in ("start 15.0 s ago", "stop in 15.0 s")
    else:
        assert near == (words, is_heard)


def test_a_class_without_beeps_is_shown_whole(timeline: Timeline) -> None:
    """No beep, nothing to stand around."""
    from dataclasses import replace

    silent = Moments(replace(timeline, beeps=()))
    assert silent.frame_count == 2500
    assert silent.near(5) is None


def test_beeps_at_the_edges_stay_inside(timeline: Timeline) -> None:
    """A beep on the first frame, one on the last: no frame before or after the class."""
    from dataclasses import replace

    from overlay.timeline.model import Beep

    ends = (Beep(0, BeepKind.START, 0), Beep(2499, BeepKind.FINISH, 4798080))
    moments = Moments(replace(timeline, beeps=ends))
    assert moments.spans == (Span(0, 38), Span(2461, 2500))
