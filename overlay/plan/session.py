"""A whole plan, as written and with every default filled in."""

from collections.abc import Iterator
from enum import Enum
from fractions import Fraction
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, PlainValidator, WithJsonSchema

from overlay.plan.beside import FileName
from overlay.plan.blocks import Block, Exercise, Interval, Passage, Timing
from overlay.plan.carriers import PictureSettings
from overlay.plan.checks import Checks
from overlay.plan.fields import (
    NO_WORDS,
    ONE_OR_MORE,
    ROWS,
    Duration,
    FrameRate,
    Language,
    Name,
    Pace,
    Part,
    PositiveDuration,
    Size,
    Title,
    Words,
    one_of,
    one_text,
)
from overlay.plan.handoff import HandoffSettings
from overlay.plan.look import Look, LookOf
from overlay.plan.outputs import CaptionSettings, ToneSettings
from overlay.plan.paper import PaperSettings
from overlay.plan.saying import Saying
from overlay.plan.wording import Wording
from overlay.units import raster, rate
from overlay.units.rate import Counting
from overlay.units.timecode import label_to_frame

PLAN_FORMAT = "1"


def _plan_format(value: Any) -> str:
    text = one_text(value, "the plan format, 1")
    if text != PLAN_FORMAT:
        raise ValueError(f"plan format {text} is not known: this version reads format {PLAN_FORMAT}")
    return text


class Video(Part):
    """The picture that the class is cut in."""

    size: Size = raster.Size(1920, 1080)
    frame_rate: FrameRate = rate.FrameRate(Fraction(30))
    timecode: Annotated[
        Counting | None, PlainValidator(one_of(Counting)), WithJsonSchema({"enum": ["drop-frame", "non-drop"]})
    ] = None
    start: Name = "00:00:00:00"

    @property
    def counting(self) -> Counting:
        """As written; where nothing is written, drop-frame at 29.97 and 59.94, else non-drop."""
        if self.timecode is not None:
            return self.timecode
        return Counting.DROP if self.frame_rate.can_drop else Counting.NON_DROP

    @property
    def start_frame(self) -> int:
        """The frame of the start timecode. Raises ValueError where there is no such label."""
        return label_to_frame(self.start, self.frame_rate, self.counting)


def _is_none(value: Any) -> bool:
    return isinstance(value, str) and value.strip().lower() == "none"


def _call(value: Any) -> Any:
    return None if _is_none(value) else value


def _calls(value: Any) -> Any:
    if isinstance(value, str) and not _is_none(value):
        raise ValueError("write none to say nothing, or keys such as next: and last: under calls:")
    return {"next": "none", "last": "none"} if _is_none(value) else value


class Calls(Part):
    """What the tool says by itself; None where nothing is to be said.

    Left out, a call speaks in every language that the tool has words for (`words/phrases.py`).
    """

    next: Annotated[Words | None, BeforeValidator(_call)] = None
    last: Annotated[Words | None, BeforeValidator(_call)] = None
    last_at: Duration = Fraction(8)

    def says_next(self) -> bool:
        return self.next is not None or "next" not in self.model_fields_set

    def says_last(self) -> bool:
        return self.last is not None or "last" not in self.model_fields_set


CallsOf = Annotated[Calls, BeforeValidator(_calls, json_schema_input_type=Calls | Literal["none"])]


class View(Enum):
    """How the performer, who faces the camera, stands in the picture: `DIRECT` as filmed, so that their
    right hand is on the viewer's left; `MIRRORED` as in a mirror, so that it is on the viewer's right."""

    DIRECT = "direct"
    MIRRORED = "mirrored"


def _caution(value: Any) -> Any:
    """Nothing at all may stand here; it is noticed (`plan/advice.py`)."""
    return NO_WORDS if isinstance(value, str) and not value.strip() else value


class Session(Part):
    """One class, as its plan describes it."""

    overlay: Annotated[str, PlainValidator(_plan_format), WithJsonSchema({"enum": [1, "1"]})]
    title: Title
    language: Annotated[tuple[Language, ...], Field(min_length=1), ONE_OR_MORE] = ("en",)
    pace: Pace = 150
    video: Video = Field(default_factory=Video.model_construct)
    timing: Timing = Field(default_factory=Timing.model_construct)
    exercises_from: Annotated[tuple[FileName, ...], ONE_OR_MORE] = ()
    exercises: dict[Name, Exercise] = {}
    opening: Passage | None = None
    blocks: Annotated[tuple[Block, ...], Field(min_length=1), ROWS]
    closing: Passage | None = None
    calls: CallsOf = Field(default_factory=Calls.model_construct)
    saying: Saying = Field(default_factory=Saying.model_construct)
    words: Wording = {}
    captions: CaptionSettings = Field(default_factory=CaptionSettings.model_construct)
    tones: ToneSettings = Field(default_factory=ToneSettings.model_construct)
    look: LookOf = Field(default_factory=Look.model_construct)
    view: Annotated[View, BeforeValidator(one_of(View)), WithJsonSchema({"enum": [*(v.value for v in View)]})] = (
        View.DIRECT
    )
    paper: PaperSettings = Field(default_factory=PaperSettings.model_construct)
    pictures: PictureSettings = Field(default_factory=PictureSettings.model_construct)
    handoff: HandoffSettings = Field(default_factory=HandoffSettings.model_construct)
    checks: Checks = Field(default_factory=Checks.model_construct)
    target: PositiveDuration | None = None
    caution: Annotated[Words | None, BeforeValidator(_caution)] = None

    @property
    def main_language(self) -> str:
        return self.language[0]

    def exercise_of(self, interval: Interval) -> Exercise:
        """The exercise of an interval: written on the spot, or from the list."""
        return interval.written_here() or self.exercises[str(interval.exercise)]

    def images(self) -> Iterator[tuple[tuple[str | int, ...], str]]:
        """The images that exercises name, each with the way to where it is written."""
        for key, exercise in self.exercises.items():
            if exercise.image is not None:
                yield ("exercises", key, "image"), exercise.image
        for number, block in enumerate(self.blocks):
            for index, interval in enumerate(block.intervals or () if block.mirror is None else ()):
                if interval.image is not None:
                    yield ("blocks", number, "intervals", index, "image"), interval.image

    @property
    def stretch_count(self) -> int:
        """About how many stretches of work and rest the class has, without laying it out."""
        return sum(2 * (block.rounds or 1) * len(block.intervals or ()) for block in self.blocks)

    @property
    def duration(self) -> Fraction:
        """The length of the class in exact seconds, without laying it out."""
        timing = self.timing
        total = sum((part.length for part in (self.opening, self.closing) if part), Fraction(0))
        for number, block in enumerate(self.blocks):
            intervals, rounds = block.intervals or (), block.rounds or 1
            one_round = sum((_or(i.work, timing.work) for i in intervals), Fraction(0))
            one_round += sum((_or(i.rest, timing.rest) for i in intervals[:-1]), Fraction(0))
            total += _or(block.preview, timing.preview) + rounds * one_round
            total += (rounds - 1) * _or(block.between_rounds, timing.between_rounds)
            if number < len(self.blocks) - 1:
                total += _or(block.after, timing.between_blocks)
        return total


def _or(value: Fraction | None, default: Fraction) -> Fraction:
    return default if value is None else value
