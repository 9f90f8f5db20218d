"""`overlay build --takes`: from footage to an edit in which every beep falls where it was heard."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import subprocess
import sys
from fractions import Fraction
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import av
import numpy as np
import opentimelineio as otio
import pytest

RATE = Fraction(30000, 1001)
ZERO, PPM, PAUSE = 8.317, 70.0, 12.345
"""Second of class zero, how fast the camera's clock is, and seconds waited before block two."""


def film(path: Path, sound: np.ndarray, rate: Fraction = RATE) -> Path:
    """A small film at a steady rate with this sound (mono, 48 kHz)."""
    with av.open(str(path), "w") as container:
        video = container.add_stream("mpeg4", rate=rate)
        video.width, video.height, video.pix_fmt, video.bit_rate = 64, 48, "yuv420p", 20_000
        audio = container.add_stream("aac", rate=48000, layout="mono", options={"aac_coder": "fast"})
        image = np.full((48, 64, 3), 90, dtype=np.uint8)
        for number in range(int(len(sound) / 48000 * rate)):
            picture = av.VideoFrame.from_ndarray(image, format="rgb24")
            picture.pts, picture.time_base = number, 1 / rate
            container.mux(video.encode(picture))
        container.mux(video.encode(None))
        for at in range(0, len(sound), 1024):
            frame = av.AudioFrame.from_ndarray(sound[None, at : at + 1024], format="fltp", layout="mono")
            frame.sample_rate, frame.time_base, frame.pts = 48000, Fraction(1, 48000), at
            container.mux(audio.encode(frame))
        container.mux(audio.encode(None))
    return path


def onsets(sound: np.ndarray) -> np.ndarray:
    """The seconds at which something sounds after silence: half a tenth of the peak, a fiftieth of a second before."""
    loud = np.abs(sound) > 0.05 * np.max(np.abs(sound))
    at = np.flatnonzero(loud)
    return at[np.concatenate(([True], np.diff(at) > 960))] / 48000


def heard(path: Path) -> np.ndarray:
    """The sound of a file, mono float, decoded by PyAV, placed by the first pts."""
    mono = av.AudioResampler(format="fltp", layout="mono")
    with av.open(str(path)) as container:
        pieces = [piece.to_ndarray()[0] for frame in container.decode(audio=0) for piece in mono.resample(frame)]
    sound = np.concatenate(pieces)
    return sound / np.max(np.abs(sound))


def overlay(folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "overlay", *arguments]
    return subprocess.run(command, capture_output=True, text=True, encoding="utf-8", cwd=folder, check=False)


@pytest.fixture(scope="module")
def shoot(corpus: SimpleNamespace, tmp_path_factory: pytest.TempPathFactory) -> SimpleNamespace:
    """A class of two blocks filmed in one go with a pause, by a clock that is fast; its takes by `overlay sync`."""
    folder = tmp_path_factory.mktemp("shoot")
    text = corpus.plan_of(12, 6, [3, 3], 1, 10, 6)
    (folder / "a.yaml").write_text(text, encoding="utf-8")
    session, timeline = corpus.laid_out(text)
    second = next(s.start for s in timeline.segments if s.block == "block-1")
    how = corpus.recordings.Filmed(zero=ZERO, ppm=PPM, pauses=[(float(second), PAUSE)], tone_db=None, room=None)
    (folder / "card").mkdir()
    film(folder / "card" / "clip 7.mp4", corpus.recordings.filmed(timeline, session.tones, how))
    done = overlay(folder, "sync", "a.yaml", "card/clip 7.mp4")
    assert done.returncode == 0, done.stderr + done.stdout
    done = overlay(folder, "build", "a.yaml", "--takes", "a-takes.yaml", "--only", "captions,tones,handoff,shot-list")
    assert done.returncode == 0, done.stderr
    data = json.loads((folder / "a-assets" / "timeline.json").read_text("utf-8"))
    return SimpleNamespace(folder=folder, assets=folder / "a-assets", plan=timeline, second=second, data=data)


def footage_track(assets: Path) -> Any:
    document = otio.adapters.read_from_file(str(assets / "handoff" / "class.otio"))
    return document, next(track for track in document.tracks if track.name == "footage")


