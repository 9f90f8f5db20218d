"""The frames at which a layer's picture changes, and what it shows from there on.

A state is a small hashable value that says everything its picture depends on: equal states are
drawn once, however often and wherever in the class they stand.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from overlay.plan.fields import Side
from overlay.timeline.model import Segment, SegmentKind, Timeline
from overlay.units.clock import seconds_shown

NEXT_SHOWN = Fraction(6)
"""Seconds before the end of work for which the title says what comes next."""


@dataclass(frozen=True)
class TimerState:
    """A countdown: whole seconds shown, of a segment that lasts `length` exact seconds."""

    kind: SegmentKind
    seconds: int
    length: Fraction


@dataclass(frozen=True)
class TitleState:
    """A title: what is done now, and on a second line where in the block, or what comes next."""

    kind: SegmentKind
    name: str
    side: Side | None = None
    round: int | None = None
    rounds: int | None = None
    next: str | None = None


def timer_changes(timeline: Timeline) -> tuple[tuple[int, TimerState | None], ...]:
    """Every change of the countdown, from frame 0 on; None where nothing is counted.

    A digit stands from the frame nearest to its own exact time before the segment's end, the same
    frame on which a ready pip for that second starts: 5 4 3 2 1 for five seconds, never 0.
    """
    changes: list[tuple[int, TimerState | None]] = []
    for segment in timeline.segments:
        if segment.kind is SegmentKind.LEADER:
            changes.append((segment.span.start_frame, None))
            continue
        first = seconds_shown(segment.duration)
        # Less than half a frame of a second is no frame: the segment begins with the next digit.
        while first > 1 and timeline.time_to_frame(segment.end - (first - 1)) <= segment.span.start_frame:
            first -= 1
        changes.append((segment.span.start_frame, TimerState(segment.kind, first, segment.duration)))
        for seconds in range(first - 1, 0, -1):
            frame = timeline.time_to_frame(segment.end - seconds)
            if changes[-1][0] < frame < segment.span.end_frame:
                changes.append((frame, TimerState(segment.kind, seconds, segment.duration)))
    return tuple(changes)


def title_changes(timeline: Timeline) -> tuple[tuple[int, TitleState], ...]:
    """Every change of the title: with each segment, and near the end of work with what comes next."""
    changes: list[tuple[int, TitleState]] = []
    for number, segment in enumerate(timeline.segments):
        coming = _coming_work(timeline.segments[number + 1 :])
        state = TitleState(
            kind=segment.kind,
            name=_name(timeline, segment, coming),
            side=segment.side,
            round=segment.round if segment.kind is SegmentKind.WORK else None,
            rounds=segment.rounds if segment.kind is SegmentKind.WORK else None,
        )
        changes.append((segment.span.start_frame, state))
        if segment.kind is SegmentKind.WORK and coming and segment.duration > 2 * NEXT_SHOWN:
            frame = timeline.time_to_frame(segment.end - NEXT_SHOWN)
            changes.append((frame, replace(state, next=coming)))
    return tuple(changes)


def _name(timeline: Timeline, segment: Segment, coming: str | None) -> str:
    if segment.kind is SegmentKind.OPENING:
        return timeline.title
    return (coming if segment.kind is SegmentKind.REST else segment.name) or ""


def _coming_work(following: tuple[Segment, ...]) -> str | None:
    """What is to come: the next exercise, or the block when a preview stands before it."""
    for segment in following:
        if segment.kind in (SegmentKind.WORK, SegmentKind.PREVIEW):
            return segment.name
    return None
