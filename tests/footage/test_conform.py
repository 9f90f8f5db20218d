"""The class on the footage's clock: worked by hand, and for any takes."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlay.footage.clip import Clip
from overlay.footage.conform import Conformed, conform
from overlay.footage.takes import Take
from overlay.plan.read import parse_plan
from overlay.plan.session import Session
from overlay.timeline.layout import Layout, lay_out
from overlay.timeline.model import BeepKind, SegmentKind
from overlay.units.span import Span

F = Fraction
ONE, OTHER = Path("one.mp4"), Path("other.mp4")

# As planned: opening 0-5, preview a 5-11, work 11-31, rest 31-41, work 41-61, rest after a 61-76,
# preview b 76-82, work 82-102, rest 102-112, work 112-132, closing 132-136.
PLAN = """\
overlay: 1
title: Small
video: {frame_rate: 25, start: "10:00:00:00"}
opening: {length: 5s, cues: [Hello.]}
timing: {work: 20s, rest: 10s, preview: 6s, between_blocks: 15s}
blocks:
  - {id: a, name: A, rest_cues: [Shake it out.], intervals: [{name: Row, cues: [Pull slowly.]}, {name: Press}]}
  - {id: b, name: B, preview_cues: [The other side.], intervals: [{name: Row}, {name: Press}]}
