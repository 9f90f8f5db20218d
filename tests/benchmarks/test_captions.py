"""How long it takes to place, break and write captions, and how that grows."""

from __future__ import annotations

import time

import pytest

from overlay.captions.imsc import imsc_text
from overlay.captions.srt import srt_text
from overlay.captions.webvtt import webvtt_text
from overlay.plan.read import parse_plan
from overlay.plan.session import Session
from overlay.timeline.layout import lay_out

CUES = (1250, 2500, 5000, 10_000)
CUES_A_BLOCK = 20
CUES_AN_INTERVAL = 2


def a_class(cues: int) -> Session:
    """A class of so many cues, as long as fits: 10,000 of them take twelve hours."""
    rows = [
        "      - name: Seated row\n        work: 8s\n        cues:\n"
        f"          - Lead with the elbow, number {number}.\n          - And slowly back.\n"
        for number in range(CUES_A_BLOCK // CUES_AN_INTERVAL)
    ]
    block = "  - rounds: 1\n    preview: 0s\n    after: 6s\n    intervals:\n" + "".join(rows)
    text = "overlay: 1\ntitle: Long\ncalls: none\nblocks:\n" + block * (cues // CUES_A_BLOCK)
    return parse_plan(text.encode("utf-8"), "a.yaml")


@pytest.mark.benchmark
def test_captions_of_twelve_hours() -> None:
    """Placed, broken into lines and written in three formats; the plan is read before the clock starts."""
    print()
    a_cue: list[float] = []
    for cues in CUES:
        session = a_class(cues)
        began = time.perf_counter()
        timeline = lay_out(session).timeline
        sizes = [len(write(timeline, "en")) for write in (srt_text, webvtt_text, imsc_text)]
        seconds = time.perf_counter() - began
        a_cue.append(seconds / cues)
        hours = float(timeline.duration) / 3600
        print(f"{cues} cues over {hours:.1f} h: {seconds:.2f} s, {sum(sizes) / 1e6:.1f} MB of text")
    print(f"a cue costs {a_cue[-1] / a_cue[0]:.2f} times as much in the longest class as in the shortest")
