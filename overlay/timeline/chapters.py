"""The chapters of a class: the opening, each block, the closing."""

from __future__ import annotations

from fractions import Fraction
from itertools import groupby
from typing import NamedTuple

from overlay.timeline.model import Segment, SegmentKind, Timeline
from overlay.units.span import Span


class Chapter(NamedTuple):
    """A stretch of the class that people look for by name: its frames, its exact seconds, and the segment
    that it begins with (a leader aside)."""

    name: str
    span: Span
    start: Fraction
    end: Fraction
    first: Segment


def chapters_of(timeline: Timeline) -> tuple[Chapter, ...]:
    """The chapters in order, named in the timeline's language; each ends where the next begins.

    A leader is no chapter: it belongs to the one that it leads to.
    """
    runs = [list(run) for _, run in groupby(timeline.segments, key=_key)]
    if runs[0][-1].kind is SegmentKind.LEADER and len(runs) > 1:
        runs[:2] = [runs[0] + runs[1]]
    chapters: list[Chapter] = []
    for run in runs:
        first = next((segment for segment in run if segment.kind is not SegmentKind.LEADER), run[0])
        name = first.block_name or first.block or str(getattr(timeline.phrases, first.kind.value))
        span = Span(run[0].span.start_frame, run[-1].span.end_frame)
        chapters.append(Chapter(name, span, run[0].start, run[-1].end, first))
    return tuple(chapters)


def _key(segment: Segment) -> str | SegmentKind:
    return segment.block or segment.kind
