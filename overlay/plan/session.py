"""A whole plan, as written and with every default filled in."""

from __future__ import annotations

from fractions import Fraction
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, PlainValidator, WithJsonSchema, model_validator

from overlay.plan.blocks import Block, Exercise, Passage, Timing
from overlay.plan.fields import (
    ONE_OR_MORE,
    ROWS,
    Duration,
    FrameRate,
    Language,
    Name,
    Pace,
    Part,
    Size,
    Words,
    one_of,
    one_text,
)
from overlay.plan.look import Look
from overlay.plan.outputs import ToneSettings
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

    @model_validator(mode="after")
    def _labels_exist(self) -> Video:
        if self.timecode is Counting.DROP and not self.frame_rate.can_drop:
            raise ValueError("drop-frame timecode exists at 29.97 and 59.94 only: remove timecode: or change the rate")
        label_to_frame(self._start_label(), self.frame_rate, self.counting)
        return self

    @property
    def counting(self) -> Counting:
        """As written; where nothing is written, drop-frame at 29.97 and 59.94, else non-drop."""
        if self.timecode is not None:
            return self.timecode
        return Counting.DROP if self.frame_rate.can_drop else Counting.NON_DROP

    @property
    def start_frame(self) -> int:
        return label_to_frame(self._start_label(), self.frame_rate, self.counting)

    def _start_label(self) -> str:
        """Colons throughout are read in either counting; a semicolon says drop-frame."""
        return self.start


def _call(value: Any) -> Any:
    return None if value == "none" else value


def _calls(value: Any) -> Any:
    return {"next": "none", "last": "none"} if value == "none" else value


class Calls(Part):
    """What the tool says by itself; None where nothing is to be said.

    Left out, a call speaks in every language that the tool has words for (`words/calls.py`).
    """

    next: Annotated[Words | None, BeforeValidator(_call)] = None
    last: Annotated[Words | None, BeforeValidator(_call)] = None
    last_at: Duration = Fraction(8)

    def says_next(self) -> bool:
        return self.next is not None or "next" not in self.model_fields_set

    def says_last(self) -> bool:
        return self.last is not None or "last" not in self.model_fields_set


class Session(Part):
    """One class, as its plan describes it."""

    overlay: Annotated[str, PlainValidator(_plan_format), WithJsonSchema({"enum": [1, "1"]})]
    title: Words
    language: Annotated[tuple[Language, ...], ONE_OR_MORE, Field(min_length=1)] = ("en",)
    pace: Pace = 150
    video: Video = Field(default_factory=Video.model_construct)
    timing: Timing = Field(default_factory=Timing.model_construct)
    exercises: dict[Name, Exercise] = {}
    opening: Passage | None = None
    blocks: Annotated[tuple[Block, ...], ROWS, Field(min_length=1)]
    closing: Passage | None = None
    calls: Annotated[Calls, BeforeValidator(_calls)] = Field(default_factory=Calls.model_construct)
    words: Wording = Field(default_factory=Wording.model_construct)
    tones: ToneSettings = Field(default_factory=ToneSettings.model_construct)
    look: Look = Field(default_factory=Look.model_construct)
    caution: Words | None = None

    @property
    def main_language(self) -> str:
        return self.language[0]
