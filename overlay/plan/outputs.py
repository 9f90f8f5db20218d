"""What the instructor may set about what is written: captions and beeps.

`CaptionSettings` is the plan's `captions:`, `ToneSettings` its `tones:`. The figures of every kind of
beep stand here, so that the tone track and the rehearsal page sound alike.
"""

import re
from collections.abc import Callable
from enum import Enum
from fractions import Fraction
from typing import Annotated, Any, Self

from pydantic import AfterValidator, BeforeValidator, Field, ValidationInfo, WithJsonSchema, model_validator

from overlay.plan.fields import Duration, Flag, Part, count_of, one_of, one_text
from overlay.units.clock import format_duration

A4_HZ = 440.0
"""The tuning note (ISO 16)."""
LOWEST_PITCH_HZ, HIGHEST_PITCH_HZ = 250.0, 2500.0
"""What may be asked for. Above 2500 Hz older ears lose a beep (JIS S 0014:2013, table 1, note b); its
table of hearing floors begins at 250 Hz. Our own beeps keep to 500 to 1500 Hz."""
LONGEST_BEEP = Fraction(5)
"""Seconds, all pips of one beep together."""
SAMPLE_RATES_HZ = (44100, 48000, 96000)

_NOTE = re.compile(r"([A-Ga-g])([#♯b♭]?)(\d)", re.ASCII)
_SEMITONES_ABOVE_C = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_READY_BEFORE = ("start", "change", "stop")


def note_to_hz(note: str) -> float:
    """The pitch of a note in equal temperament, A4 = 440 Hz (ISO 16). ValueError for anything else.

    >>> note_to_hz("A5"), round(note_to_hz("C#6"), 2), round(note_to_hz("Db6"), 2)
    (880.0, 1108.73, 1108.73)
    """
    match = _NOTE.fullmatch(note.strip())
    if match is None:
        raise ValueError(f"{note} is not a note: write it as A5 or C#6")
    sign = {"": 0, "#": 1, "♯": 1, "b": -1, "♭": -1}[match[2]]
    semitones = _SEMITONES_ABOVE_C[match[1].upper()] + sign + 12 * (int(match[3]) - 4)
    return float(A4_HZ * 2 ** ((semitones - 9) / 12))


def _number(value: Any, what: str, unit: str = "") -> float | None:
    """A number, with or without its unit; None for text that is not one."""
    if isinstance(value, (int, float)):
        return float(value)
    plain = one_text(value, what).removesuffix(unit).replace("\N{MINUS SIGN}", "-").strip()
    return float(plain) if re.fullmatch(r"[+-]?\d{1,6}(\.\d{1,9})?", plain, re.ASCII) else None


def _level_of(least_db: float, most_db: float, unit: str) -> Callable[[Any], float]:
    def read(value: Any) -> float:
        level_db = _number(value, f"a level such as {least_db:g} {unit}", unit)
        if level_db is None:
            raise ValueError(f"{value} is not a level: write a number of {unit} such as {least_db:g}")
        if not least_db <= level_db <= most_db:
            raise ValueError(f"{value} is out of range: {least_db:g} to {most_db:g} {unit}")
        return level_db

    return read


def _pitch(value: Any) -> float:
    pitch_hz = _number(value, "a note such as A5, or a number of Hz", "Hz")
    if pitch_hz is None:
        try:
            pitch_hz = note_to_hz(value)
        except ValueError:
            raise ValueError(f"{value} is not a pitch: write a note such as A5 or C#6, or a number of Hz") from None
    if not LOWEST_PITCH_HZ <= pitch_hz <= HIGHEST_PITCH_HZ:
        raise ValueError(
            f"{value} is {pitch_hz:.0f} Hz: a beep that everybody hears lies between"
            f" {LOWEST_PITCH_HZ:.0f} and {HIGHEST_PITCH_HZ:.0f} Hz"
        )
    return pitch_hz


def _partials(value: Any) -> tuple[float, ...]:
    given = list(value) if isinstance(value, (list, tuple)) else [value]
    if not 1 <= len(given) <= 8:
        raise ValueError("write 1 to 8 levels: the pitch itself, then its overtones")
    levels = []
    for item in given:
        level = _number(item, "a level from 0 to 1")
        if level is None or not 0 <= level <= 1:
            raise ValueError(f"{item} is not a level from 0 to 1")
        levels.append(level)
    if not levels[0]:
        raise ValueError("the first level is the pitch itself: it cannot be 0")
    return tuple(levels)


