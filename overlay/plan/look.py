"""How the class looks: colours, sizes, where each layer stands, and where the fonts are."""

import re
from collections.abc import Callable
from enum import Enum
from functools import cache
from pathlib import Path
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, WithJsonSchema

from overlay.plan.beside import FileName
from overlay.plan.fields import ONE_OR_MORE, Color, Flag, Name, Part, Weight, one_of, one_text
from overlay.units import color


class Corner(Enum):
    """A corner of the picture."""

    TOP_LEFT = "top-left"
    TOP_RIGHT = "top-right"
    BOTTOM_LEFT = "bottom-left"
    BOTTOM_RIGHT = "bottom-right"

    @property
    def is_top(self) -> bool:
        return self in (Corner.TOP_LEFT, Corner.TOP_RIGHT)

    @property
    def is_left(self) -> bool:
        return self in (Corner.TOP_LEFT, Corner.BOTTOM_LEFT)


class Edge(Enum):
    """The upper or lower edge of the picture."""

    TOP = "top"
    BOTTOM = "bottom"


class Flank(Enum):
    """A flank of the picture, or between them."""

    LEFT = "left"
    RIGHT = "right"
    CENTER = "center"


def _percent(least: float, most: float) -> Callable[[Any], float]:
    """A reader of `5%` as the share 0.05; a bare number counts as per cent."""

    def read(value: Any) -> float:
        if isinstance(value, float):
            return value
        text = one_text(value, "a share such as 5%")
        plain = text.removesuffix("%").strip()
        if not re.fullmatch(r"\d{1,3}(\.\d{1,6})?", plain, re.ASCII):
            raise ValueError(f"{text} is not a share: write it as {least:g}%")
        if not least <= float(plain) <= most:
            raise ValueError(f"{text} is out of range: {least:g}% to {most:g}%")
        return float(plain) / 100

    return read


def _share(least: float, most: float) -> tuple[BeforeValidator, WithJsonSchema]:
    return BeforeValidator(_percent(least, most)), WithJsonSchema({"type": ["number", "string"]})


def _place(kind: type[Enum]) -> tuple[BeforeValidator, WithJsonSchema]:
    return BeforeValidator(one_of(kind)), WithJsonSchema({"enum": [member.value for member in kind]})


Scale = Annotated[float, *_share(50, 200)]


class Placing(Part):
    """Whether a layer is made, and how large: `scale` 1 is as the tool draws it."""

    show: Flag = True
    scale: Scale = 1.0


class Gauge(Enum):
    """How the timer's gauge runs out: so finely that no step is seen, or once a second with the digit,
    which makes a far smaller file."""

    SMOOTH = "smooth"
    SECONDS = "seconds"


class Timer(Placing):
    """The timer: its corner, and how its gauge runs out."""

    at: Annotated[Corner, *_place(Corner)] = Corner.TOP_LEFT
    gauge: Annotated[Gauge, *_place(Gauge)] = Gauge.SMOOTH


class Titles(Placing):
    """The titles: beside or below the timer unless they are given a corner of their own."""

    at: Annotated[Corner, *_place(Corner)] | None = None


class OnFlank(Placing):
    """A layer that stands on a flank."""

    at: Annotated[Flank, *_place(Flank)] = Flank.LEFT


class OnEdge(Placing):
    """A layer that runs along an edge."""

    at: Annotated[Edge, *_place(Edge)] = Edge.TOP


class Family(Part):
    """Font files that stand in for the tool's own; one alone serves both weights.

    The weights are places on a variable font's axis `wght` (OpenType 1.9.1: 1 to 1000, 400 regular, 700
    bold); other fonts have the one that they were drawn in.
    """

    regular: FileName
    bold: FileName | None = None
    regular_weight: Weight = 400
    bold_weight: Weight = 700


class Look(Part):
    """Colours and places of the pictures. The plate lies under every word, whatever the footage.

    `opacity` is the plate's, `corner_radius` a part of the picture's short side, `margin` the part of
    each side that stays free (EBU R 95 asks for 5 %). The colours of the default are picked from the
    Okabe-Ito colours, which stay apart for people who do not see all colours (STANDARDS: Okabe and
    Ito 2008), and each kind differs by shape and word first. `family` stands in for the tool's own
    fonts, `fonts` help them out; their files stand beside the plan.
    """

    theme: Name | None = None
    plate: Color = color.Color(0x12, 0x18, 0x21)
    ink: Color = color.Color(0xFF, 0xFF, 0xFF)
    work: Color = color.Color(0xE6, 0x9F, 0x00)
    rest: Color = color.Color(0x56, 0xB4, 0xE9)
    preview: Color = color.Color(0xF0, 0xE4, 0x42)
    family: Family | None = None
    fonts: Annotated[tuple[FileName, ...], ONE_OR_MORE] = ()
    opacity: Annotated[float, *_share(50, 100)] = 0.88
    corner_radius: Annotated[float, *_share(0, 6)] = 0.014
    margin: Annotated[float, *_share(5, 20)] = 0.05
    timer: Timer = Field(default_factory=Timer.model_construct)
    titles: Titles = Field(default_factory=Titles.model_construct)
    previews: OnFlank = Field(default_factory=OnFlank.model_construct)
    progress: OnEdge = Field(default_factory=OnEdge.model_construct)

    def on_top_of(self, below: "Look") -> "Look":
        """This look where it says something, and `below` where it does not.

        >>> Look(opacity=0.9).on_top_of(Look(opacity=0.6, margin=0.1)).margin
        0.1
        """
        laid: Look = _laid(self, below)
        return laid


def _laid(above: Any, below: Any) -> Any:
    """What is written in `above`, part by part, over `below`."""
    said: dict[str, Any] = {}
    for key in above.model_fields_set:
        mine, other = getattr(above, key), getattr(below, key)
        said[key] = _laid(mine, other) if isinstance(mine, Part) and isinstance(other, Part) else mine
    return below.model_copy(update=said)


def _look(value: Any) -> Any:
    """A look may be just the name of its theme."""
    return {"theme": value} if isinstance(value, str) else value


LookOf = Annotated[Look, BeforeValidator(_look, json_schema_input_type=Look | str)]

REGULAR = "NotoSans-Regular.ttf"
BOLD = "NotoSans-Bold.ttf"


@cache
def font_folder() -> Path:
    """The folder of the fonts that ship with the tool: inside the wheel, or beside the package."""
    package = Path(__file__).resolve().parents[1]
    inside = package / "fonts"
    return inside if inside.is_dir() else package.parent / "fonts"
