"""What is filmed: the class as shots in playing order, its preview inserts, and the order to film them in.

A shot is one run of the camera. Within a block it lasts as long as camera and position stay; a
preview belongs to the work after it, a rest to the work before it. Opening and closing are shots of
their own, taken at the set-up of the work beside them, since a plan gives them none.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import NamedTuple

from overlay.plan.fields import Side
from overlay.plan.paper import PaperSettings
from overlay.timeline.model import Move, Segment, SegmentKind, Timeline


class Setup(NamedTuple):
    """Where the camera stands and how the person is placed, as the plan says; None where it says nothing."""

    camera: str | None
    position: str | None

    @property
    def key(self) -> tuple[str, str]:
        """The same for words that differ in capitals alone."""
        return (self.camera or "").casefold(), (self.position or "").casefold()


@dataclass(frozen=True)
class Shot:
    """One run of the camera. `segments` are its parts in the class; a preview insert (`insert`) is filmed
    apart for `length` seconds without its handles, and its `segments` are the previews that it is for."""

    number: int
    setup: Setup
    segments: tuple[Segment, ...]
    insert: Move | None = None
    side: Side | None = None
    length: Fraction = Fraction(0)

    @property
    def block(self) -> str | None:
        return self.segments[0].block

    @property
    def moves(self) -> tuple[Move, ...]:
        """The exercises that are done in it, each once."""
        if self.insert:
            return (self.insert,)
        works = (segment.move for segment in self.segments if segment.kind is SegmentKind.WORK)
        return tuple(dict.fromkeys(move for move in works if move))

    @property
    def equipment(self) -> tuple[tuple[str, int], ...]:
        """What lies on the floor, with counts."""
        return equipment_of(self.moves)


def equipment_of(moves: Sequence[Move]) -> tuple[tuple[str, int], ...]:
    """Things with how many of each are needed at once: an exercise that names a thing twice needs two."""
    most: Counter[str] = Counter()
    for move in moves:
        most |= Counter(move.equipment)
    return tuple(most.items())


def shots_of(timeline: Timeline, paper: PaperSettings) -> tuple[Shot, ...]:
    """Every shot in playing order; an insert follows the shot of the first preview that it is for."""
    runs = list(_runs(timeline.segments))
    setups = _setups(runs)
    inserts = _inserts(timeline.segments) if paper.insert else {}
    shots: list[Shot] = []
    for run, setup in zip(runs, setups, strict=True):
        length = sum((segment.duration for segment in run), Fraction(0))
        shots.append(Shot(len(shots) + 1, setup, run, length=length))
        for (move, side), previews in inserts.items():
            if previews[0] in run:
                setup_of_insert = Setup(move.camera, move.position)
                shots.append(Shot(len(shots) + 1, setup_of_insert, tuple(previews), move, side, paper.insert))
    return tuple(shots)


def filming_order(shots: Sequence[Shot]) -> tuple[tuple[Setup, tuple[Shot, ...]], ...]:
    """The shots a set-up, so that the camera moves least: set-ups of one camera follow each other, in the
    order of their first shot; within a set-up the class comes first, then the inserts."""
    groups: dict[tuple[str, str], list[Shot]] = {}
    for shot in shots:
        groups.setdefault(shot.setup.key, []).append(shot)
    cameras = list(dict.fromkeys(camera for camera, _ in groups))
    ordered = sorted(groups.values(), key=lambda group: cameras.index(group[0].setup.key[0]))
    return tuple((group[0].setup, tuple(sorted(group, key=lambda shot: shot.insert is not None))) for group in ordered)


def setups_in_playing_order(shots: Sequence[Shot]) -> int:
    """How often the camera is set up when the class is filmed as it plays, its inserts aside."""
    keys = [shot.setup.key for shot in shots if shot.insert is None]
    return 1 + sum(before != after for before, after in pairwise(keys))


def _runs(segments: Sequence[Segment]) -> Iterator[tuple[Segment, ...]]:
    run: list[Segment] = []
    for segment in segments:
        if segment.kind is SegmentKind.LEADER:
            continue
        if run and not _goes_on(run, segment):
            yield tuple(run)
            run = []
        run.append(segment)
    yield tuple(run)


def _goes_on(run: list[Segment], segment: Segment) -> bool:
    if segment.block is None or segment.block != run[-1].block:
        return False
    worked = next((each for each in reversed(run) if each.kind is SegmentKind.WORK), None)
    if segment.kind is not SegmentKind.WORK or worked is None:
        return True
    return _setup(segment).key == _setup(worked).key


def _setup(segment: Segment) -> Setup:
    return Setup(segment.move.camera, segment.move.position) if segment.move else Setup(None, None)


def _setups(runs: Sequence[tuple[Segment, ...]]) -> list[Setup]:
    """The set-up of each run; one without work takes that of the run after it, else of the one before."""
    own = [next((_setup(each) for each in run if each.kind is SegmentKind.WORK), None) for run in runs]
    beside = [*own[1:], None]
    before = [None, *own[:-1]]
    return [
        one or after or earlier or Setup(None, None) for one, after, earlier in zip(own, beside, before, strict=True)
    ]


def _inserts(segments: Sequence[Segment]) -> dict[tuple[Move, Side | None], list[Segment]]:
    """Every exercise that a preview shows, a side, with all previews that can use it."""
    inserts: dict[tuple[Move, Side | None], list[Segment]] = {}
    for segment in segments:
        for shown in dict.fromkeys(each.move for each in segment.shows if segment.kind is SegmentKind.PREVIEW):
            inserts.setdefault((shown, segment.side), []).append(segment)
    return inserts
