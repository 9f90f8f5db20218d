"""What a tone track costs: time against the same file of silence, and memory."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

HOURS = 12
SCRIPT = """
import json, resource, sys, time
from pathlib import Path
import numpy

bare = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
from fractions import Fraction
from overlay.plan.outputs import ToneSettings
from overlay.timeline.model import Beep, BeepKind, Segment, SegmentKind, Timeline
from overlay.tones.track import tone_track
from overlay.tones.wave import Description, broadcast_wave
from overlay.units.clock import frame_to_sample
from overlay.units.raster import Size
from overlay.units.rate import Counting, FrameRate
from overlay.units.span import Span
from overlay.words.phrases import phrases_of

path, what, hours = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3])
rate = FrameRate.parse("29.97")
frames = hours * 3600 * 30 * 1000 // 1001


def beeps():
    for start in range(0, frames - 1200, 1200):  # 40 s of work after 10 s of rest
        for frame, kind in ((210, "ready"), (240, "ready"), (270, "ready"), (300, "start"), (1199, "stop")):
            yield Beep(start + frame, BeepKind(kind), frame_to_sample(start + frame, rate, 48000))


def size(chunks):
    began = time.perf_counter()
    with path.open("wb") as file:
        file.writelines(chunks)
    return path.stat().st_size, time.perf_counter() - began


stretch = Segment(SegmentKind.WORK, Span(0, frames), Fraction(0), Fraction(frames * 1001, 30000))
sounds = tuple(beeps()) if what == "beeps" else ()
timeline = Timeline(
    *("Benchmark", "en", ("en",), phrases_of("en"), Size(1920, 1080)),
    *(rate, Counting.DROP, 0, 48000, (stretch,), sounds, ()),
)
written_bytes, seconds = size(tone_track(timeline, ToneSettings()))
peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
unit = 1 if sys.platform == "darwin" else 1024
print(json.dumps([written_bytes, seconds, (peak - bare) * unit, len(sounds)]))
"""


@pytest.mark.benchmark
def test_twelve_hours_of_beeps(tmp_path: Path) -> None:
    """At most 1.5 times the time of the same bytes of zeros by the same writer, plus a second; under 150 MB."""
    pytest.importorskip("resource", reason="peak memory is asked of a Unix system")
    if shutil.disk_usage(tmp_path).free < 20 * 2**30:
        pytest.skip("12 hours of sound take 12.5 GB of disk")
    path = tmp_path / "tones.wav"

    def run(what: str) -> tuple[int, float, int, int]:
        command = [sys.executable, "-c", SCRIPT, str(path), what, str(HOURS)]
        written_bytes, seconds, memory_bytes, count = json.loads(subprocess.check_output(command))
        path.unlink()
        return written_bytes, seconds, memory_bytes, count

    runs = [(run("silence"), run("beeps")) for _ in range(3)]
    zeros_seconds = min(silence[1] for silence, _ in runs)
    tones_seconds = min(tones[1] for _, tones in runs)
    written_bytes, _, _, count = runs[0][1]
    memory_bytes = max(tones[2] for _, tones in runs)
    print(f"\n{HOURS} h, {count} beeps, {written_bytes / 1e9:.2f} GB: {tones_seconds:.1f} s")
    print(f"against zeros by the same writer ({zeros_seconds:.1f} s): {tones_seconds / zeros_seconds:.2f} times")
    print(f"peak memory above numpy alone: {memory_bytes / 1e6:.0f} MB")
    assert runs[0][0][0] == written_bytes
    assert tones_seconds <= 1.5 * zeros_seconds + 1
    assert memory_bytes < 150e6
