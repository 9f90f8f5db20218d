"""The whole way from a plan to a timeline."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from overlay.plan.advice import Finding
from overlay.plan.session import Session
from overlay.timeline.beeps import beeps_of
from overlay.timeline.cues import cues_of
from overlay.timeline.model import Cue, Timeline
from overlay.timeline.place import Budget, Spoken, place_words
from overlay.timeline.unroll import Stretch, unroll
from overlay.units.clock import time_to_frame
from overlay.words.lines import rules_for
from overlay.words.phrases import phrases_for

Moved = Callable[[tuple[Stretch, ...]], tuple[Stretch, ...]]
"""What puts the stretches of a class at other times; they still tile it."""


class Layout(NamedTuple):
    """A timeline; the words that are said, at their exact times; the budget a segment; what did not fit."""

    timeline: Timeline
    spoken: tuple[Spoken, ...]
    budgets: tuple[Budget, ...]
    findings: tuple[Finding, ...]


def lay_out(session: Session, language: str | None = None, moved: Moved | None = None) -> Layout:
    """Lay a plan out, its segments named in `language` (one of the plan's, its main one by default).

    `moved` puts them where something else than the plan says, such as footage; words and beeps are placed
    there.

    The same plan gives the same layout, always. It raises nothing for a plan that was read: what does not fit is
    among the findings. Segments, beeps and cues are at whole frames, spoken words at exact seconds.

    >>> from overlay.plan.read import parse_plan
    >>> plan = b"overlay: 1\\ntitle: One\\nblocks: [{preview: 0s, intervals: [{name: Squat, work: 20s}]}]"
    >>> layout = lay_out(parse_plan(plan))
    >>> layout.timeline.frame_count, [(beep.kind.value, beep.frame) for beep in layout.timeline.beeps]
    (600, [('start', 0)])
    """
    named_in = language or session.main_language
    rate = session.video.frame_rate
    stretches = unroll(session, named_in)
    if moved is not None:
        stretches = moved(stretches)
    segments = tuple(stretch.segment for stretch in stretches)
    beeps = beeps_of(segments, session.tones, rate)
    rules = rules_for(session.video.size, session.captions)
    frame_count = time_to_frame(segments[-1].end, rate)
    spoken: list[Spoken] = []
    budgets: list[Budget] = []
    findings: list[Finding] = []
    cues: list[Cue] = []
    for each in session.language:
        placed = place_words(session, stretches, beeps, each)
        captioned = cues_of(placed.spoken, rules, rate, frame_count)
        spoken += placed.spoken
        budgets += placed.budgets
        findings += (*placed.findings, *captioned.findings)
        cues += captioned.cues
    timeline = Timeline(
        title=session.title.in_language(named_in, main=session.main_language),
        language=named_in,
        languages=session.language,
        phrases=phrases_for(session, named_in),
        size=session.video.size,
        rate=rate,
        counting=session.video.counting,
        start_frame=session.video.start_frame,
        sample_rate_hz=session.tones.sample_rate,
        segments=segments,
        beeps=beeps,
        cues=tuple(cues),
        rules=rules,
        titles=tuple((each, session.title.in_language(each, main=session.main_language)) for each in session.language),
    )
    return Layout(timeline, tuple(spoken), tuple(budgets), tuple(findings))