def test_tones_fall_where_the_footage_has_them(shoot: SimpleNamespace) -> None:
    """Both sounds are listened to alone; through the edit list each beep of the one lies on that of the other."""
    _, track = footage_track(shoot.assets)
    clip = track[0]
    ours = onsets(heard(shoot.assets / "tones" / "tones.wav"))
    filmed = onsets(heard(shoot.folder / "card" / "clip 7.mp4"))
    assert len(ours) == len(filmed) == len(shoot.plan.beeps)
    in_point = clip.source_range.start_time.to_seconds() - clip.media_reference.available_range.start_time.to_seconds()
    record = track.range_of_child(clip).start_time.to_seconds()
    off = (ours - record + in_point) - filmed
    assert np.max(np.abs(off)) < 1 / RATE, off
    # What the recording was made with says the same, to a frame.
    true = [
        (ZERO + b.sample / 48000 + (PAUSE if b.sample / 48000 > shoot.second - 0.01 else 0)) * (1 + PPM * 1e-6)
        for b in shoot.plan.beeps
    ]
    assert np.max(np.abs(filmed - true)) < 0.01
    frames = [beep["frame"] for beep in shoot.data["beeps"]]
    assert np.max(np.abs(np.array(frames) / float(RATE) - record + in_point - true)) < 1 / RATE
    # Tones sound on the samples of their frames.
    assert [beep["sample"] for beep in shoot.data["beeps"]] == [round(f * 1001 * 48000 / 30000) for f in frames]


def test_real_clips_in_the_edit(shoot: SimpleNamespace) -> None:
    """The clip exists, has the stated range, tiles with the others, and every track is as long as the class."""
    document, track = footage_track(shoot.assets)
    clips = [child for child in track if isinstance(child, otio.schema.Clip)]
    assert len(clips) == 2, "cut at the border of the blocks"
    for clip in clips:
        url = clip.media_reference.target_url
        path = (shoot.assets / "handoff" / url.replace("%20", " ")).resolve()
        assert path.is_file()
        with av.open(str(path)) as container:
            stream = container.streams.video[0]
            assert clip.media_reference.available_range.duration.value == stream.frames
            assert clip.media_reference.available_range.duration.rate == pytest.approx(float(stream.average_rate))
        assert clip.media_reference.available_range.contains(clip.source_range)
        assert clip.source_range.duration.rate == pytest.approx(float(RATE))
    one, two = clips
    assert one.source_range.end_time_exclusive() == two.source_range.start_time, "the file plays through"
    assert {each.duration().value for each in document.tracks} == {shoot.data["frames"]}
    names = {each.name for each in document.tracks}
    assert {"footage", "footage-sound", "tones"} <= names
    assert "clip 7.mp4" in (shoot.assets / "handoff" / "footage.edl").read_text("utf-8")


def test_everything_follows(shoot: SimpleNamespace) -> None:
    """The rest between the blocks is longer by the pause; captions, chapters and the shot list know it."""
    rests = [s for s in shoot.data["segments"] if s["kind"] == "rest" and s["block"] == "block-0"]
    frames = rests[-1]["end_frame"] - rests[-1]["start_frame"]
    assert frames / RATE == pytest.approx((10 + PAUSE) * (1 + PPM * 1e-6), abs=0.05)
    for segment in shoot.data["segments"]:
        if segment["kind"] == "work":
            assert segment["end_frame"] - segment["start_frame"] in (359, 360)
    second = next(s["start_frame"] for s in shoot.data["segments"] if s["block"] == "block-1")
    assert second / RATE == pytest.approx(float(shoot.second) + PAUSE, abs=0.1)
    chapters = (shoot.assets / "handoff" / "chapters.vtt").read_text("utf-8")
    seconds = int(second * 1001 / 30000)
    assert f"00:{seconds // 60:02}:{seconds % 60:02}." in chapters
    ends = [cue["end_frame"] for cue in shoot.data["cues"]]
    assert max(ends) <= shoot.data["frames"]
    assert (shoot.assets / "paper" / "shot-list.pdf").is_file()


def test_same_takes_same_bytes_and_no_path(shoot: SimpleNamespace, tmp_path: Path) -> None:
    """A copy of everything in another folder gives the same files, and none of them knows the folder."""
    copy = tmp_path / "copy"
    shutil.copytree(shoot.folder, copy, ignore=shutil.ignore_patterns("a-assets"))
    done = overlay(copy, "build", "a.yaml", "--takes", "a-takes.yaml", "--only", "captions,tones,handoff")
    assert done.returncode == 0, done.stderr
    for name in ("timeline.json", "handoff/class.otio", "handoff/footage.edl", "tones/tones.wav", "captions/en.srt"):
        raw = (copy / "a-assets" / name).read_bytes()
        assert hashlib.sha256(raw).digest() == hashlib.sha256((shoot.assets / name).read_bytes()).digest()
        assert os.fsencode(copy.name) not in raw or name.endswith("wav")
        assert os.fsencode(str(shoot.folder)) not in raw