def _ready_before(value: Any) -> frozenset[str]:
    given = value if isinstance(value, (list, tuple, set, frozenset)) else [value]
    kinds = frozenset(one_text(kind, "start, change or stop") for kind in given)
    for kind in sorted(kinds.difference(_READY_BEFORE)):
        raise ValueError(f"{kind} is not known here: write start, change or stop, or several in brackets")
    return kinds


def _sample_rate(value: Any) -> int:
    text = str(value) if isinstance(value, int) else one_text(value, "a sample rate")
    if text not in map(str, SAMPLE_RATES_HZ):
        raise ValueError(f"{text} is not a sample rate that is written: use 48000, 44100 or 96000")
    return int(text)


def _lasting(least: Fraction, most: Fraction) -> AfterValidator:
    def check(duration: Fraction) -> Fraction:
        if not least <= duration <= most:
            bounds = f"{format_duration(least)} to {format_duration(most)}"
            raise ValueError(f"{format_duration(duration)} is out of range: {bounds}")
        return duration

    return AfterValidator(check)


def _whole(least: int, most: int) -> tuple[BeforeValidator, WithJsonSchema]:
    schema = {"type": "integer", "minimum": least, "maximum": most}
    return BeforeValidator(count_of(least, most)), WithJsonSchema(schema)


_LEVEL_SCHEMA = WithJsonSchema({"type": ["number", "string"]})

PipCount = Annotated[int, *_whole(1, 8)]
ReadyCount = Annotated[int, *_whole(0, 10)]
PipLength = Annotated[Duration, _lasting(Fraction(1, 50), LONGEST_BEEP)]
Fade = Annotated[Duration, _lasting(Fraction(1, 100), Fraction(1, 2))]
Pitch = Annotated[float, BeforeValidator(_pitch), WithJsonSchema({"type": ["number", "string"]})]
Partials = Annotated[
    tuple[float, ...],
    BeforeValidator(_partials),
    WithJsonSchema({"type": "array", "items": {"type": "number", "minimum": 0, "maximum": 1}, "maxItems": 8}),
]
Loudness = Annotated[float, BeforeValidator(_level_of(-40, -8, "LUFS")), _LEVEL_SCHEMA]
Ceiling = Annotated[float, BeforeValidator(_level_of(-30, -1, "dBTP")), _LEVEL_SCHEMA]
ReadyBefore = Annotated[
    frozenset[str],
    BeforeValidator(_ready_before),
    WithJsonSchema({"type": ["array", "string"], "items": {"enum": [*_READY_BEFORE]}}),
]
SampleRate = Annotated[int, BeforeValidator(_sample_rate), WithJsonSchema({"enum": [*SAMPLE_RATES_HZ]})]


class Sound(Part):
    """One kind of beep: `count` pips of one `length`, their starts `spacing` apart.

    Durations are exact seconds, `pitch` is in Hz, `partials` are the levels of the pitch and its
    overtones against each other (1 is loudest), `fade` is each pip's raised-cosine edge, and
    `loudness` is in LUFS, or None for the loudness of all tones.
    """

    count: PipCount = 1
    spacing: PipLength = Fraction(1, 5)
    length: PipLength = Fraction(1, 5)
    pitch: Pitch = note_to_hz("A5")
    partials: Partials = (1.0, 0.25, 0.08)
    fade: Fade = Fraction(3, 200)
    loudness: Loudness | None = None

    @property
    def duration(self) -> Fraction:
        """From the start of the first pip to the end of the last, in seconds."""
        return (self.count - 1) * self.spacing + self.length

    @model_validator(mode="after")
    def _fits(self) -> Self:
        length, spacing, fade = (format_duration(d) for d in (self.length, self.spacing, self.fade))
        if self.length < 2 * self.fade:
            raise ValueError(f"a length of {length} has no room for a fade of {fade} at both ends")
        if self.count > 1 and self.spacing < self.length:
            raise ValueError(f"a spacing of {spacing} from start to start runs beeps of {length} into each other")
        if self.duration > LONGEST_BEEP:
            lasts, most = format_duration(self.duration), format_duration(LONGEST_BEEP)
            raise ValueError(f"this beep lasts {lasts}: {most} is the most")
        return self


