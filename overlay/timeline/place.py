"""Where the words go: what is said when, never over a beep, never over other words.

Cues with `at:` stand where the plan says. Calls come next, as late as the beeps allow. Floating
cues fill what is left, in their order, spread over the segment; in a preview each goes to the
exercise that it tells of. What does not fit is kept and reported: it is squeezed into its segment.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise
from typing import NamedTuple

from overlay.plan.advice import Finding, Weight
from overlay.plan.outputs import LONGEST_BEEP
from overlay.plan.session import Session
from overlay.timeline.model import Beep, BeepKind, CueKind, Segment, SegmentKind
from overlay.timeline.room import Room, fit_back, holds, spread, total, without
from overlay.timeline.script import Script, ToSay, unsaid_blocks
from overlay.timeline.unroll import Stretch
from overlay.units.clock import format_duration, frame_to_time

SHORTEST_SAID = Fraction(1, 2)
"""Seconds that words keep where their time of their own leaves them less: at the end of their segment."""


class Spoken(NamedTuple):
    """Words with the exact times at which they are said."""

    segment: Segment
    language: str
    kind: CueKind
    text: str
    start: Fraction
    end: Fraction


class Budget(NamedTuple):
    """How much of a segment's time for words is used, in exact seconds; beeps and guards are not for words."""

    segment: Segment
    language: str
    has: Fraction
    needs: Fraction
    words_over: int


class Placed(NamedTuple):
    """Everything that is said in one language, in order of time; the budget a segment; what did not fit."""

    spoken: tuple[Spoken, ...]
    budgets: tuple[Budget, ...]
    findings: tuple[Finding, ...]


def place_words(session: Session, stretches: Sequence[Stretch], beeps: Sequence[Beep], language: str) -> Placed:
    """Place every word of a class in one language. The same plan gives the same places."""
    placer = _Placer(session, stretches, beeps, language)
    spoken: list[Spoken] = []
    for number in range(len(stretches)):
        spoken += placer.segment(number)
    placer.after_all()
    return Placed(tuple(spoken), tuple(placer.budgets), tuple(placer.findings))


class _Sounding(NamedTuple):
    """A beep while it sounds, in exact seconds, and how long it wants silence after it."""

    kind: BeepKind
    start: Fraction
    end: Fraction
    silence: Fraction


