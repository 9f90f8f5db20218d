"""What is to be said in each segment: the plan's words with their slots filled, and the tool's calls."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import NamedTuple

from overlay.plan.blocks import Cue as WrittenCue
from overlay.plan.fields import Text
from overlay.plan.session import Session
from overlay.timeline.model import CueKind, SegmentKind
from overlay.timeline.unroll import Stretch
from overlay.units.clock import format_duration
from overlay.words.pace import time_to_say
from overlay.words.phrases import phrases_for
from overlay.words.sides import fill, side_values


class ToSay(NamedTuple):
    """Words and the exact seconds that they take.

    `at` is counted from the start of the segment, or back from its end when negative; None where
    the tool finds the place.
    """

    text: str
    length: Fraction
    kind: CueKind = CueKind.CUE
    at: Fraction | None = None


class Script:
    """The words of a class in one language, segment by segment."""

    def __init__(self, session: Session, stretches: Sequence[Stretch], language: str) -> None:
        self.session = session
        self.stretches = stretches
        self.language = language
        self.phrases = phrases_for(session, language)
        self._rest_lines = _share_rest_lines(stretches)

    def written(self, number: int) -> Iterator[ToSay]:
        """What the plan says in a segment, in its order."""
        stretch, session = self.stretches[number], self.session
        segment = stretch.segment
        lines: Sequence[Text | WrittenCue] = ()
        if segment.kind is SegmentKind.OPENING and session.opening:
            lines = session.opening.cues
        elif segment.kind is SegmentKind.CLOSING and session.closing:
            lines = session.closing.cues
        elif segment.kind is SegmentKind.PREVIEW and stretch.block:
            lines = stretch.block.preview_cues
        elif segment.kind is SegmentKind.REST:
            lines = self._rest_lines.get(number, ())
        elif stretch.interval:
            lines = [cue for cue in stretch.interval.cues if cue.round in (None, segment.round)]
        slots = side_values(stretch.block.side if stretch.block else None, self.phrases)
        for line in lines:
            words, at = (line.say, line.at) if isinstance(line, WrittenCue) else (line, None)
            text = fill(words.in_language(self.language, main=session.main_language), slots)
            yield ToSay(text, self._time(text), at=at)

    def calls(self, number: int) -> Iterator[ToSay]:
        """What the tool says in a segment: what comes next, and when little is left."""
        segment, last_at = self.stretches[number].segment, self.session.calls.last_at
        following = self.stretches[number + 1].segment if number + 1 < len(self.stretches) else None
        if self.phrases.next_call and following is not None and following.kind is SegmentKind.WORK:
            text = fill(self.phrases.next_call, {"next": self._name(number + 1)})
            yield ToSay(text, self._time(text), CueKind.CALL)
        long_enough = last_at and segment.duration >= 2 * last_at
        if self.phrases.last_call and segment.kind is SegmentKind.WORK and long_enough:
            text = fill(self.phrases.last_call, {"seconds": format_duration(last_at).removesuffix("s")})
            yield ToSay(text, self._time(text), CueKind.CALL, -last_at)

    def _time(self, text: str) -> Fraction:
        return time_to_say(text, self.session.pace, self.language)

    def _name(self, number: int) -> str:
        """The name of a segment's exercise in this language, which may not be the timeline's own."""
        stretch = self.stretches[number]
        if stretch.interval is None:
            return ""
        name = self.session.exercise_of(stretch.interval).name
        side = stretch.block.side if stretch.block else None
        return fill(name.in_language(self.language, main=self.session.main_language), side_values(side, self.phrases))


def unsaid_blocks(stretches: Sequence[Stretch]) -> Iterator[str]:
    """Blocks with words for a rest or a preview that they do not have; what a mirror takes over is not told."""
    blocks = {str(stretch.block.id): stretch.block for stretch in stretches if stretch.block is not None}
    there = {(str(stretch.block.id), stretch.segment.kind) for stretch in stretches if stretch.block is not None}
    for key, block in blocks.items():
        original = blocks.get(block.mirror or "")
        for name, kind in (("rest_cues", SegmentKind.REST), ("preview_cues", SegmentKind.PREVIEW)):
            cues = getattr(block, name)
            is_taken_over = original is not None and getattr(original, name) == cues
            if cues and not is_taken_over and (key, kind) not in there:
                yield f"block {key} has {name} but no {kind.value} to say them in"


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
