"""A class from plan to folder, read back by programs and libraries that we did not write."""

from __future__ import annotations

import hashlib
import json
import shutil
import subprocess
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import numpy as np
import pytest
import soundfile

from overlay.pipeline import Built, build

PLAN = """\
overlay: 1
title: Small class
video: {size: 640x360, frame_rate: RATE, start: "01:00:00:00"}
timing: {work: 4.5s, rest: 5s, preview: 4s, between_blocks: 4s}
look: {timer: {gauge: seconds}}
opening: {length: 2s, cues: [Hello and welcome.]}
blocks:
  - id: one
    side: right
    intervals: [{name: Row, rest: 0s, cues: [Pull]}, {name: Press}]
  - {mirror: one, id: two}
closing: {length: 2s, cues: [Done.]}
"""
RATES = ["25", "29.97"]
OTHER_RATES = ["23.976", "24", "30", "50", "59.94", "60"]


@pytest.fixture(scope="module", params=RATES)
def built(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Built:
    """A small class built at each rate."""
    plan = tmp_path_factory.mktemp("class") / "small.yaml"
    plan.write_text(PLAN.replace("RATE", request.param), encoding="utf-8")
    return build(plan)


def pictures(path: Path) -> Iterator[np.ndarray]:
    """Every frame as RGBA, height x width x 4, decoded by libav."""
    with av.open(str(path)) as container:
        for frame in container.decode(video=0):
            yield frame.to_ndarray(format="rgba")


def timeline_json(built: Built) -> dict[str, Any]:
    return json.loads((built.folder / "timeline.json").read_text("utf-8"))


def test_the_folder_holds_what_the_manifest_says(built: Built) -> None:
    """Every file once, with its true size and sum; nothing else in the folder."""
    manifest = json.loads((built.folder / "manifest.json").read_text("utf-8"))
    files = {row["path"]: row for row in manifest["files"]}
    there = {path.relative_to(built.folder).as_posix() for path in built.folder.rglob("*") if path.is_file()}
    assert there == {*files, "manifest.json"}
    assert there >= {
        "captions/en.srt",
        "tones/tones.wav",
        "pictures/timer.mov",
        "pictures/titles.mov",
        "pictures/stills/title-001-small-class.png",
        "paper/shot-list.pdf",
        "paper/script.pdf",
        "paper/timeline.png",
        "paper/timeline.svg",
        "handoff/chapters.vtt",
        "handoff/chapters.txt",
        "handoff/chapters.ffmetadata",
        "handoff/description.txt",
        "handoff/editor-notes.txt",
        "rehearsal.html",
        "timeline.json",
    }
    for path, row in files.items():
        content = (built.folder / path).read_bytes()
        assert (row["bytes"], row["sha256"]) == (len(content), hashlib.sha256(content).hexdigest())
    timeline = timeline_json(built)
    assert all(manifest[key] == timeline[key] for key in ("frames", "frame_rate", "samples"))


def test_the_timeline_file(built: Built) -> None:
    """The pinned keys, the segments tiling the class, `null` for what does not apply."""
    data = timeline_json(built)
    assert list(data) == [
        "format", "title", "frame_rate", "timecode", "start_timecode", "frames",
        "sample_rate", "samples", "segments", "beeps", "cues",
    ]  # fmt: skip
    assert data["start_timecode"] in ("01:00:00:00", "01:00:00;00")
    edges = [segment["start_frame"] for segment in data["segments"]] + [data["frames"]]
    assert edges[0] == 0
    assert [segment["end_frame"] for segment in data["segments"]] == edges[1:]
    opening, preview, work = data["segments"][:3]
    assert opening["block"] is opening["exercise"] is opening["side"] is opening["round"] is None
    assert (preview["kind"], preview["block"], preview["side"]) == ("preview", "one", "right")
    assert (work["name"], work["round"], work["exercise"]) == ("Row", 1, None)


@pytest.mark.parametrize("layer", ["timer", "titles"])
def test_layers_have_the_classes_frames(built: Built, layer: str) -> None:
    """PyAV: exact frame count, rate and size, ProRes 4444 with alpha."""
    data = timeline_json(built)
    with av.open(str(built.folder / "pictures" / f"{layer}.mov")) as container:
        stream = container.streams.video[0]
        assert stream.frames == data["frames"]
        assert stream.average_rate == Fraction(data["frame_rate"])
        assert (stream.width, stream.height) == (640, 360)
        assert stream.codec_context.format.name.startswith("yuva444p")
        assert stream.codec_context.name == "prores"
        times = [frame.pts * frame.time_base for frame in container.decode(video=0)]
    rate = Fraction(data["frame_rate"])
    assert times == [n / rate for n in range(data["frames"])]


@pytest.mark.parametrize("rate", OTHER_RATES)
def test_every_rate(rate: str, tmp_path: Path) -> None:
    """The other rates that timecode labels: exact frame count, rate and sample count."""
    plan = tmp_path / "small.yaml"
    plan.write_text(PLAN.replace("RATE", rate), encoding="utf-8")
    built = build(plan, only=["timer", "tones"])
    data = timeline_json(built)
    exact = Fraction(data["frame_rate"])
    assert data["frames"] == int(34 * exact + Fraction(1, 2))
    with av.open(str(built.folder / "pictures" / "timer.mov")) as container:
        stream = container.streams.video[0]
        assert (stream.frames, stream.average_rate) == (data["frames"], exact)
        assert sum(1 for packet in container.demux(stream) if packet.size) == data["frames"]
    info = soundfile.info(built.folder / "tones" / "tones.wav")
    assert info.frames == data["samples"] == int(data["frames"] / exact * 48000 + Fraction(1, 2))


def test_digits_change_on_their_frame(built: Built) -> None:
    """A picture differs from the one before exactly at each whole second before a segment's end."""
    data = timeline_json(built)
    rate = Fraction(data["frame_rate"])
    lengths = {"opening": 2, "preview": 4, "work": Fraction("4.5"), "rest": 4, "closing": 2}
    wanted, now = set(), Fraction(0)
    for segment in data["segments"]:
        end = now + lengths[segment["kind"]]
        times = [now, *(end - left for left in range(1, 5) if end - left > now)]
        wanted |= {int(time * rate + Fraction(1, 2)) for time in times}
        now = end
    changed, before = [], None
    for number, picture in enumerate(pictures(built.folder / "pictures" / "timer.mov")):
        if before is None or not np.array_equal(picture, before):
            changed.append(number)
        before = picture
    assert set(changed) == wanted


def test_alpha_is_straight(built: Built) -> None:
    """Clear in the corner, opaque inside a digit, and white ink over white stays white."""
    picture = next(pictures(built.folder / "pictures" / "timer.mov")).astype(float)
    alpha = picture[..., 3]
    assert alpha[0, 0] == alpha[-1, -1] == 0
    assert alpha.max() == 255
    white = (picture[..., :3].min(axis=2) > 250) & (alpha == 255)
    assert white.sum() > 200
    over_white = picture[..., :3] * alpha[..., None] / 255 + 255 * (1 - alpha[..., None] / 255)
    assert over_white[white].min() >= 250


def test_the_wave_file_is_as_long_as_the_class(built: Built) -> None:
    """soundfile: 48 kHz, 24 bit, stereo, exact length, silent at both ends, below the ceiling."""
    info = soundfile.info(built.folder / "tones" / "tones.wav")
    assert (info.samplerate, info.channels, info.subtype) == (48000, 2, "PCM_24")
    samples, _ = soundfile.read(built.folder / "tones" / "tones.wav")
    data = timeline_json(built)
    frames, rate = data["frames"], Fraction(data["frame_rate"])
    assert len(samples) == data["samples"] == int(frames / rate * 48000 + Fraction(1, 2))
    assert not samples[0].any()
    assert not samples[-1].any()
    assert 0.05 < np.abs(samples).max() < 10 ** (-6 / 20)


def test_beeps_sound_where_the_timeline_says(built: Built) -> None:
    """Found by energy alone: silence up to each beep's sample, sound from it on, and nowhere else."""
    samples, _ = soundfile.read(built.folder / "tones" / "tones.wav")
    loud = np.abs(samples).max(axis=1) > 0
    beeps = timeline_json(built)["beeps"]
    assert len(beeps) > 10
    for beep in beeps:
        onset = beep["sample"]
        assert not loud[onset - 2400 : onset + 1].any()
        assert loud[onset + 1 : onset + 3].any()
    # From one onset to the next nothing begins unasked: what sounds follows an onset within 1.5 s.
    onsets = np.array([beep["sample"] for beep in beeps])
    sounding = np.flatnonzero(loud)
    after = sounding - onsets[np.searchsorted(onsets, sounding, side="right") - 1]
    assert after.max() < 1.5 * 48000


@pytest.mark.skipif(shutil.which("ffprobe") is None, reason="needs the ffmpeg program")
@pytest.mark.parametrize("layer", ["timer", "titles"])
def test_the_ffmpeg_program_agrees(built: Built, layer: str) -> None:
    """FFmpeg's own count of decoded frames, rate, pixel format, colour tags and start label."""
    path = built.folder / "pictures" / f"{layer}.mov"
    command = ["ffprobe", "-v", "error", "-count_frames", "-show_streams", "-of", "json", path]
    streams = json.loads(subprocess.run(command, capture_output=True, check=True).stdout)["streams"]
    video = next(stream for stream in streams if stream["codec_type"] == "video")
    data = timeline_json(built)
    assert int(video["nb_read_frames"]) == data["frames"]
    assert Fraction(video["r_frame_rate"]) == Fraction(data["frame_rate"])
    assert video["pix_fmt"].startswith("yuva444p")
    assert (video["color_space"], video["color_range"]) == ("bt709", "tv")
    assert video["tags"]["timecode"] == data["start_timecode"]


def test_both_kinds_of_file_show_the_same(built: Built, tmp_path: Path) -> None:
    """`plain_mov` decodes to the same pictures, bit for bit, in far more bytes."""
    plain = build(built.folder.parent / "small.yaml", out=tmp_path / "plain", only=["timer"], plain_mov=True)
    small, large = built.folder / "pictures" / "timer.mov", plain.folder / "pictures" / "timer.mov"
    for one, other in zip(pictures(small), pictures(large), strict=True):
        assert np.array_equal(one, other)
    assert large.stat().st_size > 10 * small.stat().st_size


def test_a_second_build_gives_the_same_bytes(built: Built, tmp_path: Path) -> None:
    """Another folder, another run, a plan of another name: the same files."""
    renamed = tmp_path / "of another name.yaml"
    renamed.write_bytes((built.folder.parent / "small.yaml").read_bytes())
    again = build(renamed, out=tmp_path / "again")
    assert [(entry.path, entry.sha256) for entry in again.entries] == [(e.path, e.sha256) for e in built.entries]
    assert (again.folder / "manifest.json").read_bytes() == (built.folder / "manifest.json").read_bytes()


def test_the_page_is_the_same_whatever_else_is_made(tmp_path: Path) -> None:
    """What a name too long for its picture gives to tell is told on the page, alone or among the rest."""
    plan = tmp_path / "long.yaml"
    name = " ".join(["Very slow side-lying clamshell"] * 6)
    plan.write_text(PLAN.replace("RATE", "25").replace("{name: Press}", f"{{name: {name}}}"), encoding="utf-8")
    alone = build(plan, only=["rehearsal"], out=tmp_path / "alone")
    among = build(plan, only=["rehearsal", "shot-list", "stills"], out=tmp_path / "among")
    assert "title-too-long" in {finding.name for finding in alone.findings}
    pages = [(built.folder / "rehearsal.html").read_bytes() for built in (alone, among)]
    assert pages[0] == pages[1]


def test_only_what_is_named_is_made(tmp_path: Path) -> None:
    """`--only captions` writes captions, the timeline and the manifest; an earlier build's files stay listed."""
    plan = tmp_path / "small.yaml"
    plan.write_text(PLAN.replace("RATE", "25"), encoding="utf-8")
    folder = build(plan, only=["captions"]).folder
    names = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}
    captions = {"captions/en.srt", "captions/en.vtt", "captions/en.ttml"}
    assert names == {*captions, "timeline.json", "manifest.json"}
    build(plan, only=["timeline"])
    listed = {row["path"] for row in json.loads((folder / "manifest.json").read_text("utf-8"))["files"]}
    assert listed == {*captions, "timeline.json"}
