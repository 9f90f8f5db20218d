"""Listen to a recording for a class: where it is, how sure that is, and every beep that was heard.

An answer is given only where three things hold: the beeps are heard far beyond chance, no other place
fits nearly as well, and what is heard is this class and not another with the same sounds, which would
be silent where this one beeps and beep where this one is silent.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import Enum
from pathlib import Path

import numpy as np

from overlay.footage.arrival import at_direct_sound
from overlay.footage.bands import BAND_RATE_HZ, bands_of, template_of
from overlay.footage.beeps import HeardBeep, Tally, countdowns, extra_beeps, heard_beeps, tally_of
from overlay.footage.evidence import Kind, kind_of, presence
from overlay.footage.fit import Expected, Line, Stretch, fitted, peaks_of, scatter
from overlay.footage.pattern import pieces_of
from overlay.footage.phase import added_up, in_phase
from overlay.footage.search import PieceOfClass, Search, Way
from overlay.footage.sound import Facts, Footage
from overlay.plan.outputs import ToneSettings
from overlay.timeline.model import Timeline
from overlay.tones.beep import POP_HZ
from overlay.tones.track import voices_of

SILENT = 1e-4
"""Peak (full scale is 1) below which nothing was recorded: -80 dBFS."""
CHANCE = 32.0
"""Nats that recordings without any class reach, with room to spare (the corpus in tests/footage measures it)."""
TEMPER = 4.0
"""How many nats of evidence count as one: neighbouring beeps are not independent."""
SURE = 0.95
"""Confidence from which an answer is given."""
BLOCK_MARGIN = 8.0
"""Nats by which a block's place must be better than any other of the same block."""
CLEAR_MARGIN = 20.0
"""Nats by which the whole answer is better than the next best beyond any doubt."""
MOST_SCATTER = 0.008
"""Seconds by which beeps that keep no phase may stray from the line: more than rooms do."""
SHORTEST_PAUSE = 0.2
"""Seconds: less than this from one piece to the next is drift."""
NEAR_SECONDS = 20.0
"""How far from a place that somebody names the class is looked for."""
MOST_SILENT, MOST_STRANGE = 0.4, 0.18
"""Shares of beeps that are surely not there where they should be, and of groups of beeps where none should be."""

MOST_SILENT_OF_BLOCK = 0.6
"""The same for one block, which has few beeps, of a class that is found."""


class Why(Enum):
    """Why a class was not found, or `FOUND`."""

    FOUND = "found"
    NO_SOUND = "it has no sound"
    SILENT = "its sound is silent"
    NOT_HEARD = "the class's beeps are not heard in it"
    FAINT = "the class is heard in it, but too faintly to be placed"
    OTHER_CLASS = "beeps of this kind are heard in it, but in another class's pattern"
    SEVERAL_PLACES = "the class fits at more than one place in it"


@dataclass(frozen=True, eq=False)
class Listening:
    """A recording that has been listened to: what it is, and each kind of beep over its whole length."""

    path: Path
    facts: Facts
    pieces: tuple[PieceOfClass, ...]
    kinds: Mapping[str, Kind]
    start: float
    """Seconds from the picture's zero to the bands' first value."""


@dataclass(frozen=True)
class BlockPlace:
    """Where one block lies: class frame 0 would fall at `offset` (float seconds on the file's clock, picture zero)."""

    block: int
    offset: float
    tally: Tally = field(default_factory=Tally)


@dataclass(frozen=True, eq=False)
class Answer:
    """What a recording says. Offsets are seconds on the file's clock at which class frame 0 falls.

    Where the class was not found they are the best guess, which nothing should be built on, and `places` is empty.
    """

    path: Path
    facts: Facts
    why: Why
    offset: float | None = None
    drift_ppm: float | None = None
    confidence: float = 0.0
    runner_up_offset: float | None = None
    runner_up_confidence: float = 0.0
    tally: Tally = field(default_factory=Tally)
    beeps: tuple[HeardBeep, ...] = ()
    places: tuple[BlockPlace, ...] = ()

    @property
    def is_found(self) -> bool:
        return self.why is Why.FOUND


def listen(
    timeline: Timeline, settings: ToneSettings, path: Path, far: Callable[[float], None] = lambda _: None
) -> Listening:
    """Read a file of footage once, and listen for every kind of beep. Raises MachineError as `Footage` does.

    `far` is told the share of the file that was read, 0 to 1.
    """
    voices = voices_of(timeline, settings, timeline.sample_rate_hz)
    pitches = {kind: round(POP_HZ if kind == "pop" else settings.sound(kind).pitch) for kind in voices}
    with Footage(path) as footage:
        rate_hz = footage.sample_rate_hz
        bands = bands_of(footage.pieces(far), rate_hz, pitches.values()) if rate_hz else {}
        facts = footage.facts()
    kinds = {}
    for name, voice in voices.items():
        band = bands.get(pitches[name])
        if band is not None and len(band.values) and facts.peak > SILENT:
            template = template_of(voice.samples, timeline.sample_rate_hz, pitches[name])
            kinds[name] = kind_of(name, band, template, presence(band, facts.sounding, rate_hz))
    start = next((kind.band.first / BAND_RATE_HZ for kind in kinds.values()), 0.0)
    return Listening(path, facts, pieces_of(timeline), kinds, start)


