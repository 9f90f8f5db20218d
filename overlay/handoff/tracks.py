"""The class as an editor's tracks: which file stands where, in whole frames.

    Media     a file that a build writes, and what it shows
    Source    a file with its own frames: where its labels begin, how many it has
    Piece     a stretch of a source at its place in the class
    Track     pieces in order, gaps between them

`class_tracks` lays them out once; `otio.py` and `edl.py` only write down what stands here.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from fractions import Fraction
from itertools import pairwise

from overlay.timeline.changes import card_changes, title_changes
from overlay.timeline.chapters import chapters_of
from overlay.timeline.model import Timeline
from overlay.units.span import Span

STACK = ("previews", "titles", "timer", "progress")
"""Layers from the bottom up; a layer that is not named here lies on top of these."""
FOOTAGE = "footage"


class MediaKind(Enum):
    """What a file is to the hand-off. `LAYER` and `SOUND` last the whole class, stills stand for as long as needed."""

    LAYER = "layer"
    SOUND = "sound"
    TITLE_STILL = "title still"
    PREVIEW_STILL = "preview still"


class TrackKind(Enum):
    """Picture or sound."""

    VIDEO = "video"
    AUDIO = "audio"


@dataclass(frozen=True)
class Media:
    """A file that a build writes.

    `path` counts from the folder of the assets, parted by `/`. `shows` is what a still shows: the
    state of a title, a preview or a card (`timeline/changes.py`).
    """

    name: str
    path: str
    kind: MediaKind
    shows: Hashable = None


@dataclass(frozen=True)
class OwnFrames:
    """How a file counts its own frames, where its rate (frames a second) is not the class's."""

    rate: Fraction
    start_frame: int
    frame_count: int


@dataclass(frozen=True)
class Source:
    """A file and its own frames, counted at the class's rate.

    `path` counts from the folder of the assets and may lead out of it (`../footage/one.mp4`).
    `start_frame` is the frame number of its first frame's timecode, 0 where it has none. A still has
    as many frames as are asked of it. `has_sound` and `own` count for takes only.
    """

    path: str
    start_frame: int
    frame_count: int
    has_sound: bool = True
    own: OwnFrames | None = None

    @property
    def file_name(self) -> str:
        return self.path.rpartition("/")[2]


@dataclass(frozen=True)
class Piece:
    """A stretch of a file at its place: from its own frame `first_frame` on (0 is its first), on the class's `span`.

    `name` is what the editor reads on the clip. Raises ValueError where the file has not got the frames.
    """

    name: str
    source: Source
    span: Span
    first_frame: int = 0

    def __post_init__(self) -> None:
        if self.first_frame < 0 or self.first_frame + self.span.frame_count > self.source.frame_count:
            raise ValueError(f"{self.source.path} has not got the frames that {self.name} needs")

    @property
    def source_frame(self) -> int:
        """The frame number of the in-point's timecode in its file."""
        return self.source.start_frame + self.first_frame

    def within(self, span: Span) -> Piece | None:
        """The part that stands within some frames of the class; None where nothing does.

        >>> piece = Piece("legs", Source("one.mp4", 0, 500), Span(100, 300), first_frame=40)
        >>> part = piece.within(Span(250, 900))
        >>> part.span, part.first_frame
        (Span(start_frame=250, end_frame=300), 190)
        """
        start, end = max(self.span.start_frame, span.start_frame), min(self.span.end_frame, span.end_frame)
        if start >= end:
            return None
        return Piece(self.name, self.source, Span(start, end), self.first_frame + start - self.span.start_frame)

    def handles(self, most_frames: int) -> tuple[int, int]:
        """Spare frames of the file before and after the piece, at most so many.

        >>> Piece("legs", Source("one.mp4", 0, 500), Span(0, 200), first_frame=295).handles(12)
        (12, 5)
        """
        after = self.source.frame_count - self.first_frame - self.span.frame_count
        return min(self.first_frame, most_frames), min(after, most_frames)


