"""What the layers cost: beside FFmpeg's drawtext, beside coding every picture whole, long, large, and again.

The reference class is 20 minutes at 1080p29.97 with 40 s work, 20 s rest, 12 s previews and four blocks,
two of them mirrored. Everything is measured with start-up of Python, in one process unless it says otherwise.
"""

from __future__ import annotations

import json
import os
import shutil
import statistics
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from overlay.folder.job import LAYERS
from overlay.pictures.coding import Encoder
from overlay.pictures.composite import compose, count_layer, showings
from overlay.pictures.fonts import SHIPPED
from overlay.pictures.frames import Layer
from overlay.pictures.layers import make_layer
from overlay.plan.look import BOLD, font_folder
from overlay.plan.read import parse_plan
from overlay.timeline.layout import lay_out

CORES = 2
PIECE_SECONDS = 10
HEAD = """\
overlay: 1
title: Twenty minutes
video: {size: SIZE, frame_rate: 29.97}
timing: {work: 40s, rest: 20s, preview: 12s, between_rounds: 20s, between_blocks: 20s}
look: {timer: {gauge: GAUGE}}
opening: {length: 62s, cues: [CUE]}
closing: {length: 30s}
blocks:
"""
BLOCKS = """\
  - {id: pull-N, name: Pull, side: right, rounds: 2, intervals: [{name: Band row}, {name: Face pull}, {name: Hinge}]}
  - {mirror: pull-N, id: pull-left-N}
  - {id: legs-N, name: Legs, side: right, intervals: [{name: Split squat}, {name: Side step}, {name: Bridge}]}
  - {mirror: legs-N, id: legs-left-N}
"""
BUILD = """
import json, os, sys, time
from pathlib import Path
from overlay.pipeline import build
if __name__ == "__main__":
    plan, out, cache, workers, *only = sys.argv[1:]
    table, began = [], time.perf_counter()
    build(Path(plan), out=Path(out), only=only, workers=int(workers), cache=Path(cache) if cache else None,
        progress=lambda name: table.append([name, time.perf_counter()]))
    table.append(["", time.perf_counter()])
    print(json.dumps([[one[0], two[1] - one[1]] for one, two in zip(table, table[1:])]))
"""
needs_ffmpeg = pytest.mark.skipif(shutil.which("ffmpeg") is None, reason="needs the ffmpeg program")
pytestmark = pytest.mark.benchmark


def plan_text(*, times: int = 1, size: str = "1920x1080", gauge: str = "smooth", cue: str = "Stand tall.") -> str:
    """The reference class, its blocks several times over where asked."""
    head = HEAD.replace("SIZE", size).replace("GAUGE", gauge).replace("CUE", cue)
    return head + "".join(BLOCKS.replace("-N", f"-{number}") for number in range(times))


class Cost:
    """One build in a process of its own: wall seconds, the most memory of all its processes together, a table."""

    def __init__(self, folder: Path, text: str, *only: str, cache: Path | None = None, workers: int = CORES) -> None:
        folder.mkdir(exist_ok=True)
        (folder / "plan.yaml").write_text(text, "utf-8")
        (folder / "build.py").write_text(BUILD, "utf-8")
        environment = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
        command = [sys.executable, "build.py", "plan.yaml", "out", str(cache or ""), str(workers), *only]
        began = time.perf_counter()
        with subprocess.Popen(
            command, cwd=folder, env=environment, stdout=subprocess.PIPE, text=True, start_new_session=True
        ) as process:
            watch = threading.Thread(target=self._watch, args=(process,))
            watch.start()
            printed, _ = process.communicate()
            watch.join()
        assert process.returncode == 0
        self.seconds = time.perf_counter() - began
        self.table: list[tuple[str, float]] = json.loads(printed)
        self.bytes = {path.stem: path.stat().st_size for path in (folder / "out" / "pictures").glob("*.mov")}

    def _watch(self, process: subprocess.Popen[str]) -> None:
        self.peak_bytes = 0
        while process.poll() is None:
            listed = subprocess.run(["ps", "-A", "-o", "pgid=,rss="], capture_output=True, text=True).stdout
            rows = [line.split() for line in listed.splitlines()]
            total = sum(1024 * int(rss) for group, rss in rows if int(group) == process.pid)
            self.peak_bytes = max(self.peak_bytes, total)
            time.sleep(0.05)


def layers(text: str) -> list[Layer]:
    """The layers of a class."""
    session = parse_plan(text.encode(), "a.yaml")
    timeline = lay_out(session).timeline
    return [make_layer(name, timeline, session.look, session.view, SHIPPED, Path("a.yaml")) for name in LAYERS]


@needs_ffmpeg
def test_the_timer_beside_drawtext(tmp_path: Path) -> None:
    """1: at least 500 times faster than drawtext into prores_ks. At most 1/300 of the bytes is not to be had."""
    frames = layers(plan_text())[0].frame_count
    assert frames == 35_964
    print()
    theirs, their_bytes = _drawtext(tmp_path)
    for gauge in ("smooth", "seconds"):
        ours = Cost(tmp_path / gauge, plan_text(gauge=gauge), "timer")
        pictures, size = count_layer(layers(plan_text(gauge=gauge))[0]).pictures, ours.bytes["timer"]
        print(
            f"timer, gauge {gauge}: {ours.seconds:.1f} s, {pictures} pictures of {frames} frames, {size / 1e6:.1f} MB;"
            f" drawtext {theirs:.0f} s, {their_bytes / 1e6:.0f} MB: {theirs / ours.seconds:.0f} times as fast"
            f" (at least 500), 1/{their_bytes / size:.0f} of the bytes (at most 1/300)"
        )


