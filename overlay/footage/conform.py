"""The class on the footage's clock: every segment where it was filmed.

An edit plays footage at its own speed, so a class that is to fit follows the footage's clock. Blocks that stand
in one file in their order make a **run**: the file plays through, and whatever was waited between two blocks is
rest. Between two runs the footage is cut at the border of the blocks, and what lies there is as long as planned.

A run is moved by whole frames of the class: a frame of the class then is a frame of the file, and a segment begins
on the frame nearest to its exact time in the file.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import NamedTuple

from overlay.footage.clip import Clip
from overlay.footage.takes import Take
from overlay.timeline.model import Segment, SegmentKind, Timeline
from overlay.timeline.unroll import Stretch
from overlay.units.clock import frame_to_time, nearest, time_to_frame
from overlay.units.rate import FrameRate
from overlay.units.span import Span

LEAST_LEFT = Fraction(1)
"""Seconds that a rest or a preview between two blocks keeps (all of a shorter one). Where footage leaves less,
the two blocks were not filmed in one go."""
SHORTEST_PAUSE = Fraction(1)
"""Seconds between two blocks with no rest planned, from which on they become a rest."""
HARDLY = Fraction(1, 500)
"""The part by which a segment may be longer or shorter than planned and is still told of as planned."""


@dataclass(frozen=True)
class Filmed:
    """Footage at its place: frame `first_frame` of the `frame_count` of the file, counted at the class's rate, is
    shown on the first frame of `span`."""

    clip: Clip
    span: Span
    first_frame: int
    frame_count: int


@dataclass(frozen=True)
class Conformed:
    """Where the footage puts a class: the segments' exact times, and the footage below it.

    `times` are those of the plan's segments, each from when until when; between two of them lies what was waited
    with no rest planned. `clips` are the files by block: a block that no take covers has none.
    """

    times: tuple[tuple[Fraction, Fraction], ...]
    rate: FrameRate
    filmed: tuple[Filmed, ...]
    clips: Mapping[str, Clip]

    def moved(self, stretches: tuple[Stretch, ...]) -> tuple[Stretch, ...]:
        """The stretches of the class, in any of its languages, on the footage's clock: no gap, no overlap."""
        return tuple(self._moved(stretches))

    def _moved(self, stretches: Sequence[Stretch]) -> Iterator[Stretch]:
        now = Fraction(0)
        before: Segment | None = None
        for stretch, (start, end) in zip(stretches, self.times, strict=True):
            if before is not None and start > now:
                waited = replace(before, kind=SegmentKind.REST, side=None, move=None, meant=_in_tenths(start - now))
                yield Stretch(self._at(waited, now, start))
            meant = self._meant(stretch.segment.duration, end - start)
            yield stretch._replace(segment=self._at(replace(stretch.segment, meant=meant), start, end))
            before, now = stretch.segment, end

    def _meant(self, planned: Fraction, lasts: Fraction) -> Fraction | None:
        """How long a segment is told to be: as planned where it hardly differs, else in tenths of a second."""
        if abs(lasts - planned) > planned * HARDLY + frame_to_time(1, self.rate):
            planned = _in_tenths(lasts)
        return None if planned == lasts else planned

    def _at(self, segment: Segment, start: Fraction, end: Fraction) -> Segment:
        span = Span(time_to_frame(start, self.rate), time_to_frame(end, self.rate))
        return replace(segment, span=span, start=start, end=end)


def _in_tenths(time: Fraction) -> Fraction:
    return Fraction(nearest(time * 10), 10)


class _Clock(NamedTuple):
    """From the plan's time to the class's: `origin + time * rate`."""

    origin: Fraction
    rate: Fraction

    def at(self, time: Fraction) -> Fraction:
        return self.origin + time * self.rate


class _Part(NamedTuple):
    """The segments of one block by their numbers, the opening with the first, the closing with the last."""

    first: int
    end: int
    first_work: int
    last_work: int
    take: Take | None


def conform(timeline: Timeline, takes: Mapping[str, Take], clips: Mapping[str, Clip]) -> Conformed:
    """Put a class that is laid out as planned where its takes say; `takes` and `clips` are by block.

    The class begins on the frame it was planned to begin on, a leader is as it was. A block without a take is as
    long as planned.
    """
    return _Conforming(timeline, takes, clips).result()


