"""Marked places of the class, for the editor's timeline and as a table."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from enum import Enum
from typing import NamedTuple

from overlay.timeline.chapters import chapters_of
from overlay.timeline.model import CueKind, Segment, SegmentKind, Timeline
from overlay.units.clock import frame_to_ms
from overlay.units.span import Span


class MarkerKind(Enum):
    """What is marked. A `CUE` stands in the plan, a `CALL` is made by the tool."""

    OPENING = "opening"
    BLOCK = "block"
    EXERCISE = "exercise"
    CUE = "cue"
    CALL = "call"
    BEEP = "beep"
    CLOSING = "closing"


class Marker(NamedTuple):
    """A marked stretch, a beep's being the one frame on which it starts.

    `text` is the name, the words, or the kind of beep.
    """

    kind: MarkerKind
    span: Span
    text: str


_ORDER = {kind: rank for rank, kind in enumerate(MarkerKind)}
COLUMNS = ("frame", "label", "seconds", "kind", "text")


def markers_of(timeline: Timeline) -> tuple[Marker, ...]:
    """Every marker in order of its frame, what holds more before what it holds.

    Cues are those of the timeline's language.
    """
    return tuple(sorted(_all(timeline), key=lambda marker: (marker.span.start_frame, _ORDER[marker.kind])))


def markers_csv(timeline: Timeline) -> str:
    """The markers as comma-separated values (RFC 4180), to be stored as UTF-8.

    `frame` counts from the first frame of the files, `label` is its timecode, `seconds` are rounded
    down to the millisecond as captions are. A text that a spreadsheet could take for a formula has
    an apostrophe before the sign.
    """
    out = io.StringIO()
    table = csv.writer(out)
    table.writerow(COLUMNS)
    for marker in markers_of(timeline):
        frame = marker.span.start_frame
        seconds, ms = divmod(frame_to_ms(frame, timeline.rate), 1000)
        label = timeline.frame_to_label(frame)
        table.writerow([frame, label, f"{seconds}.{ms:03}", marker.kind.value, as_text(marker.text)])
    return out.getvalue()


# What starts a formula (OWASP, CSV Injection): four signs, also fullwidth, and the true minus. A
# spreadsheet that parts cells at semicolons would start a cell behind one.
_FORMULA = re.compile("(^|;)(\\s*)(?=[-=+@\u2212\uff1d\uff0b\uff0d\uff20])")


def as_text(cell: str) -> str:
    """A cell that no spreadsheet takes for a formula.

    >>> as_text("=1+1"), as_text("Slow - and down"), as_text("Up; +1")
    ("'=1+1", 'Slow - and down', "Up; '+1")
    """
    return _FORMULA.sub(r"\1\2'", cell)


def _all(timeline: Timeline) -> Iterator[Marker]:
    for chapter in chapters_of(timeline):
        first = chapter.first
        kind = MarkerKind.BLOCK if first.block is not None else MarkerKind(first.kind.value)
        yield Marker(kind, Span(first.span.start_frame, chapter.span.end_frame), chapter.name)
    for segment in timeline.segments:
        if segment.kind is SegmentKind.WORK:
            yield Marker(MarkerKind.EXERCISE, segment.span, _exercise(segment, timeline))
    for cue in timeline.cues:
        if cue.language == timeline.language:
            yield Marker(MarkerKind.CALL if cue.kind is CueKind.CALL else MarkerKind.CUE, cue.span, cue.text)
    for beep in timeline.beeps:
        yield Marker(MarkerKind.BEEP, Span(beep.frame, beep.frame + 1), beep.kind.value)


def _exercise(segment: Segment, timeline: Timeline) -> str:
    """The exercise, its side unless its name says it, and the round: `Row (left), 2/3`."""
    name, words = segment.name or "", timeline.phrases
    side = words.side(segment.side) if segment.side else ""
    if side and side.casefold() not in name.casefold():
        name = f"{name} ({side})"
    return f"{name}, {segment.round}/{segment.rounds}" if (segment.rounds or 1) > 1 else name
