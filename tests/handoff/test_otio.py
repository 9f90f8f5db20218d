"""The OpenTimelineIO document, read back by the library itself."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from fractions import Fraction
from typing import Any

import opentimelineio as otio
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlay.folder.media import still_files
from overlay.handoff.markers import MarkerKind, markers_of
from overlay.handoff.otio import METADATA_KEY, otio_text
from overlay.handoff.tracks import Media, MediaKind, Piece, Source, class_tracks
from overlay.plan.read import parse_plan
from overlay.timeline.layout import lay_out
from overlay.timeline.model import Timeline
from overlay.units.span import Span

LaidOut = Callable[..., Timeline]
MEDIA = [
    *(Media(name, f"pictures/{name}.mov", MediaKind.LAYER) for name in ("timer", "titles")),
    Media("tones", "tones/tones.wav", MediaKind.SOUND),
]


def media_for(timeline: Timeline) -> list[Media]:
    """What a full build makes of this class: layers, tones, and a still of each preview."""
    return [*MEDIA, *still_files(timeline, ["previews"])]


STARTS = [
    ("23.976", "01:00:00:00"),
    ("25", "01:00:00:00"),
    ("29.97", "01:00:00:00"),
    ("29.97", "01:00:00;00"),
    ("50", "00:00:00:00"),
    ("59.94", "01:00:00;00"),
    ("59.94", "23:59:50;00"),
]
# STANDARDS.md 7.1: the schemas of release 0.18.1, from its CORE_VERSION_MAP.
RELEASED = {
    "Timeline.1", "Stack.1", "Track.1", "Clip.2", "Gap.1", "Marker.2", "ExternalReference.1",
    "RationalTime.1", "TimeRange.1",
}  # fmt: skip


def read(timeline: Timeline, takes: tuple[Piece, ...] = (), handle_frames: int = 12) -> otio.schema.Timeline:
    tracks = class_tracks(timeline, media_for(timeline), takes, handle_frames=handle_frames)
    return otio.adapters.read_from_string(otio_text(timeline, tracks, handle_frames=handle_frames), "otio_json")


def whole(time: otio.opentime.RationalTime, timeline: Timeline) -> int:
    """A time's frame, which must be whole and at exactly the class's rate."""
    assert Fraction(time.rate).limit_denominator(1001) == timeline.rate.value
    assert time.value == int(time.value)
    return int(time.value)


@pytest.mark.parametrize(("rate", "start"), STARTS)
def test_the_whole_class_is_laid_out(small_class: LaidOut, rate: str, start: str) -> None:
    """Start timecode, track names and kinds, what is off, and every track as long as the class."""
    timeline = small_class(rate, start)
    document = read(timeline)
    assert document.name == "Small class"
    start_time = document.global_start_time
    assert whole(start_time, timeline) == timeline.start_frame
    drop = ";" in start
    assert otio.opentime.to_timecode(start_time, start_time.rate, drop) == start
    assert [(track.name, track.kind, track.enabled) for track in document.tracks] == [
        ("footage", "Video", True),
        ("titles", "Video", True),
        ("timer", "Video", True),
        ("preview-stills", "Video", False),
        ("tones", "Audio", True),
    ]
    assert {whole(track.duration(), timeline) for track in document.tracks} == {timeline.frame_count}
    assert [type(item) for item in document.tracks[0]] == [otio.schema.Gap]


@pytest.mark.parametrize(("rate", "start"), STARTS)
def test_every_label_is_the_librarys_too(small_class: LaidOut, rate: str, start: str) -> None:
    """The library's own timecode of each marker is the label that the marker carries, over midnight too."""
    timeline = small_class(rate, start)
    document = read(timeline)
    for marker in document.tracks.markers:
        at = document.global_start_time + marker.marked_range.start_time
        label = otio.opentime.to_timecode(at, at.rate, ";" in start)
        assert label == marker.metadata[METADATA_KEY]["label"]


def test_markers_are_told_apart_by_kind(small_class: LaidOut) -> None:
    """Blocks, exercises, cues and beeps at their frames, each kind in one colour, in order."""
    timeline = small_class()
    markers = read(timeline).tracks.markers
    found = [
        (
            marker.metadata[METADATA_KEY]["kind"],
            whole(marker.marked_range.start_time, timeline),
            whole(marker.marked_range.duration, timeline),
            marker.name,
        )
        for marker in markers
    ]
    wanted = [(m.kind.value, m.span.start_frame, m.span.frame_count, m.text) for m in markers_of(timeline)]
    assert found == wanted
    assert {kind for kind, *_ in found} == {kind.value for kind in MarkerKind}
    colors = {(marker.metadata[METADATA_KEY]["kind"], marker.color) for marker in markers}
    assert len(colors) == len(MarkerKind)
    assert len({color for kind, color in colors if kind in ("block", "exercise", "cue", "beep")}) == 4
    assert all(getattr(otio.schema.MarkerColor, color) == color for _, color in colors)