class _Conforming:
    def __init__(self, timeline: Timeline, takes: Mapping[str, Take], clips: Mapping[str, Clip]) -> None:
        self.timeline, self.clips = timeline, clips
        self.rate = timeline.rate
        self.frame = frame_to_time(1, timeline.rate)
        self.planned = timeline.segments
        self.parts = _parts(timeline, takes)
        self.times: list[tuple[Fraction, Fraction]] = []
        self.filmed: list[Filmed] = []

    def result(self) -> Conformed:
        now = self.timeline.class_start
        self.times = [(s.start, s.end) for s in self.planned if s.kind is SegmentKind.LEADER]
        shift, run_start = 0, now
        before: tuple[_Part, _Clock] | None = None
        for number, part in enumerate(self.parts):
            clock = None
            if before is not None and part.take is not None:
                clock = self._goes_on(*before, part, shift)
            if clock is None:
                its_shift, its_start = shift, run_start
                shift, clock = self._cut_to(part, now)
                if number:
                    # Whole frames of the file leave the stretch before up to half a frame longer or shorter.
                    run_start = max(clock.at(self.planned[part.first].start), self.times[-1][0])
                    self.times[-1] = self.times[-1][0], run_start
                self._film(before, its_shift, its_start, run_start)
                self._lay(part, clock, run_start)
            else:
                assert before is not None
                self._lay_on(*before, part, clock)
            now, before = self.times[-1][1], (part, clock)
        self._film(before, shift, run_start, now)
        return Conformed(tuple(self.times), self.rate, tuple(self.filmed), self.clips)

    def _cut_to(self, part: _Part, now: Fraction) -> tuple[int, _Clock]:
        """A part that begins a run at `now`: by how many frames its file is moved, and the part's clock."""
        start = self.planned[part.first].start
        if part.take is None:
            return 0, _Clock(now - start, Fraction(1))
        shift = nearest((part.take.to_file(start) - now) * self.rate.value)
        return shift, self._clock(part.take, shift)

    def _clock(self, take: Take, shift: int) -> _Clock:
        return _Clock(take.offset - frame_to_time(shift, self.rate), take.rate)

    def _goes_on(self, before: _Part, its_clock: _Clock, part: _Part, shift: int) -> _Clock | None:
        """The clock of a part that stands in the same file later than the one before; None where it does not."""
        if before.take is None or part.take is None or before.take.file != part.take.file:
            return None
        clock = self._clock(part.take, shift)
        waited = clock.at(self.planned[part.first_work].start) - its_clock.at(self.planned[before.last_work].end)
        least = sum((min(s.duration, LEAST_LEFT) for s in self._between(before, part)), Fraction(0))
        return clock if waited >= least - self.frame / 2 else None

    def _between(self, before: _Part, part: _Part) -> tuple[Segment, ...]:
        return self.planned[before.last_work + 1 : part.first_work]

    def _lay(self, part: _Part, clock: _Clock, start: Fraction) -> None:
        """All segments of a part on one clock, the first from `start` on."""
        for number in range(part.first, part.end):
            segment = self.planned[number]
            begins = start if number == part.first else clock.at(segment.start)
            self.times.append((begins, max(begins, clock.at(segment.end))))

    def _lay_on(self, before: _Part, its_clock: _Clock, part: _Part, clock: _Clock) -> None:
        """A part of the same file: what was waited between the two makes the rest longer or shorter."""
        first = self.planned[part.first]
        worked_until = its_clock.at(self.planned[before.last_work].end)
        start = clock.at(first.start)
        is_preview = part.first < part.first_work
        if before.last_work + 1 < before.end:
            rest = self.planned[before.end - 1]
            start = max(start, worked_until + min(rest.duration, LEAST_LEFT)) if is_preview else start
            self.times[-1] = worked_until, start
        elif start - worked_until < SHORTEST_PAUSE:
            if is_preview:
                start = worked_until
            self.times[-1] = self.times[-1][0], start
        self._lay(part, clock, start)

    def _film(self, last: tuple[_Part, _Clock] | None, shift: int, start: Fraction, end: Fraction) -> None:
        """The footage of a run, as far as the file has it."""
        if last is None or last[0].take is None:
            return
        clip = self.clips[last[0].take.block]
        if not clip.has_picture:
            return
        first, until = time_to_frame(start, self.rate), time_to_frame(end, self.rate)
        count = _frames_of(clip, self.rate)
        first, until = max(first, -shift), min(until, count - shift)
        if first < until:
            self.filmed.append(Filmed(clip, Span(first, until), first + shift, count))


def _frames_of(clip: Clip, rate: FrameRate) -> int:
    """How many frames of a class a file has footage for."""
    if clip.is_steady and clip.frame_rate == rate.value:
        return clip.frame_count
    return int(clip.end * rate.value)


def _parts(timeline: Timeline, takes: Mapping[str, Take]) -> list[_Part]:
    segments = timeline.segments
    numbers: dict[str, list[int]] = {}
    for number, segment in enumerate(segments):
        if segment.block is not None:
            numbers.setdefault(segment.block, []).append(number)
    parts = []
    for block, own in numbers.items():
        works = [number for number in own if segments[number].kind is SegmentKind.WORK]
        parts.append(_Part(own[0], own[-1] + 1, works[0], works[-1], takes.get(block)))
    leader = sum(segment.kind is SegmentKind.LEADER for segment in segments)
    parts[0] = parts[0]._replace(first=leader)
    parts[-1] = parts[-1]._replace(end=len(segments))
    return parts
