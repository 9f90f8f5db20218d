"""Captions: nothing lost, nothing overlapping, on the grid."""

from __future__ import annotations

import itertools
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from overlay.plan.read import parse_plan, read_plan
from overlay.timeline.layout import lay_out
from overlay.words.lines import break_lines

DEMO = Path(__file__).parents[2] / "demo" / "desk-break.yaml"
text_lists = st.lists(
    st.lists(
        st.sampled_from(["sit", "tall", "and", "pull,", "the", "elbow.", "Breathe", "out!", "not", "so", "fast"]),
        min_size=1,
        max_size=40,
    ),
    max_size=6,
)


@settings(max_examples=100)
@given(cues=text_lists, tall=st.booleans())
def test_every_word_stands_in_a_caption(cues: list[list[str]], tall: bool) -> None:
    """Words in = words out, in order; captions never overlap and lie inside the class."""
    rows = ", ".join(f'"{" ".join(words)}"' for words in cues)
    size = "1080x1920" if tall else "1920x1080"
    text = (
        f"overlay: 1\ntitle: A\ncalls: none\nvideo: {{size: {size}, frame_rate: 25}}\n"
        f"blocks: [{{intervals: [{{name: A, cues: [{rows}]}}]}}]\nclosing: {{length: 9s, cues: [Done.]}}"
    )
    timeline = lay_out(parse_plan(text.encode(), "a.yaml")).timeline
    said = " ".join(cue.text for cue in timeline.cues).split()
    assert said == [word for words in cues for word in words] + ["Done."]
    for before, after in zip(timeline.cues, timeline.cues[1:], strict=False):
        assert before.span.end_frame <= after.span.start_frame
    assert all(0 <= c.span.start_frame < c.span.end_frame <= timeline.frame_count for c in timeline.cues)
    limit, lines = (25, 3) if tall else (37, 2)
    assert all(break_lines(cue.text, limit, lines) for cue in timeline.cues)


def test_the_demo_is_comfortable_to_read() -> None:
    """In the demo every caption keeps the default rules: 2 frames apart, 1.2 s, 17 characters a second."""
    timeline = lay_out(read_plan(DEMO)).timeline
    for before, after in zip(timeline.cues, timeline.cues[1:], strict=False):
        assert after.span.start_frame - before.span.end_frame >= 2
    for cue in timeline.cues:
        seconds = cue.span.frame_count / timeline.rate.value
        assert seconds > 1.15
        assert len(cue.text) / seconds < 17.5
        assert len(cue.text) <= 74


def cues_of(cues: str, captions: str = "") -> list[tuple[int, int, str]]:
    head = f"overlay: 1\ntitle: A\ncalls: none\nvideo: {{frame_rate: 25}}\n{captions}"
    text = f"{head}blocks: [{{intervals: [{{name: A, cues: {cues}}}]}}]\n"
    timeline = lay_out(parse_plan(text.encode(), "a.yaml")).timeline
    return [(cue.span.start_frame, cue.span.end_frame, cue.text) for cue in timeline.cues]


def test_broadcast_captions_touch_or_stand_apart() -> None:
    """BBC Subtitle Guidelines 4.5: a gap is at least a second, or none."""
    cues = "[{at: 3s, say: One two three four.}, {at: 5s, say: Five six.}, {at: 15s, say: Seven eight.}]"
    rows = cues_of(cues, "captions: {rules: broadcast}\n")
    gaps = [after[0] - before[1] for before, after in itertools.pairwise(rows)]
    assert gaps[0] == 0
    assert gaps[1] >= 25


def test_a_caption_that_cannot_be_read_in_time_is_told() -> None:
    """Squeezed words are shown all the same, with the figures of what is missing."""
    words = " ".join(["stretching"] * 90)
    text = f"overlay: 1\ntitle: A\ncalls: none\nblocks: [{{intervals: [{{name: A, cues: [{words}]}}]}}]"
    findings = {finding.name: finding for finding in lay_out(parse_plan(text.encode(), "a.yaml")).findings}
    figures = dict(findings["caption-too-fast"].figures)
    assert figures["needs_s"] > figures["has_s"]


def test_slow_talk_is_split_sooner() -> None:
    """At 60 words a minute no caption stands for more than the longest time, about."""
    words = "Breathe in and let the ribs grow wide and then breathe out and let them fall again"
    text = f"overlay: 1\ntitle: A\npace: 60\ncalls: none\nblocks: [{{intervals: [{{name: A, cues: [{words}]}}]}}]"
    timeline = lay_out(parse_plan(text.encode(), "a.yaml")).timeline
    assert len(timeline.cues) >= 3
    assert all(cue.span.frame_count / timeline.rate.value < 7 for cue in timeline.cues)
