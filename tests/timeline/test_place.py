"""Words in their places."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from overlay.plan.read import parse_plan
from overlay.timeline.layout import Layout, lay_out
from overlay.timeline.model import CueKind
from overlay.timeline.place import BEFORE_BEEP, Spoken
from overlay.units.clock import frame_to_time

CLASS = """\
overlay: 1
title: A
timing: {work: 30s, rest: 10s, preview: 12s}
calls: CALLS
blocks:
  - id: one
    side: left
    intervals:
      - name: Row
        cues: CUES
      - name: Press
    rest_cues: ["Shake the {side} hand.", "Breathe."]
closing: {length: 10s}
"""


def words_of(layout: Layout) -> list[tuple[float, str]]:
    return [(float(words.start), words.text) for words in layout.spoken]


def test_cues_at_a_time_stand_there(laid_out: Callable[[str], Layout]) -> None:
    """Counted from the start of the work, or back from its end; the side word put in."""
    cues = '[{at: 10s, say: "{side} elbow."}, {at: -8s, say: Two more.}]'
    layout = laid_out(CLASS.replace("CUES", cues).replace("CALLS", "none"))
    assert (22.0, "Left elbow.") in words_of(layout)
    assert (34.0, "Two more.") in words_of(layout)


def test_calls_name_what_is_next_and_what_is_left(laid_out: Callable[[str], Layout]) -> None:
    """`next` ends before the ready pips, `last` stands at its time."""
    layout = laid_out(CLASS.replace("CUES", "[]").replace("CALLS", "{last_at: 8s}"))
    calls = [words for words in layout.spoken if words.kind is CueKind.CALL]
    assert [(call.text, float(call.start)) for call in calls if call.text.startswith("Last")] == [
        ("Last 8 seconds.", 34.0),
        ("Last 8 seconds.", 74.0),
    ]
    next_calls = [call for call in calls if call.text.startswith("Next")]
    assert [call.text for call in next_calls] == ["Next, Row.", "Next, Press."]
    assert [float(call.end) for call in next_calls] == [12 - 3 - 0.3, 52 - 3 - 0.3]


def test_calls_can_be_silenced_and_reworded(laid_out: Callable[[str], Layout]) -> None:
    """`none` says nothing; a text of the plan replaces ours."""
    text = CLASS.replace("CUES", "[]")
    assert not [w for w in laid_out(text.replace("CALLS", "none")).spoken if w.kind is CueKind.CALL]
    layout = laid_out(text.replace("CALLS", "{next: 'Now {next}!', last: none}"))
    assert [w.text for w in layout.spoken if w.kind is CueKind.CALL] == ["Now Row!", "Now Press!"]


def test_rest_cues_are_said_in_turn(laid_out: Callable[[str], Layout]) -> None:
    """One rest and two cues: both are said, none is lost."""
    layout = laid_out(CLASS.replace("CUES", "[]").replace("CALLS", "none"))
    assert [words.text for words in layout.spoken] == ["Shake the left hand.", "Breathe."]


def test_too_many_words_are_kept_and_reported(laid_out: Callable[[str], Layout]) -> None:
    """What does not fit stands all the same, inside its segment, and the figures are told."""
    layout = laid_out(CLASS.replace("CUES", f"[{' '.join(['word'] * 120)}]").replace("CALLS", "none"))
    finding = next(finding for finding in layout.findings if finding.name == "too-many-words")
    figures = dict(finding.figures)
    assert figures["needs_s"] == 48.0
    assert figures["has_s"] < 30
    assert "block one, Row" in finding.place
    said = next(words for words in layout.spoken if words.text.startswith("word"))
    assert (said.start, said.end) == (12, 42)


cue_texts = st.lists(st.integers(1, 12), max_size=6)


@settings(max_examples=200, deadline=None)
@given(lengths=cue_texts, at=st.one_of(st.none(), st.integers(0, 26)), work=st.integers(10, 60))
def test_nothing_is_said_over_a_beep_or_over_other_words(lengths: list[int], at: int | None, work: int) -> None:
    """Whatever fits keeps clear of every beep and of all other words, and stays in its order."""
    cues = [" ".join(["word"] * length) for length in lengths]
    rows = [*cues, *([f"{{at: {min(at, work - 4)}s, say: Here.}}"] if at is not None else [])]
    text = CLASS.replace("CUES", f"[{', '.join(rows)}]").replace("CALLS", "{}").replace("work: 30s", f"work: {work}s")
    layout = lay_out(parse_plan(text.encode(), "a.yaml"))
    said: list[Spoken] = list(layout.spoken)
    if any(finding.name == "too-many-words" for finding in layout.findings):
        return
    for before, after in itertools.pairwise(said):
        assert before.end <= after.start
    beeps = [frame_to_time(beep.frame, layout.timeline.rate) for beep in layout.timeline.beeps]
    for words in said:
        if words.text != "Here.":
            assert not [time for time in beeps if words.start - Fraction(1, 10) < time < words.end + BEFORE_BEEP]
    assert [w.text for w in said if w.segment.move and w.segment.move.name == "Row" and w.text in cues] == cues


@settings(max_examples=50, deadline=None)
@given(lengths=cue_texts)
def test_adding_cues_never_moves_one_with_a_time(lengths: list[int]) -> None:
    """An `at:` cue stands where it stands, whatever else is said."""
    cues = [" ".join(["word"] * length) for length in lengths]
    rows = ", ".join([*cues, "{at: 7s, say: Here.}"])
    layout = lay_out(parse_plan(CLASS.replace("CUES", f"[{rows}]").replace("CALLS", "{}").encode(), "a.yaml"))
    assert next(words.start for words in layout.spoken if words.text == "Here.") == 19
