"""Where each file stands in the class."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from overlay.folder.media import still_files
from overlay.handoff.tracks import Media, MediaKind, Piece, Source, Track, TrackKind, class_tracks
from overlay.timeline.changes import title_changes
from overlay.timeline.model import SegmentKind, Timeline
from overlay.units.span import Span

LaidOut = Callable[..., Timeline]
LAYERS = [Media(name, f"pictures/{name}.mov", MediaKind.LAYER) for name in ("timer", "titles", "previews", "progress")]
TONES = Media("tones", "tones/tones.wav", MediaKind.SOUND)


def named(tracks: tuple[Track, ...]) -> dict[str, Track]:
    return {track.name: track for track in tracks}


def test_layers_lie_in_order_from_the_bottom_up(small_class: LaidOut) -> None:
    """Footage first, then previews, titles, timer, progress, a layer of another name on top; then the sound."""
    other = Media("flash", "pictures/flash.mov", MediaKind.LAYER)
    tracks = class_tracks(small_class(), [TONES, other, *LAYERS])
    assert [track.name for track in tracks] == [
        "footage", "previews", "titles", "timer", "progress", "flash", "tones",
    ]  # fmt: skip
    assert [track.kind for track in tracks] == [TrackKind.VIDEO] * 6 + [TrackKind.AUDIO]
    assert all(track.is_on for track in tracks)


def test_a_layer_that_is_not_made_has_no_track(small_class: LaidOut) -> None:
    """What the list of media lacks is absent, and the footage stays as a track without a piece."""
    tracks = class_tracks(small_class(), [LAYERS[0]])
    assert [(track.name, len(track.pieces)) for track in tracks] == [("footage", 0), ("timer", 1)]


def test_a_layer_is_the_class_long_and_has_its_timecode(small_class: LaidOut) -> None:
    """One piece, all of the file, its first frame labelled as the class's."""
    timeline = small_class("25", "01:00:00:00")
    (piece,) = named(class_tracks(timeline, LAYERS))["timer"].pieces
    assert piece == Piece("timer", Source("pictures/timer.mov", 90000, timeline.frame_count), piece.span)
    assert piece.span == Span(0, timeline.frame_count)
    assert piece.handles(12) == (0, 0)


def test_title_stills_stand_where_the_title_does(small_class: LaidOut) -> None:
    """A still for each state that has one, from its change to the next, off, with handles on both sides."""
    timeline = small_class()
    changes = title_changes(timeline)
    states = [state for state in dict(changes).values() if state.kind is SegmentKind.WORK]
    stills = [
        Media(state.name, f"pictures/stills/title-{number}.png", MediaKind.TITLE_STILL, state)
        for number, state in enumerate(dict.fromkeys(states))
    ]
    track = named(class_tracks(timeline, stills, handle_frames=12))["title-stills"]
    assert not track.is_on
    work = [segment for segment in timeline.segments if segment.kind is SegmentKind.WORK]
    assert [(piece.name, piece.span) for piece in track.pieces] == [(segment.name, segment.span) for segment in work]
    assert {piece.handles(12) for piece in track.pieces} == {(12, 12)}
    assert len({piece.source for piece in track.pieces}) == len(stills) == 8


def test_preview_stills_stand_at_the_previews(small_class: LaidOut) -> None:
    """One card a block, where its preview is, and never longer than that."""
    timeline = small_class()
    track = named(class_tracks(timeline, list(still_files(timeline, ["previews"]))))["preview-stills"]
    previews = [segment for segment in timeline.segments if segment.kind is SegmentKind.PREVIEW]
    covered = {frame for piece in track.pieces for frame in range(piece.span.start_frame, piece.span.end_frame)}
    wanted = {frame for s in previews for frame in range(s.span.start_frame, s.span.end_frame)}
    assert covered == wanted
    assert {piece.name for piece in track.pieces} == {s.block_name for s in previews}
    assert not track.is_on


def test_takes_are_cut_at_the_blocks(small_class: LaidOut) -> None:
    """One take over the whole class becomes a piece a part, each running on where the last one ended."""
    timeline = small_class("29.97", "01:00:00;00")
    take = Piece("day one", Source("../footage/one.mp4", 500, 10_000), Span(0, timeline.frame_count), first_frame=321)
    tracks = named(class_tracks(timeline, [], [take]))
    pieces = tracks["footage"].pieces
    assert [piece.name for piece in pieces] == ["Opening", "Pull", "Other pull", "Closing"]
    first_of = {segment.block: segment.span.start_frame for segment in reversed(timeline.segments)}
    closing = timeline.segments[-1].span
    assert [piece.span.start_frame for piece in pieces] == [0, first_of["one"], first_of["two"], closing.start_frame]
    assert [piece.span.end_frame for piece in pieces[:-1]] == [piece.span.start_frame for piece in pieces[1:]]
    assert pieces[-1].span.end_frame == timeline.frame_count
    assert all(piece.source_frame == 500 + 321 + piece.span.start_frame for piece in pieces)
    assert tracks["footage-sound"] == Track("footage-sound", TrackKind.AUDIO, pieces)


def test_takes_leave_a_gap_where_nothing_was_filmed(small_class: LaidOut) -> None:
    """A block a file, told in any order: no piece of a block that was not filmed, no sound of a mute take."""
    timeline = small_class(leader=True)
    spans = {}
    for block in ("one", "two"):
        segments = [segment.span for segment in timeline.segments if segment.block == block]
        spans[block] = Span(segments[0].start_frame, segments[-1].end_frame)
    closing = timeline.segments[-1].span
    takes = [
        Piece("c", Source("../c.mp4", 0, 700, has_sound=False), closing, first_frame=600),
        Piece("b", Source("../b.mp4", 90_000, 9000), spans["two"], first_frame=7),
    ]
    tracks = named(class_tracks(timeline, [], takes))
    track = tracks["footage"]
    assert tracks["footage-sound"].pieces == track.pieces[:1]
    assert [(piece.name, piece.source.path, piece.span) for piece in track.pieces] == [
        ("Other pull", "../b.mp4", spans["two"]),
        ("Closing", "../c.mp4", closing),
    ]
    assert [piece.handles(12) for piece in track.pieces] == [(7, 12), (12, 12)]


def test_a_leader_stays_with_the_first_part(small_class: LaidOut) -> None:
    """A take that was running before the class began is not cut at its first frame."""
    timeline = small_class(leader=True)
    take = Piece("a", Source("a.mp4", 0, timeline.frame_count), Span(0, timeline.frame_count))
    first = named(class_tracks(timeline, [], [take]))["footage"].pieces[0]
    assert (first.name, first.span) == ("Opening", Span(0, timeline.segments[1].span.end_frame))


def test_takes_that_cannot_be(small_class: LaidOut) -> None:
    """Frames that the file has not got, a place outside the class, two takes on one frame."""
    timeline = small_class()
    source = Source("a.mp4", 0, 100)
    with pytest.raises(ValueError, match=r"a\.mp4 has not got the frames"):
        Piece("a", source, Span(0, 50), first_frame=51)
    late = Piece("a", source, Span(timeline.frame_count - 10, timeline.frame_count + 1))
    with pytest.raises(ValueError, match="outside the class"):
        class_tracks(timeline, [], [late])
    with pytest.raises(ValueError, match="on one frame"):
        class_tracks(timeline, [], [Piece("a", source, Span(0, 50)), Piece("b", source, Span(49, 60))])
