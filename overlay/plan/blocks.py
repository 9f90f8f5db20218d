"""Blocks, their intervals and their cues, as written."""

from fractions import Fraction
from typing import Annotated, Any, Self

from pydantic import BeforeValidator, Field, model_validator

from overlay.plan.beside import FileName
from overlay.plan.fields import (
    ONE_OR_MORE,
    ROWS,
    THINGS,
    CueText,
    Flag,
    Hands,
    HandsOf,
    Name,
    Offset,
    Part,
    PositiveDuration,
    Rounds,
    SideOf,
    Stretch,
    Title,
    Words,
)

Things = Annotated[tuple[Title, ...], ONE_OR_MORE, THINGS]


class Exercise(Part):
    """One exercise of the plan's list. Only the name must be written."""

    name: Title
    hands: HandsOf = Hands.FREE
    position: Words | None = None
    equipment: Things = ()
    setup: Words | None = None
    easier: Words | None = None
    harder: Words | None = None
    watch: Words | None = None
    camera: Words | None = None
    image: FileName | None = None


class Cue(Part):
    """Something to say in one interval.

    `at` counts from the start of the work, or back from its end when negative; without it the tool
    finds the place. `round` limits the cue to one round.
    """

    say: CueText
    at: Offset | None = None
    round: Rounds | None = None


def _cue_as_keys(value: Any) -> Any:
    """A cue may be its bare words, in one language or several."""
    if isinstance(value, dict) and not value.keys().isdisjoint(Cue.model_fields):
        return value
    return {"say": value}


CueOf = Annotated[Cue, BeforeValidator(_cue_as_keys, json_schema_input_type=Cue | CueText)]
Cues = Annotated[tuple[CueOf, ...], ONE_OR_MORE]
Lines = Annotated[tuple[CueText, ...], ONE_OR_MORE]


class Interval(Part):
    """A stretch of work: an exercise of the list, or one written on the spot."""

    exercise: Name | None = None
    work: PositiveDuration | None = None
    rest: Stretch | None = None
    cues: Cues = ()
    name: Title | None = None
    hands: HandsOf | None = None
    position: Words | None = None
    equipment: Things = ()
    setup: Words | None = None
    easier: Words | None = None
    harder: Words | None = None
    watch: Words | None = None
    camera: Words | None = None
    image: FileName | None = None

    @model_validator(mode="after")
    def _is_one_exercise(self) -> Self:
        if (self.exercise is None) == (self.name is None):
            raise ValueError("write either exercise: with a name from the list, or name: for one written on the spot")
        described = [key for key in Exercise.model_fields if key != "name" and getattr(self, key)]
        if self.exercise is not None and described:
            raise ValueError(f"{described[0]} belongs to the exercise {self.exercise}: write it in the list exercises")
        return self

    def written_here(self) -> Exercise | None:
        """The exercise, where it is written on the spot."""
        if self.name is None:
            return None
        given = {key: getattr(self, key) for key in Exercise.model_fields if getattr(self, key) is not None}
        return Exercise.model_construct(**given)


def _interval_as_keys(value: Any) -> Any:
    """`seated-row` and `seated-row 45s` are intervals of one line."""
    if not isinstance(value, str):
        return value
    name, _, length = value.strip().rpartition(" ")
    if name and length[:1].isdigit():
        return {"exercise": name, "work": length}
    return {"exercise": value}


IntervalOf = Annotated[Interval, BeforeValidator(_interval_as_keys, json_schema_input_type=Interval | str)]


class Block(Part):
    """A run of intervals, or the mirror of an earlier block with the sides swapped."""

    id: Name | None = None
    name: Title | None = None
    mirror: Name | None = None
    side: SideOf | None = None
    rounds: Rounds | None = None
    preview: Stretch | None = None
    preview_cues: Lines = ()
    intervals: Annotated[tuple[IntervalOf, ...], Field(min_length=1), ROWS] | None = None
    rest_cues: Lines = ()
    between_rounds: Stretch | None = None
    after: Stretch | None = None

    @model_validator(mode="after")
    def _is_block_or_mirror(self) -> Self:
        if self.mirror is None and self.intervals is None:
            raise ValueError("a block needs intervals: (what is done), or mirror: (the block that it repeats)")
        if self.mirror is not None and self.intervals is not None:
            raise ValueError("a mirror repeats the other block's intervals: remove intervals: or mirror:")
        if self.mirror is not None and self.side is not None:
            raise ValueError("a mirror takes the other side by itself: remove side:")
        return self

    def mirrored(self, original: "Block") -> "Block":
        """This mirror filled in from the block that it repeats. What is written here wins.

        `mirror` stays and says which block it repeats.
        """
        changes = {key: getattr(self, key) for key in self.model_fields_set}
        changes.setdefault("id", None)
        changes["side"] = original.side.other if original.side else None
        return original.model_copy(update=changes)


class Passage(Part):
    """The opening or the closing: a length, what is said in it, and whether a full picture covers it."""

    length: Stretch
    cues: Cues = ()
    card: Flag = False


class Timing(Part):
    """The lengths that hold where a block or interval does not say otherwise."""

    work: PositiveDuration = Fraction(30)
    rest: Stretch = Fraction(0)
    preview: Stretch = Fraction(10)
    between_rounds: Stretch = Fraction(15)
    between_blocks: Stretch = Fraction(15)
