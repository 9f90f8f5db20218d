"""The frames at which a layer's picture changes, and what it shows from there on.

A state is a small hashable value that says everything its picture depends on: equal states are
drawn once, however often and wherever in the class they stand.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from itertools import zip_longest
from typing import NamedTuple

from overlay.plan.fields import Side
from overlay.timeline.model import Segment, SegmentKind, Shown, Timeline
from overlay.units.clock import countdown_frames, seconds_shown

NEXT_SHOWN = Fraction(6)
"""Seconds before the end of a segment for which the title says what comes next; a third of a short one."""
LEAST_SHOWN = Fraction(2)
"""Seconds below which nothing is put on a title: it could not be read."""
EASIER_AFTER = Fraction(4)
"""Seconds of work before the easier version is shown: first the name is read."""
EASIER_LEAST, EASIER_MOST = Fraction(4), Fraction(8)
"""Seconds that the easier version is shown, by its length at `READ_A_SECOND`."""
READ_A_SECOND = 15
"""Characters a second that are read with ease (as for captions, STANDARDS 2.4)."""
NEARLY = 3
"""The last seconds before work out of anything else stand out, as many as ready pips sound by default."""


@dataclass(frozen=True)
class Countdown:
    """Whole seconds shown, in a segment that lasts `length` exact seconds."""

    kind: SegmentKind
    seconds: int
    length: Fraction


@dataclass(frozen=True)
class TimerState:
    """What the timer shows: the seconds left, how far its gauge reaches, and whether work is nearly there."""

    kind: SegmentKind
    seconds: int
    gauge_px: int
    nearly: bool = False


class Tells(Enum):
    """What a title's second line tells beside side and round."""

    EASIER = "easier"
    NEEDED = "needed"
    NEXT = "next"


class Note(NamedTuple):
    """Words that take the place of side and round for a while."""

    tells: Tells
    text: str
    side: Side | None = None
    things: tuple[str, ...] = ()


@dataclass(frozen=True)
class TitleState:
    """A title: what is done now, or in a rest what comes next, and what is told below it."""

    kind: SegmentKind
    name: str
    side: Side | None = None
    round: int | None = None
    rounds: int | None = None
    note: Note | None = None
    image: str | None = None


@dataclass(frozen=True)
class PreviewState:
    """A block's preview: its exercises, and the one that is shown just now, counted from 0."""

    name: str | None
    side: Side | None
    rounds: int | None
    shows: tuple[Shown, ...]
    lit: int | None = None


@dataclass(frozen=True)
class CardState:
    """A full picture for the opening or the closing."""

    kind: SegmentKind


@dataclass(frozen=True)
class ProgressState:
    """How much of the class's strip is over, in pixels, and the block that it is in."""

    done_px: int
    block: str | None


def countdown_changes(timeline: Timeline) -> tuple[tuple[int, Countdown | None], ...]:
    """Every change of the countdown, from frame 0 on; None where nothing is counted.

    A digit stands from the frame nearest to its own exact time before the segment's end, the same
    frame on which a ready pip for that second starts: 5 4 3 2 1 for five seconds, never 0.
    """
    changes: list[tuple[int, Countdown | None]] = []
    for segment in timeline.segments:
        if segment.kind is SegmentKind.LEADER:
            changes.append((segment.span.start_frame, None))
            continue
        first = seconds_shown(segment.duration)
        # Less than half a frame of a second is no frame: the segment begins with the next digit.
        while first > 1 and timeline.time_to_frame(segment.end - (first - 1)) <= segment.span.start_frame:
            first -= 1
        changes.append((segment.span.start_frame, Countdown(segment.kind, first, segment.duration)))
        frame_of = countdown_frames(segment.end, timeline.rate)
        for seconds in range(first - 1, 0, -1):
            frame = frame_of(seconds)
            if changes[-1][0] < frame < segment.span.end_frame:
                changes.append((frame, Countdown(segment.kind, seconds, segment.duration)))
    return tuple(changes)


