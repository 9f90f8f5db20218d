"""Hundreds of recordings, each by its number, and what `overlay sync` makes of them.

    python tests/footage/corpus.py 300 100 kept

makes 300 recordings of classes and 100 without the class that is asked for, listens to all, tells of each on standard
error and prints the figures. Recordings stay in the folder that is named last, and are not made again.
"""

from __future__ import annotations

import json
import os
import random
import runpy
import sys
import time
from collections.abc import Callable, Iterable
from concurrent.futures import ProcessPoolExecutor
from fractions import Fraction
from itertools import repeat
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np

from overlay.footage.listen import Answer, listen, locate
from overlay.footage.pattern import blocks_of
from overlay.plan.read import session_of
from overlay.plan.session import Session
from overlay.plan.source import parse_source
from overlay.timeline.layout import lay_out
from overlay.timeline.model import Timeline
from overlay.units.clock import frame_to_time

recordings = SimpleNamespace(**runpy.run_path(str(Path(__file__).with_name("recordings.py"))))


def plan_of(work: int, rest: int, counts: list[int], rounds: int = 1, between: int = 15, preview: int = 10) -> str:
    """A plan with a block for each count of exercises."""
    moves = [", ".join(f"{{name: Move {move}}}" for move in range(count)) for count in counts]
    blocks = "".join(
        f"  - {{id: block-{number}, rounds: {rounds}, intervals: [{each}]}}\n" for number, each in enumerate(moves)
    )
    return (
        "overlay: 1\ntitle: A class\nvideo: {frame_rate: 29.97}\n"
        f"timing: {{work: {work}s, rest: {rest}s, preview: {preview}s, between_rounds: {between}s,"
        f" between_blocks: {between}s}}\nblocks:\n{blocks}"
    )


CLASSES = {
    "three blocks": plan_of(20, 10, [3, 4, 3], 1, 20, 12),
    "two sides": plan_of(30, 0, [4, 4], 2, 20, 8),
    "one long block": plan_of(40, 20, [8]),
    "short intervals": plan_of(20, 10, [5, 5], 1, 30),
    "no rest": plan_of(25, 0, [5, 3, 5], 1, 15),
}
LONG = plan_of(45, 15, [7, 6, 6], 1, 40, 20)
OTHERS = {
    "three blocks": [plan_of(20, 10, [4, 3, 4], 1, 20, 12), plan_of(30, 10, [3, 4, 3], 1, 20, 12)],
    "two sides": [plan_of(30, 0, [5, 3], 2, 20, 8), plan_of(25, 0, [4, 4], 2, 20, 8)],
    "one long block": [plan_of(45, 15, [8]), plan_of(40, 15, [8]), plan_of(40, 20, [3, 3], 1, 30)],
    "short intervals": [plan_of(20, 10, [3, 4, 3], 1, 30), plan_of(20, 15, [5, 5], 1, 30)],
    "no rest": [plan_of(25, 0, [4, 4, 4], 1, 15), plan_of(30, 0, [5, 3, 5], 1, 15)],
}
"""Other classes, whose pattern is near: the wrong ones."""


def laid_out(text: str) -> tuple[Session, Timeline]:
    session = session_of(parse_source(text.encode(), "a.yaml"))
    return session, lay_out(session).timeline


def kept(path: Path, make: Callable[[Path], object]) -> Path:
    """The recording, made if it is not there yet: whole, or not at all."""
    if not path.exists():
        half = path.with_name(f"half-{os.getpid()}-{path.name}")
        make(half)
        half.replace(path)
    return path


