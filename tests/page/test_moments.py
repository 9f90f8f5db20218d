"""What the page shows at a moment is what the timeline has there, in a real browser with a clock of ours."""

from __future__ import annotations

import json
import random
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from overlay.plan.read import parse_plan, read_plan
from overlay.timeline.changes import Countdown, countdown_changes
from overlay.timeline.data import timeline_data
from overlay.timeline.layout import lay_out
from overlay.timeline.model import SegmentKind, Timeline
from overlay.units.clock import frame_to_time

DEMO = Path(__file__).parents[2] / "demo" / "desk-break.yaml"
ODD = """\
overlay: 1
title: Odd lengths
video: {frame_rate: RATE}
timing: {work: 7.3s, rest: 2.5s, preview: 3.75s, between_rounds: 1m45s}
tones: {leader: true}
blocks:
  - id: one
    side: left
    rounds: 3
    preview_cues: [Look.]
    intervals:
      - {name: Row, cues: [Pull now.]}
      - {name: "Press {side}", work: 61.01s, cues: [Push., {at: 30s, say: Half.}]}
    rest_cues: [Breathe.]
closing: {length: 5s}
"""
PLANS: list[str | Path] = [DEMO, *(ODD.replace("RATE", rate) for rate in ("23.976", "25", "59.94"))]
LEAD_IN_S = 0.1
"""From the click to the first frame (`player.js`): the sound has to start first."""
READ = """async times => {
    const text = name => document.getElementById(name).textContent.trim();
    const seen = [];
    for (const time of times) {
        window.now = time;
        for (let n = 0; n < 2; n += 1) await new Promise(done => requestAnimationFrame(done));
        seen.push({count: text('count'), kind: document.getElementById('now').dataset.kind, name: text('what'),
                   side: text('side'), said: text('say-now'), round: text('round'), place: text('at')});
    }
    return seen;
}"""


def timeline_of(plan: str | Path) -> Timeline:
    session = read_plan(plan) if isinstance(plan, Path) else parse_plan(plan.encode("utf-8"), "a.yaml")
    return lay_out(session).timeline


def seen_at(page: Any, timeline: Timeline, frames: list[int]) -> list[dict[str, str]]:
    """What the page shows in the middle of each frame while it plays."""
    page.click("#play")
    page.wait_for_selector(":root[data-playing='true']", state="attached")
    middles = [LEAD_IN_S + float(frame_to_time(2 * frame + 1, timeline.rate) / 2) for frame in frames]
    seen: list[dict[str, str]] = page.evaluate(READ, middles)
    return seen


def label(seconds: int) -> str:
    return str(seconds) if seconds < 100 else f"{seconds // 60}:{seconds % 60:02}"


def counted(timeline: Timeline, frame: int) -> str:
    """What the timer of the pictures counts on a frame."""
    state = [state for start, state in countdown_changes(timeline) if start <= frame][-1]
    assert isinstance(state, Countdown)
    return label(state.seconds)


@pytest.mark.parametrize("plan", PLANS, ids=["demo", "23.976", "25", "59.94"])
def test_sixty_moments(opened: Callable[..., Any], stubbed_clock: str, plan: str | Path) -> None:
    """Countdown, kind, exercise, side and words at random frames, against timeline.json and the timer's pictures."""
    timeline = timeline_of(plan)
    data = json.loads(json.dumps(timeline_data(timeline)))
    start = timeline.time_to_frame(timeline.class_start)
    dice = random.Random(11)
    said_on = [frame for cue in timeline.cues for frame in range(cue.span.start_frame, cue.span.end_frame)]
    frames = dice.sample(range(start, timeline.frame_count), 40) + dice.sample(said_on, 20)
    seen = seen_at(opened(plan, stub=stubbed_clock), timeline, frames)
    captioned = 0
    for frame, shown in zip(frames, seen, strict=True):
        number, segment = next(
            (n, s) for n, s in enumerate(data["segments"]) if s["start_frame"] <= frame < s["end_frame"]
        )
        assert shown["count"] == counted(timeline, frame), frame
        assert shown["kind"] == segment["kind"]
        if segment["kind"] == "rest":
            coming = next((s for s in data["segments"][number:] if s["kind"] in ("work", "preview")), None)
            assert shown["name"] == (coming["name"] if coming else "")
        elif segment["kind"] == "work":
            assert shown["name"] == segment["name"]
            assert shown["side"] == (segment["side"] or "") or segment["side"] in segment["name"]
        captions = [cue["text"] for cue in data["cues"] if cue["start_frame"] <= frame < cue["end_frame"]]
        captioned += len(captions)
        assert all(caption in shown["said"] for caption in captions)
        said = [words for cue in data["cues"] for words in [cue["text"]] if words in shown["said"]]
        assert bool(said) == bool(shown["said"])
    assert captioned >= 20


@pytest.mark.parametrize("plan", PLANS, ids=["demo", "23.976", "25", "59.94"])
def test_every_segment_counts_down_to_one(opened: Callable[..., Any], stubbed_clock: str, plan: str | Path) -> None:
    """On the first frame of each segment stand all of its seconds, on the last a 1, never a 0."""
    timeline = timeline_of(plan)
    edges = [frame for s in timeline.segments for frame in (s.span.start_frame, s.span.end_frame - 1)]
    seen = seen_at(opened(plan, stub=stubbed_clock), timeline, edges)
    for segment, first, last in zip(timeline.segments, seen[::2], seen[1::2], strict=True):
        assert first["kind"] == last["kind"] == segment.kind.value
        if segment.kind is not SegmentKind.LEADER:
            assert first["count"] == counted(timeline, segment.span.start_frame)
        assert last["count"] == "1"


def test_digits_change_on_the_frames_of_the_pictures(opened: Callable[..., Any], stubbed_clock: str) -> None:
    """Every change of the timer, a frame before it and on it: the page changes on the same frame."""
    timeline = timeline_of(PLANS[1])
    changes = [frame for frame, state in countdown_changes(timeline) if state is not None and frame]
    sample = random.Random(3).sample(changes, 80)
    frames = [near for frame in sample for near in (frame - 1, frame) if near >= timeline.segments[0].span.end_frame]
    seen = seen_at(opened(PLANS[1], stub=stubbed_clock), timeline, frames)
    assert [shown["count"] for shown in seen] == [counted(timeline, frame) for frame in frames]


def test_what_comes_and_what_is_easier(opened: Callable[..., Any], stubbed_clock: str) -> None:
    """In the demo's first work: its easier version, the rest and the exercise after it, the words after these."""
    timeline = timeline_of(DEMO)
    work = next(segment for segment in timeline.segments if segment.kind.value == "work")
    page = opened(DEMO, stub=stubbed_clock)
    seen_at(page, timeline, [timeline.time_to_frame(work.start + 1)])
    assert page.inner_text("#tell-easier dd") == "Smaller circles."
    assert page.inner_text("#tell-next dd") == "Rest 10 s · Sit to stand"
    assert page.inner_text("#say-then li:first-child bdi") == "Now the other way."
    assert page.inner_text("#say-then li:first-child span") == "in 15 s, takes 1 s"
    assert page.inner_text("#at") == "0:38"
    assert page.inner_text("#whole") == "11:58"
