"""The plan's `words:`: words of the tool that the plan puts differently, or in a language of its own."""

from typing import Annotated

from pydantic import AfterValidator, WithJsonSchema
from pydantic_core import PydanticCustomError

from overlay.plan.fields import Words

SAID = (
    *("left", "right", "opening", "preview", "work", "rest", "closing", "leader"),
    *("next", "round", "rounds", "of", "easier", "needed"),
)
"""Said in the class and shown on its pictures. `left` and `right` are what `{side}` and `{other_side}`
stand for, so a plan can decline them as its language asks."""
PAPER: tuple[str, ...] = (*("heading", "timecode", "what", "side", "position", "equipment", "first_cue", "filmed"),)
"""Printed on the shot list and the script."""
PAGE: tuple[str, ...] = (
    *("rehearsal", "play", "pause", "segment_start", "segment_next", "repeat_block"),
    *("speed", "controls", "arrangement", "up_close", "from_afar", "dark"),
    *("whole_class", "seconds_left", "say_now", "say_then", "in_time", "seconds", "takes"),
    *("setup", "watch", "harder", "body_position", "camera_view", "to_mend"),
    *("remark", "plan_line", "over", "silent", "keys", "needs_script"),
)
"""Shown on the rehearsal page."""
NOTES: tuple[str, ...] = ()
"""Written for the editor, and for the page that the class is published on."""


WORD_NAMES = tuple(dict.fromkeys((*SAID, *PAPER, *PAGE, *NOTES)))
NO_SUCH_WORD = "no_such_word"


def _known(name: str) -> str:
    if name not in WORD_NAMES:
        raise PydanticCustomError(NO_SUCH_WORD, "no such word")
    return name


WordName = Annotated[str, AfterValidator(_known), WithJsonSchema({"type": "string", "enum": [*WORD_NAMES]})]
Wording = dict[WordName, Words]
"""One word or short phrase a name; what is left out stays as the tool has it (`words/languages/`)."""
