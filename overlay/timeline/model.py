"""What a laid-out class is made of.

All positions are whole frames counted from the first frame of the files (a leader comes first, where
there is one), in half-open spans; `start` and `end` beside
them are the exact times that the frames were rounded from, once. Names and other words of the
exercises are in the timeline's own `language`; cues are there in every language of the plan.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum
from fractions import Fraction
from typing import NamedTuple

from overlay.plan.fields import Hands, Side
from overlay.units.clock import frame_to_sample, time_to_frame
from overlay.units.raster import Size
from overlay.units.rate import Counting, FrameRate
from overlay.units.span import Span
from overlay.units.timecode import frame_to_label
from overlay.words.lines import CaptionRules
from overlay.words.phrases import Phrases


class SegmentKind(Enum):
    """What a stretch of the class is for. A `LEADER` stands before it, for lining up files."""

    LEADER = "leader"
    OPENING = "opening"
    PREVIEW = "preview"
    WORK = "work"
    REST = "rest"
    CLOSING = "closing"


class BeepKind(Enum):
    """What a beep tells.

    `POP` is the one-frame sync mark of a leader, `READY` counts down to a start, `START` is work
    beginning out of anything else, `CHANGE` work running into work, `STOP` work ending. `HALF` stands
    at half-time of long work, `LAST` near its end, `FINISH` at the end of the class.
    """

    POP = "pop"
    READY = "ready"
    START = "start"
    CHANGE = "change"
    STOP = "stop"
    HALF = "half"
    LAST = "last"
    FINISH = "finish"


class CueKind(Enum):
    """Who wrote the words: a `CUE` stands in the plan, a `CALL` is made by the tool."""

    CUE = "cue"
    CALL = "call"


class Move(NamedTuple):
    """One exercise as it is done here: side words already put in; `image` is the name of a file beside the plan."""

    exercise: str | None
    name: str
    hands: Hands
    position: str | None = None
    equipment: tuple[str, ...] = ()
    setup: str | None = None
    easier: str | None = None
    harder: str | None = None
    watch: str | None = None
    camera: str | None = None
    image: str | None = None


class Shown(NamedTuple):
    """One exercise of a preview, and how long it will be worked, in exact seconds."""

    move: Move
    work: Fraction


@dataclass(frozen=True)
class Segment:
    """One stretch of the class.

    `block` is the block's id and `block_name` what people read; `round` counts from 1 and a rest
    belongs to the round that it follows. What does not apply is None.
    """

    kind: SegmentKind
    span: Span
    start: Fraction
    end: Fraction
    block: str | None = None
    block_name: str | None = None
    round: int | None = None
    rounds: int | None = None
    side: Side | None = None
    move: Move | None = None
    shows: tuple[Shown, ...] = ()
    card: bool = False
    """Whether a full picture covers it (opening and closing only)."""
    meant: Fraction | None = None
    """How long it is to people, in exact seconds, where a camera's clock makes it hardly longer or shorter."""

    @property
    def name(self) -> str | None:
        """What this segment is called where it has a name: the exercise, or the block of a preview."""
        if self.move is not None:
            return self.move.name
        return self.block_name if self.kind is SegmentKind.PREVIEW else None

    @property
    def duration(self) -> Fraction:
        """How long it is to people: `end - start`, or what is meant by that."""
        return self.end - self.start if self.meant is None else self.meant


@dataclass(frozen=True)
class Beep:
    """A tone that cues the class, starting on a frame's sample."""

    frame: int
    kind: BeepKind
    sample: int

    def __post_init__(self) -> None:
        if self.frame < 0:
            raise ValueError("a beep cannot sound before the class begins")


class Cue(NamedTuple):
    """One caption: words, and the frames on which they are shown. Text has no line break."""

    language: str
    kind: CueKind
    span: Span
    text: str
    block: str | None = None
    round: int | None = None
    exercise: str | None = None


@dataclass(frozen=True)
class Timeline:
    """A class laid out. Segments tile it: no gap, no overlap.

    `start_frame` is the frame number of the start timecode; `sample_count` is the length of the
    tone track, `phrases` are the tool's own words for this class, `rules` those that its captions keep.

    >>> from overlay.plan.read import parse_plan
    >>> from overlay.timeline.layout import lay_out
    >>> plan = b"overlay: 1\\ntitle: One\\nvideo: {frame_rate: 25}\\nblocks: [{intervals: [{name: Squat}]}]"
    >>> timeline = lay_out(parse_plan(plan)).timeline
    >>> work = timeline.segments[1]
    >>> work.name, work.duration, work.span.start_frame, timeline.frame_to_label(work.span.start_frame)
    ('Squat', Fraction(30, 1), 250, '00:00:10:00')
    >>> timeline.frame_count, timeline.sample_count, timeline.sample_rate_hz
    (1000, 1920000, 48000)
    """

    title: str
    language: str
    languages: tuple[str, ...]
    phrases: Phrases
    size: Size
    rate: FrameRate
    counting: Counting
    start_frame: int
    sample_rate_hz: int
    segments: tuple[Segment, ...]
    beeps: tuple[Beep, ...]
    cues: tuple[Cue, ...]
    rules: CaptionRules = field(default_factory=CaptionRules)
    titles: tuple[tuple[str, str], ...] = ()

    def title_in(self, language: str) -> str:
        """The class's title in one of its languages."""
        return dict(self.titles).get(language, self.title)

    @property
    def frame_count(self) -> int:
        return self.segments[-1].span.end_frame

    @property
    def sample_count(self) -> int:
        return self.frame_to_sample(self.frame_count)

    @property
    def duration(self) -> Fraction:
        """The exact length of everything in seconds, a leader included."""
        return self.segments[-1].end

    @property
    def lasts(self) -> Fraction:
        """How long the class is to people, in exact seconds: its segments as they are meant, a leader aside."""
        own = (segment.duration for segment in self.segments if segment.kind is not SegmentKind.LEADER)
        return sum(own, Fraction(0))

    @property
    def class_start(self) -> Fraction:
        """Where the class itself begins, in exact seconds: after the leader, if there is one."""
        return self.segments[0].end if self.segments[0].kind is SegmentKind.LEADER else Fraction(0)

    @property
    def flash_frame(self) -> int | None:
        """The frame of the sync pop, on which the pictures flash; None without a leader."""
        return next((beep.frame for beep in self.beeps if beep.kind is BeepKind.POP), None)

    def frame_to_sample(self, frame: int) -> int:
        return frame_to_sample(frame, self.rate, self.sample_rate_hz)

    def frame_to_label(self, frame: int) -> str:
        """The timecode label of a frame."""
        return frame_to_label(self.start_frame + frame, self.rate, self.counting)

    def time_to_frame(self, time: Fraction) -> int:
        return time_to_frame(time, self.rate)
