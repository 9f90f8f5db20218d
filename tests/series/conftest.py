"""Series of small classes, made by number."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

MOVES = 24
EQUIPMENT = ("", "chair", "long band", "mat, chair")


def moves_text() -> str:
    """The exercises of every series here."""
    rows = (
        f"  move-{n}: {{name: Move number {n}, hands: {'loaded' if n % 3 == 0 else 'free'}, easier: Smaller., "
        f"equipment: [{EQUIPMENT[n % 4]}]}}\n".replace(", equipment: []", "")
        for n in range(MOVES)
    )
    return "exercises:\n" + "".join(rows)


def class_text(number: int, *, blocks: int = 2, size: str = "640x360", gauge: str = "seconds") -> str:
    """One class of a series: its own exercises, the same look; every fifth has one side more than the other."""
    head = (
        f"overlay: 1\ntitle: Class {number}\nexercises_from: moves.yaml\nlook: {{theme: theme.yaml, timer: {{gauge: "
        f"{gauge}}}}}\nvideo: {{size: {size}}}\ntiming: {{work: 25s, rest: 10s, preview: 10s}}\n"
        f"opening: {{length: 6s, cues: [Welcome back.]}}\nblocks:\n"
    )
    body = ""
    for block in range(blocks):
        moves = [(number * 3 + block * 5 + index * 7) % MOVES for index in range(2)]
        cues = f"cues: [Stand tall., Number {number} goes slowly.]"
        body += (
            f"  - {{id: b{block}, side: right, intervals: [{{exercise: move-{moves[0]}, {cues}}}, move-{moves[1]}]}}\n"
        )
        if number % 5 or block:
            body += f"  - {{mirror: b{block}, id: m{block}}}\n"
    return head + body + "closing: {length: 6s}\n"


def write_series(folder: Path, count: int, **options: object) -> list[Path]:
    """A folder with so many classes, their exercises and their look; the plans in order."""
    folder.mkdir(exist_ok=True)
    (folder / "series.yaml").touch()
    (folder / "moves.yaml").write_text(moves_text(), "utf-8")
    (folder / "theme.yaml").write_text("plate: '#101820'\n", "utf-8")
    plans = []
    for number in range(1, count + 1):
        plans.append(folder / f"class-{number}.yaml")
        plans[-1].write_text(class_text(number, **options), "utf-8")  # type: ignore[arg-type]
    return plans


def files_below(folder: Path) -> dict[str, bytes]:
    """Every file of a folder, by its path there."""
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@pytest.fixture
def series(tmp_path: Path) -> Callable[..., list[Path]]:
    """Writes a series of so many classes into a folder of the test's."""
    return lambda count, **options: write_series(tmp_path / "series", count, **options)


@pytest.fixture
def files() -> Callable[[Path], dict[str, bytes]]:
    """Every file of a folder, by its path there."""
    return files_below
