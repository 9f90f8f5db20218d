"""The largest classes there are: each of a kind stands at the limits of a plan, in one of their ways.

python tests/fuzz/largest.py FOLDER [KIND [SHARE]]        writes the plans, or one of them, smaller by a share
python tests/fuzz/largest.py FOLDER small                 builds a small one of each kind and prints figures
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from itertools import product
from pathlib import Path
from typing import Any

from overlay.plan.fields import LONGEST_CUE, LONGEST_NAME, LONGEST_NOTE
from overlay.units.clock import LONGEST_CLASS

Plan = dict[str, Any]
NOTES = ("setup", "easier", "harder", "watch", "camera", "position")
WORDS = "Sit tall before you pull and keep both shoulders low while the band comes back to you slowly"


def text_of(length: int, number: int = 0) -> str:
    """Words of a length to the letter, other ones for another number.

    >>> text_of(20, 3), len(text_of(5000))
    ('3 Sit tall before yo', 5000)
    """
    return (f"{number} " + f"{WORDS} " * (length // len(WORDS) + 1))[: length - 1].strip().ljust(length, "o")


def many_blocks(share: float) -> Plan:
    """Twelve hours, 2,000 blocks, 20,000 cues, no two words alike."""
    count = int(2000 * share)
    blocks = [
        {
            "id": f"b{number}", "name": f"Block {number}", "preview": "4s", "after": "4s",
            "intervals": [
                {"name": f"Row {number} {half}", "hands": ["loaded", "free"][half], "work": "6.5s",
                 "cues": [f"{number}.{half}.{cue} Sit tall." for cue in range(5)]}
                for half in range(2)
            ],
        }
        for number in range(count)
    ]  # fmt: skip
    return {"overlay": "1", "title": "The longest day", "blocks": blocks}


def many_languages(share: float) -> Plan:
    """A hundred languages, every text in each of them."""
    tags = [f"x{a}{b}"[:3] for a, b in product("abcdefghij", repeat=2)][: int(100 * share)]
    tags = ["en", *tags[1:]]

    def text(words: str) -> dict[str, str]:
        return {tag: f"{words} {tag}" for tag in tags}

    exercises = {
        f"e{number}": {"name": text(f"Row {number}"), **{note: text(f"{note} {number}") for note in NOTES}}
        for number in range(40)
    }
    blocks = [
        {
            "id": f"b{number}", "name": text(f"Block {number}"), "preview_cues": [text("This comes")],
            "rest_cues": [text("Breathe")],
            "intervals": [{"exercise": f"e{number * 2 + half}", "cues": [text("Sit tall"), text("Slowly")]}
                          for half in range(2)],
        }
        for number in range(20)
    ]  # fmt: skip
    title = text("A class for all")
    return {"overlay": "1", "title": title, "language": tags, "exercises": exercises, "blocks": blocks}


def long_texts(share: float) -> Plan:
    """Every text as long as it may be."""
    count = int(12 * share)
    title, cue, note = (text_of(length) for length in (LONGEST_NAME, LONGEST_CUE, LONGEST_NOTE))
    exercises = {
        text_of(LONGEST_NAME, number).lower(): {
            "name": text_of(LONGEST_NAME, number), "equipment": [text_of(LONGEST_NAME, number), title],
            **{key: text_of(LONGEST_NOTE, number) for key in NOTES},
        }
        for number in range(2 * count)
    }  # fmt: skip
    blocks = [
        {
            "id": text_of(LONGEST_NAME, number), "name": text_of(LONGEST_NAME, number), "side": "right",
            "preview_cues": [cue], "rest_cues": [cue], "rounds": "2", "between_rounds": "20s",
            "intervals": [{"exercise": name, "rest": "10s", "cues": [cue, {"at": "5s", "say": cue}]}
                          for name in list(exercises)[2 * number : 2 * number + 2]],
        }
        for number in range(count)
    ]  # fmt: skip
    return {
        "overlay": "1", "title": title, "caution": note, "exercises": exercises, "blocks": blocks,
        "opening": {"length": "20s", "cues": [cue], "card": "true"}, "calls": {"next": note, "last": note},
        "closing": {"length": "20s", "cues": [cue], "card": "true"},
    }  # fmt: skip


def unbroken(share: float) -> Plan:
    """Every text as long as it may be, and one word."""
    plan = long_texts(share)

    def joined(value: Any) -> Any:
        if isinstance(value, dict):
            return {joined(key) if len(key) > 20 else key: joined(inner) for key, inner in value.items()}
        if isinstance(value, list):
            return [joined(inner) for inner in value]
        return value.replace(" ", "o") if len(value) > 20 else value

    return joined(plan)


def one_block(share: float) -> Plan:
    """One block of as many stretches as there may be."""
    intervals = [{"name": f"Row {number}", "work": "4s"} for number in range(int(5000 * share))]
    return {"overlay": "1", "title": "A", "blocks": [{"preview": "10s", "intervals": intervals}]}


def one_stretch(share: float) -> Plan:
    """Twelve hours of one exercise, at the highest rate."""
    long = f"{int((LONGEST_CLASS - 10) * share)}s"
    video = {"frame_rate": "60"}
    return {"overlay": "1", "title": "A", "video": video, "blocks": [{"intervals": [{"name": "Walk", "work": long}]}]}


KINDS: dict[str, Callable[[float], Plan]] = {
    write.__name__: write for write in (many_blocks, many_languages, long_texts, unbroken, one_block, one_stretch)
}


SMALL = {
    "many_blocks": (0.02, "captions,handoff"),
    "many_languages": (0.05, "captions"),
    "long_texts": (0.09, "captions,handoff,shot-list,script,strip,stills"),
    "unbroken": (0.09, "captions,handoff,shot-list,script,strip,stills"),
    "one_block": (0.06, "shot-list"),
    "one_stretch": (0.1, "captions,handoff"),
}
"""For each kind the share that is built in the tests, and what of it: what once took minutes or gigabytes."""


def write(folder: Path, kind: str, share: float) -> Path:
    """The plan of a kind as a file."""
    path = folder / f"{kind}.yaml"
    path.write_text(json.dumps(KINDS[kind](share), ensure_ascii=False), encoding="utf-8")
    return path


def build_small(folder: Path) -> None:
    """Build a small class of each kind and print how many files came of it, and the memory that it took."""
    from hang import cut_off
    from memory import most_mb

    import overlay

    made = {}
    for kind, (share, only) in SMALL.items():
        print(kind, file=sys.stderr, flush=True)
        with cut_off(60):
            made[kind] = len(overlay.build(write(folder, kind, share), only=[only]).entries)
    print(json.dumps({"made": made, "peak_mb": most_mb()}))


def main() -> None:
    """Write the plans, or build small ones."""
    folder, *more = sys.argv[1:]
    if more == ["small"]:
        build_small(Path(folder))
        return
    for kind in more[:1] or KINDS:
        write(Path(folder), kind, float(more[1]) if more[1:] else 1.0)


if __name__ == "__main__":
    main()
