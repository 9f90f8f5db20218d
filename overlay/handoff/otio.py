"""The class for editors that read OpenTimelineIO, laid out ready to cut."""

from __future__ import annotations

import posixpath
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from overlay.handoff.markers import MarkerKind, markers_of
from overlay.handoff.tracks import Piece, Track, TrackKind
from overlay.timeline.model import Timeline
from overlay.units.clock import nearest
from overlay.units.span import Span

if TYPE_CHECKING:
    import opentimelineio as otio

METADATA_KEY = "class_overlay"
"""The one key under which data of our own stand."""
METADATA_FORMAT = 1
_COLORS = {
    MarkerKind.OPENING: "PURPLE",
    MarkerKind.BLOCK: "BLUE",
    MarkerKind.EXERCISE: "GREEN",
    MarkerKind.CUE: "YELLOW",
    MarkerKind.CALL: "ORANGE",
    MarkerKind.BEEP: "RED",
    MarkerKind.CLOSING: "PURPLE",
}


def otio_text(timeline: Timeline, tracks: tuple[Track, ...], *, handle_frames: int = 0) -> str:
    """The tracks as one OpenTimelineIO document, in the schemas of release 0.18, to be stored as UTF-8.

    Every track is as long as the class, with gaps where it has no piece. Every time is in whole frames
    at the class's rate; a file of another rate is told of, and its in-point given, in its own frames. A
    clip's media have their own timecode: its range counts from the frame number of their first label, as
    the timeline's start does. Markers stand on the stack of the tracks, their kinds told by colour and in
    the metadata; what is ours stands under `METADATA_KEY`. Nothing is read from the environment.
    """
    import opentimelineio as otio

    rate = float(timeline.rate.value)

    def frames(count: int) -> otio.opentime.RationalTime:
        return otio.opentime.RationalTime(count, rate)

    def stretch(start_frame: int, frame_count: int) -> otio.opentime.TimeRange:
        return otio.opentime.TimeRange(frames(start_frame), frames(frame_count))

    def gap(span: Span) -> otio.schema.Gap:
        return otio.schema.Gap(source_range=stretch(0, span.frame_count))

    def clip(piece: Piece) -> otio.schema.Clip:
        source, own = piece.source, piece.source.own
        available, shown = (
            stretch(source.start_frame, source.frame_count),
            stretch(piece.source_frame, piece.span.frame_count),
        )
        if own is not None:
            in_point = own.start_frame + nearest(piece.first_frame / timeline.rate.value * own.rate)
            available = otio.opentime.TimeRange(
                *(otio.opentime.RationalTime(count, float(own.rate)) for count in (own.start_frame, own.frame_count))
            )
            shown = otio.opentime.TimeRange(
                otio.opentime.RationalTime(in_point, float(own.rate)), frames(piece.span.frame_count)
            )
        media = otio.schema.ExternalReference(target_url=media_url(source.path), available_range=available)
        media.name = source.file_name
        before, after = piece.handles(handle_frames)
        return otio.schema.Clip(
            name=piece.name,
            media_reference=media,
            source_range=shown,
            metadata=_ours(handle_frames_before=before, handle_frames_after=after),
        )

    def laid(track: Track) -> otio.schema.Track:
        kind = otio.schema.TrackKind.Video if track.kind is TrackKind.VIDEO else otio.schema.TrackKind.Audio
        children: list[otio.core.Item] = []
        at = 0
        for piece in track.pieces:
            if piece.span.start_frame > at:
                children.append(gap(Span(at, piece.span.start_frame)))
            children.append(clip(piece))
            at = piece.span.end_frame
        if at < timeline.frame_count:
            children.append(gap(Span(at, timeline.frame_count)))
        laid_out = otio.schema.Track(name=track.name, kind=kind, children=children)
        laid_out.enabled = track.is_on
        return laid_out

    document = otio.schema.Timeline(
        name=timeline.title,
        global_start_time=frames(timeline.start_frame),
        metadata=_ours(
            format=METADATA_FORMAT,
            frame_rate=str(timeline.rate),
            timecode=timeline.counting.value,
            start_timecode=timeline.frame_to_label(0),
            frames=timeline.frame_count,
            language=timeline.language,
        ),
    )
    document.tracks.extend(laid(track) for track in tracks)
    document.tracks.markers.extend(
        otio.schema.Marker(
            name=marker.text,
            marked_range=stretch(marker.span.start_frame, marker.span.frame_count),
            color=_COLORS[marker.kind],
            metadata=_ours(kind=marker.kind.value, label=timeline.frame_to_label(marker.span.start_frame)),
        )
        for marker in markers_of(timeline)
    )
    released = otio.versioning.fetch_map("OTIO_CORE", "0.18.1")
    return str(otio.core.serialize_json_to_string(document, released, 1)) + "\n"


def media_url(path: str) -> str:
    """The relative reference (RFC 3986) from `handoff/` to a file that is named from the folder of the assets.

    >>> media_url("pictures/timer.mov"), media_url("../day 1/take #2.mp4")
    ('../pictures/timer.mov', '../../day%201/take%20%232.mp4')
    """
    return quote(posixpath.normpath(posixpath.join("..", path)))


def _ours(**data: Any) -> dict[str, Any]:
    return {METADATA_KEY: data}