def timer_changes(timeline: Timeline, gauge_px: int, step_px: int | None) -> tuple[tuple[int, TimerState | None], ...]:
    """Every change of the timer: each digit, and a gauge of `gauge_px` that runs out in steps of about
    `step_px`, a whole number of them a second, so that a digit never changes between two steps; one a
    second where `step_px` is None."""
    changes: list[tuple[int, TimerState | None]] = []
    for segment, following in zip_longest(timeline.segments, timeline.segments[1:]):
        if segment.kind is SegmentKind.LEADER:
            changes.append((segment.span.start_frame, None))
            continue
        duration = segment.duration
        steps_a_second = max(1, round(gauge_px / step_px / duration)) if step_px else 1
        count = -(-duration * steps_a_second // 1)
        frame_of = countdown_frames(segment.end, timeline.rate, steps_a_second)
        to_work = segment.kind is not SegmentKind.WORK and following and following.kind is SegmentKind.WORK
        for left in range(count, 0, -1):
            frame = frame_of(left) if left < count else 0
            seconds = -(-left // steps_a_second)
            gauge = round(Fraction(gauge_px * left * duration.denominator, steps_a_second * duration.numerator))
            nearly = bool(to_work) and seconds <= NEARLY < duration
            state = TimerState(segment.kind, seconds, min(gauge_px, gauge), nearly)
            frame = max(frame, segment.span.start_frame)
            if changes and changes[-1][0] == frame:
                changes.pop()
            if frame < segment.span.end_frame:
                changes.append((frame, state))
    return tuple(changes)


def title_changes(timeline: Timeline) -> tuple[tuple[int, TitleState], ...]:
    """Every change of the title: with each segment, when the easier version is shown, and near the end
    of a segment with what comes next."""
    changes: list[tuple[int, TitleState]] = []
    worked_with: tuple[str, ...] = ()
    for number, segment in enumerate(timeline.segments):
        coming = _coming_work(timeline.segments[number + 1 :])
        for start, note in _notes(segment, coming, worked_with):
            changes.append((timeline.time_to_frame(start), _title(timeline, segment, coming, note)))
        if segment.kind is SegmentKind.WORK and segment.move:
            worked_with = segment.move.equipment
    return tuple(changes)


def _title(timeline: Timeline, segment: Segment, coming: Segment | None, note: Note | None) -> TitleState:
    if segment.card:
        return TitleState(segment.kind, "")
    if segment.kind is SegmentKind.OPENING:
        return TitleState(segment.kind, timeline.title, note=note)
    if segment.kind is SegmentKind.REST:
        image = coming.move.image if coming and coming.move else None
        side = coming.side if coming else None
        return TitleState(segment.kind, (coming and coming.name) or "", side, note=note, image=image)
    is_work = segment.kind is SegmentKind.WORK
    rounds = (segment.round, segment.rounds) if is_work else (None, None)
    image = segment.move.image if is_work and segment.move else None
    return TitleState(segment.kind, segment.name or "", segment.side, *rounds, note, image)


def _notes(
    segment: Segment, coming: Segment | None, worked_with: tuple[str, ...]
) -> list[tuple[Fraction, Note | None]]:
    """The notes of a segment, and the exact time from which each is shown; None where there is none."""
    needed = _needed(
        coming, segment.move.equipment if segment.kind is SegmentKind.WORK and segment.move else worked_with
    )
    if segment.kind is SegmentKind.REST:
        return [(segment.start, Note(Tells.NEEDED, "", things=needed) if needed else None)]
    notes: list[tuple[Fraction, Note | None]] = [(segment.start, None)]
    last = min(NEXT_SHOWN, segment.duration / 3)
    end = segment.end
    if coming is not None and coming.name and last >= LEAST_SHOWN:
        end -= last
        side = coming.side if coming.side is not segment.side else None
        notes.append((end, Note(Tells.NEXT, coming.name, side, needed)))
    easier = segment.move.easier if segment.kind is SegmentKind.WORK and segment.move and segment.round == 1 else None
    if easier:
        lasts = min(EASIER_MOST, max(EASIER_LEAST, Fraction(len(easier), READ_A_SECOND)))
        start = segment.start + EASIER_AFTER
        if start + lasts <= end:
            back: list[tuple[Fraction, Note | None]] = [(start + lasts, None)] if start + lasts < end else []
            notes[1:1] = [(start, Note(Tells.EASIER, easier)), *back]
    return notes


def _needed(coming: Segment | None, worked_with: tuple[str, ...]) -> tuple[str, ...]:
    """The equipment of the coming work where it is other than what is in use; a preview lists its own."""
    if coming is None or coming.kind is not SegmentKind.WORK or coming.move is None:
        return ()
    return coming.move.equipment if set(coming.move.equipment) != set(worked_with) else ()


def _coming_work(following: tuple[Segment, ...]) -> Segment | None:
    """What is to come: the next exercise, or the block when a preview stands before it."""
    for segment in following:
        if segment.kind in (SegmentKind.WORK, SegmentKind.PREVIEW):
            return segment
    return None


def card_changes(timeline: Timeline) -> tuple[tuple[int, CardState | PreviewState | None], ...]:
    """Every change of previews and cards; None where neither is shown.

    Each exercise is lit for its share of the preview, the same share in which its cue is said
    (`timeline/place.py`).
    """
    changes: list[tuple[int, CardState | PreviewState | None]] = []

    def show(start: Fraction, state: CardState | PreviewState | None) -> None:
        frame = timeline.time_to_frame(start)
        if changes and changes[-1][0] == frame:
            changes.pop()
        if not changes or changes[-1][1] != state:
            changes.append((frame, state))

    for segment in timeline.segments:
        if segment.kind is not SegmentKind.PREVIEW:
            show(segment.start, CardState(segment.kind) if segment.card else None)
            continue
        shows = segment.shows
        for number in range(len(shows)):
            lit = number if len(shows) > 1 else None
            state = PreviewState(segment.block_name, segment.side, segment.rounds, shows, lit)
            show(segment.start + segment.duration * number / len(shows), state)
    return tuple(changes)


def progress_changes(timeline: Timeline, width_px: int, step_px: int) -> tuple[tuple[int, ProgressState | None], ...]:
    """Every change of the class's strip of `width_px`: at each step of `step_px` and at each block."""
    first = timeline.time_to_frame(timeline.class_start)
    frames = timeline.frame_count - first
    steps = {first + -(-done * frames // width_px): done for done in range(0, width_px, step_px)}
    blocks = {segment.span.start_frame: segment.block for segment in timeline.segments}
    changes: list[tuple[int, ProgressState | None]] = [(0, None)] if first else []
    done, block = 0, None
    for frame in sorted({*steps, *(frame for frame in blocks if frame >= first)}):
        done, block = steps.get(frame, done), blocks.get(frame, block)
        if frame < timeline.frame_count and (not changes or changes[-1][1] != ProgressState(done, block)):
            changes.append((frame, ProgressState(done, block)))
    return tuple(changes)
