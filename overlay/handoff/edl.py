"""Edit decision lists in the CMX 3600 form (SMPTE 258M), one a track.

The form knows one video track, a reel of eight characters and 999 events; it does not know the frame
rate, which a comment tells. A list therefore holds one track, and goes on in another file before
event 1000. All lists of a class have the same record times.

Timecode runs from 00:00:00:00 to the end of the day and starts again. An event that runs over
midnight, in its file or in the class, is cut there, and what is recorded from midnight on stands in a
list of its own, so that record times only ever rise. An out-point at the end of the day is written
24:00:00:00: 00:00:00:00 would lie before its in-point.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby

from overlay.handoff.tracks import Piece, Track, TrackKind
from overlay.timeline.model import Timeline
from overlay.units.rate import Counting, FrameRate
from overlay.units.span import Span
from overlay.units.timecode import frame_to_label, label_to_frame

LARGEST_EVENT = 999
REEL_CHARACTERS = 8
_TITLE_CHARACTERS = 70
_RESERVED_REELS = frozenset({"AX", "BL", "BLACK", "BARS"})
"""Reels that mean no file: an auxiliary source, black, colour bars."""
_CHANNELS = {TrackKind.VIDEO: "V", TrackKind.AUDIO: "AA"}
"""`AA` is the first two audio channels: our sound is stereo."""


def edl_texts(timeline: Timeline, tracks: Iterable[Track]) -> dict[str, str]:
    """The lists by name (`timer`, and `timer-2` where one file is not enough), to be stored as UTF-8.

    A track without a piece has no list. Names of clips are file names, so that a reader finds them.
    """
    with_pieces = [track for track in tracks if track.pieces]
    reels = reels_of(piece.source.path for track in with_pieces for piece in track.pieces)
    texts: dict[str, str] = {}
    for track in with_pieces:
        for number, events in enumerate(_lists(timeline, track.pieces), start=1):
            name = track.name if number == 1 else f"{track.name}-{number}"
            texts[name] = _list_text(timeline, track, events, reels)
    return texts


def reels_of(paths: Iterable[str]) -> dict[str, str]:
    """A reel for each file: capital letters and digits of its name, eight at most, no two alike.

    >>> reels_of(["a/round_01_squat.mov", "a/round_01_lunge.mov", "b/bl.mov"])
    {'a/round_01_squat.mov': 'ROUND01S', 'a/round_01_lunge.mov': 'ROUND01L', 'b/bl.mov': 'BL2'}
    """
    reels: dict[str, str] = {}
    taken = set(_RESERVED_REELS)
    for path in dict.fromkeys(paths):
        stem = path.rpartition("/")[2].rpartition(".")[0] or path
        plain = unicodedata.normalize("NFKD", stem).upper()
        word = re.sub(r"[^A-Z0-9]", "", plain)[:REEL_CHARACTERS] or "FILE"
        reel, number = word, 2
        while reel in taken:
            reel, number = f"{word[: REEL_CHARACTERS - len(str(number))]}{number}", number + 1
        taken.add(reel)
        reels[path] = reel
    return reels


def _lists(timeline: Timeline, pieces: Sequence[Piece]) -> Iterator[list[Piece]]:
    """The pieces of one track in as many lists as they need."""
    day = _day_frames(timeline.rate, timeline.counting)
    cut = [part for piece in pieces for part in _at_midnights(piece, timeline.start_frame, day)]
    for _, run in groupby(cut, key=lambda piece: (timeline.start_frame + piece.span.start_frame) // day):
        events = list(run)
        for first in range(0, len(events), LARGEST_EVENT):
            yield events[first : first + LARGEST_EVENT]


def _at_midnights(piece: Piece, start_frame: int, day: int) -> Iterator[Piece]:
    """A piece, cut where its own timecode or the class's starts again."""
    start, end = piece.span.start_frame, piece.span.end_frame
    while start < end:
        recorded, own = start_frame + start, piece.source_frame + start - piece.span.start_frame
        until = min(end, start + day - recorded % day, start + day - own % day)
        part = piece.within(Span(start, until))
        assert part is not None
        yield part
        start = until


def _list_text(timeline: Timeline, track: Track, pieces: Sequence[Piece], reels: dict[str, str]) -> str:
    is_drop = timeline.counting is Counting.DROP
    lines = [
        f"TITLE: {f'{track.name} {timeline.title}'[:_TITLE_CHARACTERS]}",
        f"FCM: {'DROP FRAME' if is_drop else 'NON-DROP FRAME'}",
        "",
    ]
    for number, piece in enumerate(pieces, start=1):
        recorded = timeline.start_frame + piece.span.start_frame
        times = [
            label
            for frame in (piece.source_frame, recorded)
            for label in _in_and_out(frame, piece.span.frame_count, timeline.rate, timeline.counting)
        ]
        reel, channel = reels[piece.source.path], _CHANNELS[track.kind]
        lines.append(f"{number:03}  {reel:<8} {channel:<5} C        {' '.join(times)}")
        lines.append(f"* FROM CLIP NAME: {_one_line(piece.source.file_name)}")
        if piece.name not in (track.name, piece.source.file_name):
            lines.append(f"* COMMENT: {_one_line(piece.name)}")
        if number == 1:
            lines.append(f"* COMMENT: FRAME RATE {timeline.rate}")
    return "\n".join(lines) + "\n"


def _in_and_out(frame: int, frame_count: int, rate: FrameRate, counting: Counting) -> tuple[str, str]:
    """The labels of an in-point and of the out-point so many frames later, on the same day."""
    out = frame + frame_count
    if out % _day_frames(rate, counting):
        return frame_to_label(frame, rate, counting), frame_to_label(out, rate, counting)
    midnight = frame_to_label(0, rate, counting)
    return frame_to_label(frame, rate, counting), f"24{midnight[2:]}"


def _day_frames(rate: FrameRate, counting: Counting) -> int:
    """How many frames have labels of their own: those of 24 hours of timecode.

    >>> _day_frames(FrameRate.parse("29.97"), Counting.DROP)
    2589408
    """
    return label_to_frame(f"23:59:59:{rate.nominal - 1:02}", rate, counting) + 1


def _one_line(text: str) -> str:
    return " ".join(text.split())
