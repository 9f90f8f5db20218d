"""The kinds of value that a plan holds.

The reader hands every scalar over as text, so `No`, `010` and `1:30` mean what the writer sees;
the types here say what each text stands for. A value that is refused raises ValueError with a
message in an instructor's words; the reader adds file, line and column.
"""

import re
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from typing import Annotated, Any, TypeVar

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    GetCoreSchemaHandler,
    GetJsonSchemaHandler,
    PlainValidator,
    WithJsonSchema,
)
from pydantic_core import core_schema

from overlay.units.clock import LONGEST_CLASS, format_duration, parse_duration
from overlay.units.color import Color as _Color
from overlay.units.raster import Size as _Size
from overlay.units.rate import RATE_NAMES
from overlay.units.rate import FrameRate as _FrameRate

E = TypeVar("E", bound=Enum)


class Part(BaseModel):
    """Base of every part of a plan: unknown keys are mistakes, nothing changes once read."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True, arbitrary_types_allowed=True, defer_build=True)


class Side(Enum):
    """Which side of the body a block is done on."""

    LEFT = "left"
    RIGHT = "right"

    @property
    def other(self) -> "Side":
        return Side.RIGHT if self is Side.LEFT else Side.LEFT


class Hands(Enum):
    """Whether an exercise puts load on the hands."""

    LOADED = "loaded"
    FREE = "free"


@dataclass(frozen=True)
class Text:
    """Words in one or more languages; `""` stands for the plan's main language.

    >>> Text((("en", "Rest"), ("es", "Descanso"))).in_language("es", main="en")
    'Descanso'
    """

    versions: tuple[tuple[str, str], ...]

    def in_language(self, language: str, *, main: str) -> str:
        """The words in `language`, or in the main language where that version is missing."""
        return self.find(language, main=main) or self.find(main, main=main) or self.versions[0][1]

    def find(self, language: str, *, main: str) -> str | None:
        """The words in exactly this language, or None."""
        known = dict(self.versions)
        return known.get(language) or (known.get("") if language == main else None)


NO_WORDS = Text((("", ""),))
"""A text that the plan leaves empty on purpose."""


_LANGUAGE = re.compile(r"[a-z]{2,3}(?:-[A-Za-z0-9]{2,8})*", re.ASCII)


def one_text(value: Any, what: str = "one text") -> str:
    """The value as one line of text; ValueError for a list, a map, nothing, or hidden characters."""
    if not isinstance(value, str):
        found = "a list" if isinstance(value, list) else "keys with values"
        raise ValueError(f"expected {what} here, found {found}")
    if not value.strip():
        raise ValueError("nothing stands here")
    text = " ".join(unicodedata.normalize("NFC", value).split())
    hidden = next((c for c in text if unicodedata.category(c) in ("Cc", "Cs", "Co", "Cn") or c in _STEERING), None)
    if hidden is not None:
        raise ValueError(f"the text holds a character that cannot be printed (U+{ord(hidden):04X}): remove it")
    return text


# Characters that turn the direction of what follows could make printed text lie about itself.
_STEERING = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\ufeff")


LONGEST_NAME, LONGEST_CUE, LONGEST_NOTE = 200, 1000, 5000
"""Characters. What is longer is a slip, or wants to be several texts."""
_CUE_KEYS = frozenset({"at", "say", "round"})


def text_up_to(most: int) -> Callable[[Any], Text]:
    """A reader of words in one or more languages, of at most so many characters each."""

    def read(value: Any) -> Text:
        if isinstance(value, Text):
            return value
        if not isinstance(value, dict):
            return Text((("", _short_enough(one_text(value), most)),))
        if not value:
            raise ValueError("nothing stands here")
        if not _CUE_KEYS.isdisjoint(value):
            raise ValueError("at:, say: and round: belong to the cues of an interval: write the words alone here")
        for language in value:
            if not _LANGUAGE.fullmatch(language):
                raise ValueError(f"a colon stands after {language}: put quotes round a text that has a colon in it")
        return Text(tuple((language, _short_enough(one_text(words), most)) for language, words in value.items()))

    return read


def _short_enough(text: str, most: int) -> str:
    if len(text) > most:
        raise ValueError(f"this text has {len(text)} characters: {most} is the most here")
    return text


def _word(value: Any) -> str:
    return _short_enough(one_text(value, "one word or name"), LONGEST_NAME)


def _duration(value: Any) -> Fraction:
    if isinstance(value, Fraction):
        return value
    text = one_text(value, "a duration such as 40s or 1:30")
    if text.startswith("-"):
        raise ValueError(f"{text} is negative: a length cannot be less than nothing")
    duration = parse_duration(text)
    if duration > LONGEST_CLASS:
        raise ValueError(f"{text} is longer than {format_duration(LONGEST_CLASS)}, the longest class that is made")
    return duration


SHORTEST_STRETCH = Fraction(1, 10)
"""Seconds: a few frames at every rate, so that no stretch of a class is without a picture."""


def _stretch(value: Any) -> Fraction:
    """The length of a stretch of the class: none at all, or long enough to be shown."""
    duration = _duration(value)
    if 0 < duration < SHORTEST_STRETCH:
        least = format_duration(SHORTEST_STRETCH)
        raise ValueError(f"{format_duration(duration)} is shorter than {least}, the least that can be shown")
    return duration


def _positive_duration(value: Any) -> Fraction:
    duration = _stretch(value)
    if not duration:
        raise ValueError("this length cannot be zero")
    return duration


def _offset(value: Any) -> Fraction:
    if isinstance(value, Fraction):
        return value
    text = one_text(value, "a time such as 10s or -8s")
    return -_duration(text[1:].lstrip()) if text.startswith("-") else _duration(text.removeprefix("+"))


def count_of(least: int, most: int) -> Callable[[Any], int]:
    """A reader of whole numbers within bounds."""

    def read(value: Any) -> int:
        if isinstance(value, int):
            return value
        text = one_text(value, "a whole number")
        if not re.fullmatch(r"[+-]?\d{1,9}", text, re.ASCII):
            raise ValueError(f"{text} is not a whole number")
        if not least <= int(text) <= most:
            raise ValueError(f"{text} is out of range: {least} to {most}")
        return int(text)

    return read


def _flag(value: Any) -> bool:
    if isinstance(value, bool):
        return value
    text = one_text(value, "true or false")
    if text not in ("true", "false"):
        raise ValueError(f"{text} is neither true nor false")
    return text == "true"


def one_of(kind: type[E]) -> Callable[[Any], E]:
    """A reader of one of an enumeration's words."""

    def read(value: Any) -> E:
        if isinstance(value, kind):
            return value
        words = [str(member.value) for member in kind]
        text = one_text(value, " or ".join(words))
        if text not in words:
            raise ValueError(f"{text} is not known here: write {' or '.join(words)}")
        return kind(text)

    return read


