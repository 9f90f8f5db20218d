"""From a plan to segments: every round, rest and mirrored side written out, on the frame grid."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from typing import NamedTuple

from overlay.plan.blocks import Block, Exercise, Interval
from overlay.plan.fields import Text
from overlay.plan.session import Session
from overlay.timeline.model import Move, Segment, SegmentKind, Shown
from overlay.units.clock import frame_to_time, time_to_frame
from overlay.units.span import Span
from overlay.words.phrases import phrases_for
from overlay.words.sides import fill, side_values

LEADER = Fraction(3)
"""Seconds of leader before the class; its pop stands two seconds before class zero (the 2-pop)."""


class Stretch(NamedTuple):
    """A segment together with the parts of the plan that its words come from."""

    segment: Segment
    block: Block | None = None
    interval: Interval | None = None


def unroll(session: Session, language: str) -> tuple[Stretch, ...]:
    """Lay a plan out as stretches that tile the class, named in `language`.

    Every boundary is the nearest frame to its own exact time since zero, so rounding never adds up.
    """
    stretches: list[Stretch] = []
    now = Fraction(0)
    for stretch, length in _in_order(session, language):
        if not length:
            continue
        start, end = now, now + length
        rate = session.video.frame_rate
        span = Span(time_to_frame(start, rate), time_to_frame(end, rate))
        stretches.append(stretch._replace(segment=replace(stretch.segment, span=span, start=start, end=end)))
        now = end
    return tuple(stretches)


def _bare(kind: SegmentKind, *, card: bool = False) -> Segment:
    return Segment(kind, Span(0, 0), Fraction(0), Fraction(0), card=card)


def _in_order(session: Session, language: str) -> Iterator[tuple[Stretch, Fraction]]:
    if session.tones.leader:
        # Whole frames, so that everything after it moves by exactly as many.
        rate = session.video.frame_rate
        yield Stretch(_bare(SegmentKind.LEADER)), frame_to_time(time_to_frame(LEADER, rate), rate)
    if session.opening is not None:
        yield Stretch(_bare(SegmentKind.OPENING, card=session.opening.card)), session.opening.length
    for number, block in enumerate(session.blocks):
        yield from _block(session, block, language, is_last=number == len(session.blocks) - 1)
    if session.closing is not None:
        yield Stretch(_bare(SegmentKind.CLOSING, card=session.closing.card)), session.closing.length


def _block(session: Session, block: Block, language: str, *, is_last: bool) -> Iterator[tuple[Stretch, Fraction]]:
    timing = session.timing
    slots = side_values(block.side, phrases_for(session, language))
    name = fill(block.name.in_language(language, main=session.main_language), slots) if block.name else None
    rounds = block.rounds or 1
    intervals = block.intervals or ()
    moves = [
        move_of(session.exercise_of(interval), interval.exercise, slots, language, session.main_language)
        for interval in intervals
    ]
    works = [timing.work if interval.work is None else interval.work for interval in intervals]
    base = replace(_bare(SegmentKind.PREVIEW), block=block.id, block_name=name, rounds=rounds, side=block.side)
    shown = tuple(Shown(move, work) for move, work in zip(moves, works, strict=True))
    preview = timing.preview if block.preview is None else block.preview
    yield Stretch(replace(base, shows=shown), block), preview
    between_rounds = timing.between_rounds if block.between_rounds is None else block.between_rounds
    after = timing.between_blocks if block.after is None else block.after
    for round_ in range(1, rounds + 1):
        here = replace(base, round=round_)
        for index, interval in enumerate(intervals):
            work = replace(here, kind=SegmentKind.WORK, move=moves[index])
            yield Stretch(work, block, interval), works[index]
            rest = replace(here, kind=SegmentKind.REST, side=None)
            if index < len(intervals) - 1:
                yield Stretch(rest, block, interval), timing.rest if interval.rest is None else interval.rest
            elif round_ < rounds:
                yield Stretch(rest, block, interval), between_rounds
            elif not is_last:
                yield Stretch(rest, block, interval), after


def move_of(exercise: Exercise, key: str | None, slots: dict[str, str], language: str, main: str) -> Move:
    """An exercise in one language, with the side words of its block put in."""

    def read(text: Text | None) -> str | None:
        return fill(text.in_language(language, main=main), slots) if text is not None else None

    return Move(
        exercise=key,
        name=read(exercise.name) or "",
        hands=exercise.hands,
        position=read(exercise.position),
        equipment=tuple(read(item) or "" for item in exercise.equipment),
        setup=read(exercise.setup),
        easier=read(exercise.easier),
        harder=read(exercise.harder),
        watch=read(exercise.watch),
        camera=read(exercise.camera),
        image=exercise.image,
    )
