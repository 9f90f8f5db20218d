"""Where the beeps stand: worked out from the segments, each on a frame."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from overlay.plan.outputs import ToneSettings
from overlay.timeline.model import Beep, BeepKind, Segment, SegmentKind
from overlay.units.clock import frame_to_sample, frame_to_time, time_to_frame
from overlay.units.rate import FrameRate

_ORDER = (
    BeepKind.POP,
    BeepKind.START,
    BeepKind.CHANGE,
    BeepKind.FINISH,
    BeepKind.STOP,
    BeepKind.LAST,
    BeepKind.HALF,
    BeepKind.READY,
)
_RANK = {kind: rank for rank, kind in enumerate(_ORDER)}
POP_BEFORE_ZERO = Fraction(2)
"""Seconds from the sync pop to class zero: the trade's 2-pop (a one-frame 1 kHz tone)."""


def beeps_of(segments: tuple[Segment, ...], settings: ToneSettings, rate: FrameRate) -> tuple[Beep, ...]:
    """Every beep of a class in order, at most one on a frame.

    `start` stands where work begins out of anything else, `change` where work runs into work,
    `stop` where work ends into anything else; a class that ends in work has no room for one. Ready
    pips sit whole seconds before the kinds that the settings name, as many as find room in the
    segment they count down. `half` stands at half-time of long work, `last` near its end, `finish`
    so that it is over when the class is.

    Where two would stand on one frame the one that moves people wins: start, change, finish, stop,
    last, half, ready.
    """
    found: dict[int, BeepKind] = {}
    for time, kind in _all(segments, settings, rate):
        frame = time_to_frame(time, rate)
        if frame not in found or _RANK[kind] < _RANK[found[frame]]:
            found[frame] = kind
    return tuple(
        Beep(frame, found[frame], frame_to_sample(frame, rate, settings.sample_rate)) for frame in sorted(found)
    )


def _all(segments: tuple[Segment, ...], settings: ToneSettings, rate: FrameRate) -> Iterator[tuple[Fraction, BeepKind]]:
    """Beeps at their exact times, in no order."""
    before: Segment | None = None
    for segment in segments:
        kind = _border(before, segment)
        if kind is not None:
            yield segment.start, kind
            if before is not None and kind.value in settings.ready_before:
                # A pip on the border before would be heard as part of that beep.
                counted = (seconds for seconds in range(1, settings.ready_count + 1) if seconds < before.duration)
                yield from ((segment.start - seconds, BeepKind.READY) for seconds in counted)
        if segment.kind is SegmentKind.LEADER:
            yield segment.end - frame_to_time(time_to_frame(POP_BEFORE_ZERO, rate), rate), BeepKind.POP
        elif segment.kind is SegmentKind.WORK:
            if settings.half and segment.duration >= settings.half_from:
                yield (segment.start + segment.end) / 2, BeepKind.HALF
            if settings.last and settings.last_at and segment.duration >= 2 * settings.last_at:
                yield segment.end - settings.last_at, BeepKind.LAST
        before = segment
    if settings.finish:
        yield max(segments[-1].start, segments[-1].end - settings.sound("finish").duration), BeepKind.FINISH


def _border(before: Segment | None, after: Segment) -> BeepKind | None:
    worked = before is not None and before.kind is SegmentKind.WORK
    works = after.kind is SegmentKind.WORK
    if worked and works:
        return BeepKind.CHANGE
    if works:
        return BeepKind.START
    return BeepKind.STOP if worked else None
