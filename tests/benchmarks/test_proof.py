"""What a proof costs: how much faster than it plays it is made, and its memory."""

from __future__ import annotations

import json
import subprocess
import sys
from fractions import Fraction
from pathlib import Path

import pytest

LEAST_TIMES_REAL = 3
"""Of the issue: at 640 × 360 on two cores."""
SCRIPT = """
import json, resource, sys, time
from pathlib import Path
from overlay import pipeline
plan, takes = Path(sys.argv[1]), Path(sys.argv[2]) if len(sys.argv) > 2 else None
began = time.perf_counter()
watched = pipeline.proof(plan, takes=takes, full=True, replace=True)
seconds = time.perf_counter() - began
own, film = resource.getrusage(resource.RUSAGE_SELF), resource.getrusage(resource.RUSAGE_CHILDREN)
peak = own.ru_maxrss * (1 if sys.platform == "darwin" else 1024)
busy = own.ru_utime + own.ru_stime + film.ru_utime + film.ru_stime
print(json.dumps([float(watched.film.frame_count / watched.timeline.rate.value), seconds, peak, busy]))
"""
PLAN = """\
overlay: 1
title: Benchmark
video: {size: 1920x1080, frame_rate: 29.97}
timing: {work: 40s, rest: 10s, preview: 10s}
blocks:
  - id: one
    rounds: ROUNDS
    intervals:
      - {name: Split squat, equipment: [chair], easier: Hold on to the chair., cues: [Stand tall and sink slowly.]}
      - {name: Side bend, cues: [Reach over and breathe out.]}
"""


def made(folder: Path, rounds: int, *takes: Path) -> tuple[float, float, float]:
    """Seconds that a proof plays, seconds that it took, peak memory in bytes. What the processors did is printed."""
    plan = folder / f"class-{rounds}.yaml"
    plan.write_text(PLAN.replace("ROUNDS", str(rounds)), encoding="utf-8")
    command = [sys.executable, "-c", SCRIPT, str(plan), *map(str, takes)]
    plays, seconds, peak_bytes, busy = json.loads(subprocess.check_output(command, text=True))
    print(f"\n{plays:.0f} s of film: {busy:.0f} s of processor, {plays / busy:.1f} times as fast on one core alone")
    return plays, seconds, peak_bytes


def footage(path: Path, seconds: int) -> None:
    """H.264 at 1920 × 1080 with something that moves, and a hiss."""
    import av
    import numpy as np

    random = np.random.default_rng(1)
    with av.open(str(path), "w") as container:
        video = container.add_stream("libx264", rate=Fraction(30000, 1001), options={"preset": "ultrafast"})
        video.width, video.height, video.pix_fmt, video.bit_rate = 1920, 1080, "yuv420p", 8_000_000
        audio = container.add_stream("aac", rate=48000, layout="stereo")
        ground = random.integers(60, 160, (135, 240, 3), dtype=np.uint8).repeat(8, axis=0).repeat(8, axis=1)
        for number in range(seconds * 30000 // 1001):
            image = np.roll(ground, 4 * number, axis=1)
            frame = av.VideoFrame.from_ndarray(image, format="rgb24")
            frame.pts, frame.time_base = number, Fraction(1001, 30000)
            container.mux(video.encode(frame))
        container.mux(video.encode(None))
        for at in range(0, seconds * 48000, 1024):
            sound = random.normal(0, 0.05, (2, 1024)).astype(np.float32)
            heard = av.AudioFrame.from_ndarray(sound, format="fltp", layout="stereo")
            heard.sample_rate, heard.time_base, heard.pts = 48000, Fraction(1, 48000), at
            container.mux(audio.encode(heard))
        container.mux(audio.encode(None))


@pytest.mark.benchmark
def test_proof_over_a_plain_ground(tmp_path: Path) -> None:
    """At least three times as fast as it plays; five times the class takes hardly more memory."""
    pytest.importorskip("resource", reason="peak memory is asked of a Unix system")
    short, long = made(tmp_path, 1), made(tmp_path, 5)
    for plays, seconds, peak_bytes in (short, long):
        print(f"\n{plays:.0f} s over a plain ground: {plays / seconds:.1f} times as fast, {peak_bytes / 1e6:.0f} MB")
    assert long[0] / long[1] >= LEAST_TIMES_REAL
    assert long[2] - short[2] < 20e6


@pytest.mark.benchmark
def test_proof_over_footage(tmp_path: Path) -> None:
    """The same over 1080p footage in H.264."""
    pytest.importorskip("resource", reason="peak memory is asked of a Unix system")
    footage(tmp_path / "clip.mp4", 240)
    takes = tmp_path / "takes.yaml"
    takes.write_text("takes: 1\nblocks:\n  - {block: one, file: clip.mp4, offset: 2.5}\n", encoding="utf-8")
    short, long = made(tmp_path, 1, takes), made(tmp_path, 2, takes)
    for plays, seconds, peak_bytes in (short, long):
        print(f"\n{plays:.0f} s over footage: {plays / seconds:.1f} times as fast, {peak_bytes / 1e6:.0f} MB")
    assert long[0] / long[1] >= LEAST_TIMES_REAL
    assert long[2] - short[2] < 40e6