closing: {length: 4s, cues: [Done.]}
"""


def session_of(text: str = PLAN) -> Session:
    return parse_plan(text.encode(), "a.yaml")


def clip(path: Path = ONE, seconds: int = 600) -> Clip:
    return Clip(path, F(25), 25 * seconds, F(seconds))


def take(block: str, offset: str, ppm: int = 0, path: Path = ONE) -> Take:
    return Take(block, path, F(offset), F(ppm))


def fitted(session: Session, *takes: Take, clips: dict[Path, Clip] | None = None) -> tuple[Layout, Conformed]:
    known = clips or {ONE: clip(ONE), OTHER: clip(OTHER)}
    by_block = {each.block: each for each in takes}
    planned = lay_out(session).timeline
    conformed = conform(planned, by_block, {block: known[each.file] for block, each in by_block.items()})
    return lay_out(session, None, conformed.moved), conformed


def starts(layout: Layout) -> list[Fraction]:
    return [segment.start for segment in layout.timeline.segments]


def test_one_file_without_a_pause_is_the_plan() -> None:
    """The clock of the plan, whole frames into the file: nothing moves but the file."""
    session = session_of()
    layout, conformed = fitted(session, take("a", "12.4"), take("b", "12.4"))
    assert layout == lay_out(session)
    # 12.4 s at 25 frames a second is frame 310; the class lasts 136 s, 3400 frames.
    (filmed,) = conformed.filmed
    assert (filmed.span, filmed.first_frame, filmed.clip.path) == (Span(0, 3400), 310, ONE)


def test_drift_and_pause_by_hand() -> None:
    """A clock that is 100 ppm fast, 7.5 s waited between the blocks; every boundary where the file has it."""
    layout, conformed = fitted(session_of(), take("a", "12.013", 100), take("b", "19.513", 100))
    # Class zero at 12.013 s is nearest to frame 300 (12.000 s): the class's second = the file's - 12.
    # Preview a: 12.013 + 5 * 1.0001 - 12 = 5.0135; work: 12.013 + 11.0011 - 12; and so on to work's end at 61.
    # Preview b: 19.513 + 76 * 1.0001 - 12 = 83.5206; closing: 19.513 + 132.0132 - 12 = 139.5262.
    assert starts(layout) == [
        F("0"), F("5.0135"), F("11.0141"), F("31.0161"), F("41.0171"), F("61.0191"),
        F("83.5206"), F("89.5212"), F("109.5232"), F("119.5242"), F("139.5262"),
    ]  # fmt: skip
    timeline = layout.timeline
    assert timeline.duration == F("143.5266")
    # 5.0135 * 25 = 125.34; 83.5206 * 25 = 2088.0; 143.5266 * 25 = 3588.2.
    assert [timeline.segments[number].span.start_frame for number in (1, 6)] == [125, 2088]
    assert timeline.frame_count == 3588
    rest = timeline.segments[5]
    assert (rest.kind, rest.duration) == (SegmentKind.REST, F("22.5"))  # 15 s planned, 7.5 s waited
    assert rest.end - rest.start == F("22.5015")
    assert [s.duration for s in timeline.segments if s.kind is SegmentKind.WORK] == [20] * 4, "told as planned"
    assert timeline.lasts == F("143.5"), "136 s planned, 7.5 s waited"
    (filmed,) = conformed.filmed
    assert (filmed.span, filmed.first_frame) == (Span(0, 3588), 300)
    assert timeline.frame_to_label(0) == "10:00:00:00", "the start timecode is the plan's"


def test_two_files_are_cut_at_the_border_and_the_rest_is_as_planned() -> None:
    """Block b from another file: 15 s of rest to half a frame, the first file until the border, then the other."""
    layout, conformed = fitted(session_of(), take("a", "12"), take("b", "-70.01", path=OTHER))
    # b begins at 76 s; in its file at 76 - 70.01 = 5.99 s, nearest to frame 150 (6.00 s): from then on
    # class second = file second + 70, so that the preview begins at 75.99.
    assert starts(layout)[5:8] == [F(61), F("75.99"), F("81.99")]
    one, other = conformed.filmed
    # 75.99 * 25 = 1899.75, frame 1900: 12 s on is frame 2200 of the first file, and 150 in the other.
    assert (one.span, one.first_frame) == (Span(0, 1900), 300)
    assert (other.span, other.first_frame) == (Span(1900, 3400), 150)


def test_blocks_filmed_out_of_order_are_cut() -> None:
    """Block b was filmed first, in the same file: as planned, and two pieces of the file."""
    layout, conformed = fitted(session_of(), take("a", "100"), take("b", "-70"))
    assert starts(layout) == starts(lay_out(session_of()))
    assert [(each.span, each.first_frame) for each in conformed.filmed] == [
        (Span(0, 1900), 2500),  # class 0 at 100 s
        (Span(1900, 3400), 150),  # class 76 at 6 s
    ]


def test_less_rest_than_planned_takes_from_the_rest_then_from_the_preview() -> None:
    """5 s skipped leave 10 of 15 s of rest; 17 s skipped leave the least rest, 1 s, and 3 s of preview."""
    layout, _ = fitted(session_of(), take("a", "12"), take("b", "7"))
    assert starts(layout)[5:8] == [61, 71, 77]
    layout, _ = fitted(session_of(), take("a", "12"), take("b", "-5"))
    assert starts(layout)[5:8] == [61, 62, 65]
    # 20 s skipped leave 1 s for rest and preview: that was not filmed in one go.
    layout, conformed = fitted(session_of(), take("a", "12"), take("b", "-8"))
    assert starts(layout)[5:8] == [61, 76, 82]
    assert len(conformed.filmed) == 2


def test_a_pause_where_no_rest_is_planned_becomes_one() -> None:
    """No rest, no preview between the blocks: 4 s waited are a rest, with a stop and a start; 0.3 s are work."""
    session = session_of(
        PLAN.replace("between_blocks: 15s", "between_blocks: 0s").replace("preview: 6s", "preview: 0s")
    )
    planned = lay_out(session).timeline  # work a 5-25, rest, 35-55, work b from 55 on
    assert {beep.kind for beep in planned.beeps if beep.frame == 55 * 25} == {BeepKind.CHANGE}
    layout, _ = fitted(session, take("a", "1"), take("b", "5"))
    assert starts(layout)[3:6] == [35, 55, 59]
    waited = layout.timeline.segments[4]
    assert (waited.kind, waited.block, waited.move, waited.duration) == (SegmentKind.REST, "a", None, 4)
    kinds = {beep.frame: beep.kind for beep in layout.timeline.beeps}
    assert (kinds[55 * 25], kinds[59 * 25]) == (BeepKind.STOP, BeepKind.START)
    layout, _ = fitted(session, take("a", "1"), take("b", "1.3"))
    assert starts(layout)[3:5] == [35, F("55.3")]


def test_no_take_keeps_the_planned_length() -> None:
    """Block b was not filmed: 60 s of it and the closing as planned, behind footage of block a with drift."""
    layout, conformed = fitted(session_of(), take("a", "12", -100))
    # a: work ends at 61 * 0.9999 = 60.9939, its rest at 76 * 0.9999 = 75.9924; then b in its planned steps.
    assert starts(layout)[5:] == [F("60.9939"), *(F("75.9924") + step for step in (0, 6, 26, 36, 56))]
    (filmed,) = conformed.filmed
    assert filmed.span == Span(0, 1900)  # 75.9924 * 25 = 1899.8


def test_a_file_that_begins_late_or_ends_early_leaves_a_gap() -> None:
    """The opening began 2 s before the file did, the file ends 1 s before the class."""
    layout, conformed = fitted(session_of(), take("a", "-2"), take("b", "-2"), clips={ONE: clip(ONE, 133)})
    assert layout.timeline.duration == 136
    (filmed,) = conformed.filmed
    assert (filmed.span, filmed.first_frame) == (Span(50, 3375), 0)


def test_a_leader_stays_as_it_is() -> None:
    """3 s of leader before the class, none of it footage, whatever the camera's clock says."""
    session = session_of(PLAN + "tones: {leader: true}\n")
    layout, conformed = fitted(session, take("a", "10", 500), take("b", "10", 500))
    assert starts(layout)[:2] == [0, 3]
    assert [beep.frame for beep in layout.timeline.beeps if beep.kind is BeepKind.POP] == [25]
    # Class second 3 lies at 10 + 3.0015 = 13.0015 s of the file, frame 325.
    assert (conformed.filmed[0].span.start_frame, conformed.filmed[0].first_frame) == (75, 325)


