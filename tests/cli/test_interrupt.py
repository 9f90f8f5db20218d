"""A build that is stopped from outside."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from overlay.errors import EXIT_DONE, EXIT_INTERRUPTED, EXIT_MACHINE
from overlay.folder.lock import LOCK
from overlay.folder.write import ASIDE

DEMO = Path(__file__).parents[2] / "demo" / "desk-break.yaml"
KILLS = int(os.environ.get("OVERLAY_KILLS", "3"))
PLAN = """\
overlay: 1
title: TITLE
video: {size: 640x360, frame_rate: 25}
timing: {work: 8s, rest: 4s, preview: 4s}
blocks:
  - {id: one, side: right, intervals: [{name: Row, cues: [Pull]}, {name: Press}]}
  - {mirror: one, id: two}
"""
CODE = """\
from functools import partial
from pathlib import Path
from overlay.pictures.fonts import SHIPPED
from overlay.pictures.layers import make_layer
from overlay.pictures.means import Means
from overlay.pictures.movie import layer_movie
from overlay.plan.read import parse_plan
from overlay.timeline.layout import lay_out
if __name__ == "__main__":
    session = parse_plan(Path("a.yaml").read_bytes(), "a.yaml")
    shapes = lay_out(session).timeline, session.look, session.view, SHIPPED, Path("a.yaml")
    recipe = partial(make_layer, "timer", *shapes)
    list(layer_movie(recipe(), coding=Means(2, worth_px=1).coding(recipe)))
"""
pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="Windows has no signals to send to one program")


def command(plan: Path, out: Path, *more: str) -> list[str]:
    return [sys.executable, "-m", "overlay", "build", str(plan), "--no-cache", "--out", str(out), *more]


def started(plan: Path, out: Path, *more: str, until: str | None) -> subprocess.Popen[str]:
    """A build in a session of its own, up to where it tells a line."""
    pipe = subprocess.PIPE
    running = subprocess.Popen(
        command(plan, out, *more), stdout=pipe, stderr=pipe, text=True, encoding="utf-8", start_new_session=True
    )
    assert running.stderr is not None
    while until is not None:
        told = running.stderr.readline()
        assert told, "the build ended before it could be stopped"
        if told.startswith(until):
            break
    return running


def files(folder: Path) -> dict[str, bytes]:
    found = (path for path in folder.rglob("*") if path.is_file())
    paths = {path.relative_to(folder).as_posix(): path for path in found}
    return {name: path.read_bytes() for name, path in paths.items() if not name.startswith((ASIDE, LOCK))}


def left_of(group: int) -> list[str]:
    """The processes of a session that still run."""
    listed = subprocess.run(["ps", "-A", "-ww", "-o", "pgid=,stat=,args="], capture_output=True, text=True).stdout
    rows = [line.split(maxsplit=2) for line in listed.splitlines()]
    return [row[2] for row in rows if int(row[0]) == group and not row[1].startswith("Z")]


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
def test_stopping_leaves_nothing_behind(number: int, tmp_path: Path) -> None:
    """Exit 130, a plain sentence, no folder of halves, no traceback."""
    running = started(DEMO, tmp_path / "out", until="Making tones")
    running.send_signal(number)
    _, errors = running.communicate(timeout=60)
    assert running.returncode == EXIT_INTERRUPTED
    assert "Stopped" in errors
    assert "Traceback" not in errors
    assert list(tmp_path.iterdir()) == []
    assert left_of(running.pid) == []


def test_processes_end_with_the_one_that_started_them(tmp_path: Path) -> None:
    """Killed without a word while several code pictures: soon none of them is left."""
    (tmp_path / "a.yaml").write_text(PLAN.replace("640x360", "3840x2160"), encoding="utf-8")
    (tmp_path / "code.py").write_text(CODE, encoding="utf-8")
    with subprocess.Popen([sys.executable, "code.py"], cwd=tmp_path, start_new_session=True) as running:
        for _ in range(600):
            if sum("spawn_main" in line for line in left_of(running.pid)) >= 2:
                break
            assert running.poll() is None, "it ended before it could be killed"
            time.sleep(0.05)
        running.kill()
    for _ in range(200):
        if not left_of(running.pid):
            break
        time.sleep(0.05)
    assert left_of(running.pid) == []


def test_killed_at_random_moments(tmp_path: Path) -> None:
    """SIGKILL: for every name the old file or the new one whole; the next build completes it."""
    only = ("--only", "captions,tones,timer,titles,stills,shot-list,strip,handoff,rehearsal")
    states, seconds = {}, 0.0
    for title in ("old", "new"):
        plan = tmp_path / f"{title}.yaml"
        plan.write_text(PLAN.replace("TITLE", f"The {title} class"), encoding="utf-8")
        began = time.monotonic()
        subprocess.run(command(plan, tmp_path / title, *only), check=True, capture_output=True)
        seconds = time.monotonic() - began
        states[title] = files(tmp_path / title)
    random_ = random.Random(60)
    out, now, killed = tmp_path / "out", "old", 0
    subprocess.run(command(tmp_path / "old.yaml", out, *only), check=True, capture_output=True)
    while killed < KILLS:
        then = "new" if now == "old" else "old"
        running = started(tmp_path / f"{then}.yaml", out, *only, until=None)
        time.sleep(random_.uniform(0.1, 1.05) * seconds)
        running.kill()
        running.communicate()
        killed += running.returncode == -signal.SIGKILL
        found = files(out)
        for name in {*states["old"], *states["new"]}:
            assert found.get(name) in (states[now].get(name), states[then].get(name)), name
        assert found.keys() <= {*states["old"], *states["new"]}
        began = time.monotonic()
        subprocess.run(command(tmp_path / f"{then}.yaml", out, *only), check=True, capture_output=True)
        seconds = (seconds + time.monotonic() - began) / 2
        assert files(out) == states[then]
        assert not (out / ASIDE).exists()
        assert not (out / LOCK).exists()
        now = then
    print(f"{killed} builds were killed before their end")


def test_a_second_build_of_the_same_folder_is_refused(tmp_path: Path) -> None:
    """Exit 3 and a plain sentence, while the first goes on undisturbed; once that is killed, the way is free."""
    plan, out = tmp_path / "a.yaml", tmp_path / "out"
    plan.write_text(PLAN, encoding="utf-8")
    first = started(plan, out, until="Making tones")
    first.send_signal(signal.SIGSTOP)
    second = subprocess.run(command(plan, out, "--only", "captions"), capture_output=True, text=True, encoding="utf-8")
    assert second.returncode == EXIT_MACHINE
    assert second.stderr.splitlines()[0] == f"Another build is writing to {out} now."
    assert (out / ASIDE).is_dir()
    first.kill()
    first.communicate()
    third = subprocess.run(command(plan, out, "--only", "captions"), capture_output=True, text=True, encoding="utf-8")
    assert third.returncode == EXIT_DONE, third.stderr
    assert sorted(path.name for path in out.iterdir()) == ["captions", "manifest.json", "timeline.json"]
