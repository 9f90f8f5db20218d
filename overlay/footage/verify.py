"""A finished edit against the plan: where the class lies in it, every beep, its level, its captions.

An edit may begin with something else, so the class is found first. What lies at the edit's own beginning,
within a few frames, is judged from its first frame: nobody puts a few frames before a class, but sound
slips by a few. Elsewhere each beep is judged against the place that the beeps themselves agree on.
"""

from __future__ import annotations

import statistics
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby
from pathlib import Path

from overlay.errors import MachineError
from overlay.footage.beeps import HeardBeep
from overlay.footage.captioned import Compared, compared, tracks_of
from overlay.footage.exact import to_the_sample
from overlay.footage.levels import Levels, levels_of
from overlay.footage.listen import SHORTEST_PAUSE, SILENT, Answer, Listening, hear_at, listen, locate
from overlay.footage.pattern import block_beeps, blocks_of
from overlay.footage.sound import Facts
from overlay.footage.speed import speed_by_trend, speed_of
from overlay.plan.outputs import ToneSettings
from overlay.timeline.model import Cue, Timeline
from overlay.tones.track import voices_of

REACH = 0.25
"""Seconds around its place in which a beep is looked for, and around an edit's first frame in which a class is
taken to begin with it."""
_MOST = 0.9
"""Share of the beeps that, heard where a cut begins and none of them surely gone, say that the class begins there."""
_ENOUGH = 0.5
"""Share of the beeps that must be heard where a class is taken to be though its pattern as a whole is not found."""
_SAME = 0.05
"""Seconds within which two sounds are one."""

_HEARD, _PLACED = 0.6, 0.7
"""Shares of the work that are done once the class is found, and once each beep is placed: the sound is read three
times."""

Extra = tuple[str, float]
"""A beep that the plan does not have: its kind, and its second on the cut's clock."""


@dataclass(frozen=True, eq=False)
class Verdict:
    """What a cut turned out to be.

    `offsets` has for each block the second of the cut, from its first picture, at which class frame 0 would fall;
    it is empty where the class was not found, and `why` tells then what was heard. Errors of beeps are against
    their own block's offset. `speed` is 1, or that at which the cut runs against the plan: where it is clearly
    another one, no place is right and `offsets` is empty too.
    """

    timeline: Timeline
    cut: Path
    facts: Facts
    offsets: tuple[float, ...]
    why: str
    beeps: tuple[HeardBeep, ...]
    extra: tuple[Extra, ...]
    levels: Levels
    captions: tuple[Compared, ...]
    speed: Fraction = Fraction(1)

    @property
    def is_found(self) -> bool:
        return bool(self.offsets)

    @property
    def heard(self) -> tuple[HeardBeep, ...]:
        return tuple(beep for beep in self.beeps if beep.is_heard)

    @property
    def errors_ms(self) -> list[float]:
        """How far each heard beep is from its place, in their order; positive where it is late."""
        return [beep.error_ms for beep in self.beeps if beep.error_ms is not None]

    @property
    def median_ms(self) -> float | None:
        return statistics.median(map(abs, self.errors_ms)) if self.errors_ms else None

    @property
    def worst_ms(self) -> float | None:
        return max(map(abs, self.errors_ms), default=None)

    @property
    def frame_rate(self) -> Fraction | None:
        """Pictures a second over the whole cut; None without pictures."""
        return self.facts.picture_count / self.facts.end if self.facts.picture_count and self.facts.end else None

    def place_of(self, beep: HeardBeep) -> float:
        """The second of the cut at which a beep belongs."""
        return self.offsets[beep.expected.block] + beep.expected.time

    def zero_of(self, block: str | None, frame: int) -> float:
        """The second of the cut at which class frame 0 would fall for what stands in a block, or outside of one."""
        blocks = blocks_of(self.timeline)
        if block is None:
            first = next(segment.span.start_frame for segment in self.timeline.segments if segment.block is not None)
            return self.offsets[0 if frame < first else -1]
        return self.offsets[blocks.index(block)]


def verify(
    timeline: Timeline,
    settings: ToneSettings,
    cut: Path,
    captions: Sequence[Path] = (),
    *,
    at: Fraction | None = None,
    far: Callable[[float], None] = lambda _: None,
) -> Verdict:
    """Listen to a cut and compare it with the plan.

    `captions` are files that belong to it, `at` the exact second of the cut at which class frame 0 falls, where
    that is known. `far` is told the share of the work that is done, 0 to 1. Raises MachineError for a cut that cannot
    be read, has no sound or is silent.
    """
    try:
        listening = listen(timeline, settings, cut, lambda share: far(_HEARD * share))
    except MachineError as error:
        remedy = "Check the name of the cut." if not cut.exists() else "Play it to see whether it is whole; export it."
        raise MachineError(error.message.replace("as footage", "as a video"), remedy=remedy) from None
    facts = listening.facts
    if not facts.has_sound or facts.peak <= SILENT:
        what = "is silent" if facts.has_sound else "has no sound"
        raise MachineError(f"{cut} {what}.", remedy="Switch its sound on and export it again.")
    offsets, why, speed = [float(at or 0)] * len(blocks_of(timeline)), "", Fraction(1)
    if at is None:
        offsets, why, speed = _offsets(timeline, settings, listening)
    beeps, extra = _hear(listening, offsets) if offsets else ((), ())
    beeps = to_the_sample(
        cut,
        facts,
        beeps,
        lambda beep: offsets[beep.expected.block] + beep.expected.time,
        lambda rate_hz: voices_of(timeline, settings, rate_hz),
        lambda share: far(_HEARD + (_PLACED - _HEARD) * share),
    )
    begins, ends = (offsets[0], offsets[-1] + float(timeline.duration)) if offsets else (0.0, float(facts.end))
    voices = voices_of(timeline, settings, timeline.sample_rate_hz)
    levels = levels_of(
        cut,
        facts,
        listening,
        beeps,
        voices,
        (begins, ends),
        timeline.sample_rate_hz,
        lambda share: far(_PLACED + (1 - _PLACED) * share),
    )
    speed = speed_by_trend(beeps) if offsets else speed
    verdict = Verdict(timeline, cut, facts, tuple(offsets), why, beeps, extra, levels, (), speed)
    return _with_captions(verdict, captions)


