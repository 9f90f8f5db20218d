"""From a plan file to a `Session`, or to every mistake in it by line and column."""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError

from overlay.errors import Mistake, PlanError
from overlay.plan.blocks import Block, Exercise
from overlay.plan.session import Session
from overlay.plan.source import Path_, Source, parse_source, read_bytes
from overlay.units.clock import LONGEST_CLASS, format_duration


def read_plan(path: Path) -> Session:
    """Read a plan. Raises PlanError with every mistake found, UsageError or MachineError.

    >>> import pathlib, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     plan = pathlib.Path(folder, "one.yaml")
    ...     _ = plan.write_text("overlay: 1\\ntitle: One\\nblocks: [{intervals: [{name: Squat}]}]", "utf-8")
    ...     read_plan(plan).blocks[0].id
    'block-1'
    """
    return parse_plan(read_bytes(path), str(path))


def parse_plan(raw: bytes, path: str = "plan") -> Session:
    """The same from bytes that are already there."""
    return _session(parse_source(raw, path))


def _session(source: Source) -> Session:
    if not isinstance(source.content, dict):
        raise PlanError(source.path, [source.mistake((1, 1), "a plan begins with keys such as title: and blocks:")])
    try:
        written = Session.model_validate(source.content)
    except ValidationError as error:
        raise PlanError(source.path, _mistakes(source, error)) from None
    joined = _Joined(source, written)
    session = joined.session()
    if joined.mistakes:
        raise PlanError(source.path, joined.mistakes)
    return session


def nearest_name(name: str, known: list[str]) -> str | None:
    """The known name that was most likely meant, if any is near."""
    near = difflib.get_close_matches(name, known, n=1, cutoff=0.6)
    return near[0] if near else None


def _did_you_mean(name: str, known: list[str]) -> str:
    near = nearest_name(name, known)
    return f"Did you mean {near}?" if near else f"Known here: {', '.join(known)}."


def _mistakes(source: Source, error: ValidationError) -> list[Mistake]:
    found: list[Mistake] = []
    for detail in error.errors(include_url=False):
        way: Path_ = tuple(detail["loc"])
        remedy: str | None
        kind = detail["type"]
        if kind == "extra_forbidden":
            place, _ = source.place_of(way, key=True)
            known = list(_model_at(way[:-1]).model_fields)
            key = str(way[-1])
            # Within braces a comma ends a text; what follows it then looks like a key.
            remedy = "Put quotes round a text that has a comma." if " " in key else _did_you_mean(key, known)
            found.append(source.mistake(place, f"no such key here: {key}", remedy))
            continue
        place, _ = source.place_of(way)
        if kind == "missing":
            place, _written = source.place_of(way[:-1], key=True)
            message = f"{way[-1]} is missing"
            remedy = f"Add a line {way[-1]}: …"
        elif kind == "value_error":
            message, remedy = str(detail["ctx"]["error"]), None
        elif kind == "too_short":
            message, remedy = f"{_last_key(way)} is empty", "Add at least one line that begins with a dash."
        elif kind in ("tuple_type", "list_type"):
            message, remedy = f"{_last_key(way)} is a list", "Begin each of its lines with a dash and a space."
        else:
            message, remedy = f"expected keys with values under {_last_key(way)}", "Write them as key: value"
        found.append(source.mistake(place, message, remedy))
    return found


def _last_key(way: Path_) -> str:
    return str(next((step for step in reversed(way) if isinstance(step, str)), "the plan"))


def _model_at(way: Path_) -> type[BaseModel]:
    """The model that holds the keys at this place of the plan."""
    model: type[BaseModel] = Session
    for step in way:
        annotation: Any = model.model_fields[step].annotation if step in model.model_fields else None
        model = next(iter(_models_in(annotation)), model)
    return model


def _models_in(annotation: Any) -> list[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    return [model for part in getattr(annotation, "__args__", ()) for model in _models_in(part)]


@dataclass
class _Joined:
    """Joins what stands in one place of a plan with what it names in another."""

    source: Source
    written: Session

    def __post_init__(self) -> None:
        self.mistakes: list[Mistake] = []

    def session(self) -> Session:
        blocks: list[Block] = []
        for number, block in enumerate(self.written.blocks):
            blocks.append(self._block(number, block, blocks))
        session = self.written.model_copy(update={"blocks": tuple(blocks)})
        if not self.mistakes:
            length = length_of(session)
            if length > LONGEST_CLASS:
                message = f"the class is {format_duration(length)} long: {format_duration(LONGEST_CLASS)} is the most"
                self._note(("blocks",), message, None, at_key=True)
        return session

    def _block(self, number: int, block: Block, before: list[Block]) -> Block:
        way: Path_ = ("blocks", number)
        ids = [str(one.id) for one in before]
        if block.id in ids:
            self._note((*way, "id"), f"a block {block.id} stands already above", "Give each block an id of its own.")
        if block.id is None:
            block = block.model_copy(update={"id": f"block-{number + 1}"})
        if block.mirror is not None:
            if block.mirror not in ids:
                message = f"there is no block {block.mirror} before this one"
                self._note((*way, "mirror"), message, _did_you_mean(block.mirror, ids) if ids else None)
                return block
            original = before[ids.index(block.mirror)]
            if original.side is None:
                message = f"{block.mirror} has no side, so nothing can be mirrored"
                self._note((*way, "mirror"), message, f"Write side: right in {block.mirror}.")
            return block.mirrored(original)
        known = list(self.written.exercises)
        for index, interval in enumerate(block.intervals or ()):
            if interval.exercise is not None and interval.exercise not in known:
                place = (*way, "intervals", index, "exercise")
                self._note(place, f"there is no exercise {interval.exercise}", _did_you_mean(interval.exercise, known))
        return block

    def _note(self, way: Path_, message: str, remedy: str | None, *, at_key: bool = False) -> None:
        place, _ = self.source.place_of(way, key=at_key)
        self.mistakes.append(self.source.mistake(place, message, remedy))


def exercise_of(session: Session, block: Block, index: int) -> Exercise:
    """The exercise of an interval, from the list or written on the spot."""
    interval = (block.intervals or ())[index]
    return interval.written_here() or session.exercises[str(interval.exercise)]


def length_of(session: Session) -> Fraction:
    """The length of the class in exact seconds, without laying it out."""
    timing = session.timing
    total = sum((part.length for part in (session.opening, session.closing) if part), Fraction(0))
    for number, block in enumerate(session.blocks):
        intervals = block.intervals or ()
        one_round = sum((_or(i.work, timing.work) for i in intervals), Fraction(0))
        one_round += sum((_or(i.rest, timing.rest) for i in intervals[:-1]), Fraction(0))
        rounds = block.rounds or 1
        total += _or(block.preview, timing.preview) + rounds * one_round
        total += (rounds - 1) * _or(block.between_rounds, timing.between_rounds)
        if number < len(session.blocks) - 1:
            total += _or(block.after, timing.between_blocks)
    return total


def _or(value: Fraction | None, default: Fraction) -> Fraction:
    return default if value is None else value
