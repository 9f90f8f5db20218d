"""A laid-out class as the plain data that the page plays."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from typing import Any

from overlay.plan.advice import Finding
from overlay.timeline.layout import Layout
from overlay.timeline.model import Move, Segment, SegmentKind, Timeline
from overlay.timeline.place import Spoken, place_in_words
from overlay.words.phrases import Phrases


def class_data(
    layout: Layout, sounds: Mapping[str, Mapping[str, Any]], findings: Sequence[Finding], *, version: str | None = None
) -> dict[str, Any]:
    """The class in the language of its segments. Positions are frames, lengths end in `_s`, seconds.

    `sounds` are the figures of each kind of beep; what does not apply is None. `version` names the
    state of the plan where the page is served while the plan is being written.
    """
    timeline = layout.timeline
    moves = list(dict.fromkeys(_moves(timeline)))
    number_of = {move: number for number, move in enumerate(moves)}
    return {
        "title": timeline.title,
        "language": timeline.language,
        "version": version,
        "rate": [timeline.rate.value.numerator, timeline.rate.value.denominator],
        "sample_rate_hz": timeline.sample_rate_hz,
        "frames": timeline.frame_count,
        "words": _words(timeline.phrases),
        "moves": [_move(move) for move in moves],
        "segments": [_segment(segment, number_of, timeline.phrases) for segment in timeline.segments],
        "lines": list(_lines(layout)),
        "beeps": [[beep.frame, beep.kind.value] for beep in timeline.beeps],
        "sounds": sounds,
        "findings": [_finding(finding, timeline.segments) for finding in findings],
    }


def _moves(timeline: Timeline) -> Iterator[Move]:
    for segment in timeline.segments:
        if segment.kind is SegmentKind.WORK and segment.move:
            yield segment.move
        yield from (shown.move for shown in segment.shows)


def _words(phrases: Phrases) -> dict[str, str]:
    said = {kind.value: str(getattr(phrases, kind.value)) for kind in SegmentKind}
    return {**said, "next": phrases.next, "round": phrases.round, "of": phrases.of, **phrases.page}


def _move(move: Move) -> dict[str, Any]:
    told = {
        "name": move.name,
        "position": move.position,
        "equipment": ", ".join(move.equipment),
        "setup": move.setup,
        "easier": move.easier,
        "harder": move.harder,
        "watch": move.watch,
        "camera": move.camera,
    }
    return {name: text for name, text in told.items() if text}


def _segment(segment: Segment, number_of: Mapping[Move, int], phrases: Phrases) -> dict[str, Any]:
    works = segment.kind is SegmentKind.WORK
    return {
        "kind": segment.kind.value,
        "frames": [segment.span.start_frame, segment.span.end_frame],
        "end_s": float(segment.end),
        "length_s": float(segment.duration),
        "block": segment.block,
        "block_name": segment.block_name,
        "round": [segment.round, segment.rounds] if segment.round and (segment.rounds or 1) > 1 else None,
        "side": phrases.side(segment.side) if segment.side else None,
        "move": number_of[segment.move] if works and segment.move else None,
        "shows": [number_of[shown.move] for shown in segment.shows],
    }


def _lines(layout: Layout) -> Iterator[list[Any]]:
    """What is said: first frame, the frame after the last, seconds that it takes, who wrote it, the words.

    A line stands as long as its captions do.
    """
    timeline = layout.timeline
    captions = iter([cue for cue in timeline.cues if cue.language == timeline.language])
    for words in (words for words in layout.spoken if words.language == timeline.language):
        spans = []
        missing = len(_letters(words.text))
        while missing > 0:
            caption = next(captions)
            spans.append(caption.span)
            missing -= len(_letters(caption.text))
        yield [spans[0].start_frame, spans[-1].end_frame, _length_s(words), words.kind.value, words.text]


def _letters(text: str) -> str:
    return "".join(text.split())


def _length_s(words: Spoken) -> float:
    return round(float(words.end - words.start), 3)


def _finding(finding: Finding, segments: Sequence[Segment]) -> dict[str, Any]:
    """A finding, and the numbers of the segments that it is about; none where it is about the whole class."""
    return {
        "weight": finding.weight.value,
        "place": finding.place,
        "text": finding.text,
        "line": finding.lines[0] if len(finding.lines) == 1 else None,
        "segments": [first for first, *_ in _runs(finding.place, segments)],
    }


def _runs(place: str, segments: Sequence[Segment]) -> Iterator[list[int]]:
    """Runs of neighbouring segments that a place in words stands for."""
    about = [number for number, segment in enumerate(segments) if _is_at(segment, place)]
    for _, run in groupby(enumerate(about), key=lambda pair: pair[1] - pair[0]):
        yield [number for _, number in run]


def _is_at(segment: Segment, place: str) -> bool:
    own = place_in_words(segment)
    if place.startswith("exercise "):
        return (
            segment.kind is SegmentKind.WORK
            and segment.move is not None
            and place == f"exercise {segment.move.exercise}"
        )
    return place in (own, f"block {segment.block}") or (place.startswith(f"{own} (") and place.endswith(")"))
