"""What a series costs: another class of the same shape, many classes on two cores, and a cluster beside processes."""

from __future__ import annotations

import json
import os
import runpy
import shutil
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

pytestmark = pytest.mark.benchmark
CORES = 2
SIZE = "1920x1080"
MAKE = runpy.run_path(str(Path(__file__).parents[1] / "series" / "conftest.py"))["write_series"]
MOVIES = Path(__file__).with_name("test_movies.py")
OTHERS = {
    "Band row": "Floor press",
    "Face pull": "Arm raise",
    "Hinge": "Deep bow",
    "Split squat": "Step up",
    "Side step": "Calf raise",
    "Bridge": "Toe tap",
    "name: Pull": "name: Push",
    "name: Legs": "name: Feet",
}
CLUSTER = Path(__file__).parents[1] / "series" / "test_cluster.py"


class Run:
    """One command in a process group of its own: wall seconds, and the most memory of all its processes, in halves."""

    def __init__(self, folder: Path, *arguments: str, cache: Path) -> None:
        environment = {**os.environ, "XDG_CACHE_HOME": str(cache)}
        environment.pop("PYTHONDONTWRITEBYTECODE", None)
        began = time.perf_counter()
        with subprocess.Popen(
            [sys.executable, "-m", "overlay", *arguments],
            cwd=folder,
            env=environment,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            start_new_session=True,
            text=True,
        ) as process:
            self.samples: list[int] = []
            watch = threading.Thread(target=self._watch, args=(process,))
            watch.start()
            self.printed, _ = process.communicate()
            watch.join()
        self.seconds = time.perf_counter() - began
        assert process.returncode == 0, self.printed

    def _watch(self, process: subprocess.Popen[str]) -> None:
        while process.poll() is None:
            listed = subprocess.run(["ps", "-A", "-o", "pgid=,rss="], capture_output=True, text=True).stdout
            rows = [line.split() for line in listed.splitlines()]
            self.samples.append(sum(1024 * int(rss) for group, rss in rows if int(group) == process.pid))
            time.sleep(0.5)

    def peak_mb(self, part: int) -> float:
        """The most memory in the first (0) or the second (1) half of the time."""
        half = max(1, len(self.samples) // 2)
        return max(self.samples[:half] if part == 0 else self.samples[half:] or [0]) / 1e6


def size_of(folder: Path) -> int:
    return sum(path.stat().st_size for path in folder.rglob("*") if path.is_file())


def test_another_class_of_the_same_shape(tmp_path: Path) -> None:
    """The second class of a series (same look, other exercises) at most 1/3 of the first: twenty minutes at 1080p each,
    both in one process, as a series is built, with what they have in common remembered."""
    text = runpy.run_path(str(MOVIES))["plan_text"]()
    plans = [tmp_path / "one.yaml", tmp_path / "two.yaml"]
    plans[0].write_text(text, "utf-8")
    for name, other in OTHERS.items():
        assert name in text
        text = text.replace(name, other)
    plans[1].write_text(text.replace("Twenty minutes", "Another week"), "utf-8")
    code = (
        "import sys, time, json\nfrom pathlib import Path\nfrom overlay.pipeline import build\ntimes = []\n"
        "for plan in sys.argv[2:]:\n    began = time.perf_counter()\n"
        "    table = []\n"
        "    told = lambda name: table.append((name, time.perf_counter()))\n"
        "    build(Path(plan), cache=Path(sys.argv[1]), progress=told)\n"
        "    table.append(('end', time.perf_counter()))\n"
        "    parts = {one[0]: round(two[1] - one[1], 2) for one, two in zip(table, table[1:])}\n"
        "    times.append([time.perf_counter() - began, parts])\n"
        "print(json.dumps(times))\n"
    )
    command = [sys.executable, "-c", code, str(tmp_path / "cache"), *map(str, plans)]
    (first, one), (second, two) = json.loads(subprocess.check_output(command, text=True))
    print(f"\nfirst class {first:.1f} s, second {second:.1f} s: {second / first:.2f} of it (at most 0.33)")
    print("  first: ", one)
    print("  second:", two)


def test_many_classes_grow_linearly(tmp_path: Path) -> None:
    """50, 100 and 200 classes on two cores: seconds a class stay the same, and so does memory."""
    print()
    for count in (50, 100, 200):
        folder = tmp_path / str(count)
        MAKE(folder, count)
        run = Run(folder, "build", ".", "--workers", str(CORES), "--quiet", cache=tmp_path / f"cache-{count}")
        print(
            f"{count} classes: {run.seconds:.0f} s, {run.seconds / count:.2f} s each, "
            f"{3600 * count / run.seconds / CORES:.0f} an hour a core, {size_of(folder) / count / 1e6:.1f} MB each, "
            f"memory {run.peak_mb(0):.0f} MB in the first half, {run.peak_mb(1):.0f} MB in the second"
        )
        shutil.rmtree(folder)


def test_a_cluster_beside_processes(tmp_path: Path) -> None:
    """The cluster's overhead a class at most 10 %: two workers against two processes, no cache, in turn, the better
    of two each; the workers have been started before, as they are on a cluster."""
    pytest.importorskip("distributed", reason="the library distributed is not installed (extra: cluster)")
    folder = tmp_path / "series"
    count = len(MAKE(folder, 12, size=SIZE))
    processes = runpy.run_path(str(CLUSTER))["Processes"](tmp_path)
    best: dict[str, float] = {}
    try:
        for name in ("one", "two"):
            processes.worker(name)
        for _ in range(2):
            for kind, where in (("here", ["--workers", str(CORES)]), ("cluster", ["--cluster", processes.address])):
                run = Run(folder, "build", ".", "--no-cache", "--quiet", *where, cache=tmp_path / "none")
                best[kind] = min(run.seconds, best.get(kind, run.seconds))
    finally:
        processes.close()
    more = best["cluster"] / best["here"] - 1
    print(f"\n{count} classes: two processes {best['here'] / count:.2f} s each, two workers of a cluster")
    print(f"{best['cluster'] / count:.2f} s each: {100 * more:+.0f} % (at most +10 %)")
