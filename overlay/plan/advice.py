"""What the tool noticed about a class, and what can be noticed in the plan alone.

A finding should be mended before the shoot; a remark may be meant. Neither stops anything.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from enum import Enum
from pathlib import PurePath
from typing import Any, NamedTuple

from overlay.plan.fields import NO_WORDS
from overlay.plan.session import Session
from overlay.plan.source import Source
from overlay.plan.texts import Way, texts_of

MOST_COMPARED = 300
"""Exercises whose names are compared with each other: in a longer list nobody looks for a slip."""


class Weight(Enum):
    """How much it matters: a `FINDING` should be mended, a `REMARK` may be meant."""

    FINDING = "finding"
    REMARK = "remark"


class Finding(NamedTuple):
    """One thing noticed: its short name, its place in the class, and the words for it.

    `lines` are those of the plan where it stands, as far as they are known; `figures` are the
    numbers behind it, each name with its unit.
    """

    name: str
    weight: Weight
    place: str
    text: str
    figures: tuple[tuple[str, float], ...] = ()
    lines: tuple[int, ...] = ()

    def data(self) -> dict[str, Any]:
        """The finding as plain data, for other programs."""
        return {
            "name": self.name,
            "weight": self.weight.value,
            "place": self.place,
            "text": self.text,
            "figures": dict(self.figures),
            "lines": list(self.lines),
        }


def plan_advice(session: Session, source: Source) -> tuple[Finding, ...]:
    """What can be noticed without laying the class out."""
    return (
        *_caution(session, source),
        *_translations(session, source),
        *_unused(session, source),
        *_near_names(session, source),
        *_without_effect(session, source),
    )


def _caution(session: Session, source: Source) -> Iterator[Finding]:
    if session.caution == NO_WORDS:
        text = "the caution is empty: write your own, or remove the line and the tool's careful words are printed"
        yield Finding("no-caution", Weight.FINDING, "plan", text, (), (source.place_of(("caution",), key=True)[0][0],))


def _translations(session: Session, source: Source) -> Iterator[Finding]:
    texts = [(way, text) for way, text in texts_of(session) if text != NO_WORDS]
    for language in session.language:
        ways = [way for way, text in texts if text.find(language, main=session.main_language) is None]
        # What a mirror takes over is written in the other block, and told there.
        ways = [way for way in ways if _is_written(source, way)]
        if ways:
            lines = tuple(dict.fromkeys(line for way in ways for line in source.lines_of(way)))
            where = ("line " if len(lines) == 1 else "lines ") + ", ".join(map(str, lines)) if lines else ""
            shared = dict.fromkeys(_shared_line(source, way) for way in ways if not source.lines_of(way))
            text = f"not written in {language}: {'; '.join(filter(None, [where, *shared]))}"
            figures = (("missing_texts", float(len(ways))),)
            yield Finding("missing-translation", Weight.FINDING, "plan", text, figures, lines)


def _is_written(source: Source, way: Way) -> bool:
    file, inner = source.written_in(way)
    return len(inner) - len(file.place_of(inner)[1]) <= 1


def _shared_line(source: Source, way: Way) -> str:
    """The line of a shared file in which something stands; the file by its name alone, wherever it stands."""
    file, inner = source.written_in(way)
    return f"{PurePath(file.path).name} line {file.place_of(inner)[0][0]}"


def _unused(session: Session, source: Source) -> Iterator[Finding]:
    used = {interval.exercise for block in session.blocks for interval in block.intervals or ()}
    for name in session.exercises:
        if name not in used:
            lines = source.lines_of(("exercises", name), key=True)
            yield Finding("unused-exercise", Weight.REMARK, f"exercise {name}", "it is in no block", (), lines)


def _without_effect(session: Session, source: Source) -> Iterator[Finding]:
    """Lengths that the plan gives where nothing can take them."""
    for number, block in enumerate(session.blocks):
        if block.mirror is not None:
            continue
        way: tuple[str | int, ...] = ("blocks", number)
        last = len(block.intervals or ()) - 1
        given = [
            ((*way, "intervals", last, "rest"), "rest:", "after the last exercise comes between_rounds: or after:"),
            ((*way, "between_rounds"), "between_rounds:", "the block has one round"),
            ((*way, "after"), "after:", "the class has no block after it"),
        ]
        for (place, key, why), is_idle in zip(
            given, (True, (block.rounds or 1) == 1, number == len(session.blocks) - 1), strict=True
        ):
            if is_idle and place in source.keys:
                text = f"{key} has no effect here: {why}"
                yield Finding("without-effect", Weight.REMARK, f"block {block.id}", text, (), (source.keys[place][0],))


def _near_names(session: Session, source: Source) -> Iterator[Finding]:
    main = session.main_language
    if len(session.exercises) > MOST_COMPARED:
        return
    names = [(key, each.name.in_language(main, main=main)) for key, each in session.exercises.items()]
    for (one, first), (other, second) in itertools.combinations(names, 2):
        if _nearly_same(first, second) or _nearly_same(one, other):
            lines = source.lines_of(("exercises", other), key=True)
            text = f"its name “{second}” is nearly that of {one}, “{first}”"
            yield Finding("near-names", Weight.REMARK, f"exercise {other}", text, (), lines)


def _nearly_same(one: str, other: str) -> bool:
    """Two names that differ in a letter or so; numbers and side slots make a real difference."""
    first, second = one.casefold(), other.casefold()
    if abs(len(first) - len(second)) > 2 or min(len(first), len(second)) < 4:
        return False
    if [c for c in first if c.isdigit()] != [c for c in second if c.isdigit()]:
        return False
    from difflib import SequenceMatcher

    return SequenceMatcher(None, first, second).ratio() > 0.9