class _Placer:
    def __init__(self, session: Session, stretches: Sequence[Stretch], beeps: Sequence[Beep], language: str) -> None:
        self.session = session
        self.saying = session.saying
        self.stretches = stretches
        self.script = Script(session, stretches, language)
        self._lasting: dict[BeepKind, Fraction] = {}
        self.beeps = [self._sounding(beep) for beep in beeps]
        self.beep_times = [beep.start for beep in self.beeps]
        self.language = language
        self.budgets: list[Budget] = []
        self.findings: list[Finding] = []
        self._first_rounds: dict[tuple[str | None, int], list[str]] = {}

    def segment(self, number: int) -> list[Spoken]:
        """The words of one segment in order of time."""
        segment = self.stretches[number].segment
        written = list(self.script.written(number))
        free = self._free(segment)
        has = total(free)
        fixed = [self._fixed(segment, words, free) for words in written if words.at is not None]
        taken = list(fixed)
        for words, start in fixed:
            free = self._around(free, words, start)
        self._collisions(segment, fixed)
        for call in self.script.calls(number):
            start_of_call = self._call_start(segment, call, free)
            if start_of_call is None:
                figures = (("needs_s", float(call.length)),)
                self._report("no-room-for-call", Weight.REMARK, segment, f"no room to say “{call.text}”", figures)
                continue
            taken.append((call, start_of_call))
            free = self._around(free, call, start_of_call)
        floating = [words for words in written if words.at is None]
        spread_out = self._spread(segment, floating, free)
        self._spent(segment, [words for words, _ in taken], has, floating, free, fits=spread_out is not None)
        taken += self._squeezed(segment, floating) if spread_out is None else spread_out
        self._repeats(number, written)
        spoken = [
            Spoken(segment, self.language, words.kind, words.text, start, start + words.length)
            for words, start in taken
        ]
        return sorted(spoken, key=lambda words: words.start)

    def after_all(self) -> None:
        """What can only be seen of the whole class."""
        if self.language == self.session.main_language:
            for text in unsaid_blocks(self.stretches):
                self.findings.append(Finding("never-said", Weight.FINDING, "class", text))

    def _around(self, free: list[Room], words: ToSay, start: Fraction) -> list[Room]:
        return without(free, (start - self.saying.breath, start + words.length + self.saying.breath))

    def _free(self, segment: Segment) -> list[Room]:
        """The stretches of a segment that no beep needs."""
        saying, end = self.saying, segment.end - self.saying.breath
        free: list[Room] = []
        now = segment.start
        for beep in self._beeps_near(segment.start - saying.after_beep, segment.end + saying.before_beep):
            quiet = min(beep.start - saying.before_beep, end)
            if quiet > now:
                free.append((now, quiet))
            now = max(now, beep.end + beep.silence)
        return [*free, (now, end)] if end > now else free

    def _sounding(self, beep: Beep) -> _Sounding:
        start = frame_to_time(beep.frame, self.session.video.frame_rate)
        if beep.kind is BeepKind.POP:
            return _Sounding(beep.kind, start, start + 1 / self.session.video.frame_rate.value, self.saying.after_pip)
        silence = self.saying.after_pip if beep.kind is BeepKind.READY else self.saying.after_beep
        if beep.kind not in self._lasting:
            self._lasting[beep.kind] = self.session.tones.sound(beep.kind.value).duration
        return _Sounding(beep.kind, start, start + self._lasting[beep.kind], silence)

    def _beeps_near(self, start: Fraction, end: Fraction) -> list[_Sounding]:
        """The beeps that sound between two times."""
        first, last = bisect_left(self.beep_times, start - LONGEST_BEEP), bisect_left(self.beep_times, end)
        return [beep for beep in self.beeps[first:last] if beep.end > start]

    def _fixed(self, segment: Segment, words: ToSay, free: list[Room]) -> tuple[ToSay, Fraction]:
        """A cue with a time of its own: it stands there, and is over with its segment at the latest."""
        start = self._fixed_start(segment, words, free)
        return words._replace(length=min(words.length, segment.end - start)), start

    def _fixed_start(self, segment: Segment, words: ToSay, free: list[Room]) -> Fraction:
        at = words.at or Fraction(0)
        start = segment.start + at if at >= 0 else segment.end + at
        figures: tuple[tuple[str, float], ...]
        if start < segment.start or start + words.length > segment.end:
            figures = (("needs_s", float(words.length)), ("at_s", float(at)), ("segment_s", float(segment.duration)))
            text = f"“{words.text}” at {_signed(at)} runs out of its {format_duration(segment.duration)}"
            self._report("cue-outside-segment", Weight.FINDING, segment, text, figures)
        elif not holds(free, start, words.length):
            over = self._beeps_near(start, start + words.length)
            if over:
                text = f"“{words.text}” at {_signed(at)} is said over a beep"
                figures = (("beep_s", float(over[0].start - segment.start)),)
                self._report("cue-over-beep", Weight.FINDING, segment, text, figures)
        return min(max(start, segment.start), max(segment.start, segment.end - SHORTEST_SAID))

    def _call_start(self, segment: Segment, call: ToSay, free: list[Room]) -> Fraction | None:
        """Where the beeps and the fixed cues leave room for a call: at its own time, or as late as may be."""
        if call.at is None:
            pips = [beep.start for beep in self._beeps_near(segment.start, segment.end) if beep.kind is BeepKind.READY]
            limit = min((time for time in pips if time > segment.start), default=segment.end) - self.saying.before_beep
            return fit_back(free, limit, call.length)
        start = segment.end + call.at
        return start if holds(free, start, call.length) else None

    def _collisions(self, segment: Segment, fixed: list[tuple[ToSay, Fraction]]) -> None:
        in_order = sorted(fixed, key=lambda pair: pair[1])
        for (words, start), (following, its_start) in pairwise(in_order):
            over = start + words.length - its_start
            if over > 0:
                text = f"“{words.text}” is not over when “{following.text}” begins: {float(over):.1f} s too long"
                self._report("cues-collide", Weight.FINDING, segment, text, (("over_s", float(over)),))

    def _spread(self, segment: Segment, cues: list[ToSay], free: list[Room]) -> list[tuple[ToSay, Fraction]] | None:
        """Floating cues in the free room; None where they do not fit."""
        if not cues:
            return []
        lengths = [words.length for words in cues]
        starts = spread(free, lengths, self._wanted(segment, len(cues), free), self.saying.breath)
        return None if starts is None else list(zip(cues, starts, strict=True))

    def _squeezed(self, segment: Segment, cues: list[ToSay]) -> list[tuple[ToSay, Fraction]]:
        """Cues that do not fit, all the same: one after the other, over with the segment."""
        needs = self._needs(cues)
        # Text without a word, such as a dash, takes no time.
        squeeze = min(Fraction(1), segment.duration / needs) if needs else Fraction(1)
        placed, now = [], segment.end - needs * squeeze
        for words in cues:
            placed.append((words._replace(length=words.length * squeeze), now))
            now += (words.length + self.saying.breath) * squeeze
        return placed

    def _needs(self, cues: list[ToSay]) -> Fraction:
        """What cues take one after the other, a breath between two."""
        return sum((words.length for words in cues), self.saying.breath * max(0, len(cues) - 1))

    def _wanted(self, segment: Segment, count: int, free: list[Room]) -> list[Fraction]:
        """Evenly over the free room; in a preview at the beginning of the exercise's share."""
        shown = len(segment.shows)
        if segment.kind is SegmentKind.PREVIEW and shown:
            of = [number if count <= shown else number * shown // count for number in range(count)]
            return [segment.start + segment.duration * number / shown for number in of]
        if not free:
            return [segment.start] * count
        first, last = free[0][0], free[-1][1]
        return [first + (last - first) * number / count for number in range(count)]

    def _spent(
        self, segment: Segment, said: list[ToSay], has: Fraction, floating: list[ToSay], free: list[Room], *, fits: bool
    ) -> None:
        """The segment's budget, and the finding where floating cues do not fit."""
        needs, left = self._needs(floating), total(free)
        over = 0
        if not fits:
            over = max(1, round(max(needs - left, Fraction(0)) * self.session.pace / 60))
            if needs > left:
                text = (
                    f"the words need {float(needs):.1f} s and there are {float(left):.1f} s to say them: "
                    f"about {over} {'word' if over == 1 else 'words'} too many"
                )
            else:
                longest = max((end - start for start, end in free), default=Fraction(0))
                text = (
                    f"the words need {float(needs):.1f} s and the free time is in pieces, the longest of "
                    f"{float(longest):.1f} s: shorten a cue, or move one that has a time of its own"
                )
            figures = (("needs_s", float(needs)), ("has_s", float(left)), ("words_over", float(over)))
            self._report("too-many-words", Weight.FINDING, segment, text, figures)
        spent = sum((words.length for words in said), needs)
        self.budgets.append(Budget(segment, self.language, has, spent, over))

    def _repeats(self, number: int, written: list[ToSay]) -> None:
        """A second round that says the first one's words again."""
        segment = self.stretches[number].segment
        if segment.kind is not SegmentKind.WORK or segment.round is None:
            return
        texts = [words.text for words in written]
        interval = self.stretches[number].interval
        key = (segment.block, id(interval))
        if segment.round == 1:
            self._first_rounds[key] = texts
        elif segment.round == 2 and texts and self._first_rounds.get(key) == texts:
            text = "the second round says the first one's words again: let it remind, with round: 1 and round: 2"
            self._report("repeats-first-round", Weight.REMARK, segment, text)

    def _report(
        self,
        name: str,
        weight: Weight,
        segment: Segment,
        text: str,
        figures: tuple[tuple[str, float], ...] = (),
    ) -> None:
        language = f" ({self.language})" if self.language != self.session.main_language else ""
        self.findings.append(Finding(name, weight, place_in_words(segment) + language, text, figures))


def _signed(at: Fraction) -> str:
    return f"-{format_duration(-at)}" if at < 0 else format_duration(at)


def place_in_words(segment: Segment) -> str:
    """Where a segment stands, for a message: `block pull-right, round 2, Seated band row`."""
    if segment.block is None:
        return segment.kind.value
    parts = [f"block {segment.block}"]
    if segment.rounds and segment.rounds > 1 and segment.round:
        parts.append(f"round {segment.round}")
    parts.append(segment.move.name if segment.move and segment.kind is SegmentKind.WORK else segment.kind.value)
    return ", ".join(parts)
