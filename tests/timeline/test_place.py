"""Words in their places."""

from __future__ import annotations

import itertools
from collections.abc import Callable

from hypothesis import given, settings
from hypothesis import strategies as st

from overlay.plan.outputs import ToneSettings
from overlay.plan.read import parse_plan
from overlay.plan.saying import Saying
from overlay.timeline.layout import Layout, lay_out
from overlay.timeline.model import CueKind
from overlay.timeline.place import Spoken
from overlay.units.clock import frame_to_time
from overlay.words.pace import time_to_say

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
    assert figures["needs_s"] == float(time_to_say(" ".join(["word"] * 120), 150))
    assert figures["has_s"] < 30
    assert "block one, Row" in finding.place
    said = next(words for words in layout.spoken if words.text.startswith("word"))
    assert (said.start, said.end) == (12, 42)


START_SOUNDS = ToneSettings().sound("start").duration
cue_texts = st.lists(st.integers(1, 12), max_size=6)


@settings(max_examples=200)
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
    tones, guard = ToneSettings(), Saying()
    beeps = [
        (start - guard.before_beep, start + tones.sound(beep.kind.value).duration + guard.after_pip)
        for beep in layout.timeline.beeps
        for start in [frame_to_time(beep.frame, layout.timeline.rate)]
    ]
    for words in said:
        if words.text != "Here.":
            assert not [beep for beep in beeps if beep[0] < words.end and words.start < beep[1]]
    assert [w.text for w in said if w.segment.move and w.segment.move.name == "Row" and w.text in cues] == cues


@settings(max_examples=50)
@given(lengths=cue_texts)
def test_adding_cues_never_moves_one_with_a_time(lengths: list[int]) -> None:
    """An `at:` cue stands where it stands, whatever else is said."""
    cues = [" ".join(["word"] * length) for length in lengths]
    rows = ", ".join([*cues, "{at: 7s, say: Here.}"])
    layout = lay_out(parse_plan(CLASS.replace("CUES", f"[{rows}]").replace("CALLS", "{}").encode(), "a.yaml"))
    assert next(words.start for words in layout.spoken if words.text == "Here.") == 19


def found(layout: Layout) -> dict[str, str]:
    return {finding.name: finding.text for finding in layout.findings}


def test_cues_that_collide(laid_out: Callable[[str], Layout]) -> None:
    """Two fixed cues, the first too long: both stay, and the seconds over are told."""
    cues = "[{at: 5s, say: This is a rather long sentence that takes its time}, {at: 6s, say: Now.}]"
    layout = laid_out(CLASS.replace("CUES", cues).replace("CALLS", "none"))
    assert "“Now.”" in found(layout)["cues-collide"]
    assert [w.text for w in layout.spoken if w.segment.move and w.segment.move.name == "Row"][1] == "Now."


def test_a_cue_over_a_beep(laid_out: Callable[[str], Layout]) -> None:
    """At the very start the beep sounds; a second later it does not."""
    text = CLASS.replace("CALLS", "none")
    for at in ("0s", "0.2s"):
        assert "cue-over-beep" in found(laid_out(text.replace("CUES", f"[{{at: {at}, say: Go.}}]")))
    assert "cue-over-beep" not in found(laid_out(text.replace("CUES", "[{at: 1s, say: Go.}]")))


def test_a_cue_that_runs_out_of_its_segment(laid_out: Callable[[str], Layout]) -> None:
    """Past the end of the work, or longer than it: told with its figures, and kept inside."""
    text = CLASS.replace("CALLS", "none")
    layout = laid_out(text.replace("CUES", "[{at: 29s, say: One more and then we are done.}]"))
    assert "cue-outside-segment" in found(layout)
    last = next(words for words in layout.spoken if words.text.startswith("One more"))
    assert last.end <= 42


def test_a_second_round_that_only_repeats(laid_out: Callable[[str], Layout]) -> None:
    """A remark, and only where the words are the same and there are some."""
    text = CLASS.replace("CALLS", "none").replace("side: left", "side: left\n    rounds: 2")
    assert "repeats-first-round" in found(laid_out(text.replace("CUES", "[Pull.]")))
    other = "[{round: 1, say: Pull.}, {round: 2, say: Slower.}]"
    assert "repeats-first-round" not in found(laid_out(text.replace("CUES", other)))
    assert "repeats-first-round" not in found(laid_out(text.replace("CUES", "[]")))


