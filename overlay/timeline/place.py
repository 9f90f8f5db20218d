"""Where the words go: what is said when, in every language, never over a beep.

Cues with `at:` stand where the plan says. Calls come next, as late as the beeps allow. Floating
cues fill what is left, in their order, spread over the segment. What does not fit is kept and
reported: it is then squeezed into its segment.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import NamedTuple

from overlay.plan.advice import Finding, Weight
from overlay.plan.blocks import Cue as WrittenCue
from overlay.plan.fields import Text
from overlay.plan.session import Session
from overlay.timeline.model import Beep, BeepKind, CueKind, Segment, SegmentKind
from overlay.timeline.unroll import Stretch
from overlay.units.clock import format_duration, frame_to_time
from overlay.words.pace import time_to_say
from overlay.words.phrases import phrases_for
from overlay.words.sides import fill, side_values

BEFORE_BEEP = Fraction(3, 10)
"""Seconds kept free before a beep, so that it is heard by itself. Common practice, no source."""
AFTER_BEEP = {BeepKind.READY: Fraction(3, 10), BeepKind.POP: Fraction(3, 10)}
AFTER_BORDER = Fraction(7, 10)
"""Seconds kept free after a beep that moves people. Common practice, no source."""
BREATH = Fraction(3, 10)
"""The least pause between two cues, in seconds. Common practice, no source."""

Room = tuple[Fraction, Fraction]


class Spoken(NamedTuple):
    """Words with the exact times at which they are said."""

    segment: Segment
    language: str
    kind: CueKind
    text: str
    start: Fraction
    end: Fraction


@dataclass(frozen=True)
class _ToSay:
    text: str
    length: Fraction
    kind: CueKind = CueKind.CUE
    at: Fraction | None = None


def place_words(
    session: Session, stretches: Sequence[Stretch], beeps: Sequence[Beep], language: str
) -> tuple[tuple[Spoken, ...], tuple[Finding, ...]]:
    """Everything that is said in one language, in order of time, and what did not fit."""
    placer = _Placer(session, stretches, beeps, language)
    spoken = [words for number in range(len(stretches)) for words in placer.segment(number)]
    spoken.sort(key=lambda words: words.start)
    return tuple(spoken), tuple(placer.findings)


class _Placer:
    def __init__(self, session: Session, stretches: Sequence[Stretch], beeps: Sequence[Beep], language: str) -> None:
        self.session = session
        self.stretches = stretches
        self.beep_times = [(frame_to_time(beep.frame, session.video.frame_rate), beep.kind) for beep in beeps]
        self.language = language
        self.phrases = phrases_for(session, language)
        self.findings: list[Finding] = []
        self.rest_lines = _share_rest_lines(stretches)
        self._next_beep = 0

    def segment(self, number: int) -> Iterator[Spoken]:
        """The words of one segment; segments are asked for in order."""
        stretch = self.stretches[number]
        segment = stretch.segment
        free = self._free(segment)
        cues = list(self._written(stretch, number))
        fixed = [cue for cue in cues if cue.at is not None]
        floating = [cue for cue in cues if cue.at is None]
        taken: list[tuple[_ToSay, Fraction]] = []
        for cue in fixed:
            start = self._fixed_start(segment, cue)
            taken.append((cue, start))
            free = _without(free, (start - BREATH, start + cue.length + BREATH))
        for call in self._calls(number):
            start_of_call = _latest(free, call, segment.end)
            if start_of_call is None:
                self._report("no-room-for-call", Weight.REMARK, segment, f"no room to say “{call.text}”", ())
                continue
            taken.append((call, start_of_call))
            free = _without(free, (start_of_call - BREATH, start_of_call + call.length + BREATH))
        taken += self._floated(segment, floating, free)
        for words, start in sorted(taken, key=lambda pair: pair[1]):
            yield Spoken(segment, self.language, words.kind, words.text, start, start + words.length)

    def _written(self, stretch: Stretch, number: int) -> Iterator[_ToSay]:
        segment, session = stretch.segment, self.session
        lines: Sequence[Text | WrittenCue] = ()
        if segment.kind is SegmentKind.OPENING and session.opening:
            lines = session.opening.cues
        elif segment.kind is SegmentKind.CLOSING and session.closing:
            lines = session.closing.cues
        elif segment.kind is SegmentKind.PREVIEW and stretch.block:
            lines = stretch.block.preview_cues
        elif segment.kind is SegmentKind.REST:
            lines = self.rest_lines.get(number, ())
        elif stretch.interval:
            lines = [cue for cue in stretch.interval.cues if cue.round in (None, segment.round)]
        side = stretch.block.side if stretch.block else None
        slots = side_values(side, self.phrases)
        for line in lines:
            words, at = (line.say, line.at) if isinstance(line, WrittenCue) else (line, None)
            text = fill(words.in_language(self.language, main=session.main_language), slots)
            yield _ToSay(text, time_to_say(text, session.pace), at=at)

    def _calls(self, number: int) -> Iterator[_ToSay]:
        segment, last_at = self.stretches[number].segment, self.session.calls.last_at
        following = self.stretches[number + 1].segment if number + 1 < len(self.stretches) else None
        if self.phrases.next_call and following is not None and following.kind is SegmentKind.WORK:
            yield self._call(fill(self.phrases.next_call, {"next": self._name_in_language(number + 1)}))
        long_enough = last_at and segment.duration >= 2 * last_at
        if self.phrases.last_call and segment.kind is SegmentKind.WORK and long_enough:
            seconds = format_duration(last_at).removesuffix("s")
            yield replace(self._call(fill(self.phrases.last_call, {"seconds": seconds})), at=-last_at)

    def _call(self, text: str) -> _ToSay:
        return _ToSay(text, time_to_say(text, self.session.pace), CueKind.CALL)

    def _name_in_language(self, number: int) -> str:
        stretch, session = self.stretches[number], self.session
        interval, move = stretch.interval, stretch.segment.move
        name = interval.name if interval and interval.name else session.exercises[str(move and move.exercise)].name
        side = stretch.block.side if stretch.block else None
        return fill(
            name.in_language(self.language, main=session.main_language),
            side_values(side, self.phrases),
        )

    def _free(self, segment: Segment) -> list[Room]:
        """The stretches of a segment that no beep needs."""
        free = [(segment.start, segment.end - BREATH)] if segment.duration > BREATH else []
        while self._next_beep and self.beep_times[self._next_beep - 1][0] >= segment.start - AFTER_BORDER:
            self._next_beep -= 1
        while self._next_beep < len(self.beep_times):
            time, kind = self.beep_times[self._next_beep]
            if time > segment.end + BEFORE_BEEP:
                break
            free = _without(free, (time - BEFORE_BEEP, time + AFTER_BEEP.get(kind, AFTER_BORDER)))
            self._next_beep += 1
        return free

    def _fixed_start(self, segment: Segment, cue: _ToSay) -> Fraction:
        at = cue.at or Fraction(0)
        start = segment.start + at if at >= 0 else segment.end + at
        if start < segment.start or start + cue.length > segment.end:
            figures = (("needs_s", float(cue.length)), ("at_s", float(at)), ("segment_s", float(segment.duration)))
            text = f"“{cue.text}” at {format_duration(abs(at))} runs out of its {format_duration(segment.duration)}"
            self._report("cue-outside-segment", Weight.FINDING, segment, text, figures)
        return min(max(start, segment.start), max(segment.start, segment.end - cue.length))

    def _floated(self, segment: Segment, cues: list[_ToSay], free: list[Room]) -> list[tuple[_ToSay, Fraction]]:
        if not cues:
            return []
        placed = _spread(cues, free)
        if placed is not None:
            return placed
        needs = sum((cue.length for cue in cues), BREATH * (len(cues) - 1))
        has = sum((end - start for start, end in free), Fraction(0))
        over = max(1, round((needs - has) * self.session.pace / 60)) if needs > has else 1
        text = (
            f"the words need {float(needs):.1f} s and there are {float(has):.1f} s to say them: "
            f"about {over} {'word' if over == 1 else 'words'} too many"
        )
        figures = (("needs_s", float(needs)), ("has_s", float(has)), ("words_over", float(over)))
        self._report("too-many-words", Weight.FINDING, segment, text, figures)
        squeeze = min(Fraction(1), segment.duration / needs)
        placed, now = [], segment.end - needs * squeeze
        for cue in cues:
            placed.append((replace(cue, length=cue.length * squeeze), now))
            now += (cue.length + BREATH) * squeeze
        return placed

    def _report(
        self, name: str, weight: Weight, segment: Segment, text: str, figures: tuple[tuple[str, float], ...]
    ) -> None:
        place = place_in_words(segment)
        language = f" ({self.language})" if self.language != self.session.main_language else ""
        self.findings.append(Finding(name, weight, place + language, text, figures))


def place_in_words(segment: Segment) -> str:
    """Where a segment stands, for a message: `block pull-right, round 2, Seated band row`."""
    if segment.block is None:
        return segment.kind.value
    parts = [f"block {segment.block}"]
    if segment.rounds and segment.rounds > 1 and segment.round:
        parts.append(f"round {segment.round}")
    parts.append(segment.move.name if segment.move and segment.kind is SegmentKind.WORK else segment.kind.value)
    return ", ".join(parts)


def _share_rest_lines(stretches: Sequence[Stretch]) -> dict[int, Sequence[Text]]:
    """Which rest says which of its block's rest cues: in turn, none left out, starting over at need."""
    rests: dict[str, list[int]] = {}
    for number, stretch in enumerate(stretches):
        if stretch.segment.kind is SegmentKind.REST and stretch.block and stretch.block.rest_cues:
            rests.setdefault(str(stretch.block.id), []).append(number)
    shared: dict[int, Sequence[Text]] = {}
    for numbers in rests.values():
        block = stretches[numbers[0]].block
        cues = block.rest_cues if block else ()
        for turn, number in enumerate(numbers):
            if len(cues) <= len(numbers):
                shared[number] = (cues[turn % len(cues)],)
            else:
                shared[number] = cues[turn * len(cues) // len(numbers) : (turn + 1) * len(cues) // len(numbers)]
    return shared


def _without(free: list[Room], taken: Room) -> list[Room]:
    left = []
    for start, end in free:
        if taken[1] <= start or taken[0] >= end:
            left.append((start, end))
            continue
        if start < taken[0]:
            left.append((start, taken[0]))
        if taken[1] < end:
            left.append((taken[1], end))
    return left


def _latest(free: list[Room], words: _ToSay, segment_end: Fraction) -> Fraction | None:
    """The latest start in free room; words with a time of their own stand there or nowhere."""
    for start, end in reversed(free):
        if words.at is not None:
            wanted = segment_end + words.at
            if start <= wanted and wanted + words.length <= end:
                return wanted
        elif end - start >= words.length:
            return end - words.length
    return None


def _spread(cues: list[_ToSay], free: list[Room]) -> list[tuple[_ToSay, Fraction]] | None:
    """Starts for the cues in their order, spread over the free room, or None where they do not fit."""
    latest: list[Fraction] = []
    limit = free[-1][1] if free else Fraction(0)
    for cue in reversed(cues):
        start = _fit_back(free, limit, cue.length)
        if start is None:
            return None
        latest.insert(0, start)
        limit = start - BREATH
    first, last = free[0][0], free[-1][1]
    now, placed = first, []
    for number, cue in enumerate(cues):
        wanted = max(now, first + (last - first) * Fraction(number, len(cues)))
        start = _fit_on(free, wanted, cue.length)
        if start is None or start > latest[number]:
            start = latest[number]
        placed.append((cue, start))
        now = start + cue.length + BREATH
    return placed


def _fit_back(free: list[Room], limit: Fraction, length: Fraction) -> Fraction | None:
    for start, end in reversed(free):
        begin = min(end, limit) - length
        if begin >= start:
            return begin
    return None


def _fit_on(free: list[Room], wanted: Fraction, length: Fraction) -> Fraction | None:
    for start, end in free:
        begin = max(start, wanted)
        if begin + length <= end:
            return begin
    return None
