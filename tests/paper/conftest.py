"""Classes to print, and readers of what was printed that we did not write."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from overlay.plan.read import parse_plan, read_plan
from overlay.plan.session import Session

Printed = Callable[..., str]
Drawn = Callable[[bytes, int], list[np.ndarray]]

DEMO = Path(__file__).parents[2] / "demo" / "desk-break.yaml"
HOUR = """\
overlay: 1
title: An hour on the mat
language: [en, es]
timing: {work: 35s, rest: 10s, preview: 15s, between_rounds: 30s, between_blocks: 30s}
exercises:
  plank: {name: Plank, hands: loaded, position: on the floor, equipment: [mat], camera: Low, easier: Knees down.}
  row: {name: Row, hands: loaded, position: standing, equipment: [dumbbell, dumbbell], camera: Side-on, easier: Light.}
  lunge: {name: "Lunge, {side}", position: standing, camera: Side-on, watch: "The {side} knee."}
  hold: {name: Hold, position: on the floor, equipment: [mat], camera: Low, setup: Mat along the wall.}
opening: {length: 60s, cues: [Welcome.]}
blocks:
BLOCKS
closing: {length: 60s, cues: [Goodbye.]}
"""
BLOCK = """\
  - id: one-N
    name: "Block N, {side}"
    side: right
    rounds: 3
    preview_cues: [Watch me first.]
    intervals:
      - {exercise: row, cues: ["The {side} arm leads.", {round: 1, say: Slowly.}, {round: 2, say: Heavier now.}]}
      - lunge
      - {exercise: plank, cues: [Hold it.]}
      - hold
  - {mirror: one-N, id: two-N, name: "Block N, {side}"}
"""


@pytest.fixture(scope="session")
def demo() -> Session:
    return read_plan(DEMO)


@pytest.fixture(scope="session")
def hour() -> Session:
    """A class of about an hour: six blocks of three rounds, two cameras, two languages."""
    blocks = "".join(BLOCK.replace("N", str(number)) for number in range(1, 4))
    session = parse_plan(HOUR.replace("BLOCKS\n", blocks).encode("utf-8"), "a.yaml")
    assert 3300 < session.duration < 4200
    return session


@pytest.fixture(scope="session")
def printed() -> Printed:
    """What pdftotext reads (poppler-utils)."""
    if shutil.which("pdftotext") is None:
        pytest.skip("needs pdftotext (poppler-utils)")

    def read(pdf: bytes, *options: str) -> str:
        command = ["pdftotext", *options, "-", "-"]
        return subprocess.run(command, input=pdf, capture_output=True, check=True).stdout.decode("utf-8")

    return read


@pytest.fixture(scope="session")
def drawn() -> Drawn:
    """Every page as pdftoppm draws it (poppler-utils), in grey, at so many dots an inch."""
    if shutil.which("pdftoppm") is None:
        pytest.skip("needs pdftoppm (poppler-utils)")

    def draw(pdf: bytes, dots_an_inch: int) -> list[np.ndarray]:
        command = ["pdftoppm", "-r", str(dots_an_inch), "-gray"]
        stream = subprocess.run(command, input=pdf, capture_output=True, check=True).stdout
        made: list[np.ndarray] = []
        while stream:
            # A PGM picture: magic, size and white in three lines, then a byte a pixel.
            _, size, _, rest = stream.split(b"\n", 3)
            width, height = map(int, size.split())
            made.append(np.frombuffer(rest[: width * height], np.uint8).reshape(height, width))
            stream = rest[width * height :]
        return made

    return draw
