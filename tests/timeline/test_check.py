"""Proof-reading a class."""

from __future__ import annotations

from pathlib import Path

import pytest

from overlay.plan.advice import Finding
from overlay.plan.read import parse_plan, read_plan
from overlay.timeline.check import check_class
from overlay.timeline.layout import lay_out

DEMO = Path(__file__).parents[2] / "demo" / "desk-break.yaml"
GOOD = """\
overlay: 1
title: A
exercises:
  plank: {name: Plank, hands: loaded, position: floor, easier: On the knees.}
  squat: {name: Squat, hands: free, position: standing}
  tap: {name: Toe tap, hands: free, position: standing}
  reach: {name: Side reach, hands: loaded, position: floor, easier: Lower the knee.}
opening: {length: 15s}
blocks:
  - {id: warm, intervals: [squat, tap, squat, tap]}
  - {id: hold, rounds: 2, intervals: [plank, reach, plank]}
  - id: legs
    side: right
    intervals: [squat, tap, squat]
  - {mirror: legs, id: legs-left}
  - {id: end, intervals: [tap]}
closing: {length: 10s}
"""


def findings(text: str) -> list[Finding]:
    session = parse_plan(text.encode("utf-8"), "a.yaml")
    return list(check_class(session, lay_out(session)))


def names(text: str) -> list[str]:
    return [finding.name for finding in findings(text)]


def test_a_class_by_common_practice_checks_clean() -> None:
    """Common practice, no source: threes of 30 s back to back, 15 s between rounds and blocks, a preview
    before each block, plank-like blocks in turn with hands-free ones, a one-sided block followed by its
    mirror, a half-minute for both sides to end on."""
    assert names(GOOD) == []


def test_the_demo_checks_clean() -> None:
    """The demo is what it preaches."""
    session = read_plan(DEMO)
    assert check_class(session, lay_out(session)) == ()


@pytest.mark.parametrize(
    ("right", "wrong", "name", "weight"),
    [
        ("  - {mirror: legs, id: legs-left}\n", "", "sides-unequal", "finding"),
        ("rounds: 2, intervals", "rounds: 2, between_rounds: 5s, intervals", "hands-loaded-long", "finding"),
        ("{id: warm,", "{id: warm, after: 2s, preview: 0s,", "preview-too-short", None),
        ("{id: hold, rounds: 2,", "{id: hold, rounds: 2, preview: 5s,", "preview-too-short", "finding"),
        (", easier: On the knees.", "", "no-easier-version", "finding"),
        ("rounds: 2, intervals", "rounds: 5, intervals", "block-long", "finding"),
        ("[squat, tap, squat, tap]", "[squat]", "block-short", "finding"),
        ("overlay: 1", "overlay: 1\ntarget: 12m", "off-target", "finding"),
        ("side: right", "side: right\n    rest_cues: [Shake the right leg.]", "side-written-out", "finding"),
        ("[squat, tap, squat, tap]", "[squat, plank, squat, tap]", "change-too-quick", "finding"),
    ],
)
def test_what_is_noticed(right: str, wrong: str, name: str, weight: str | None) -> None:
    """Each departure from the good class is noticed by its name, with figures or words."""
    assert right in GOOD
    text = GOOD.replace(right, wrong)
    if name == "hands-loaded-long":
        text = text.replace("overlay: 1", "overlay: 1\nchecks: {hands_loaded: 2m}")
    found = {finding.name: finding for finding in findings(text)}
    assert (found[name].weight.value if name in found else None) == weight


def test_a_preview_of_no_length_is_not_there() -> None:
    """Zero is a choice, not a preview that is too short."""
    assert "preview-too-short" not in names(GOOD.replace("{id: hold,", "{id: hold, preview: 0s,"))


def test_equipment_takes_time_to_fetch() -> None:
    """A new thing in the hand needs longer than a new position."""
    text = GOOD.replace("tap: {name: Toe tap,", "tap: {name: Toe tap, equipment: [band],")
    finding = next(finding for finding in findings(text) if finding.name == "change-too-quick")
    assert "to fetch band" in finding.text
    assert dict(finding.figures) == {"has_s": 0.0, "needs_s": 10.0}


@pytest.mark.parametrize(
    ("frame", "name"),
    [("opening: {length: 15s}\n", "no-warm-up"), ("closing: {length: 10s}\n", "no-closing")],
)
def test_something_easy_to_begin_and_to_end_with(frame: str, name: str) -> None:
    """Remarks, and only where the first or last work is hard or one-sided."""
    without = GOOD.replace(frame, "")
    assert names(without) == []
    hard = without.replace("[squat, tap, squat, tap]", "[plank, plank, plank]")
    hard = hard.replace("intervals: [tap]}", "intervals: [plank]}")
    found = {finding.name: finding.weight.value for finding in findings(hard)}
    assert found[name] == "remark"


@pytest.mark.parametrize(
    ("words", "noticed"),
    [
        ("Lift the left knee.", True),
        ("Right hand first.", True),
        ("All right, here we go.", False),
        ("Right now, breathe.", False),
        ("Lift the {side} knee.", False),
        ("A bright start.", False),
    ],
)
def test_side_words_that_would_be_wrong_on_the_other_side(words: str, noticed: bool) -> None:
    """Only words for a side, only where a block is mirrored."""
    text = GOOD.replace("side: right", f'side: right\n    preview_cues: ["{words}"]')
    assert ("side-written-out" in names(text)) is noticed
    alone = text.replace("  - {mirror: legs, id: legs-left}\n", "")
    assert "side-written-out" not in names(alone)


def test_settings_move_the_limits() -> None:
    """`checks:` in the plan decides from where on something is said."""
    assert "block-long" in names(GOOD.replace("overlay: 1", "overlay: 1\nchecks: {block_most: 2m}"))
    assert "off-target" not in names(GOOD.replace("overlay: 1", "overlay: 1\ntarget: 12m\nchecks: {target_within: 9m}"))
