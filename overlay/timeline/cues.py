"""Spoken words become captions: split where they are too long, shown long enough to be read."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from overlay.timeline.model import Cue, SegmentKind
from overlay.timeline.place import Spoken
from overlay.units.clock import nearest, time_to_frame
from overlay.units.rate import FrameRate
from overlay.units.span import Span
from overlay.words.lines import CaptionRules, split_captions

OVERHANG = Fraction(3, 2)
"""Seconds that a caption may stay after its words are said (BBC Subtitle Guidelines 5.2, 5.4)."""


def cues_of(spoken: Sequence[Spoken], rules: CaptionRules, rate: FrameRate, frame_count: int) -> tuple[Cue, ...]:
    """The captions of one language, in order, never overlapping, each at least a frame long.

    A caption starts on the frame of its first word. It stays until it could be read at the rules'
    speed, as far as the next caption and the overhang allow.
    """
    parts = [part for words in spoken for part in _parts(words, rules)]
    # Words squeezed together may begin on one frame; each caption still gets frames of its own.
    starts: list[int] = []
    for _, start, _, _ in parts:
        frame = time_to_frame(start, rate)
        starts.append(max(frame, starts[-1] + 1) if starts else frame)
    limit = frame_count
    for number in range(len(starts) - 1, -1, -1):
        starts[number] = min(starts[number], limit - 1)
        limit = starts[number]
    cues = []
    for number, (words, start, end, text) in enumerate(parts):
        readable = max(rules.shortest, Fraction(len(text), rules.characters_a_second))
        wanted = min(max(end, start + readable), end + OVERHANG)
        following = starts[number + 1] - rules.gap_frames if number + 1 < len(starts) else frame_count
        end_frame = max(starts[number] + 1, min(time_to_frame(wanted, rate), following, frame_count))
        segment = words.segment
        cues.append(
            Cue(
                language=words.language,
                kind=words.kind,
                span=Span(starts[number], end_frame),
                text=text,
                block=segment.block,
                round=segment.round,
                exercise=segment.move.exercise if segment.move and segment.kind is SegmentKind.WORK else None,
            )
        )
    return tuple(cues)


def _parts(words: Spoken, rules: CaptionRules) -> Iterator[tuple[Spoken, Fraction, Fraction, str]]:
    """The captions of one utterance, each for its share of the time by its length in characters."""
    most = nearest(rules.longest * rules.characters_a_second)
    texts = split_captions(words.text, rules, most)
    if len(texts) == 1:
        yield words, words.start, words.end, texts[0]
        return
    whole = sum(len(text) for text in texts)
    now, said = words.start, 0
    for text in texts:
        said += len(text)
        end = words.start + (words.end - words.start) * Fraction(said, whole)
        yield words, now, end, text
        now = end
