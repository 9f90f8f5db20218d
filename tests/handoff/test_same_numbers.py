"""One class, built to disk, says the same frames in every file."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any
from urllib.parse import unquote

import av
import opentimelineio as otio
import pysubs2
import pytest
import soundfile
from PIL import Image

from overlay.handoff.otio import METADATA_KEY
from overlay.pipeline import build

PLAN = """\
overlay: 1
title: Small class
video: {size: 640x360, frame_rate: RATE, timecode: COUNTING, start: "START"}
timing: {work: 4.5s, rest: 5.1s, preview: 4s, between_blocks: 4s}
opening: {length: 2.7s, cues: [Hello and welcome.]}
tones: {leader: true}
handoff: {handles: 10f}
blocks:
  - id: one
    name: Pull
    side: right
    intervals: [{name: Row, rest: 0s, cues: [Pull]}, {name: Press}]
  - {mirror: one, id: two, name: Other pull}
closing: {length: 3.3s, cues: [Done.]}
"""
CLASSES = [
    ("23.976", "non-drop", "01:00:00:00"),
    ("25", "non-drop", "00:00:00:00"),
    ("29.97", "drop-frame", "00:59:50;00"),
    ("29.97", "non-drop", "01:00:00:00"),
    ("50", "non-drop", "10:00:00:00"),
    ("59.94", "drop-frame", "01:00:00;00"),
    ("59.94", "drop-frame", "23:59:50;00"),
]


class Folder:
    """A built class, and what its timeline.json says."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.data: dict[str, Any] = json.loads((path / "timeline.json").read_text("utf-8"))
        self.rate = Fraction(self.data["frame_rate"])
        self.is_drop = self.data["timecode"] == "drop-frame"
        label = self.data["start_timecode"]
        self.start_frame = int(otio.opentime.from_timecode(label, float(self.rate)).value)

    def document(self) -> otio.schema.Timeline:
        return otio.adapters.read_from_file(str(self.path / "handoff" / "class.otio"))

    def starts(self, key: str) -> list[int]:
        return [row["frame" if key == "beeps" else "start_frame"] for row in self.data[key]]

    def work_starts(self) -> list[int]:
        return [row["start_frame"] for row in self.data["segments"] if row["kind"] == "work"]

    def label(self, frame: int) -> str:
        """The library's label of a frame of the class."""
        time = otio.opentime.RationalTime(self.start_frame + frame, float(self.rate))
        return str(otio.opentime.to_timecode(time, float(self.rate), self.is_drop))


