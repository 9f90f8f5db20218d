"""Coding in several processes: the same bytes whatever their number, and clean ends."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import textwrap
import time
from collections.abc import Hashable
from functools import partial
from pathlib import Path

import pytest
from PIL import Image

from overlay.errors import MachineError
from overlay.pictures.frames import Layer, Part, Picture
from overlay.pictures.means import Means
from overlay.pictures.movie import layer_movie
from overlay.units.raster import Box, Size
from overlay.units.rate import Counting, FrameRate

BOX = Box(128, 96, 384, 160)


def gradient(level: Hashable) -> Picture:
    """A picture of a state."""
    assert isinstance(level, int)
    picture = Image.linear_gradient("L").resize((BOX.width_px, BOX.height_px)).point(lambda value: value * level // 99)
    return Image.merge("RGBA", (picture, picture, picture, Image.new("L", picture.size, 200)))


def fatal(level: Hashable) -> Picture:
    """Drawing that the process does not survive."""
    os._exit(9)


def lamp(draw: str = "gradient", count: int = 60) -> Layer:
    """A layer that another process can make as well."""
    size, rate = Size.parse("640x360"), FrameRate.parse("25")
    part = Part(BOX, tuple((frame, 40 + frame) for frame in range(count)), globals()[draw])
    return Layer("lamp", size, rate, Counting.NON_DROP, 0, count, (part,))


# Processes of their own import this module by its file: a test module has no name that they could use.
SCRIPT = """
import importlib.util, sys
from functools import partial
from pathlib import Path
spec = importlib.util.spec_from_file_location("test_means", {path!r})
module = importlib.util.module_from_spec(spec)
sys.modules["test_means"] = module
spec.loader.exec_module(module)
"""


def program(tmp_path: Path, body: str) -> list[str]:
    """The command of a program that codes in several processes."""
    path = tmp_path / "program.py"
    main = "if __name__ == '__main__':\n" + textwrap.indent(textwrap.dedent(body), "    ")
    path.write_text(SCRIPT.format(path=__file__) + main, "utf-8")
    return [sys.executable, str(path)]


def test_the_number_of_processes_changes_no_byte(tmp_path: Path) -> None:
    """One, two and three make the same movie."""
    body = """
        from hashlib import sha256
        for workers in (1, 2, 3):
            means = module.Means(workers, worth_px=1)
            coding = means.coding(partial(module.lamp, "gradient"))
            print(sha256(b"".join(module.layer_movie(module.lamp(), coding=coding))).hexdigest())
    """
    done = subprocess.run(program(tmp_path, body), capture_output=True, text=True, timeout=120)
    sums = done.stdout.split()
    assert (len(sums), len(set(sums))) == (3, 1), done.stderr


def test_a_process_that_dies_is_told_plainly(tmp_path: Path) -> None:
    """MachineError, with what may help; no traceback of a pool."""
    body = """
        from overlay.errors import MachineError
        made, means = module.lamp(), module.Means(2, worth_px=1)
        try:
            list(module.layer_movie(made, coding=means.coding(partial(module.lamp, "fatal"))))
        except MachineError as error:
            print(error.message, "|", error.remedy)
    """
    done = subprocess.run(program(tmp_path, body), capture_output=True, text=True, timeout=120)
    assert "ended before its time" in done.stdout, done.stderr
    assert "--workers 1" in done.stdout


@pytest.mark.skipif(sys.platform == "win32", reason="Ctrl-C cannot be sent to a group of processes alone")
def test_ctrl_c_ends_every_process(tmp_path: Path) -> None:
    """Sent to all as a terminal does it: one says so, none is left, and nothing else is printed."""
    body = """
        print("began", flush=True)
        try:
            means = module.Means(2, worth_px=1)
            coding = means.coding(partial(module.lamp, "gradient", 200_000))
            list(module.layer_movie(module.lamp("gradient", 200_000), coding=coding))
        except KeyboardInterrupt:
            print("stopped", flush=True)
    """
    pipe = subprocess.PIPE
    with subprocess.Popen(
        program(tmp_path, body), stdout=pipe, stderr=pipe, text=True, start_new_session=True
    ) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == "began\n"
        deadline = time.monotonic() + 60
        while _others(process.pid) < 3 and time.monotonic() < deadline:
            time.sleep(0.1)
        assert _others(process.pid) >= 3  # two that code, and one that looks after what they share
        time.sleep(1)
        os.killpg(process.pid, signal.SIGINT)
        printed, complaints = process.communicate(timeout=60)
    assert (process.returncode, printed) == (0, "stopped\n")
    assert "Traceback" not in complaints
    deadline = time.monotonic() + 20
    while _others(process.pid) >= 0 and time.monotonic() < deadline:
        time.sleep(0.1)
    assert _others(process.pid) == -1


def _others(group: int) -> int:
    """How many processes a group has beside its first: -1 where that one is gone as well."""
    listed = subprocess.run(["ps", "-A", "-o", "pgid=,stat="], capture_output=True, text=True, check=True).stdout
    alive = [line.split()[0] for line in listed.splitlines() if not line.split()[1].startswith("Z")]
    return alive.count(str(group)) - 1


def test_little_work_starts_no_process(monkeypatch: pytest.MonkeyPatch) -> None:
    """Below what makes a process worth it, all is coded here."""
    monkeypatch.setattr("overlay.pictures.means.ProcessPoolExecutor", None)
    made = lamp()
    coding = Means(workers=8).coding(partial(lamp, "gradient"))
    assert b"".join(layer_movie(made, coding=coding)) == b"".join(layer_movie(made))


def test_more_work_does(monkeypatch: pytest.MonkeyPatch) -> None:
    """From there on processes are asked for: as many as the work is worth, and no more than may be."""
    asked: list[int] = []

    class Pool:
        def __init__(self, workers: int, **_: object) -> None:
            asked.append(workers)
            raise MachineError("no processes in this test")

    monkeypatch.setattr("overlay.pictures.means.ProcessPoolExecutor", Pool)
    work_px = 60 * BOX.width_px * BOX.height_px
    for workers, worth_px in ((8, work_px // 3), (2, 1)):
        with pytest.raises(MachineError, match="in this test"):
            list(layer_movie(lamp(), coding=Means(workers, worth_px=worth_px).coding(partial(lamp, "gradient"))))
    assert asked == [4, 2]