def _drawtext(tmp_path: Path) -> tuple[float, float]:
    """Seconds and bytes that drawtext into prores_ks would take for the class, from a piece of it."""
    piece = tmp_path / "piece.mov"
    digits = f"text='%{{eif\\:{PIECE_SECONDS}-t\\:d}}':fontsize=196:fontcolor=white:x=120:y=70"
    text = f"drawtext=fontfile={font_folder() / BOLD}:{digits}"
    ground = f"color=c=black@0:s=1920x1080:r=30000/1001:d={PIECE_SECONDS},format=rgba"
    command = ["ffmpeg", "-v", "error", "-f", "lavfi", "-i", f"{ground},{text}", "-c:v", "prores_ks"]
    command += ["-profile:v", "4444", "-pix_fmt", "yuva444p10le", "-alpha_bits", "16", str(piece)]
    began = time.perf_counter()
    subprocess.run(command, check=True)
    share = 35_964 / (PIECE_SECONDS * 30000 / 1001)
    return (time.perf_counter() - began) * share, piece.stat().st_size * share


def test_all_layers_beside_whole_pictures(tmp_path: Path) -> None:
    """2: at most a third of coding each distinct picture whole; everything under 20 s; where the time goes."""
    whole_seconds, pictures = 0.0, 0
    for layer in layers(plan_text()):
        distinct = list(dict.fromkeys(states for states, _ in showings(layer)))
        some = [compose(layer, states) for states in distinct[:: max(1, len(distinct) // 8)]]
        encoder = Encoder(layer.size)
        encoder.encode(some[0])
        began = time.perf_counter()
        for picture in some:
            encoder.encode(picture)
        whole_seconds += (time.perf_counter() - began) / len(some) * len(distinct) / CORES
        pictures += len(distinct)
    ours = Cost(tmp_path / "layers", plan_text(), *LAYERS)
    everything = Cost(tmp_path / "all", plan_text())
    share = ours.seconds / whole_seconds
    print(
        f"\nall layers: {ours.seconds:.1f} s for {pictures} pictures, {share:.2f} of coding them whole (at most 0.33)"
    )
    for name, seconds in everything.table:
        print(f"    {name:<12}{seconds:6.2f} s")
    print(f"the whole build: {everything.seconds:.1f} s (at most 20)")
    assert share <= 1 / 3


def test_two_hours_beside_twenty_minutes(tmp_path: Path) -> None:
    """3: six times as long with the same segments takes at most 1.3 times as long."""
    short = Cost(tmp_path / "short", plan_text(gauge="seconds"), *LAYERS)
    long = Cost(tmp_path / "long", plan_text(times=6, gauge="seconds"), *LAYERS)
    pictures = [
        sum(count_layer(layer).pictures for layer in layers(plan_text(times=n, gauge="seconds"))) for n in (1, 6)
    ]
    ratio = long.seconds / short.seconds
    print(f"\ntwo hours: {long.seconds:.1f} s and {pictures[1]} pictures, {ratio:.2f} of twenty minutes (at most 1.3),")
    print(f"which take {short.seconds:.1f} s and have {pictures[0]}")


@pytest.mark.parametrize(("size", "limit_mb"), [("1920x1080", 500), ("3840x2160", 1200)])
def test_memory(size: str, limit_mb: int, tmp_path: Path) -> None:
    """4: the most memory of all processes together."""
    cost = Cost(tmp_path / size, plan_text(size=size), *LAYERS)
    print(f"\n{size}: {cost.peak_bytes / 1e6:.0f} MB at most in all processes (limit {limit_mb}), {cost.seconds:.1f} s")
    assert cost.peak_bytes < limit_mb * 1e6


def test_again_after_changing_a_cue(tmp_path: Path) -> None:
    """5: a rebuild after another word is at most a tenth of the first build, by the command as it is typed."""
    home = {name: str(tmp_path / "home") for name in ("HOME", "XDG_CACHE_HOME", "LOCALAPPDATA")}
    kept = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    command = [sys.executable, "-m", "overlay", "build", "plan.yaml", "-q", "--workers", str(CORES)]
    seconds = []
    for word in ("tall", "taller", "firmly", "still"):
        (tmp_path / "plan.yaml").write_text(plan_text(cue=f"Stand {word}."), "utf-8")
        began = time.perf_counter()
        subprocess.run(command, cwd=tmp_path, env=kept | home, check=True, capture_output=True)
        seconds.append(time.perf_counter() - began)
    first, again = seconds[0], statistics.median(seconds[1:])
    print(f"\nfirst {first:.1f} s, again {again:.2f} s: {again / first:.3f} (at most 0.1)")


@pytest.mark.parametrize("plain", [False, True])
def test_the_disk(plain: bool, tmp_path: Path) -> None:
    """`--plain-mov` beside the disk itself: the same bytes written by one `write` after another."""
    from overlay.pictures.movie import layer_movie

    layer = layers(plan_text(gauge="seconds"))[0]
    path = tmp_path / "a.mov"
    began = time.perf_counter()
    size = 0
    with path.open("wb") as file:
        for piece in layer_movie(layer, plain=plain):
            size += file.write(piece)
            if size > 1_500_000_000:
                break
    ours = time.perf_counter() - began
    block = bytes(100_000)
    began = time.perf_counter()
    with path.open("wb") as file:
        for _ in range(size // len(block)):
            file.write(block)
    disk = time.perf_counter() - began
    print(f"\nplain {plain}: {size / ours / 1e6:.0f} MB/s; the disk alone {size / disk / 1e6:.0f} MB/s")
