"""The pattern of beeps that a class would make, in pieces that can be looked for."""

from __future__ import annotations

from overlay.footage.search import PieceOfClass, Planned
from overlay.timeline.model import Beep, BeepKind, SegmentKind, Timeline

LONGEST_PIECE = 180
"""Seconds. Over this a clock that is off by 100 ppm drifts less than a cell of evidence."""
_KEPT_REST = 2.0
"""Seconds of a rest between two blocks that nobody skips."""


def blocks_of(timeline: Timeline) -> tuple[str, ...]:
    """The ids of the class's blocks in order."""
    return tuple(dict.fromkeys(segment.block for segment in timeline.segments if segment.block is not None))


def block_beeps(timeline: Timeline) -> tuple[tuple[Beep, ...], ...]:
    """The beeps that belong to each block: people pause between blocks, and all of these move together.

    A stop belongs to the work that it ends, a countdown to the start that it leads to. What stands
    before the first block or after the last belongs to that one.
    """
    blocks = blocks_of(timeline)
    numbers = {block: number for number, block in enumerate(blocks)}
    found: list[list[Beep]] = [[] for _ in blocks]
    segments = iter(timeline.segments)
    segment = next(segments)
    current = 0
    ended_in = 0
    waiting: list[Beep] = []
    for beep in timeline.beeps:
        while beep.frame >= segment.span.end_frame and (after := next(segments, None)) is not None:
            if segment.kind is SegmentKind.WORK and segment.block is not None:
                ended_in = numbers[segment.block]
            segment = after
        if segment.block is not None:
            current = numbers[segment.block]
        if beep.kind in (BeepKind.READY, BeepKind.POP):
            waiting.append(beep)
            continue
        is_end = beep.kind is BeepKind.STOP and beep.frame == segment.span.start_frame
        block = ended_in if is_end else current
        found[block] += [*waiting, beep]
        waiting = []
    found[-1] += waiting
    return tuple(tuple(beeps) for beeps in found)


def pieces_of(timeline: Timeline) -> tuple[PieceOfClass, ...]:
    """The class's beeps in pieces of at most `LONGEST_PIECE` seconds, none across two blocks, none empty."""
    pieces: list[PieceOfClass] = []
    for block, beeps in enumerate(block_beeps(timeline)):
        timed = [Planned(beep.kind.value, beep.frame, beep.sample / timeline.sample_rate_hz) for beep in beeps]
        while timed:
            near = [each for each in timed if each.time - timed[0].time <= LONGEST_PIECE]
            rest = timed[0].time - pieces[-1].beeps[-1].time if pieces else 0.0
            pieces.append(PieceOfClass(block, tuple(near), max(rest - _KEPT_REST, 0.0)))
            timed = timed[len(near) :]
    return tuple(pieces)