def test_beeps_at_a_limit_stay_where_a_clock_is_slow() -> None:
    """Work of just 60 s has its half-time beep, filmed by a slow clock or a fast one; a rest of 3 s has two pips."""
    text = PLAN.replace("work: 20s, rest: 10s", "work: 60s, rest: 3s") + "tones: {half: true, half_from: 60s}\n"
    session = session_of(text)
    planned = [beep.kind for beep in lay_out(session).timeline.beeps]
    assert planned.count(BeepKind.HALF) == 4
    for ppm in (-70, 70, 999):
        layout, _ = fitted(session, take("a", "3.003", ppm), take("b", "3.003", ppm))
        assert [beep.kind for beep in layout.timeline.beeps] == planned
        assert {cue.text for cue in layout.timeline.cues} == {cue.text for cue in lay_out(session).timeline.cues}


def test_the_same_in_every_language() -> None:
    """Spans do not depend on the language that things are named in."""
    session = session_of(PLAN.replace("title: Small", "title: Small\nlanguage: [en, es]"))
    _, conformed = fitted(session, take("a", "12", 40), take("b", "33", 40))
    spans = [[s.span for s in lay_out(session, each, conformed.moved).timeline.segments] for each in ("en", "es")]
    assert spans[0] == spans[1]


offsets = st.decimals(min_value=-300, max_value=600, places=3)
takes_of_a_block = st.none() | st.tuples(offsets, st.integers(-1000, 1000), st.sampled_from([ONE, OTHER]))