def _with_captions(verdict: Verdict, files: Sequence[Path]) -> Verdict:
    tracks = tracks_of(verdict.cut, files)
    if not verdict.is_found:
        return verdict

    def zero_ms(cue: Cue) -> float:
        return 1000 * verdict.zero_of(cue.block, cue.span.start_frame)

    return replace(verdict, captions=tuple(compared(verdict.timeline, track, zero_ms) for track in tracks))


def _offsets(timeline: Timeline, settings: ToneSettings, listening: Listening) -> tuple[list[float], str, Fraction]:
    """Where class frame 0 would fall for each block; none and the reason where the class is not in the cut.

    Last the speed of the cut against the plan, where the class is found at another one only.
    """
    count, same = len(blocks_of(timeline)), Fraction(1)
    beeps, _ = hear_at(listening, 0.0, reach=REACH)
    heard = sum(beep.is_heard for beep in beeps)
    if heard >= _MOST * len(beeps) and not any(beep.is_silent for beep in beeps):
        return [0.0] * count, "", same
    answer = locate(listening)
    there = answer.tally.heard if answer.is_found else 0
    if there < _MOST * len(beeps):
        known = max(there, heard if heard >= _ENOUGH * len(beeps) else 0)
        speed = speed_of(timeline, settings, listening, known)
        if speed != same:
            return [], "", speed
    if not answer.is_found:
        return ([0.0] * count, "", same) if heard >= _ENOUGH * len(beeps) else ([], answer.why.value, same)
    offsets = _by_block(timeline, answer)
    for offset in dict.fromkeys(offsets):
        own = [number for number, each in enumerate(offsets) if each == offset]
        exact = 0.0 if abs(offset) < REACH else _agreed(listening, offset, own)
        offsets = [exact if number in own else each for number, each in enumerate(offsets)]
    return offsets, "", same


def _by_block(timeline: Timeline, answer: Answer) -> list[float]:
    """An answer's place of each block, blocks between two pauses alike; one that was not found goes with its neighbour.

    The answer lets the cut's clock drift. What has been edited has no drift, only errors.
    """
    drift = (answer.drift_ppm or 0.0) * 1e-6
    middles = [
        (beeps[0].sample + beeps[-1].sample) / 2 / timeline.sample_rate_hz if beeps else 0.0
        for beeps in block_beeps(timeline)
    ]
    known = {place.block: place.offset + drift * middles[place.block] for place in answer.places}
    offsets: list[float] = []
    for block in range(len(middles)):
        before = offsets[-1] if offsets else known[min(known)]
        here = known.get(block, before)
        offsets.append(here if abs(here - before) > SHORTEST_PAUSE else before)
    return offsets


def _agreed(listening: Listening, offset: float, blocks: Sequence[int]) -> float:
    """The place that most beeps of some blocks agree on, near an offset."""
    beeps, _ = hear_at(listening, offset, reach=REACH)
    errors_ms = [beep.error_ms for beep in beeps if beep.error_ms is not None and beep.expected.block in blocks]
    return offset + statistics.median(errors_ms) / 1000 if errors_ms else offset


def _hear(listening: Listening, offsets: Sequence[float]) -> tuple[tuple[HeardBeep, ...], tuple[Extra, ...]]:
    """Every beep at its own block's place, and those that belong to no block at any place."""
    all_beeps: list[HeardBeep] = []
    extras: list[tuple[Extra, ...]] = []
    for offset, numbers in groupby(range(len(offsets)), key=lambda number: offsets[number]):
        own = set(numbers)
        beeps, extra = hear_at(listening, offset, reach=REACH)
        all_beeps += [beep for beep in beeps if beep.expected.block in own]
        extras.append(extra)
    kept = [each for each in extras[0] if all(any(_is_same(each, other) for other in more) for more in extras[1:])]
    all_beeps.sort(key=lambda beep: beep.expected.planned.frame)
    return tuple(all_beeps), tuple(kept)


def _is_same(one: Extra, other: Extra) -> bool:
    return one[0] == other[0] and abs(one[1] - other[1]) < _SAME
