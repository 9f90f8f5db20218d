"""Edit decision lists, read back by the CMX 3600 adapter, which we did not write."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

import opentimelineio as otio
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlay.folder.media import still_files
from overlay.handoff.edl import edl_texts, reels_of
from overlay.handoff.tracks import Media, MediaKind, Piece, Source, Track, TrackKind, class_tracks
from overlay.timeline.model import Timeline
from overlay.units.rate import Counting
from overlay.units.span import Span

LaidOut = Callable[..., Timeline]
MEDIA = [
    *(Media(name, f"pictures/{name}.mov", MediaKind.LAYER) for name in ("timer", "titles")),
    Media("tones", "tones/tones.wav", MediaKind.SOUND),
]


def media_for(timeline: Timeline) -> list[Media]:
    """What a full build makes of this class: layers, tones, and a still of each preview."""
    return [*MEDIA, *still_files(timeline, ["previews"])]


RATES = ["23.976", "24", "25", "29.97", "30", "47.952", "48", "50", "59.94", "60"]
STARTS = [(rate, "01:00:00:00") for rate in RATES] + [(rate, "01:00:00;00") for rate in ("29.97", "59.94")]
MIDNIGHTS = [("23.976", "23:59:50:00"), ("25", "23:59:50:00"), ("29.97", "23:59:50;00"), ("59.94", "23:59:50;00")]
EVENT = re.compile(r"(\d{3})  ([A-Z0-9]{1,8}) +(V|AA) +C +(\S+) (\S+) (\S+) (\S+)")

Found = tuple[str, int, int, int, int]


def events_of(text: str, timeline: Timeline) -> list[Found]:
    """What the adapter finds: name, source in and out, record in and out, as frame numbers."""
    rate = float(timeline.rate.value)
    document = otio.adapters.read_from_string(text, "cmx_3600", rate=rate)
    track = document.tracks[0]
    # The adapter keeps the first record time as the (negative) start of the track's source range.
    origin = -int(track.source_range.start_time.value) if track.source_range else 0
    found = []
    for clip in track.find_clips():
        used, at = clip.source_range, track.range_of_child(clip)
        record_in = origin + int(at.start_time.value)
        assert (used.start_time.rate, at.duration.value) == (rate, used.duration.value)
        source_in, count = int(used.start_time.value), int(used.duration.value)
        found.append((clip.name, source_in, source_in + count, record_in, record_in + count))
    return found


def wanted(track: Track, timeline: Timeline) -> list[Found]:
    return [
        (
            piece.source.file_name,
            piece.source_frame,
            piece.source_frame + piece.span.frame_count,
            timeline.start_frame + piece.span.start_frame,
            timeline.start_frame + piece.span.end_frame,
        )
        for piece in track.pieces
    ]


def takes_of(timeline: Timeline) -> list[Piece]:
    """Two hand-made takes with a stretch between them that nobody filmed."""
    half = timeline.frame_count // 2
    return [
        Piece("a", Source("../footage/Take one.mp4", 5000, 99_000), Span(3, half), first_frame=17),
        Piece("b", Source("../footage/take-one.mp4", 0, 99_000), Span(half + 50, timeline.frame_count)),
    ]


@pytest.mark.parametrize(("rate", "start"), STARTS)
def test_the_adapter_reads_the_same_frames(small_class: LaidOut, rate: str, start: str) -> None:
    """Every list of the class, at every rate, drop-frame and not: same source and record frames, same names."""
    timeline = small_class(rate, start, leader=True)
    tracks = class_tracks(timeline, media_for(timeline), takes_of(timeline), handle_frames=12)
    texts = edl_texts(timeline, tracks)
    assert list(texts) == [track.name for track in tracks]
    for track in tracks:
        assert events_of(texts[track.name], timeline) == wanted(track, timeline)


@pytest.mark.parametrize(("rate", "start"), STARTS)
def test_the_counting_is_told(small_class: LaidOut, rate: str, start: str) -> None:
    """`FCM` says drop-frame exactly where it is, and so does the sign in every label; the rate is in a comment."""
    timeline = small_class(rate, start)
    is_drop = timeline.counting is Counting.DROP
    for text in edl_texts(timeline, class_tracks(timeline, media_for(timeline))).values():
        lines = text.splitlines()
        assert lines[0].startswith("TITLE: ")
        assert lines[1] == ("FCM: DROP FRAME" if is_drop else "FCM: NON-DROP FRAME")
        labels = [label for event in EVENT.finditer(text) for label in event.groups()[3:]]
        assert labels
        assert {label[8] for label in labels} == {";" if is_drop else ":"}
        assert f"* COMMENT: FRAME RATE {timeline.rate}" in lines


def test_worked_lines(small_class: LaidOut) -> None:
    """A list as it stands on paper by SMPTE 258M practice (STANDARDS.md 7.2), its labels worked by hand.

    A class of 61 s is 61 * 30000 / 1001 = 1,828.2 frames, so 1,828. At 29.97 drop-frame the first
    minute has 1,800 labels; the second begins with ;02, so its frame 28 has the label 30, which is
    one second and no frames.
    """
    timeline = small_class("29.97", "01:00:00;00", leader=True)
    texts = edl_texts(timeline, class_tracks(timeline, media_for(timeline)))
    assert timeline.frame_count == 1828
    assert texts["timer"] == (
        "TITLE: timer Small class\n"
        "FCM: DROP FRAME\n"
        "\n"
        "001  TIMER    V     C        01:00:00;00 01:01:01;00 01:00:00;00 01:01:01;00\n"
        "* FROM CLIP NAME: timer.mov\n"
        "* COMMENT: FRAME RATE 30000/1001\n"
    )
    assert "001  TONES    AA    C        01:00:00;00 01:01:01;00 01:00:00;00 01:01:01;00" in texts["tones"]


@pytest.mark.parametrize(("rate", "start"), MIDNIGHTS)
def test_a_class_over_midnight(small_class: LaidOut, rate: str, start: str) -> None:
    """Labels start again: every event is cut at midnight, and what follows stands in a list of its own."""
    timeline = small_class(rate, start)
    day = round(24 * 3600 * timeline.rate.nominal)
    if timeline.counting is Counting.DROP:
        day -= timeline.rate.nominal // 15 * 9 * 6 * 24
    until = day - timeline.start_frame
    assert 0 < until < timeline.frame_count
    texts = edl_texts(timeline, class_tracks(timeline, media_for(timeline)))
    sign = ";" if timeline.counting is Counting.DROP else ":"
    assert f"23:59:50{sign}00 24:00:00{sign}00 23:59:50{sign}00 24:00:00{sign}00" in texts["timer"]
    assert events_of(texts["timer"], timeline) == [("timer.mov", day - until, day, day - until, day)]
    rest = timeline.frame_count - until
    assert events_of(texts["timer-2"], timeline) == [("timer.mov", 0, rest, 0, rest)]
    assert re.search(rf"00:00:00{sign}00 \S+ 00:00:00{sign}00 ", texts["timer-2"])


def test_a_take_over_its_own_midnight(small_class: LaidOut) -> None:
    """A camera's clock may pass midnight while the class's does not: two events in one list, on end."""
    timeline = small_class("25")
    day = 24 * 3600 * 25
    take = Piece("a", Source("night.mp4", day - 40, 9000), Span(0, 100))
    (text,) = edl_texts(timeline, [Track("footage", TrackKind.VIDEO, (take,))]).values()
    start = timeline.start_frame
    assert events_of(text, timeline) == [
        ("night.mp4", day - 40, day, start, start + 40),
        ("night.mp4", 0, 60, start + 40, start + 100),
    ]


def test_a_list_ends_before_event_1000(small_class: LaidOut) -> None:
    """2,000 events make three lists, each counted from 001, nothing lost between them."""
    timeline = small_class("60")
    source = Source("a.mp4", 0, 9000)
    pieces = tuple(Piece(f"p{n}", source, Span(2 * n, 2 * n + 1), first_frame=n) for n in range(2000))
    texts = edl_texts(timeline, [Track("footage", TrackKind.VIDEO, pieces)])
    assert list(texts) == ["footage", "footage-2", "footage-3"]
    numbers = [[event[1] for event in EVENT.finditer(text)] for text in texts.values()]
    assert [(row[0], row[-1]) for row in numbers] == [("001", "999"), ("001", "999"), ("001", "002")]
    found = [event for text in texts.values() for event in events_of(text, timeline)]
    assert [(source_in, record_in - timeline.start_frame) for _, source_in, _, record_in, _ in found] == [
        (n, 2 * n) for n in range(2000)
    ]


@given(st.lists(st.text(min_size=1, max_size=20), max_size=40, unique=True))
def test_reels_are_unique_and_short(names: list[str]) -> None:
    """Whatever files are called: one to eight capital letters and digits, no two alike, none that means no file."""
    reels = reels_of([f"footage/{name}.mp4" for name in names])
    assert len(reels) == len(set(reels.values())) == len({f"footage/{name}.mp4" for name in names})
    assert all(re.fullmatch("[A-Z0-9]{1,8}", reel) for reel in reels.values())
    assert not {"AX", "BL", "BLACK", "BARS"} & set(reels.values())


def test_names_that_would_break_a_line(small_class: LaidOut) -> None:
    """Line breaks in a file's name, titles of any length and words that look like comments stay harmless."""
    timeline = replace(small_class(), title="LOC: 01:00:00:00 RED " * 20)
    take = Piece("M2  AX 025.0 00:00:00:00", Source("one\n002 x.mp4", 0, 5000), Span(0, timeline.frame_count))
    texts = edl_texts(timeline, class_tracks(timeline, media_for(timeline), [take]))
    assert [name for name, *_ in events_of(texts["footage"], timeline)] == ["one 002 x.mp4"] * 4
    assert all(len(text.splitlines()[0]) <= 77 for text in texts.values())
    document = otio.adapters.read_from_string(texts["footage"], "cmx_3600", rate=25.0)
    assert not any(clip.markers or clip.effects for clip in document.find_clips())