@settings(max_examples=60, deadline=None)
@given(
    taken=st.tuples(takes_of_a_block, takes_of_a_block, takes_of_a_block),
    near=st.none() | st.lists(st.decimals(min_value=-30, max_value=60, places=3), min_size=2, max_size=2),
    rate=st.sampled_from(["23.976", "25", "29.97", "50", "59.94"]),
    between=st.sampled_from(["0s", "0.7s", "15s"]),
    preview=st.sampled_from(["0s", "4s"]),
    leader=st.booleans(),
)
def test_any_takes_tile_the_class(taken, near, rate, between, preview, leader) -> None:  # type: ignore[no-untyped-def]
    """Gapless segments, every border beep on its segment's frame, no cue lost, footage only where its file has it."""
    text = f"""\
overlay: 1
title: Any
video: {{frame_rate: {rate}, timecode: non-drop}}
opening: {{length: 2.5s, cues: [Hello.]}}
timing: {{work: 8s, rest: 4s, preview: {preview}, between_blocks: {between}}}
tones: {{leader: {str(leader).lower()}}}
blocks:
  - {{id: a, rest_cues: [Shake it out.], intervals: [{{name: Row, cues: [Pull slowly.]}}, {{name: Press}}]}}
  - {{id: b, intervals: [{{name: Row}}, {{name: Press, cues: [Push]}}]}}
  - {{id: c, intervals: [{{name: Row, work: 7.7s}}]}}
"""
    session = session_of(text)
    planned = lay_out(session)
    takes = [Take(b, t[2], F(t[0]), F(t[1])) for b, t in zip("abc", taken, strict=True) if t is not None]
    if near is not None and takes:  # one file, pauses
        first = takes[0]
        moved = [F(0), F(near[0]), F(near[0]) + F(near[1])]
        takes = [Take(b, first.file, first.offset + m, first.drift_ppm) for b, m in zip("abc", moved, strict=True)]
    layout, conformed = fitted(session, *takes)
    segments = layout.timeline.segments
    assert segments[0].span.start_frame == 0
    for one, next_one in pairwise(segments):
        assert one.end == next_one.start
        assert one.span.end_frame == next_one.span.start_frame
        assert one.start < one.end
    border = {BeepKind.START: SegmentKind.WORK, BeepKind.CHANGE: SegmentKind.WORK}
    firsts = {segment.span.start_frame: segment.kind for segment in segments}
    for beep in layout.timeline.beeps:
        if beep.kind in border:
            assert firsts[beep.frame] is border[beep.kind]
        elif beep.kind is BeepKind.STOP:
            assert beep.frame in firsts
    works = [s for s in segments if s.kind is SegmentKind.WORK]
    begun = {beep.frame for beep in layout.timeline.beeps if beep.kind in border}
    assert {work.span.start_frame for work in works} == begun
    assert [s.move for s in works] == [s.move for s in planned.timeline.segments if s.kind is SegmentKind.WORK]

    def said(of: Layout) -> set[str]:
        return {words.text for words in of.spoken if words.kind.value == "cue"}

    assert said(layout) == said(planned)
    for one, next_one in pairwise(layout.timeline.cues):
        assert one.span.end_frame <= next_one.span.start_frame
    for one, next_one in pairwise(conformed.filmed):
        assert one.span.end_frame <= next_one.span.start_frame
    for each in conformed.filmed:
        assert 0 <= each.first_frame <= each.first_frame + each.span.frame_count <= each.frame_count
        assert each.span.end_frame <= layout.timeline.frame_count
    by_block = {each.block: each for each in takes}
    for work, plan in zip(works, (s for s in planned.timeline.segments if s.kind is SegmentKind.WORK), strict=True):
        if work.block in by_block:
            at = by_block[work.block].to_file(plan.start) * layout.timeline.rate.value
            for each in conformed.filmed:
                if work.span.start_frame in range(each.span.start_frame, each.span.end_frame):
                    shown = each.first_frame + work.span.start_frame - each.span.start_frame
                    assert abs(shown - at) <= F(1, 2), "work begins on the frame that is nearest in the file"


@pytest.mark.parametrize("rate", ["25", "30000/1001"])
def test_other_rates_count_in_frames_of_the_class(rate: str) -> None:
    """A file of 10 s at another rate has 299 frames of a class at 29.97 (299.7), whatever its own are."""
    session = session_of(PLAN.replace('frame_rate: 25, start: "10:00:00:00"', "frame_rate: 29.97"))
    short = Clip(ONE, F(rate), nearest_frames(rate), F(10))
    _, conformed = fitted(session, take("a", "0"), take("b", "0"), clips={ONE: short})
    assert [each.frame_count for each in conformed.filmed] == [299 if rate == "25" else 300]


def nearest_frames(rate: str) -> int:
    return round(10 * F(rate))
