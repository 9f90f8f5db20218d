"""The plan's `handoff:`: what the files for the editor allow for."""

import re
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import PlainValidator

from overlay.plan.fields import Part, one_text, written

MOST_HANDLE_FRAMES = 300
"""Five seconds at 60 frames a second: more than any transition takes."""


@dataclass(frozen=True)
class Frames:
    """A count of frames, written `12f`.

    >>> str(Frames.parse("12 f"))
    '12f'
    """

    count: int

    @classmethod
    def parse(cls, text: str) -> "Frames":
        """Read `12f`. Raises ValueError for anything else: a bare number is seconds everywhere in a plan."""
        match = re.fullmatch(r"(\d{1,6})\s*f", text.strip(), re.ASCII)
        if match is None:
            raise ValueError(f"{text} is not a number of frames: write it as 12f")
        return cls(int(match[1]))

    def __str__(self) -> str:
        return f"{self.count}f"


def _handles(value: Any) -> Frames:
    frames = value if isinstance(value, Frames) else Frames.parse(one_text(value, "a number of frames such as 12f"))
    if frames.count > MOST_HANDLE_FRAMES:
        raise ValueError(f"{frames} is more than handles are good for: {MOST_HANDLE_FRAMES}f is the most")
    return frames


class HandoffSettings(Part):
    """`handles` are spare frames before the in-point and after the out-point of a clip, for a transition or a trim.

    Stills have them always, takes as far as they were filmed; layers and tones are exactly as long
    as the class and have none. The default is common practice, no source.
    """

    handles: Annotated[Frames, PlainValidator(_handles), written(r"^\s*[0-9]{1,6}\s*f\s*$")] = Frames(12)
