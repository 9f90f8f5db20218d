"""What a build costs, and the timer layer beside the same by FFmpeg's drawtext."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest

from overlay.pictures.composite import count_layer
from overlay.pictures.timer import timer_layer
from overlay.pictures.titles import titles_layer
from overlay.plan.look import BOLD, font_folder
from overlay.plan.read import read_plan
from overlay.timeline.layout import lay_out

DEMO = Path(__file__).parents[2] / "demo" / "desk-break.yaml"
PIECE_SECONDS = 10
BUILD = """
import json, resource, sys, time
from pathlib import Path
began = time.perf_counter()
from overlay.pipeline import build
built = build(Path(sys.argv[1]), out=Path(sys.argv[2]), only=sys.argv[3:])
peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * (1 if sys.platform == "darwin" else 1024)
print(json.dumps([time.perf_counter() - began, peak, sum(entry.bytes for entry in built.entries)]))
"""


def build(out: Path, *only: str) -> tuple[float, int, int]:
    environment = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    command = [sys.executable, "-c", BUILD, str(DEMO), str(out), *only]
    seconds, peak_bytes, written_bytes = json.loads(subprocess.check_output(command, env=environment))
    return seconds, peak_bytes, written_bytes


@pytest.mark.benchmark
@pytest.mark.skipif(shutil.which("ffmpeg") is None, reason="needs the ffmpeg program")
def test_the_demo_build(tmp_path: Path) -> None:
    """Wall time, peak memory and bytes of everything; the timer beside drawtext into prores_ks."""
    pytest.importorskip("resource", reason="peak memory is asked of a Unix system")
    session = read_plan(DEMO)
    timeline = lay_out(session).timeline
    seconds, peak_bytes, written_bytes = build(tmp_path / "all")
    print(f"\nthe demo, everything: {seconds:.1f} s, {peak_bytes / 1e6:.0f} MB at most, {written_bytes / 1e6:.1f} MB")
    for layer in (timer_layer(timeline, session.look), titles_layer(timeline, session.look)):
        counts = count_layer(layer)
        size = (tmp_path / "all" / "pictures" / f"{layer.name}.mov").stat().st_size
        print(f"{layer.name}: {counts.pictures} distinct pictures of {counts.frames} frames, {size / 1e6:.1f} MB")
    ours, _, _ = build(tmp_path / "timer", "timer")
    our_bytes = (tmp_path / "timer" / "pictures" / "timer.mov").stat().st_size

    piece = tmp_path / "piece.mov"
    digits = f"text='%{{eif\\:{PIECE_SECONDS}-t\\:d}}':fontsize=196:fontcolor=white:x=120:y=70"
    text = f"drawtext=fontfile={font_folder() / BOLD}:{digits}"
    ground = f"color=c=black@0:s={timeline.size}:r={timeline.rate}:d={PIECE_SECONDS},format=rgba"
    command = ["ffmpeg", "-v", "error", "-f", "lavfi", "-i", f"{ground},{text}", "-c:v", "prores_ks"]
    command += ["-profile:v", "4444", "-pix_fmt", "yuva444p10le", "-alpha_bits", "16", str(piece)]
    began = time.perf_counter()
    subprocess.run(command, check=True)
    share = float(timeline.duration) / PIECE_SECONDS
    theirs, their_bytes = (time.perf_counter() - began) * share, piece.stat().st_size * share
    print(f"the timer alone: {ours:.1f} s, {our_bytes / 1e6:.1f} MB")
    print(f"drawtext, scaled: {theirs:.0f} s, {their_bytes / 1e6:.0f} MB")
    print(f"drawtext takes {theirs / ours:.0f} times as long and {their_bytes / our_bytes:.0f} times the bytes")
