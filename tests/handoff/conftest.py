"""Classes to hand off in the tests of this folder."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from overlay.plan.read import parse_plan
from overlay.timeline.layout import lay_out
from overlay.timeline.model import Timeline

LaidOut = Callable[..., Timeline]

PLAN = """\
overlay: 1
title: Small class
video: {size: 640x360, frame_rate: RATE, start: "START"}
timing: {work: 4.5s, rest: 5s, preview: 4s, between_rounds: 3s, between_blocks: 4s}
opening: {length: 2s, cues: [Hello and welcome.]}
tones: {leader: LEADER}
blocks:
  - id: one
    name: Pull
    side: right
    rounds: 2
    intervals: [{name: Row, rest: 0s, cues: [Pull]}, {name: Press}]
  - {mirror: one, id: two, name: Other pull}
closing: {length: 2s, cues: [Done.]}
"""


@pytest.fixture
def small_class() -> LaidOut:
    """Lays out a small class of two blocks, at a rate and from a start timecode; a `;` in it asks for drop-frame."""

    def laid_out(rate: str = "25", start: str = "01:00:00:00", *, leader: bool = False) -> Timeline:
        text = PLAN.replace("RATE", rate).replace("START", start).replace("LEADER", str(leader).lower())
        if ";" not in start:
            text = text.replace("{size: 640x360,", "{size: 640x360, timecode: non-drop,")
        return lay_out(parse_plan(text.encode("utf-8"), "small.yaml")).timeline

    return laid_out