@pytest.fixture(scope="module", params=CLASSES, ids=["-".join(row[:2]) + row[2][:2] for row in CLASSES])
def folder(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Folder:
    """A class built at each rate, all that the hand-off points at and the captions."""
    rate, counting, start = request.param
    plan = tmp_path_factory.mktemp("class") / "small.yaml"
    text = PLAN.replace("RATE", rate).replace("COUNTING", counting).replace("START", start)
    plan.write_text(text, encoding="utf-8")
    only = ["captions", "tones", "timer", "titles", "previews", "progress", "stills", "handoff"]
    return Folder(build(plan, only=only).folder)


def test_the_document_has_the_timelines_frames(folder: Folder) -> None:
    """OpenTimelineIO against timeline.json: the length, and each exercise, cue and beep."""
    document = folder.document()
    assert document.global_start_time.value == folder.start_frame
    assert {track.duration().value for track in document.tracks} == {folder.data["frames"]}
    found: dict[str, list[int]] = {}
    for marker in document.tracks.markers:
        kind = marker.metadata[METADATA_KEY]["kind"]
        found.setdefault(kind, []).append(int(marker.marked_range.start_time.value))
    assert found["exercise"] == folder.work_starts()
    assert found["beep"] == folder.starts("beeps")
    assert sorted(found["cue"] + found.get("call", [])) == folder.starts("cues")
    first_of_block = {row["block"]: row["start_frame"] for row in reversed(folder.data["segments"])}
    assert found["block"] == [first_of_block["one"], first_of_block["two"]]


def test_the_markers_have_the_timelines_frames(folder: Folder) -> None:
    """The table against timeline.json, and its labels against the library's."""
    with (folder.path / "handoff" / "markers.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    at = {kind: [int(row["frame"]) for row in rows if row["kind"] == kind] for kind in ("exercise", "beep", "cue")}
    assert at["exercise"] == folder.work_starts()
    assert at["beep"] == folder.starts("beeps")
    assert at["cue"] == [row["start_frame"] for row in folder.data["cues"] if row["kind"] == "cue"]
    assert all(row["label"] == folder.label(int(row["frame"])) for row in rows)


def test_the_lists_have_the_timelines_frames(folder: Folder) -> None:
    """Every edit list against the document: the same record frames, one a track, midnight included."""
    document = folder.document()
    day = int(otio.opentime.from_timecode(f"24:00:00{';' if folder.is_drop else ':'}00", float(folder.rate)).value)
    for track in document.tracks:
        pieces: list[tuple[int, int]] = []
        for path in sorted((folder.path / "handoff").glob(f"{track.name}*.edl"), key=lambda path: len(path.name)):
            one = otio.adapters.read_from_file(str(path), rate=float(folder.rate)).tracks[0]
            origin = -int(one.source_range.start_time.value) if one.source_range else 0
            for clip in one.find_clips():
                record_in = origin + int(one.range_of_child(clip).start_time.value)
                start = (record_in - folder.start_frame) % day
                pieces.append((start, start + int(clip.source_range.duration.value)))
        clips = [track.range_of_child(clip) for clip in track.find_clips()]
        wanted = [(int(span.start_time.value), int(span.end_time_exclusive().value)) for span in clips]
        joined: list[tuple[int, int]] = []
        for start, end in pieces:
            if joined and joined[-1][1] == start and (start + folder.start_frame) % day == 0:
                start = joined.pop()[0]
            joined.append((start, end))
        assert joined == wanted, track.name


def test_captions_show_on_the_timelines_frames(folder: Folder) -> None:
    """SubRip by `pysubs2`: the first frame not before each time is the cue's."""
    captions = pysubs2.load(str(folder.path / "captions" / "en.srt"))
    shown = [-(-Fraction(line.start, 1000) * folder.rate // 1) for line in captions]
    assert shown == folder.starts("cues")


def test_movie_and_wave_begin_where_the_class_does(folder: Folder) -> None:
    """The timecode track and the Broadcast WAV's time reference, as FFmpeg's libraries read them."""
    with av.open(str(folder.path / "pictures" / "timer.mov")) as movie:
        assert movie.streams.video[0].metadata["timecode"] == folder.data["start_timecode"]
        assert movie.streams.video[0].frames == folder.data["frames"]
    with av.open(str(folder.path / "tones" / "tones.wav")) as wave:
        samples = int(wave.metadata["time_reference"])
    assert abs(samples - folder.start_frame / folder.rate * 48000) <= Fraction(1, 2)
    for beep in folder.data["beeps"]:
        assert abs(beep["sample"] - beep["frame"] / folder.rate * 48000) <= Fraction(1, 2)


def media(folder: Folder) -> Iterator[tuple[Path, otio.schema.Clip]]:
    for clip in folder.document().find_clips():
        url = clip.media_reference.target_url
        assert not url.startswith("/")
        assert ":" not in url
        yield (folder.path / "handoff" / unquote(url)).resolve(), clip


def test_every_clip_finds_its_media(folder: Folder) -> None:
    """Each file is there, and a movie or a sound has exactly the range that the document says it has."""
    seen = set()
    for path, clip in media(folder):
        available = clip.media_reference.available_range
        count, start = int(available.duration.value), int(available.start_time.value)
        if path.suffix == ".mov":
            with av.open(str(path)) as movie:
                assert movie.streams.video[0].frames == count
                label = movie.streams.video[0].metadata["timecode"]
            assert otio.opentime.from_timecode(label, float(folder.rate)).value == start
        elif path.suffix == ".wav":
            samples = soundfile.info(str(path)).frames
            assert abs(samples - count / folder.rate * 48000) <= Fraction(1, 2)
            assert start == folder.start_frame
        else:
            with Image.open(path) as still:
                assert still.mode == "RGBA"
            # A still that shows several times has as many frames as its longest showing needs.
            assert count >= int(clip.source_range.duration.value) + 20
            assert int(clip.source_range.start_time.value) == 10
        seen.add(path.relative_to(folder.path.resolve()).as_posix())
    assert seen >= {
        "pictures/timer.mov", "pictures/titles.mov", "tones/tones.wav",
        "pictures/previews.mov", "pictures/progress.mov",
    }  # fmt: skip
    stills = {path.relative_to(folder.path).as_posix() for path in folder.path.glob("pictures/stills/*.png")}
    assert len(stills) > 5
    assert stills <= seen


def test_alone_it_points_at_the_same_files(folder: Folder, tmp_path: Path) -> None:
    """`--only handoff` gives the bytes that a build with everything gives."""
    again = build(folder.path.parent / "small.yaml", only=["handoff"], out=tmp_path / "alone").folder
    written = sorted(path.name for path in (again / "handoff").iterdir())
    assert written == sorted(path.name for path in (folder.path / "handoff").iterdir())
    assert not (again / "pictures").exists()
    for name in written:
        assert (again / "handoff" / name).read_bytes() == (folder.path / "handoff" / name).read_bytes()
