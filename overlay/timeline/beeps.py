"""Where the beeps stand: worked out from the segments, each on a frame."""

from __future__ import annotations

from collections.abc import Iterable

from overlay.plan.outputs import ToneSettings
from overlay.timeline.model import Beep, BeepKind, Segment, SegmentKind
from overlay.units.clock import frame_to_sample, time_to_frame
from overlay.units.rate import FrameRate

_RANK = {kind: rank for rank, kind in enumerate((BeepKind.START, BeepKind.CHANGE, BeepKind.STOP, BeepKind.READY))}


def beeps_of(segments: tuple[Segment, ...], settings: ToneSettings, rate: FrameRate) -> tuple[Beep, ...]:
    """Every beep of a class in order, at most one on a frame.

    `start` stands where work begins out of anything else, `change` where work runs into work,
    `stop` where work ends into anything else; a class that ends in work has no room for one. Ready
    pips sit whole seconds
    before the kinds that the settings name, as many as find room in the segment they count down.
    Where two would stand on one frame the one that moves people wins: start, change, stop, ready.
    """
    found: dict[int, Beep] = {}
    for beep in _all(segments, settings, rate):
        standing = found.get(beep.frame)
        if standing is None or _RANK[beep.kind] < _RANK[standing.kind]:
            found[beep.frame] = beep
    return tuple(found[frame] for frame in sorted(found))


def _all(segments: tuple[Segment, ...], settings: ToneSettings, rate: FrameRate) -> Iterable[Beep]:
    sample_rate_hz = settings.sample_rate
    before: Segment | None = None
    for segment in segments:
        kind = _border(before, segment)
        border = segment.start
        if kind is not None:
            frame = segment.span.start_frame
            yield Beep(frame, kind, frame_to_sample(frame, rate, sample_rate_hz))
        if kind is not None and before is not None and kind.value in settings.ready_before:
            for seconds in range(1, settings.ready_count + 1):
                time = border - seconds
                # A pip on the border before would be heard as part of that beep.
                if time > before.start:
                    frame = time_to_frame(time, rate)
                    yield Beep(frame, BeepKind.READY, frame_to_sample(frame, rate, sample_rate_hz))
        before = segment


def _border(before: Segment | None, after: Segment) -> BeepKind | None:
    worked = before is not None and before.kind is SegmentKind.WORK
    works = after.kind is SegmentKind.WORK
    if worked and works:
        return BeepKind.CHANGE
    if works:
        return BeepKind.START
    return BeepKind.STOP if worked else None