def _size(value: Any) -> _Size:
    return value if isinstance(value, _Size) else _Size.parse(one_text(value, "a picture size such as 1920x1080"))


def _frame_rate(value: Any) -> _FrameRate:
    if isinstance(value, _FrameRate):
        return value
    try:
        return _FrameRate.parse(one_text(value, "a frame rate such as 25"))
    except ValueError as error:
        raise ValueError(f"{error}: use one of {', '.join(RATE_NAMES)}") from None


def _color(value: Any) -> _Color:
    return value if isinstance(value, _Color) else _Color.parse(one_text(value, "a colour such as #E69F00"))


def _language(value: Any) -> str:
    text = one_text(value, "a language such as en")
    if not _LANGUAGE.fullmatch(text):
        raise ValueError(f"{text} is not a language: write en, es, fr or another tag of BCP 47")
    return text


def _listed(value: Any) -> Any:
    return tuple(value) if isinstance(value, (list, tuple)) else (value,)


def _things(value: Any) -> Any:
    """Things may be written in one line with commas; none is no thing."""
    if isinstance(value, str) and value.strip():
        value = [part.strip() for part in re.split(r"[,;]", value) if part.strip()]
    return () if value in ("none", ["none"], ("none",)) else value


def _rows(value: Any) -> Any:
    return tuple(value) if isinstance(value, list) else value