def class_filmed(number: int, folder: Path, coder: str = "twoloop") -> SimpleNamespace:
    """Recording `number` of a class, made if `folder` does not hold it, and what is true of it."""
    dice = random.Random(number)
    name = "twenty minutes" if number % 15 == 0 else dice.choice(list(CLASSES))
    session, timeline = laid_out(LONG if name == "twenty minutes" else CLASSES[name])
    starts = [s.start for s in timeline.segments if s.kind.value == "preview"]
    paused = [float(start) for start in starts[1:] if dice.random() < 0.4]
    how = recordings.Filmed(
        zero=dice.uniform(-3, 40),
        pauses=[(at, dice.uniform(1, 60)) for at in paused],
        tone_db=dice.choice((-10.0, -7.0, -3.0, 0.0, 6.0, 12.0)),
        room=recordings.Room(dice.uniform(-3, 9), dice.uniform(0.2, 0.8)),
        ppm=dice.choice((0.0, 33.0, -70.0, 100.0)),
        bed=dice.choice(("noise", "music", "speech", "mixed")),
        missing=dice.choice((0, 0, 0.08, 0.15)),
        extra=dice.choice((0, 0, 4)),
        seed=number,
    )
    shape: dict[str, Any] = {
        "rate_hz": dice.choice((48000, 48000, 44100)),
        "sound_start": dice.choice((Fraction(0), Fraction(975, 1000), Fraction(1, 20))),
        "picture_start": dice.choice((Fraction(0), Fraction(0), Fraction(1, 2))),
        "variable": dice.random() < 0.4,
        "rotated": dice.random() < 0.3,
    }
    if dice.random() < 0.15:
        at = dice.uniform(60, 200)
        shape["gap"] = (at, at + dice.uniform(0.5, 8))
    path = kept(
        folder / f"class-{number}.mp4",
        lambda at: recordings.write_mp4(at, recordings.filmed(timeline, session.tones, how), coder=coder, **shape),
    )
    rate, zero = 1 + how.ppm * 1e-6, float(shape["sound_start"] - shape["picture_start"])
    truths = [
        (how.zero + sum(pause for at, pause in how.pauses if float(start) >= at - 0.01)) * rate + zero
        for start in starts
    ]
    return SimpleNamespace(name=name, session=session, timeline=timeline, how=how, path=path, truths=truths)


def class_recording(number: int, folder: Path, coder: str = "twoloop") -> dict[str, Any]:
    """Listen to recording `number` of a class, and tell what came out against what is true."""
    made = class_filmed(number, folder, coder)
    return class_result(number, made, locate(listen(made.timeline, made.session.tones, made.path)))


def class_result(number: int, made: SimpleNamespace, answer: Answer) -> dict[str, Any]:
    """What an answer is worth, in ms at every place that a takes file would tell: each block's start and end."""
    how, truths, timeline = made.how, made.truths, made.timeline
    drift_error_ppm = (answer.drift_ppm or 0.0) - how.ppm
    starts, ends = [], []
    for place in answer.places:
        offset_error = place.offset - truths[place.block]
        spans = [s.span for s in timeline.segments if s.block == blocks_of(timeline)[place.block]]
        for errors, frame in ((starts, spans[0].start_frame), (ends, spans[-1].end_frame)):
            time = float(frame_to_time(frame, timeline.rate))
            errors.append(1000 * (offset_error + time * drift_error_ppm * 1e-6))
    return {
        "number": number,
        "found": answer.is_found,
        "error_ms": 1000 * ((answer.offset or 0.0) - truths[answer.places[0].block if answer.places else 0]),
        "worst_ms": max((abs(error) for error in starts + ends), default=None),
        "start_errors_ms": starts,
        "end_errors_ms": ends,
        "drift_error_ppm": drift_error_ppm,
        "confidence": answer.confidence,
        "tone_db": how.tone_db,
        "why": answer.why.name,
        "blocks": [len(answer.places), len(truths)],
        "class": made.name,
        "bed": how.bed,
        "room": [round(how.room.ratio_db, 1), round(how.room.decay, 2)],
    }


