"""What the caption files share: numbered captions in whole milliseconds, and where they stand."""

from __future__ import annotations

from dataclasses import dataclass

from overlay.timeline.model import Timeline
from overlay.units.clock import frame_to_ms
from overlay.units.raster import Size
from overlay.words.lines import break_lines

LOWER_THIRD_PERCENT = 67.0
"""Captions keep to the lower third of the picture (BBC Subtitle Guidelines 10); timer and titles stand at its top."""


@dataclass(frozen=True)
class Caption:
    """One caption as a reader meets it.

    `number` counts from 1 within a language. Times are whole milliseconds since class zero, both
    floored from their frames, so that captions that touch on the frame grid touch here too.
    """

    number: int
    start_ms: int
    end_ms: int
    lines: tuple[str, ...]


def captions_of(timeline: Timeline, language: str) -> tuple[Caption, ...]:
    """The cues of one language in order, one caption each, broken into lines.

    A text that does not fit the rules stays whole, on one line: nothing is lost.
    """
    rules = timeline.rules
    return tuple(
        Caption(
            number=number,
            start_ms=frame_to_ms(cue.span.start_frame, timeline.rate),
            end_ms=frame_to_ms(cue.span.end_frame, timeline.rate),
            lines=break_lines(cue.text, rules.characters_a_line, rules.lines) or (cue.text,),
        )
        for number, cue in enumerate((cue for cue in timeline.cues if cue.language == language), start=1)
    )


@dataclass(frozen=True)
class Area:
    """The part of the picture that captions keep to, in percent of its width and height."""

    left: float
    top: float
    width: float
    bottom: float

    @property
    def height(self) -> float:
        return self.bottom - self.top


def area_of(size: Size) -> Area:
    """The lower third of what BBC Subtitle Guidelines 10 leave for captions, by the picture's shape.

    They name the central 75 % of the width and 90 % of the height for 16:9, 90 % and 75 % for
    9:16. Shapes between get 90 % of both, as wide as the Guidelines' 3.1 makes lines for 4:3 and 1:1.

    >>> area_of(Size(1080, 1920))
    Area(left=5.0, top=67.0, width=90.0, bottom=87.5)
    """
    width = 75.0 if 2 * size.width_px >= 3 * size.height_px else 90.0
    return Area((100 - width) / 2, LOWER_THIRD_PERCENT, width, 87.5 if size.is_tall else 95.0)


def clock_time(ms: int) -> str:
    """A time as WebVTT and TTML both write it: hours that may pass 24, a full stop, milliseconds.

    >>> clock_time(3_723_235), clock_time(360_000_100)
    ('01:02:03.235', '100:00:00.100')
    """
    seconds, ms = divmod(ms, 1000)
    return f"{seconds // 3600:02}:{seconds // 60 % 60:02}:{seconds % 60:02}.{ms:03}"


def without_arrow(text: str) -> str:
    """The text with the arrow of a time line as a sign, for places where it cannot be escaped.

    >>> without_arrow("left --> right")
    'left → right'
    """
    return text.replace("-->", "→")
