"""A class at a glance: its length, a row a block, seconds of work a side, what is needed."""

from __future__ import annotations

from fractions import Fraction
from typing import Any, NamedTuple

from overlay.plan.fields import Hands, Side
from overlay.timeline.model import SegmentKind, Timeline


class BlockRow(NamedTuple):
    """One block of the class; times are exact seconds."""

    block: str
    name: str | None
    side: Side | None
    rounds: int
    start_frame: int
    duration: Fraction
    work: Fraction
    hands: tuple[Hands, ...]
    exercises: tuple[str, ...]


class Summary(NamedTuple):
    """The class in figures; times are exact seconds."""

    duration: Fraction
    blocks: tuple[BlockRow, ...]
    work: Fraction
    work_by_side: dict[Side, Fraction]
    equipment: tuple[str, ...]
    positions: tuple[str, ...]


def summarize(timeline: Timeline) -> Summary:
    """The figures of a class. A block ends with the rest after it."""
    rows: list[BlockRow] = []
    sides = {side: Fraction(0) for side in Side}
    equipment: dict[str, None] = {}
    positions: dict[str, None] = {}
    for block in dict.fromkeys(segment.block for segment in timeline.segments if segment.block):
        segments = [segment for segment in timeline.segments if segment.block == block]
        works = [segment for segment in segments if segment.kind is SegmentKind.WORK]
        work = sum((segment.duration for segment in works), Fraction(0))
        side = works[0].side
        if side is not None:
            sides[side] += work
        moves = [segment.move for segment in works if segment.move]
        equipment |= dict.fromkeys(item for move in moves for item in move.equipment)
        positions |= dict.fromkeys(move.position for move in moves if move.position)
        rows.append(
            BlockRow(
                block=block,
                name=works[0].block_name,
                side=side,
                rounds=works[0].rounds or 1,
                start_frame=segments[0].span.start_frame,
                duration=sum((segment.duration for segment in segments), Fraction(0)),
                work=work,
                hands=tuple(dict.fromkeys(move.hands for move in moves)),
                exercises=tuple(dict.fromkeys(move.name for move in moves)),
            )
        )
    total = sum((row.work for row in rows), Fraction(0))
    return Summary(timeline.lasts, tuple(rows), total, sides, tuple(equipment), tuple(positions))


def summary_data(timeline: Timeline) -> dict[str, Any]:
    """The class in figures as plain data, for other programs; times are seconds."""
    summary = summarize(timeline)
    return {
        "title": timeline.title,
        "duration_s": float(summary.duration),
        "frames": timeline.frame_count,
        "frame_rate": str(timeline.rate),
        "start_timecode": timeline.frame_to_label(0),
        "work_s": float(summary.work),
        "work_by_side_s": {side.value: float(work) for side, work in summary.work_by_side.items()},
        "equipment": list(summary.equipment),
        "positions": list(summary.positions),
        "blocks": [
            {
                "id": row.block,
                "name": row.name,
                "side": row.side.value if row.side else None,
                "rounds": row.rounds,
                "start_timecode": timeline.frame_to_label(row.start_frame),
                "duration_s": float(row.duration),
                "work_s": float(row.work),
                "hands": [hands.value for hands in row.hands],
                "exercises": list(row.exercises),
            }
            for row in summary.blocks
        ],
    }
