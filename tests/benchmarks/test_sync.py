"""What listening costs: time against the length of the footage, and memory."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

HOUR_SECONDS = 3600
SCRIPT = """
import json, resource, sys, time
from pathlib import Path
began = time.perf_counter()
from overlay import filming
synced = filming.sync(Path(sys.argv[1]), [Path(sys.argv[2])])
seconds = time.perf_counter() - began
peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * (1 if sys.platform == "darwin" else 1024)
print(json.dumps([seconds, peak, synced.answers[0].offset, synced.answers[0].is_found]))
"""


MAKE = """
import runpy, sys
from pathlib import Path
from types import SimpleNamespace
corpus, plan, path = SimpleNamespace(**runpy.run_path(sys.argv[1])), Path(sys.argv[2]), Path(sys.argv[3])
text = corpus.plan_of(45, 15, [10, 9, 10, 9, 10, 8], 1, 30, 20)
plan.write_text(text, encoding="utf-8")
session, timeline = corpus.laid_out(text)
how = corpus.recordings.Filmed(zero=30.0, length=3600.0, tone_db=0.0, bed="mixed", ppm=33.0)
corpus.recordings.write_mp4(path, corpus.recordings.filmed(timeline, session.tones, how))
print(len(timeline.beeps))
"""


@pytest.mark.benchmark
def test_an_hour_of_footage(tmp_path: Path) -> None:
    """An hour of 48 kHz sound with a class in it: in at most a sixtieth of its length, in under 500 MB."""
    pytest.importorskip("resource", reason="peak memory is asked of a Unix system")
    plan, path = tmp_path / "a.yaml", tmp_path / "hour.mp4"
    # In a process of its own: a child's peak memory counts from its parent's.
    corpus = Path(__file__).parents[1] / "footage" / "corpus.py"
    beeps = json.loads(
        subprocess.check_output([sys.executable, "-c", MAKE, str(corpus), str(plan), str(path)], text=True)
    )
    runs = [
        json.loads(subprocess.check_output([sys.executable, "-c", SCRIPT, str(plan), str(path)], text=True))
        for _ in range(2)
    ]
    seconds, peak_bytes = min(run[0] for run in runs), max(run[1] for run in runs)
    print(f"\none hour, {beeps} beeps: {seconds:.1f} s, 1/{HOUR_SECONDS / seconds:.0f} of its length")
    print(f"peak memory {peak_bytes / 1e6:.0f} MB")
    assert runs[0][3]
    assert abs(runs[0][2] - 30 * (1 + 33e-6)) < 0.005
    assert seconds <= HOUR_SECONDS / 60
    assert peak_bytes < 500e6
