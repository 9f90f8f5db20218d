"""`overlay proof` as people meet it, its film read back by PyAV."""

from __future__ import annotations

import subprocess
import sys
from fractions import Fraction
from pathlib import Path
from types import SimpleNamespace

import av
import numpy as np
import pytest
from PIL import Image

from overlay.footage.burnt import Burnt, Label
from overlay.footage.ground import plain_ground
from overlay.footage.moments import Moments
from overlay.footage.proof import LAYERS, proof_size
from overlay.pictures.composite import compose, showings
from overlay.pictures.fonts import SHIPPED
from overlay.pictures.layers import make_layer
from overlay.plan.read import parse_plan
from overlay.timeline.layout import lay_out
from overlay.timeline.model import Timeline
from overlay.units.raster import Size

PLAN = """\
overlay: 1
title: Small class
language: en
video: {size: SIZE, frame_rate: RATE, timecode: non-drop, start: "01:00:00:00"}
timing: {work: 8s, rest: 5s, preview: 5s, between_blocks: 4s}
blocks:
  - {id: one, name: Pull, side: right, intervals: [{name: Row, cues: [Sit tall before you pull.]}, {name: Press}]}
closing: {length: 6s, cues: [That is the class.]}
"""
TWO_BLOCKS = PLAN.replace("closing:", "  - {mirror: one, id: two, name: Other pull}\nclosing:")


def plan_in(folder: Path, size: str = "1920x1080", rate: str = "25", more: str = "", text: str = PLAN) -> Path:
    folder.mkdir(exist_ok=True)
    path = folder / "a.yaml"
    path.write_text(text.replace("SIZE", size).replace("RATE", rate) + more, encoding="utf-8")
    return path


def overlay(folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "overlay", *arguments]
    return subprocess.run(command, capture_output=True, text=True, encoding="utf-8", cwd=folder, check=False)


def pictures_of(path: Path) -> tuple[list[np.ndarray], list[Fraction]]:
    with av.open(str(path)) as container:
        frames = [(f.to_ndarray(format="rgb24"), f.pts * f.time_base) for f in container.decode(video=0)]
    return [picture for picture, _ in frames], [time for _, time in frames]


def sound_of(path: Path) -> np.ndarray:
    mono = av.AudioResampler(format="fltp", layout="mono")
    with av.open(str(path)) as container:
        zero = container.streams.audio[0].start_time or 0
        assert zero == 0
        return np.concatenate([p.to_ndarray()[0] for f in container.decode(audio=0) for p in mono.resample(f)])


def onsets(sound: np.ndarray) -> np.ndarray:
    loud = np.flatnonzero(np.abs(sound) > 0.1 * np.max(np.abs(sound)))
    return loud[np.concatenate(([True], np.diff(loud) > 2400))] / 48000


def timeline_of(path: Path) -> Timeline:
    return lay_out(parse_plan(path.read_bytes(), "a.yaml")).timeline


@pytest.mark.parametrize(("rate", "exact"), [("25", "25"), ("23.976", "24000/1001"), ("29.97", "30000/1001")])
def test_rate_length_and_beeps(tmp_path: Path, rate: str, exact: str) -> None:
    """The exact rate, every frame at its time, and beeps where their frames are, heard within a frame."""
    path = plan_in(tmp_path, rate=rate)
    done = overlay(tmp_path, "proof", "a.yaml")
    assert done.returncode == 0, done.stderr
    timeline = timeline_of(path)
    moments = Moments(timeline)
    pictures, times = pictures_of(tmp_path / "a-proof.mp4")
    assert len(pictures) == moments.frame_count
    assert all(abs(time - number / Fraction(exact)) < Fraction(1, 1000) for number, time in enumerate(times))
    assert pictures[0].shape == (360, 640, 3)
    shown = {moments.class_frame(frame): frame for frame in range(moments.frame_count)}
    expected = [float(shown[beep.frame] / Fraction(exact)) for beep in timeline.beeps]
    heard = onsets(sound_of(tmp_path / "a-proof.mp4"))
    for at in expected:
        assert np.min(np.abs(heard - at)) < 1 / Fraction(exact)


@pytest.mark.parametrize("size", ["1920x1080", "1080x1920"])
def test_pictures_captions_and_label_are_there(tmp_path: Path, size: str) -> None:
    """Frames of the film against the layers' own pictures, laid over the ground by Pillow alone."""
    path = plan_in(tmp_path, size)
    assert overlay(tmp_path, "proof", "a.yaml", "--full").returncode == 0
    session = parse_plan(path.read_bytes(), "a.yaml")
    from dataclasses import replace

    timeline = lay_out(session).timeline
    timeline = replace(timeline, size=proof_size(timeline.size))
    layers = [make_layer(name, timeline, session.look, session.view, SHIPPED, path) for name in LAYERS]
    pictures, _ = pictures_of(tmp_path / "a-proof.mp4")
    assert len(pictures) == timeline.frame_count
    moments = Moments(timeline, full=True)
    label, burnt = Label(moments, timeline.size), Burnt(timeline, layers)
    cue = next(cue for cue in timeline.cues if cue.text.startswith("Sit tall"))
    for frame in (10, 100, 180, cue.span.start_frame, 400, timeline.frame_count - 1):
        ideal = Image.fromarray(plain_ground(timeline.size))
        strip = label.at(frame)
        ideal.paste(Image.fromarray(strip), (0, timeline.size.height_px - strip.shape[0]))
        for layer in layers:
            at = 0
            for states, count in showings(layer):
                if at <= frame < at + count:
                    picture = compose(layer, states)
                    ideal.paste(picture, (0, 0), picture)
                at += count
        has_caption = any(frame in cue.span for cue in timeline.cues)
        off = np.abs(pictures[frame].astype(int) - np.asarray(ideal)).mean(axis=-1)
        area = slice(round(timeline.size.height_px * 0.67), timeline.size.height_px - strip.shape[0])
        if has_caption:
            assert (off[area] > 60).mean() > 0.005, "the caption is not among the layers"
            off[area] = 0
        assert off.mean() < 4
        assert np.percentile(off, 99) < 45
        laid = burnt.at(frame)
        assert laid.colors.shape[:2] == laid.alpha.shape == (timeline.size.height_px, timeline.size.width_px)


