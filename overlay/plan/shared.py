"""Exercises in files that plans share: `exercises_from:` names them, and what a plan writes itself wins."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from overlay.errors import Mistake, PlanError
from overlay.plan.beside import file_beside
from overlay.plan.blocks import Exercise
from overlay.plan.fields import Name, Part, Text
from overlay.plan.session import Session
from overlay.plan.source import Source, parse_source, read_bytes

WHERE = "exercises_from"


class ExerciseList(Part):
    """A file of exercises: the same key, with the same below it, as in a plan."""

    exercises: dict[Name, Exercise]


def with_shared(source: Source, written: Session) -> Session:
    """The plan with those exercises of its shared files that it uses and does not write itself.

    The source is told where each comes from. Raises PlanError with the file and the line of what is wrong, UsageError
    or MachineError.
    """
    own = written.exercises
    used = {interval.exercise for block in written.blocks for interval in block.intervals or ()} - own.keys()
    taken: dict[str, Exercise] = {}
    mistakes: list[Mistake] = []
    for number, name in enumerate(written.exercises_from):
        try:
            path = file_beside(Path(source.path), name, source.root)
        except ValueError as error:
            mistakes.append(source.mistake_at((WHERE, number), str(error)))
            continue
        file, listed = _read(read_bytes(path), str(path))
        for key, exercise in listed.items():
            way = ("exercises", key)
            if key in taken:
                first = source.shared[way][0].path
                remedy = "Keep it in one of them, or write the exercise in the plan."
                mistakes.append(
                    file.mistake(file.place_of(way, key=True)[0], f"{key} stands in {first} as well", remedy)._replace(
                        path=file.path
                    )
                )
            elif key not in own:
                source.shared[way] = file, 0
                if key in used:
                    taken[key] = _in_languages(exercise, written.language)
    if mistakes:
        raise PlanError(source.path, mistakes)
    return written.model_copy(update={"exercises": {**own, **taken}})


@lru_cache(maxsize=8)
def _read(raw: bytes, path: str) -> tuple[Source, dict[str, Exercise]]:
    """A file of exercises with its places; the classes of a series ask for the same few again and again."""
    from overlay.plan.read import validated

    source = parse_source(raw, path)
    if not isinstance(source.content, dict):
        raise PlanError(path, [source.mistake((1, 1), "a file of exercises begins with the key exercises:")])
    return source, dict(validated(ExerciseList, source).exercises)


def _in_languages(exercise: Exercise, languages: tuple[str, ...]) -> Exercise:
    """The exercise without the languages that the class is not given in."""

    def kept(value: object) -> object:
        if isinstance(value, tuple):
            return tuple(map(kept, value))
        if not isinstance(value, Text):
            return value
        versions = tuple((language, words) for language, words in value.versions if language in ("", *languages))
        return Text(versions) if versions else value

    return exercise.model_copy(update={key: kept(getattr(exercise, key)) for key in exercise.model_fields_set})
