"""From a plan file to a `Session`, or to every mistake in it by line and column."""

from __future__ import annotations

from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from overlay.errors import Mistake, PlanError
from overlay.plan.fields import Part
from overlay.plan.join import join
from overlay.plan.look import Look
from overlay.plan.nearest import did_you_mean
from overlay.plan.session import Session
from overlay.plan.source import Path_, Source, parse_source, read_bytes
from overlay.plan.theme import read_theme, theme_file
from overlay.plan.wording import NO_SUCH_WORD, WORD_NAMES

MOST_MISTAKES = 50
P = TypeVar("P", bound=Part)


def read_plan(path: Path, root: Path | None = None) -> Session:
    """Read a plan: what was written, every default filled in, lengths as exact seconds.

    No file that it names may stand outside of `root` (`beside.py`). Raises PlanError with every mistake found (the
    first 50), UsageError where there is no such file, MachineError where it cannot be read.

    >>> import pathlib, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     plan = pathlib.Path(folder, "one.yaml")
    ...     _ = plan.write_text("overlay: 1\\ntitle: One\\nblocks: [{intervals: [{name: Squat}]}]", "utf-8")
    ...     read_plan(plan).blocks[0].id
    'block-1'
    """
    source = parse_source(read_bytes(path), str(path))
    source.root = root
    return session_of(source)


def parse_plan(raw: bytes, path: str = "plan") -> Session:
    """The same from bytes that are already there."""
    return session_of(parse_source(raw, path))


def session_of(source: Source) -> Session:
    """The same from a file that is already read, whose places can then be asked for."""
    if not isinstance(source.content, dict):
        raise PlanError(source.path, [source.mistake((1, 1), "a plan begins with keys such as title: and blocks:")])
    written = validated(Session, source)
    if written.exercises_from:
        from overlay.plan.shared import with_shared

        written = with_shared(source, written)
    if written.look.theme is not None:
        theme = read_theme(theme_file(written.look.theme, source))
        source.shared[("look",)] = theme, 1
        written = written.model_copy(update={"look": written.look.on_top_of(validated(Look, theme))})
    session, mistakes = join(source, written)
    if mistakes:
        raise PlanError(source.path, mistakes)
    return session


def validated(model: type[P], source: Source) -> P:
    """A file's content as a part of a plan. Raises PlanError with the places in that file."""
    try:
        return model.model_validate(source.content)
    except ValidationError as error:
        raise PlanError(source.path, _mistakes(source, error, model)) from None


def _mistakes(source: Source, error: ValidationError, root: type[BaseModel]) -> list[Mistake]:
    found: list[Mistake] = []
    # A file that is no plan at all would otherwise be told line by line.
    details = error.errors(include_url=False)[:MOST_MISTAKES]
    ways = {tuple(detail["loc"]) for detail in details}
    for detail in details:
        way: Path_ = tuple(detail["loc"])
        if detail["type"] == "too_short" and any(len(other) > len(way) and other[: len(way)] == way for other in ways):
            # A list whose items are wrong is counted as empty too; the items are what is to be told.
            continue
        remedy: str | None
        kind = detail["type"]
        if kind == "extra_forbidden":
            place, _ = source.place_of(way, key=True)
            known = list(_model_at(root, way[:-1]).model_fields)
            key = str(way[-1])
            # Within braces a comma ends a text; what follows it then looks like a key.
            remedy = "Put quotes round a text that has a comma." if " " in key else did_you_mean(key, known)
            found.append(source.mistake(place, f"no such key here: {key}", remedy))
            continue
        if kind == NO_SUCH_WORD:
            place, _ = source.place_of(way[:-1], key=True)
            found.append(source.mistake(place, f"no such word here: {way[-2]}", did_you_mean(str(way[-2]), WORD_NAMES)))
            continue
        place, _ = source.place_of(way)
        if kind == "missing":
            place, _written = source.place_of(way[:-1], key=True)
            message = f"{way[-1]} is missing"
            remedy = f"Add a line {way[-1]}: …"
        elif kind == "value_error":
            message, remedy = str(detail["ctx"]["error"]), None
            if message == "nothing stands here" and "#" in source.line(place):
                remedy = "A # begins a remark that is not read: put quotes round a text with a #."
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


def _model_at(root: type[BaseModel], way: Path_) -> type[BaseModel]:
    """The model that holds the keys at this place of the plan."""
    model = root
    for step in way:
        annotation: Any = model.model_fields[step].annotation if step in model.model_fields else None
        model = next(iter(_models_in(annotation)), model)
    return model


def _models_in(annotation: Any) -> list[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    return [model for part in getattr(annotation, "__args__", ()) for model in _models_in(part)]