def test_the_manifest_knows_the_takes(shoot: SimpleNamespace, tmp_path: Path) -> None:
    """The sum of the takes file; what was made without them is told as out of date."""
    manifest = json.loads((shoot.assets / "manifest.json").read_text("utf-8"))
    takes = hashlib.sha256((shoot.folder / "a-takes.yaml").read_bytes()).hexdigest()
    assert manifest["takes_sha256"] == takes
    assert {file.get("takes_sha256") for file in manifest["files"]} == {takes}
    out = str(tmp_path / "out")
    assert "earlier" not in overlay(shoot.folder, "build", "a.yaml", "--only", "captions", "--out", out).stdout
    arguments = ("build", "a.yaml", "--takes", "a-takes.yaml", "--only", "handoff", "--out", out)
    done = overlay(shoot.folder, *arguments)
    assert "captions/en.srt" in done.stdout
    assert done.returncode == 0


def test_a_block_that_was_not_filmed(shoot: SimpleNamespace, tmp_path: Path) -> None:
    """A finding in words, exit 1, everything written, a gap in the footage."""
    takes = (shoot.folder / "a-takes.yaml").read_text("utf-8")
    lines = takes[: takes.index("  - block: block-1")]
    (shoot.folder / "b-takes.yaml").write_text(lines, encoding="utf-8")
    out = tmp_path / "out"
    arguments = ("build", "a.yaml", "--takes", "b-takes.yaml", "--only", "handoff", "--out", str(out))
    done = overlay(shoot.folder, *arguments)
    assert done.returncode == 1
    assert "finding: block block-1: no take has it" in done.stderr
    document = otio.adapters.read_from_file(str(out / "handoff" / "class.otio"))
    track = next(track for track in document.tracks if track.name == "footage")
    assert [type(child).__name__ for child in track] == ["Clip", "Gap"]


def test_footage_that_is_gone(shoot: SimpleNamespace, tmp_path: Path) -> None:
    """One error with what to do, exit 3, and nothing is written."""
    text = (shoot.folder / "a-takes.yaml").read_text("utf-8").replace("clip 7.mp4", "clip 8.mp4")
    (shoot.folder / "c-takes.yaml").write_text(text, encoding="utf-8")
    out = tmp_path / "out"
    done = overlay(shoot.folder, "build", "a.yaml", "--takes", "c-takes.yaml", "--out", str(out))
    assert done.returncode == 3
    assert "clip 8.mp4" in done.stderr
    assert "change file: in c-takes.yaml" in done.stderr
    assert "Traceback" not in done.stderr
    assert not out.exists()
    done = overlay(shoot.folder, "build", "a.yaml", "--takes", "none.yaml", "--out", str(out))
    assert done.returncode == 2
    assert "overlay sync" in done.stderr


def test_another_frame_rate_is_told(shoot: SimpleNamespace, tmp_path: Path) -> None:
    """Footage at 25 in a class at 29.97: said so; its in-point and range are in its own frames."""
    sound = heard(shoot.folder / "card" / "clip 7.mp4").astype(np.float32)
    film(shoot.folder / "slow.mp4", sound, Fraction(25))
    text = (shoot.folder / "a-takes.yaml").read_text("utf-8").replace("card/clip 7.mp4", "slow.mp4")
    (shoot.folder / "d-takes.yaml").write_text(text, encoding="utf-8")
    out = tmp_path / "out"
    arguments = ("build", "a.yaml", "--takes", "d-takes.yaml", "--only", "handoff", "--out", str(out))
    done = overlay(shoot.folder, *arguments)
    assert done.returncode == 0, done.stderr
    assert "remark: footage slow.mp4: it has 25 frames a second and the class 29.97" in done.stderr
    document = otio.adapters.read_from_file(str(out / "handoff" / "class.otio"))
    track = next(track for track in document.tracks if track.name == "footage")
    clip = track[0]
    available, shown = clip.media_reference.available_range, clip.source_range
    assert available.duration == otio.opentime.RationalTime(int(len(sound) / 48000 * 25), 25)
    # Class zero: 8.317 s by a clock that is 70 ppm fast, on the nearest frame of the class; a frame of 25 is 0.04 s.
    assert shown.start_time.rate == 25
    assert shown.start_time.to_seconds() == pytest.approx(ZERO * (1 + PPM * 1e-6), abs=0.04)
    assert {each.duration().to_frames() for each in document.tracks} == {
        json.loads((out / "timeline.json").read_text("utf-8"))["frames"]
    }
