"""How long `overlay check` takes, beside the libraries that it cannot do without."""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time
from pathlib import Path

import pytest

RUNS = 10
LIBRARIES = [sys.executable, "-c", "import pydantic, ruamel.yaml, rich, typer"]


def an_hour() -> str:
    """A plan for a class of about an hour: 12 one-sided blocks of three in two rounds, half of them mirrors."""
    timing = "timing: {work: 40s, preview: 10s, between_rounds: 20s}\n"
    head = f"overlay: 1\ntitle: An hour\n{timing}opening: {{length: 60s, cues: [Welcome.]}}\n"
    exercises = "exercises:\n" + "".join(
        f"  move-{n}:\n    name: Move number {n}\n    position: standing\n    easier: Make it smaller.\n"
        for n in range(12)
    )
    blocks = "blocks:\n"
    for number in range(6):
        blocks += f"  - id: b{number}\n    name: Block {number}\n    side: right\n    preview_cues: [Here it comes.]\n"
        blocks += "    intervals:\n"
        for index in range(3):
            blocks += f"      - exercise: move-{(3 * number + index) % 12}\n        cues:\n"
            blocks += "          - {round: 1, say: Sit tall before you pull.}\n"
            blocks += "          - {round: 2, say: Same pull.}\n"
            blocks += '          - {at: 10s, say: "Lead with the {side} elbow."}\n'
            blocks += "          - {at: -8s, say: Two more. Make them slow.}\n"
        blocks += f"    rounds: 2\n    after: 20s\n  - {{mirror: b{number}, id: m{number}, after: 45s}}\n"
    return head + exercises + blocks + "closing: {length: 60s, cues: [Well done.]}\n"


def seconds(command: list[str]) -> float:
    start = time.perf_counter()
    # Compiled modules are kept, as they are wherever the tool is installed.
    environment = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    done = subprocess.run(command, stdout=subprocess.DEVNULL, env=environment, check=False)
    assert done.returncode in (0, 1), "what does not run is not fast"
    return time.perf_counter() - start


@pytest.mark.benchmark
def test_check_beside_its_libraries(tmp_path: Path) -> None:
    """The whole process, median of ten each, in turn."""
    plan = tmp_path / "hour.yaml"
    plan.write_text(an_hour(), encoding="utf-8")
    check = [sys.executable, "-m", "overlay", "check", str(plan)]
    pairs = [(seconds(LIBRARIES), seconds(check)) for _ in range(RUNS)]
    libraries, ours = (statistics.median(column) for column in zip(*pairs, strict=True))
    print(f"\ncheck of an hour's class: {ours:.3f} s, its libraries {libraries:.3f} s: {ours / libraries:.2f} times")