def other_filmed(number: int, folder: Path, coder: str = "twoloop") -> SimpleNamespace:
    """Recording `number` without the class that is asked for, made if `folder` does not hold it."""
    dice = random.Random(10_000 + number)
    name = dice.choice(list(CLASSES))
    session, timeline = laid_out(CLASSES[name])
    what = ("other class", "other class", "timer", "music", "speech", "silence", "mixed", "noise")[number % 8]
    room = recordings.Room(dice.uniform(-3, 9), dice.uniform(0.2, 0.8))
    if what == "other class":
        session, played = laid_out(dice.choice(OTHERS[name]))
        bed, tone_db = dice.choice(("noise", "music", "speech", "mixed")), dice.choice((None, -10.0, -3.0, 3.0, 12.0))
        how = recordings.Filmed(zero=dice.uniform(0, 30), tone_db=tone_db, bed=bed, room=room, seed=number)
    else:
        played = timeline
        how = recordings.Filmed(
            length=dice.uniform(200, 500), tone_db=0, bed=what, room=room, seed=number, voices="none"
        )
    path = kept(
        folder / f"other-{number}.mp4",
        lambda at: recordings.write_mp4(at, recordings.filmed(played, session.tones, how), coder=coder),
    )
    return SimpleNamespace(name=name, session=session, timeline=timeline, what=what, path=path)


def other_recording(number: int, folder: Path, coder: str = "twoloop") -> dict[str, Any]:
    """Listen for the class in recording `number` without it."""
    made = other_filmed(number, folder, coder)
    return other_result(number, made, locate(listen(made.timeline, made.session.tones, made.path)))


def other_result(number: int, made: SimpleNamespace, answer: Answer) -> dict[str, Any]:
    return {
        "number": number,
        "class": made.name,
        "what": made.what,
        "found": answer.is_found,
        "why": answer.why.name,
        "confidence": answer.confidence,
    }


def figures(classes: list[dict[str, Any]], others: list[dict[str, Any]]) -> dict[str, Any]:
    """The figures that are promised, from single results."""
    found = [result for result in classes if result["found"]]
    errors = np.abs([result["error_ms"] for result in found])
    places = np.abs([error for result in found for error in result["start_errors_ms"] + result["end_errors_ms"]])
    long = [abs(result["drift_error_ppm"]) for result in found if result["class"] == "twenty minutes"]
    ratios = sorted({result["tone_db"] for result in classes})
    return {
        "recordings": len(classes),
        "found": len(found),
        "found_by_ratio": {
            f"{ratio:+g} dB": [sum(r["tone_db"] == ratio for r in some) for some in (found, classes)]
            for ratio in ratios
        },
        "blocks": [sum(result["blocks"][part] for result in found) for part in (0, 1)],
        "wrong": sum(max(abs(result["error_ms"]), result["worst_ms"]) > 100 for result in found),
        "over_5_ms": [r["number"] for r in found if max(abs(r["error_ms"]), r["worst_ms"]) > 5],
        "median_ms": float(np.median(errors)),
        "worst_ms": float(errors.max()),
        "places_median_ms": float(np.median(places)),
        "places_worst_ms": float(places.max()),
        "drift_worst_ppm": max(abs(result["drift_error_ppm"]) for result in found),
        "drift_worst_of_twenty_minutes_ppm": max(long, default=0.0),
        "others": len(others),
        "false_finds": [result["number"] for result in others if result["found"]],
    }


def told(results: Iterable[dict[str, Any]]) -> list[dict[str, Any]]:
    """All results, each printed on standard error as it comes."""
    kept = []
    for result in results:
        kept.append(result)
        print(json.dumps(result), file=sys.stderr, flush=True)
    return kept


def main(class_count: int, other_count: int, folder: Path) -> None:
    began = time.perf_counter()
    folder.mkdir(parents=True, exist_ok=True)
    with ProcessPoolExecutor(min(os.cpu_count() or 1, 4)) as pool:
        classes = told(pool.map(class_recording, range(class_count), repeat(folder)))
        others = told(pool.map(other_recording, range(other_count), repeat(folder)))
    print(f"{time.perf_counter() - began:.0f} s", file=sys.stderr)
    print(json.dumps(figures(classes, others), indent=1))


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]), Path(sys.argv[3]))
