"""The class as the page has it: words with their captions, findings at their place."""

from __future__ import annotations

from typing import Any

import pytest

from overlay.page.data import class_data
from overlay.plan.advice import Finding, Weight
from overlay.plan.read import parse_plan
from overlay.timeline.check import check_class
from overlay.timeline.layout import lay_out

PLAN = """\
overlay: 1
title: A
language: [en, es]
timing: {preview: 8s, work: 40s, rest: 5s, between_rounds: 10s}
exercises: {row: {name: Row, hands: loaded}, press: {name: Press}}
opening:
  length: 30s
  cues:
    - One sentence that is so long that it takes three captions to show it all, word by word, up to its very
      last one, and then some more.
    - And one more.
blocks:
  - id: one
    rounds: 2
    intervals: [{exercise: row, cues: [Pull.]}, press]
  - {id: two, intervals: [{exercise: row, rest: 0s}, press]}
"""


def data_of(*findings: Finding) -> dict[str, Any]:
    return class_data(lay_out(parse_plan(PLAN.encode("utf-8"), "a.yaml")), {}, findings)


def test_a_line_stands_as_long_as_its_captions() -> None:
    """From the first frame of its first caption to the end of its last; the main language alone."""
    layout = lay_out(parse_plan(PLAN.encode("utf-8"), "a.yaml"))
    captions = [cue for cue in layout.timeline.cues if cue.language == "en"]
    lines = data_of()["lines"]
    assert len(captions) > len(lines)
    assert " ".join(line[4] for line in lines) == " ".join(cue.text for cue in captions)
    first = lines[0]
    inside = [cue for cue in captions if first[0] <= cue.span.start_frame < first[1]]
    assert " ".join(cue.text for cue in inside) == first[4]
    assert (inside[0].span.start_frame, inside[-1].span.end_frame) == (first[0], first[1])


@pytest.mark.parametrize(
    ("place", "kinds"),
    [
        ("block one, round 2, Row", [("work", "one", 2)]),
        ("block one, round 2, Row (es)", [("work", "one", 2)]),
        ("block two", [("preview", "two", None)]),
        ("exercise press", [("work", "one", 1), ("work", "one", 2), ("work", "two", 1)]),
        ("opening", [("opening", None, None)]),
        ("class", []),
        ("plan", []),
        ("block on", []),
    ],
)
def test_findings_stand_at_their_place(place: str, kinds: list[tuple[str, str | None, int | None]]) -> None:
    """A place in words leads to its segments: to the first of each run of them, to none for the whole class."""
    data = data_of(Finding("x", Weight.REMARK, place, "text"))
    found = [data["segments"][number] for number in data["findings"][0]["segments"]]
    assert [
        (s["kind"], s["block"], s["round"][0] if s["round"] else (1 if s["kind"] == "work" else None)) for s in found
    ] == kinds


def test_every_finding_of_check_has_its_place() -> None:
    """What check says of a stretch of the class is at that stretch: only the class and the plan have none."""
    session = parse_plan(PLAN.encode("utf-8"), "a.yaml")
    layout = lay_out(session)
    findings = check_class(session, layout)
    assert findings
    data = class_data(layout, {}, findings)
    for finding, shown in zip(findings, data["findings"], strict=True):
        assert bool(shown["segments"]) == (finding.place not in ("class", "plan"))
