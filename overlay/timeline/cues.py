"""Spoken words become captions: split where they are too long, shown long enough to be read."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import NamedTuple

from overlay.plan.advice import Finding, Weight
from overlay.timeline.model import Cue, SegmentKind
from overlay.timeline.place import Spoken, place_in_words
from overlay.units.clock import time_to_frame
from overlay.units.rate import FrameRate
from overlay.units.span import Span
from overlay.words.lines import CaptionRules, break_lines, split_captions
from overlay.words.pace import time_to_say

OVERHANG = Fraction(3, 2)
"""Seconds that a caption may stay after its words are said (BBC Subtitle Guidelines 5.2, 5.4)."""
_NOTICED_FROM = Fraction(21, 20)
"""A caption is told of when it is faster than the rules by a twentieth: less than a frame or two matters."""


class Captioned(NamedTuple):
    """The captions of one language in order, and those that cannot keep the rules."""

    cues: tuple[Cue, ...]
    findings: tuple[Finding, ...]


def cues_of(spoken: Sequence[Spoken], rules: CaptionRules, rate: FrameRate, frame_count: int) -> Captioned:
    """The captions of one language, never overlapping, each at least a frame long.

    A caption starts on the frame of its first word. It stays until it could be read at the rules'
    speed, as far as the next caption and the overhang allow.
    """
    parts = [part for words in spoken for part in _parts(words, rules)]
    starts = _starts(parts, rate, frame_count)
    chained_frames = rules.chained_under * rate.value
    reading = _Reading(rules, rate)
    cues: list[Cue] = []
    findings: list[Finding] = []
    for number, (words, start, end, text) in enumerate(parts):
        needs = reading.time(text)
        wanted = time_to_frame(min(max(end, start + needs), end + OVERHANG), rate)
        following = starts[number + 1] if number + 1 < len(starts) else frame_count
        end_frame = min(wanted, following - (rules.gap_frames if number + 1 < len(starts) else 0), frame_count)
        if 0 < following - end_frame < chained_frames and number + 1 < len(starts):
            end_frame = following
        span = Span(starts[number], max(starts[number] + 1, end_frame))
        segment = words.segment
        cues.append(
            Cue(
                language=words.language,
                kind=words.kind,
                span=span,
                text=text,
                block=segment.block,
                round=segment.round,
                exercise=segment.move.exercise if segment.move and segment.kind is SegmentKind.WORK else None,
            )
        )
        if span.frame_count < reading.least_frames(text) or len(text) > rules.characters_a_line:
            findings += _hard_to_read(words, text, span.frame_count / rate.value, needs, rules)
    return Captioned(tuple(cues), tuple(findings))


class _Reading:
    """How long texts take to read, kept by their length: a class has thousands of texts and few lengths."""

    def __init__(self, rules: CaptionRules, rate: FrameRate) -> None:
        self.rules = rules
        self.rate = rate
        self._times: dict[int, Fraction] = {}
        self._least: dict[int, int] = {}

    def time(self, text: str) -> Fraction:
        """Exact seconds, never less than the rules' shortest."""
        length = len(text)
        if length not in self._times:
            self._times[length] = max(self.rules.shortest, Fraction(length, self.rules.characters_a_second))
        return self._times[length]

    def least_frames(self, text: str) -> int:
        """The frames from which on a caption is not told of as too fast."""
        length = len(text)
        if length not in self._least:
            self._least[length] = -(-(self.time(text) / _NOTICED_FROM * self.rate.value) // 1)
        return self._least[length]


def _starts(parts: Sequence[tuple[Spoken, Fraction, Fraction, str]], rate: FrameRate, frame_count: int) -> list[int]:
    """The frame of each caption. Words squeezed together may begin on one frame; each caption gets its own."""
    starts: list[int] = []
    for _, start, _, _ in parts:
        frame = time_to_frame(start, rate)
        starts.append(max(frame, starts[-1] + 1) if starts else frame)
    limit = frame_count
    for number in range(len(starts) - 1, -1, -1):
        starts[number] = min(starts[number], limit - 1)
        limit = starts[number]
    return starts


def _parts(words: Spoken, rules: CaptionRules) -> Iterator[tuple[Spoken, Fraction, Fraction, str]]:
    """The captions of one utterance, each for its share of the time by how long it takes to say."""
    lasts = words.end - words.start
    # Slow speech fills a caption's longest time with fewer characters than its lines would hold.
    most = int(rules.longest * min(Fraction(rules.characters_a_second), len(words.text) / lasts)) if lasts else 0
    texts = split_captions(words.text, rules, max(most, 1))
    if len(texts) == 1:
        yield words, words.start, words.end, texts[0]
        return
    lengths = [time_to_say(text, 100, words.language) or Fraction(1, 10) for text in texts]
    whole = sum(lengths, Fraction(0))
    now, said = words.start, Fraction(0)
    for text, length in zip(texts, lengths, strict=True):
        said += length
        end = words.start + lasts * said / whole
        yield words, now, end, text
        now = end


def _hard_to_read(words: Spoken, text: str, has: Fraction, needs: Fraction, rules: CaptionRules) -> Iterator[Finding]:
    place = f"{place_in_words(words.segment)} ({words.language})"
    if needs > has * _NOTICED_FROM:
        message = f"the caption “{text}” is there for {float(has):.1f} s and needs {float(needs):.1f} s to be read"
        too_fast = (("has_s", float(has)), ("needs_s", float(needs)), ("characters", float(len(text))))
        yield Finding("caption-too-fast", Weight.REMARK, place, message, too_fast)
    if break_lines(text, rules.characters_a_line, rules.lines) is None:
        message = f"the caption “{text}” has a word longer than a line of {rules.characters_a_line} characters"
        too_wide = (("characters", float(len(text))), ("most_a_line", float(rules.characters_a_line)))
        yield Finding("caption-too-wide", Weight.FINDING, place, message, too_wide)
