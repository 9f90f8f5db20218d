"""Segments: in the right order, tiling the class, each boundary nearest to its exact time."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from overlay.plan.read import parse_plan
from overlay.timeline.layout import lay_out
from overlay.units.rate import RATE_NAMES

TWO_ROUNDS = """\
overlay: 1
title: A
timing: {work: 40s, rest: 5s, preview: 12s, between_rounds: 20s, between_blocks: 15s}
opening: {length: 20s}
blocks:
  - id: one
    side: right
    rounds: 2
    intervals: [{name: "Row, {side}", easier: "Rest the {other_side} hand."}, {name: Press, work: 30s, rest: 99s}]
    after: 7s
  - {mirror: one, id: two, rounds: 1}
closing: {length: 10s}
"""


def test_the_order_of_a_class() -> None:
    """Opening; a preview a block; work and rest; between rounds, after the block; closing."""
    timeline = lay_out(parse_plan(TWO_ROUNDS.encode(), "a.yaml")).timeline
    found = [(s.kind.value, s.block, s.round, str(s.duration)) for s in timeline.segments]
    assert found == [
        ("opening", None, None, "20"),
        ("preview", "one", None, "12"),
        ("work", "one", 1, "40"),
        ("rest", "one", 1, "5"),
        ("work", "one", 1, "30"),
        ("rest", "one", 1, "20"),
        ("work", "one", 2, "40"),
        ("rest", "one", 2, "5"),
        ("work", "one", 2, "30"),
        ("rest", "one", 2, "7"),
        ("preview", "two", None, "12"),
        ("work", "two", 1, "40"),
        ("rest", "two", 1, "5"),
        ("work", "two", 1, "30"),
        ("closing", None, None, "10"),
    ]


def test_side_words_are_put_in_on_each_side() -> None:
    """`{side}` and `{other_side}` follow the block, mirrored or not."""
    timeline = lay_out(parse_plan(TWO_ROUNDS.encode(), "a.yaml")).timeline
    rows = {s.block: s.move for s in timeline.segments if s.move and s.move.name.startswith("Row")}
    assert {block: (move.name, move.easier) for block, move in rows.items() if move} == {
        "one": ("Row, right", "Rest the left hand."),
        "two": ("Row, left", "Rest the right hand."),
    }


durations = st.fractions(min_value=Fraction(1, 2), max_value=600, max_denominator=1000)


@settings(max_examples=150)
@given(
    rate=st.sampled_from(RATE_NAMES),
    works=st.lists(durations, min_size=1, max_size=6),
    rest=st.one_of(st.just(Fraction(0)), durations),
    rounds=st.integers(1, 4),
)
def test_segments_tile_the_class(rate: str, works: list[Fraction], rest: Fraction, rounds: int) -> None:
    """No gap, no overlap, no boundary more than half a frame from its exact time, at every rate."""
    intervals = ", ".join(f"{{name: A, work: {float(work):.6f}}}" for work in works)
    text = (
        f"overlay: 1\ntitle: A\nvideo: {{frame_rate: {rate}}}\ntiming: {{rest: {float(rest):.6f}}}\n"
        f"blocks: [{{rounds: {rounds}, intervals: [{intervals}]}}, {{intervals: [{{name: B}}]}}]\n"
    )
    session = parse_plan(text.encode(), "a.yaml")
    timeline = lay_out(session).timeline
    edges = [(s.span.start_frame, s.start) for s in timeline.segments]
    edges.append((timeline.segments[-1].span.end_frame, timeline.duration))
    assert edges[0] == (0, 0)
    for before, after in zip(timeline.segments, timeline.segments[1:], strict=False):
        assert before.span.end_frame == after.span.start_frame
        assert before.end == after.start
    assert all(abs(frame - time * timeline.rate.value) <= Fraction(1, 2) for frame, time in edges)
    assert timeline.duration == session.duration


def test_four_hours_never_drift() -> None:
    """A class of four hours: the last boundary is as near as the first."""
    settings_ = "overlay: 1\ntitle: A\nvideo: {frame_rate: 23.976}\ntiming: {work: 7.7s}\n"
    text = settings_ + "blocks: [{rounds: 600, intervals: [{name: A}]}]"
    timeline = lay_out(parse_plan(text.encode(), "a.yaml")).timeline
    assert timeline.duration > 3.7 * 3600
    assert all(abs(s.span.end_frame - s.end * timeline.rate.value) <= Fraction(1, 2) for s in timeline.segments)
