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
PAPER: tuple[str, ...] = (
    *("heading", "playing_order", "filming_order", "number", "timecode", "what", "setup", "equipment", "filmed"),
    *("keep", "notes", "date", "length", "picture", "sound", "sound_settings", "work_a_side", "no_side", "shots"),
    *("shots_and_inserts", "setups", "setups_saved", "setup_number", "as_it_stands", "lay_out", "nothing", "insert"),
    *("handles", "page_of", "frame_rate", "drop_frame", "non_drop", "script", "seconds_left", "beeps", "to_say"),
    *("budget", "words_over", "changed", "harder", "watch", "beep_pop", "beep_ready", "beep_start", "beep_change"),
    *("beep_stop", "beep_half", "beep_last", "beep_finish", "timeline", "hands", "sides", "speech", "full"),
)
"""Printed on the shot list, the script and the picture of the class."""
PAGE: tuple[str, ...] = (
    *("rehearsal", "play", "pause", "segment_start", "segment_next", "repeat_block"),
    *("speed", "controls", "arrangement", "up_close", "from_afar", "dark"),
    *("whole_class", "to_go", "say_now", "say_then", "in_time", "seconds", "takes"),
    *("setting_up", "watch", "harder", "body_position", "camera_view", "to_mend"),
    *("remark", "plan_line", "over", "silent", "keys", "needs_script"),
)
"""Shown on the rehearsal page."""
NOTES: tuple[str, ...] = (
    *("description_class", "description_class_one", "description_needs", "description_needs_nothing", "notes_head"),
    *("notes_place", "notes_leader", "notes_no_leader", "notes_files", "notes_layers", "notes_movies"),
    *("notes_key", "notes_fill_and_matte", "notes_stills", "notes_tones"),
    *("notes_captions", "notes_tracks", "notes_chapters", "notes_description", "notes_paper", "notes_trouble"),
    "notes_check",
)
"""Written for the editor, and for the page that the class is published on."""


SLOTS: dict[str, frozenset[str]] = {
    "in_time": frozenset({"time"}),
    "seconds": frozenset({"seconds"}),
    "takes": frozenset({"time"}),
    "plan_line": frozenset({"line"}),
    "sound_settings": frozenset({"ceiling", "loudness", "sample_rate"}),
    "shots_and_inserts": frozenset({"inserts", "shots"}),
    "setups_saved": frozenset({"filming", "playing", "saved"}),
    "setup_number": frozenset({"number"}),
    "handles": frozenset({"handles"}),
    "page_of": frozenset({"page", "pages"}),
    "frame_rate": frozenset({"rate"}),
    "budget": frozenset({"has", "needs"}),
    "words_over": frozenset({"count"}),
    "description_class": frozenset({"blocks", "length", "work"}),
    "description_class_one": frozenset({"length", "work"}),
    "description_needs": frozenset({"equipment"}),
    "notes_head": frozenset({"title"}),
    "notes_place": frozenset({"frames", "picture", "start", "zero"}),
    "notes_leader": frozenset({"length", "pop"}),
    "notes_key": frozenset({"color"}),
    "notes_tones": frozenset({"settings"}),
}
"""What the tool puts into a word of its own, where it does; a plan's word may leave some out."""

WORD_NAMES = tuple(dict.fromkeys((*SAID, *PAPER, *PAGE, *NOTES)))
NO_SUCH_WORD = "no_such_word"


def _known(name: str) -> str:
    if name not in WORD_NAMES:
        raise PydanticCustomError(NO_SUCH_WORD, "no such word")
    return name


WordName = Annotated[str, AfterValidator(_known), WithJsonSchema({"type": "string", "enum": [*WORD_NAMES]})]
Wording = dict[WordName, Words]
"""One word or short phrase a name; what is left out stays as the tool has it (`words/languages/`)."""