def test_words_for_a_rest_that_is_not_there(laid_out: Callable[[str], Layout]) -> None:
    """They would never be said: that is told."""
    text = (
        "overlay: 1\ntitle: A\nblocks: [{intervals: [{name: A}], preview: 0s, preview_cues: [Hi.], rest_cues: [Rest.]}]"
    )
    texts = [finding.text for finding in laid_out(text).findings if finding.name == "never-said"]
    assert len(texts) == 2


def test_preview_cues_go_to_what_they_tell_of(laid_out: Callable[[str], Layout]) -> None:
    """Three cues for three exercises in 18 s: each begins in its own share, as far as the pips leave room."""
    text = (
        "overlay: 1\ntitle: A\ncalls: none\ntiming: {preview: 18s}\n"
        "blocks: [{preview_cues: [First., Second., Third.], intervals: [{name: A}, {name: B}, {name: C}]}]"
    )
    starts = [float(words.start) for words in laid_out(text).spoken]
    assert starts == [0.0, 6.0, 12.0]


def test_every_segment_has_a_budget(laid_out: Callable[[str], Layout]) -> None:
    """What there is to speak in, what is needed, and how many words are over."""
    layout = laid_out(CLASS.replace("CUES", "[Pull.]").replace("CALLS", "none"))
    assert len(layout.budgets) == len(layout.timeline.segments)
    row = next(b for b in layout.budgets if b.segment.move and b.segment.move.name == "Row")
    saying = Saying()
    assert row.has == 30 - START_SOUNDS - saying.after_beep - max(saying.before_beep, saying.breath)
    assert row.needs == time_to_say("Pull.", 150)
    assert row.words_over == 0


def test_guards_are_settings(laid_out: Callable[[str], Layout]) -> None:
    """`saying:` in the plan moves what is kept free around a beep."""
    text = CLASS.replace("CUES", "[Pull.]").replace("CALLS", "none")
    first = next(words.start for words in laid_out(text).spoken if words.text == "Pull.")
    later = laid_out("saying: {after_beep: 2s}\n" + text)
    assert first == 12 + START_SOUNDS + Saying().after_beep
    assert next(words.start for words in later.spoken if words.text == "Pull.") == 14 + START_SOUNDS


def test_talk_by_common_practice_fits(laid_out: Callable[[str], Layout]) -> None:
    """Common practice, no source: half a minute of work carries 60 to 90 words; more than 100 do not fit."""
    sentence = "Press the floor away and keep your ribs down while you breathe out."
    for count, fits in ((5, True), (8, False)):
        cues = ", ".join([f'"{sentence}"'] * count)
        layout = laid_out(CLASS.replace("CUES", f"[{cues}]").replace("CALLS", "none"))
        assert ("too-many-words" not in found(layout)) is fits, count * 13


def test_a_long_cue_ends_with_its_segment_and_moves_no_other(laid_out: Callable[[str], Layout]) -> None:
    """It stands where it stands, is over when its segment is, and the next segment's captions stay."""
    text = CLASS.replace("CALLS", "none").replace("- name: Press", "- {name: Press, cues: [{at: 1s, say: Stand up.}]}")
    text = text.replace("      - name: Row\n        cues: CUES", "      - {name: Row, rest: 0s, cues: CUES}")
    alone = laid_out(text.replace("CUES", "[]"))
    long = " ".join(["word"] * 150)
    layout = laid_out(text.replace("CUES", f"[{{at: 20s, say: {long}}}]"))
    said = next(words for words in layout.spoken if words.text == long)
    assert (said.start, said.end) == (32, 42)
    assert "cue-outside-segment" in found(layout)

    def stand_up(one: Layout) -> int:
        return next(cue.span.start_frame for cue in one.timeline.cues if cue.text == "Stand up.")

    assert stand_up(layout) == stand_up(alone)


def test_the_next_exercise_is_named_before_the_pips(laid_out: Callable[[str], Layout]) -> None:
    """However short the call and fast the talk, it never slips between two pips or behind them."""
    text = "pace: 200\n" + CLASS.replace("CUES", "[]").replace("CALLS", "{next: '{next}', last: none}")
    layout = laid_out(text)
    calls = [words for words in layout.spoken if words.kind is CueKind.CALL]
    assert [call.text for call in calls] == ["Row", "Press"]
    for call, start in zip(calls, (12, 52), strict=True):
        assert call.end <= start - 3 - Saying().before_beep