def written(pattern: str, *, numbers: bool = False) -> WithJsonSchema:
    """How a value looks in the file, for editors that complete plans."""
    text: dict[str, Any] = {"type": "string", "pattern": pattern}
    return WithJsonSchema({"anyOf": [{"type": "number", "minimum": 0}, text]} if numbers else text)


_TEXT_SCHEMA = {
    "anyOf": [
        {"type": ["string", "number", "boolean"]},
        {"type": "object", "additionalProperties": {"type": ["string", "number", "boolean"]}, "minProperties": 1},
    ]
}
_DURATION = r"^\s*[0-9.:hmsinec ]+\s*$"

Title = Annotated[Text, PlainValidator(text_up_to(LONGEST_NAME)), WithJsonSchema(_TEXT_SCHEMA)]
CueText = Annotated[Text, PlainValidator(text_up_to(LONGEST_CUE)), WithJsonSchema(_TEXT_SCHEMA)]
Words = Annotated[Text, PlainValidator(text_up_to(LONGEST_NOTE)), WithJsonSchema(_TEXT_SCHEMA)]
Name = Annotated[str, PlainValidator(_word), WithJsonSchema({"type": ["string", "number", "boolean"]})]
Duration = Annotated[Fraction, PlainValidator(_duration), written(_DURATION, numbers=True)]
Stretch = Annotated[Fraction, PlainValidator(_stretch), written(_DURATION, numbers=True)]
PositiveDuration = Annotated[Fraction, PlainValidator(_positive_duration), written(_DURATION, numbers=True)]
Offset = Annotated[
    Fraction,
    PlainValidator(_offset),
    WithJsonSchema({"anyOf": [{"type": "number"}, {"type": "string", "pattern": r"^\s*[+-]?[0-9.:hmsinec ]+$"}]}),
]
Rounds = Annotated[int, PlainValidator(count_of(1, 999)), WithJsonSchema({"type": "integer", "minimum": 1})]
Weight = Annotated[
    int, PlainValidator(count_of(1, 1000)), WithJsonSchema({"type": "integer", "minimum": 1, "maximum": 1000})
]
Pace = Annotated[
    int, PlainValidator(count_of(60, 300)), WithJsonSchema({"type": "integer", "minimum": 60, "maximum": 300})
]
Flag = Annotated[bool, PlainValidator(_flag), WithJsonSchema({"type": "boolean"})]
SideOf = Annotated[Side, PlainValidator(one_of(Side)), WithJsonSchema({"enum": ["right", "left"]})]
HandsOf = Annotated[Hands, PlainValidator(one_of(Hands)), WithJsonSchema({"enum": ["loaded", "free"]})]
Size = Annotated[_Size, PlainValidator(_size), written(r"^\s*[0-9]+\s*[xX×]\s*[0-9]+\s*$")]
FrameRate = Annotated[_FrameRate, PlainValidator(_frame_rate), WithJsonSchema({"type": ["number", "string"]})]
Color = Annotated[_Color, PlainValidator(_color), written(r"^#[0-9A-Fa-f]{6}$")]
Language = Annotated[str, PlainValidator(_language), written(r"^[a-z]{2,3}(-[A-Za-z0-9]{2,8})*$")]


class _OneOrMore:
    """Lets a list of one be written without its dash or brackets."""

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> core_schema.CoreSchema:
        return core_schema.no_info_before_validator_function(_listed, handler(source))

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        rows = handler(schema)
        return {"anyOf": [rows, rows["items"]]}


ONE_OR_MORE = _OneOrMore()
"""A list, or one item by itself."""
THINGS = BeforeValidator(_things)
"""Things to lay out, in a list or in one line."""
ROWS = BeforeValidator(_rows)
"""A list becomes a tuple; anything else is left to be refused."""
