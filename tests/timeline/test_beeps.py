"""Where beeps stand."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest

from overlay.timeline.changes import countdown_changes
from overlay.timeline.layout import Layout
from overlay.units.clock import frame_to_sample, time_to_frame

CLASS = """\
overlay: 1
title: A
video: {frame_rate: 29.97}
timing: {work: 20s, rest: 10s, preview: 12s}
opening: {length: 8s}
blocks: [{intervals: [{name: A, rest: 0s}, {name: B, rest: 2s}, {name: C}]}]
closing: {length: 5s}
"""


def test_starts_changes_and_stops(laid_out: Callable[[str], Layout]) -> None:
    """A start out of rest or preview, a change from work into work, a stop into anything else."""
    timeline = laid_out(CLASS).timeline
    found = [(beep.kind.value, beep.frame) for beep in timeline.beeps if beep.kind.value != "ready"]
    times = [("start", 20), ("change", 40), ("stop", 60), ("start", 62), ("stop", 82)]
    assert found == [(kind, time_to_frame(Fraction(time), timeline.rate)) for kind, time in times]


def test_ready_pips_sit_whole_seconds_before_a_start(laid_out: Callable[[str], Layout]) -> None:
    """3, 2 and 1 s before; in a rest of 2 s only as many as fit between two beeps; none before a change."""
    timeline = laid_out(CLASS).timeline
    found = [beep.frame for beep in timeline.beeps if beep.kind.value == "ready"]
    assert found == [time_to_frame(Fraction(time), timeline.rate) for time in (17, 18, 19, 61)]


@pytest.mark.parametrize("rate", ["23.976", "25", "29.97", "59.94"])
def test_a_beep_starts_on_its_frames_sample(laid_out: Callable[[str], Layout], rate: str) -> None:
    """The sample is the one nearest to the frame, and a pip's frame is the one where the digit changes."""
    timeline = laid_out(CLASS.replace("29.97", rate)).timeline
    assert all(beep.sample == frame_to_sample(beep.frame, timeline.rate, 48000) for beep in timeline.beeps)
    digit_frames = {frame for frame, _ in countdown_changes(timeline)}
    assert {beep.frame for beep in timeline.beeps} <= digit_frames


LONG = """\
overlay: 1
title: A
video: {frame_rate: 25}
timing: {work: 40s, rest: 20s, preview: 12s}
tones: {TONES}
blocks: [{intervals: [{name: A}, {name: B, work: 30s}]}]
closing: {length: 10s}
"""


@pytest.mark.parametrize(
    ("tones", "kind", "times"),
    [
        ("half: true", "half", ["32"]),
        ("half: true, half_from: 30s", "half", ["32", "87"]),
        ("last: true", "last", ["42", "92"]),
        ("last: true, last_at: 20s", "last", ["32"]),
        ("finish: true", "finish", ["110.1"]),
        ("ready_before: [change, stop], ready_count: 2", "ready", ["50", "51", "100", "101"]),
        ("ready_count: 0", "ready", []),
    ],
)
def test_what_else_can_sound(laid_out: Callable[[str], Layout], tones: str, kind: str, times: list[str]) -> None:
    """Half-time of long work, a warning near its end, the end of the class, other ready pips."""
    timeline = laid_out(LONG.replace("{TONES}", f"{{{tones}}}")).timeline
    found = [beep.frame for beep in timeline.beeps if beep.kind.value == kind]
    assert found == [time_to_frame(Fraction(time), timeline.rate) for time in times]


def test_one_beep_a_frame(laid_out: Callable[[str], Layout]) -> None:
    """Where two would stand on one frame the one that moves people wins."""
    text = LONG.replace("{TONES}", "{half: true, last: true, last_at: 20s, ready_before: [stop], ready_count: 10}")
    timeline = laid_out(text.replace("work: 40s", "work: 40s")).timeline
    frames = [beep.frame for beep in timeline.beeps]
    assert len(frames) == len(set(frames))
    kinds = {beep.frame: beep.kind.value for beep in timeline.beeps}
    assert kinds[time_to_frame(Fraction(32), timeline.rate)] == "last"