_SOUNDS: dict[str, Sound] = {
    "ready": Sound.model_construct(length=Fraction(8, 100)),
    "start": Sound.model_construct(length=Fraction(35, 100), pitch=note_to_hz("E6")),
    "change": Sound.model_construct(count=2, length=Fraction(12, 100), pitch=note_to_hz("C#6")),
    "stop": Sound.model_construct(length=Fraction(9, 10), pitch=note_to_hz("E5")),
    "half": Sound.model_construct(count=2, spacing=Fraction(1, 2), length=Fraction(3, 10), pitch=note_to_hz("B5")),
    "last": Sound.model_construct(count=4, spacing=Fraction(14, 100), length=Fraction(7, 100), pitch=note_to_hz("F#5")),
    "finish": Sound.model_construct(count=3, spacing=Fraction(7, 10), length=Fraction(1, 2), pitch=note_to_hz("D5")),
}


def _over_the_default(value: Any, info: ValidationInfo) -> Any:
    """What the plan leaves out of a sound is as its kind has it."""
    return {**vars(_SOUNDS[str(info.field_name)]), **value} if isinstance(value, dict) else value


SoundOf = Annotated[Sound, BeforeValidator(_over_the_default, json_schema_input_type=Sound)]


class Sounds(Part):
    """The sound of each kind of beep. Count and length alone tell them apart; pitch does so too.

    `ready` is short, one of a few that count down; `start` middling and the highest: go; `change` two
    short ones: on to the next; `stop` long and low: let go; `half` two middling ones, far apart;
    `last` four quick ones: nearly there; `finish` three long ones: the class is over.
    """

    ready: SoundOf = _SOUNDS["ready"]
    start: SoundOf = _SOUNDS["start"]
    change: SoundOf = _SOUNDS["change"]
    stop: SoundOf = _SOUNDS["stop"]
    half: SoundOf = _SOUNDS["half"]
    last: SoundOf = _SOUNDS["last"]
    finish: SoundOf = _SOUNDS["finish"]


class SrtFlavour(Enum):
    """How SubRip files are coded: UTF-8 with LF, or with a byte-order mark and CRLF for old Windows readers."""

    PLAIN = "plain"
    WINDOWS = "windows"


class RuleSet(Enum):
    """Named sets of figures that captions keep (`words/lines.py`)."""

    STANDARD = "standard"
    BROADCAST = "broadcast"
    STREAMING = "streaming"
    TALL = "tall"


RuleSetOf = Annotated[
    RuleSet, BeforeValidator(one_of(RuleSet)), WithJsonSchema({"enum": [rules.value for rules in RuleSet]})
]


class CaptionSettings(Part):
    """The plan's `captions:`. Times are exact seconds; what is left out is as the rule set has it.

    Without `rules` the picture's shape decides: `tall` for tall pictures, else `standard`.
    """

    srt: Annotated[
        SrtFlavour,
        BeforeValidator(one_of(SrtFlavour)),
        WithJsonSchema({"enum": [flavour.value for flavour in SrtFlavour]}),
    ] = SrtFlavour.PLAIN
    rules: RuleSetOf | None = None
    characters_a_line: Annotated[int, *_whole(10, 80)] | None = None
    lines: Annotated[int, *_whole(1, 4)] | None = None
    characters_a_second: Annotated[int, *_whole(5, 40)] | None = None
    shortest: Duration | None = None
    longest: Duration | None = None
    gap_frames: Annotated[int, *_whole(0, 60)] | None = None
    chained_under: Duration | None = None


class ToneSettings(Part):
    """The plan's `tones:`. `loudness` is in LUFS, `ceiling` in dBTP, `sample_rate` in Hz.

    `half` sounds in work of at least `half_from`, `last` at `last_at` before the end of work that is
    twice as long; both are exact seconds.

    The default loudness is that of speech in streamed sound (AES TD1008: -18 LUFS), so that beeps
    sit beside the voice.

    >>> ToneSettings.model_validate({"sounds": {"start": {"pitch": "A5"}}}).sound("start").pitch
    880.0
    """

    ready_count: ReadyCount = 3
    ready_before: ReadyBefore = frozenset({"start"})
    half: Flag = False
    half_from: Duration = Fraction(40)
    last: Flag = False
    last_at: Duration = Fraction(10)
    finish: Flag = False
    sounds: Sounds = Field(default_factory=Sounds.model_construct)
    loudness: Loudness = -18.0
    ceiling: Ceiling = -6.0
    sample_rate: SampleRate = 48000
    stems: Flag = False
    listening_copy: Flag = False
    duck: Flag = False
    leader: Flag = False

    def sound(self, kind: str) -> Sound:
        """The sound of a kind of beep, by the kind's word; KeyError for a kind that has none."""
        if kind not in Sounds.model_fields:
            raise KeyError(kind)
        sound: Sound = getattr(self.sounds, kind)
        return sound