def objects(value: Any) -> Iterator[dict[str, Any]]:
    if isinstance(value, dict):
        yield value
        for inner in value.values():
            yield from objects(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from objects(inner)


def test_only_released_schemas_and_one_key_of_our_own(small_class: LaidOut) -> None:
    """Every schema is one of release 0.18.1, and all metadata stand under one key."""
    timeline = small_class()
    data = json.loads(otio_text(timeline, class_tracks(timeline, media_for(timeline)), handle_frames=12))
    assert {thing["OTIO_SCHEMA"] for thing in objects(data) if "OTIO_SCHEMA" in thing} == RELEASED
    keys = {key for thing in objects(data) for key in thing.get("metadata", {})}
    assert keys == {METADATA_KEY}
    ours = data["metadata"][METADATA_KEY]
    assert (ours["frame_rate"], ours["timecode"], ours["start_timecode"]) == ("25/1", "non-drop", "01:00:00:00")


def test_takes_stand_in_their_track(small_class: LaidOut) -> None:
    """Clips and gaps tile the class; each clip's range lies in its file's, as many frames in as was said."""
    timeline = small_class("59.94", "01:00:00;00")
    take = Piece("a", Source("../day 1/take #2.mp4", 1000, 5000), Span(300, 1500), first_frame=5)
    document = read(timeline, (take,))
    for track in (document.tracks[0], document.tracks[-2]):
        at = 0
        for item in track:
            assert whole(track.range_of_child(item).start_time, timeline) == at
            at += whole(item.duration(), timeline)
        assert at == timeline.frame_count
        clips = list(track.find_clips())
        assert [clip.media_reference.target_url for clip in clips] == ["../../day%201/take%20%232.mp4"] * len(clips)
        first = clips[0]
        assert whole(track.range_of_child(first).start_time, timeline) == 300
        assert whole(first.source_range.start_time, timeline) == 1005
        assert whole(first.media_reference.available_range.start_time, timeline) == 1000
        assert first.metadata[METADATA_KEY] == {"handle_frames_before": 5, "handle_frames_after": 12}
    assert document.tracks[-2].name == "footage-sound"


def test_the_same_class_gives_the_same_text(small_class: LaidOut, monkeypatch: pytest.MonkeyPatch) -> None:
    """Not even the variable by which the library's own writer can be told another version changes it."""
    timeline = small_class()
    tracks = class_tracks(timeline, media_for(timeline))
    text = otio_text(timeline, tracks)
    monkeypatch.setenv("OTIO_DEFAULT_TARGET_VERSION_FAMILY_LABEL", "OTIO_CORE:0.14.0")
    assert otio_text(timeline, tracks) == text


RATES = ["23.976", "24", "25", "29.97", "30", "47.952", "48", "50", "59.94", "60"]
lengths = st.decimals("0.1", "30", places=3).map(lambda value: f"{value}s")
blocks = st.fixed_dictionaries(
    {
        "rounds": st.integers(1, 3),
        "preview": st.one_of(st.just("0s"), lengths),
        "work": st.lists(lengths, min_size=1, max_size=3),
    }
)


@given(
    rate=st.sampled_from(RATES),
    start=st.sampled_from(["00:00:00:00", "01:00:00:00", "23:59:58:00"]),
    timing=st.fixed_dictionaries({"rest": lengths, "between_rounds": lengths, "between_blocks": lengths}),
    rows=st.lists(blocks, min_size=1, max_size=3),
    leader=st.booleans(),
    first_frame=st.integers(0, 500),
)
@settings(max_examples=60)
def test_any_plan_gives_tracks_of_equal_length(
    rate: str, start: str, timing: dict[str, str], rows: list[dict[str, Any]], leader: bool, first_frame: int
) -> None:
    """At any rate: every track is as long as the class, and every clip's range lies within its media's."""
    written = [
        f"  - {{rounds: {row['rounds']}, preview: {row['preview']}, "
        f"intervals: [{', '.join(f'{{name: A{n}, work: {work}}}' for n, work in enumerate(row['work']))}]}}"
        for row in rows
    ]
    text = (
        f'overlay: 1\ntitle: A\nvideo: {{frame_rate: {rate}, start: "{start}"}}\ntiming: {json.dumps(timing)}\n'
        f"tones: {{leader: {str(leader).lower()}}}\nblocks:\n" + "\n".join(written)
    )
    timeline = lay_out(parse_plan(text.encode("utf-8"), "a.yaml")).timeline
    half = timeline.frame_count // 2
    take = Piece("a", Source("a.mp4", 77, first_frame + timeline.frame_count), Span(0, half), first_frame)
    document = read(timeline, (take,) if half else ())
    assert {whole(track.duration(), timeline) for track in document.tracks} == {timeline.frame_count}
    for clip in document.find_clips():
        available, used = clip.media_reference.available_range, clip.source_range
        assert whole(available.start_time, timeline) <= whole(used.start_time, timeline)
        assert whole(used.end_time_exclusive(), timeline) <= whole(available.end_time_exclusive(), timeline)