def test_over_footage(corpus: SimpleNamespace, tmp_path: Path) -> None:
    """Footage of beeps alone: what the camera heard and what we play fall on the same frames; a gap is told."""
    path = plan_in(tmp_path, "1080x1080", rate="29.97", text=TWO_BLOCKS)
    session = parse_plan(path.read_bytes(), "a.yaml")
    timeline = lay_out(session).timeline
    second = next(segment.start for segment in timeline.segments if segment.block == "two")
    how = corpus.recordings.Filmed(zero=3.2, ppm=60.0, pauses=[(float(second), 6.5)], tone_db=None, room=None)
    corpus.recordings.write_mp4(tmp_path / "clip.mp4", corpus.recordings.filmed(timeline, session.tones, how))
    done = overlay(tmp_path, "sync", "a.yaml", "clip.mp4")
    assert done.returncode == 0, done.stderr
    done = overlay(tmp_path, "proof", "a.yaml", "--takes", "a-takes.yaml", "--out", "b.mp4", "--full")
    assert done.returncode == 0, done.stderr
    pictures, _ = pictures_of(tmp_path / "b.mp4")
    seconds = len(pictures) * 1001 / 30000
    assert seconds == pytest.approx((float(timeline.duration) + 6.5) * 1.00006, abs=0.1)
    # The two sounds fall together: as many onsets as beeps, none twice.
    heard = onsets(sound_of(tmp_path / "b.mp4"))
    alone = onsets(corpus.recordings.filmed(timeline, session.tones, how))
    assert len(heard) == len(alone)
    assert np.max(np.abs((heard - heard[0]) - (alone - alone[0]))) < 0.034
    # The footage's grey, 90 of 255, is the ground.
    assert abs(pictures[600][200, 180].astype(int) - 90).max() < 8
    takes = (tmp_path / "a-takes.yaml").read_text("utf-8")
    (tmp_path / "c.yaml").write_text(takes[: takes.index("  - block: two")], encoding="utf-8")
    done = overlay(tmp_path, "proof", "a.yaml", "--takes", "c.yaml", "--out", "c.mp4")
    assert done.returncode == 1
    assert "no take has it" in done.stderr
    assert (tmp_path / "c.mp4").is_file()


def test_nobody_elses_file_is_written_over(tmp_path: Path) -> None:
    """A film that is no proof of ours stays, unless told; a proof is made anew; the same class, the same bytes."""
    plan_in(tmp_path)
    film = tmp_path / "a-proof.mp4"
    film.write_bytes(b"somebody's film")
    done = overlay(tmp_path, "proof", "a.yaml")
    assert done.returncode == 2
    assert "--replace" in done.stderr
    assert film.read_bytes() == b"somebody's film"
    assert overlay(tmp_path, "proof", "a.yaml", "--replace").returncode == 0
    first = film.read_bytes()
    assert overlay(tmp_path, "proof", "a.yaml").returncode == 0, "ours may be written over"
    assert film.read_bytes() == first
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a-proof.mp4", "a.yaml"], "nothing is left beside it"
    done = overlay(tmp_path, "proof", "a.yaml", "--out", "a.yaml")
    assert done.returncode == 2
    assert ".mp4" in done.stderr
    done = overlay(tmp_path, "proof", "a.yaml", "--out", "none/b.mp4")
    assert done.returncode == 3
    assert "Traceback" not in done.stderr


def test_a_leader_flashes(tmp_path: Path) -> None:
    """The white frame of the leader is white in the proof, but for the label."""
    path = plan_in(tmp_path, more="tones: {leader: true}\n")
    assert overlay(tmp_path, "proof", "a.yaml").returncode == 0
    flash = timeline_of(path).flash_frame
    assert flash == 25
    pictures, _ = pictures_of(tmp_path / "a-proof.mp4")
    assert pictures[flash][:300].mean() > 245
    assert pictures[flash + 2][:300].mean() < 150


def test_sizes() -> None:
    """360 on the short side, both sides even, the shape kept."""
    assert [str(proof_size(Size(*each))) for each in ((3840, 2160), (1080, 1080), (1080, 1350), (2048, 858))] == [
        "640x360", "360x360", "360x450", "860x360",
    ]  # fmt: skip