def locate(listening: Listening, *, near: float | None = None, without: frozenset[int] = frozenset()) -> Answer:
    """Find the class. `near` is about where class frame 0 falls (seconds, within `NEAR_SECONDS`).

    `without` are numbers of blocks that are known to be elsewhere.
    """
    if not listening.kinds:
        return Answer(listening.path, listening.facts, Why.SILENT if listening.facts.has_sound else Why.NO_SOUND)
    pieces = listening.pieces
    search = Search(pieces, {name: kind.weight for name, kind in listening.kinds.items()})
    for row, piece in zip(search.evidence, pieces, strict=True):
        if piece.block in without:
            np.minimum(row, 0, out=row)
    bounds = None
    if near is not None:
        bounds = (near - listening.start - NEAR_SECONDS, near - listening.start + NEAR_SECONDS)
    way = search.best(near=bounds)
    beeps, stretches = _expected(pieces, way)
    lines = in_phase(beeps, listening.kinds, stretches) or (fitted(beeps, listening.kinds, stretches),)
    line = lines[0]

    def margin(rival: Way, enough: float) -> float:
        """Nats by which the way is better than another; where they are not enough, beeps in phase may tell more."""
        by_search = way.score - rival.score
        if by_search >= enough or not line.keeps_phase or not np.isfinite(rival.score):
            return by_search
        there, stretched = _expected(pieces, rival)
        added = added_up(beeps, listening.kinds, stretches) - added_up(there, listening.kinds, stretched)
        return max(by_search, added)

    other = search.best(apart_from=way, near=bounds)
    by = margin(other, CLEAR_MARGIN)
    sure = frozenset(
        block
        for block in {piece.block for piece in pieces}.difference(without)
        if margin(search.best(apart_from=way, block=block, near=bounds), BLOCK_MARGIN) >= BLOCK_MARGIN
    )
    is_faint = not line.keeps_phase and scatter(line, peaks_of(line, beeps, listening.kinds)) > MOST_SCATTER
    line = at_direct_sound(lines, beeps, listening.kinds)
    return _answer(listening, line, beeps, sure, other, _shares(way.score, way.score - by), is_faint)


def hear_at(
    listening: Listening, offset: float = 0.0, drift_ppm: float = 0.0, *, reach: float = 0.25
) -> tuple[tuple[HeardBeep, ...], tuple[tuple[str, float], ...]]:
    """Every beep of the class where class frame 0 is known to fall at `offset`, and beeps that are none of its own.

    For a finished edit: errors are those against the plan itself, missing beeps have none, and a beep that
    was moved is found within `reach` seconds. Extra ones are (kind, second of the file).
    """
    beeps = [Expected(planned, piece.block, 0) for piece in listening.pieces for planned in piece.beeps]
    line = Line(np.array([offset - listening.start]), drift_ppm * 1e-6)
    heard = heard_beeps(line, beeps, listening.kinds, reach, in_room=False)
    extra = extra_beeps(line, heard, listening.kinds)
    later = tuple(beep.later(listening.start) for beep in heard)
    return later, tuple((kind, time + listening.start) for kind, time in extra)


def _answer(
    listening: Listening,
    line: Line,
    beeps: Sequence[Expected],
    sure: frozenset[int],
    other: Way,
    shares: tuple[float, float],
    is_faint: bool,
) -> Answer:
    heard = heard_beeps(line, beeps, listening.kinds)
    tally = tally_of(heard, *countdowns(line, heard, listening.kinds))
    places = []
    for block in sorted(sure):
        mine = [beep for beep in heard if beep.expected.block == block]
        own = tally_of(mine)
        if own.heard and own.silent_share <= MOST_SILENT_OF_BLOCK:
            places.append(BlockPlace(block, float(line.offsets[mine[0].expected.stretch]) + listening.start, own))
    why = _why(shares, tally, places)
    if why is Why.FOUND and is_faint:
        why = Why.FAINT
    first = places[0].offset if places else float(line.offsets[0]) + listening.start
    return Answer(
        path=listening.path,
        facts=listening.facts,
        why=why,
        offset=first,
        drift_ppm=line.drift * 1e6,
        confidence=shares[0] if why is Why.FOUND else min(shares[0], 1 - SURE),
        runner_up_offset=other.offsets[0] + listening.start,
        runner_up_confidence=shares[1],
        tally=tally,
        beeps=tuple(beep.later(listening.start) for beep in heard if beep.is_heard),
        places=tuple(places) if why is Why.FOUND else (),
    )


def _why(shares: tuple[float, float], tally: Tally, places: Sequence[BlockPlace]) -> Why:
    best, other = shares
    if best < SURE:
        return Why.SEVERAL_PLACES if best + other >= SURE else Why.NOT_HEARD
    if tally.unheard_kinds or tally.silent_share > MOST_SILENT or tally.strange_share > MOST_STRANGE:
        return Why.OTHER_CLASS
    return Why.FOUND if places else Why.SEVERAL_PLACES


def _expected(pieces: Sequence[PieceOfClass], way: Way) -> tuple[list[Expected], list[Stretch]]:
    """The beeps of an answer, and the stretches they lie in: a new one begins behind every pause."""
    beeps: list[Expected] = []
    heard: list[list[Stretch]] = []
    for number, (piece, offset) in enumerate(zip(pieces, way.offsets, strict=True)):
        if not number or abs(offset - way.offsets[number - 1]) > SHORTEST_PAUSE:
            heard.append([])
        heard[-1].append(Stretch(offset, piece.middle))
        beeps += [Expected(planned, piece.block, len(heard) - 1) for planned in piece.beeps]
    # From its middle on a stretch drifts least in either direction.
    stretches = [places[len(places) // 2] for places in heard]
    return beeps, stretches


def _shares(best: float, other: float) -> tuple[float, float]:
    """How evidence divides between the best answer, the next best, and none at all."""
    scores = np.array([best, other, CHANCE]) / TEMPER
    shares = np.exp(scores - scores.max())
    shares /= shares.sum()
    return float(shares[0]), float(shares[1])
