"""Which stretches of a class are watched in a proof, and which beep each frame of them is about."""

from __future__ import annotations

from bisect import bisect_right
from fractions import Fraction
from typing import NamedTuple

from overlay.timeline.model import Beep, BeepKind, Timeline
from overlay.units.clock import time_to_frame
from overlay.units.span import Span

BEFORE, AFTER = Fraction(3, 2), Fraction(3, 2)
"""Seconds that are shown around each beep."""
HEARD = Fraction(1, 2)
"""Seconds for which a beep is the one that was just heard; then the next one is waited for."""


class Near(NamedTuple):
    """What a frame of a proof tells of the beep near it, and whether it is heard just now."""

    words: str
    is_heard: bool = False


class Moments:
    """The frames of a proof, and the frames of the class that they show.

    `spans` are stretches of the class in order. The whole class where it is `full` or has no beep, else the
    seconds around every beep; stretches that meet are one.
    """

    def __init__(self, timeline: Timeline, *, full: bool = False) -> None:
        self.timeline = timeline
        self.spans = _all(timeline) if full or not timeline.beeps else _around_beeps(timeline)
        self._starts: list[int] = []
        count = 0
        for span in self.spans:
            self._starts.append(count)
            count += span.frame_count
        self.frame_count = count
        self._beep_frames = [beep.frame for beep in timeline.beeps]
        self._heard_frames = time_to_frame(HEARD, timeline.rate)

    def class_frame(self, frame: int) -> int:
        """The class's frame that a frame of the proof shows; the last one for any later."""
        number = bisect_right(self._starts, frame) - 1
        span = self.spans[number]
        return min(span.start_frame + frame - self._starts[number], span.end_frame - 1)

    def starts(self) -> list[tuple[int, Span]]:
        """Each stretch with the frame of the proof on which it begins."""
        return list(zip(self._starts, self.spans, strict=True))

    def near(self, class_frame: int) -> Near | None:
        """The beep that a frame is about: one just heard, else the nearest.

        How far it is counts in tenths of a second, one that is not over counted whole, as a countdown does.
        """
        beeps, rate = self.timeline.beeps, self.timeline.rate
        number = bisect_right(self._beep_frames, class_frame)
        if not beeps:
            return None
        if number and class_frame - beeps[number - 1].frame < self._heard_frames:
            return Near(_name(beeps[number - 1]), is_heard=True)
        left = beeps[number].frame - class_frame if number < len(beeps) else None
        if left is not None and (not number or left <= class_frame - beeps[number - 1].frame):
            tenths = -(-left * 10 // rate.value)
            return Near(f"{_name(beeps[number])} in {tenths / 10:.1f} s")
        tenths = (class_frame - beeps[number - 1].frame) * 10 // rate.value
        return Near(f"{_name(beeps[number - 1])} {tenths / 10:.1f} s ago")


def _name(beep: Beep) -> str:
    return "sync pop" if beep.kind is BeepKind.POP else beep.kind.value


def _all(timeline: Timeline) -> tuple[Span, ...]:
    return (Span(0, timeline.frame_count),)


def _around_beeps(timeline: Timeline) -> tuple[Span, ...]:
    before, after = time_to_frame(BEFORE, timeline.rate), time_to_frame(AFTER, timeline.rate)
    spans: list[Span] = []
    for beep in timeline.beeps:
        start, end = max(beep.frame - before, 0), min(beep.frame + after, timeline.frame_count)
        if spans and start <= spans[-1].end_frame:
            spans[-1] = Span(spans[-1].start_frame, max(end, spans[-1].end_frame))
        else:
            spans.append(Span(start, end))
    return tuple(spans)