@dataclass(frozen=True)
class Track:
    """Pieces in order, on frames of the class; raises ValueError where two stand on one frame."""

    name: str
    kind: TrackKind
    pieces: tuple[Piece, ...]
    is_on: bool = True

    def __post_init__(self) -> None:
        for piece, following in pairwise(self.pieces):
            if following.span.start_frame < piece.span.end_frame:
                raise ValueError(f"in the track {self.name} {piece.name} and {following.name} stand on one frame")


def class_tracks(
    timeline: Timeline, media: Sequence[Media], takes: Sequence[Piece] = (), *, handle_frames: int = 0
) -> tuple[Track, ...]:
    """Every track, pictures from the bottom up, then sound.

    The footage comes first, empty where there are no takes; then a track a layer that is there; then
    the stills of previews and titles, switched off; then the takes' own sound and the tones. Takes are
    cut at the borders of blocks. Raises ValueError for a take that stands outside the class, or on
    another.
    """
    footage = tuple(_at_block_borders(timeline, takes))
    layers = sorted((m for m in media if m.kind is MediaKind.LAYER), key=lambda m: _height(m.name))
    tracks = [
        Track(FOOTAGE, TrackKind.VIDEO, footage),
        *(_whole(timeline, layer, TrackKind.VIDEO) for layer in layers),
        _stills(timeline, "preview-stills", card_changes(timeline), media, MediaKind.PREVIEW_STILL, handle_frames),
        _stills(timeline, "title-stills", title_changes(timeline), media, MediaKind.TITLE_STILL, handle_frames),
        Track(f"{FOOTAGE}-sound", TrackKind.AUDIO, tuple(piece for piece in footage if piece.source.has_sound)),
        *(_whole(timeline, sound, TrackKind.AUDIO) for sound in media if sound.kind is MediaKind.SOUND),
    ]
    return tuple(track for track in tracks if track.pieces or track.name == FOOTAGE)


def _height(layer: str) -> int:
    return STACK.index(layer) if layer in STACK else len(STACK)


def _whole(timeline: Timeline, media: Media, kind: TrackKind) -> Track:
    """A track of one file that is as long as the class and has its timecode."""
    source = Source(media.path, timeline.start_frame, timeline.frame_count)
    return Track(media.name, kind, (Piece(media.name, source, Span(0, timeline.frame_count)),))


def _at_block_borders(timeline: Timeline, takes: Sequence[Piece]) -> Iterator[Piece]:
    """Each take in pieces, one a part of the class. A leader goes with the first part."""
    for take in sorted(takes, key=lambda take: take.span.start_frame):
        if take.span.start_frame < 0 or take.span.end_frame > timeline.frame_count:
            raise ValueError(f"{take.source.path} stands outside the class")
        for chapter in chapters_of(timeline):
            part = take.within(chapter.span)
            if part is not None:
                yield replace(part, name=chapter.name)


def _stills(
    timeline: Timeline,
    name: str,
    changes: Iterable[tuple[int, Hashable]],
    media: Sequence[Media],
    kind: MediaKind,
    handle_frames: int,
) -> Track:
    """A track of stills where what they show is shown; a gap where there is no still of it. It is switched off."""
    stills: Mapping[Hashable, Media] = {still.shows: still for still in media if still.kind is kind}
    placed: list[tuple[Media, Span]] = []
    for (frame, shown), (next_frame, _) in pairwise([*changes, (timeline.frame_count, None)]):
        if shown in stills:
            placed.append((stills[shown], Span(frame, next_frame)))
    longest: dict[str, int] = {}
    for still, span in placed:
        longest[still.path] = max(longest.get(still.path, 0), span.frame_count)
    pieces = (
        Piece(still.name, Source(still.path, 0, longest[still.path] + 2 * handle_frames), span, handle_frames)
        for still, span in placed
    )
    return Track(name, TrackKind.VIDEO, tuple(pieces), is_on=False)
