"""Proof-reading a class that is laid out: is it fair to both sides, to the hands, and to the clock."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction

from overlay.plan.advice import Finding, Weight
from overlay.plan.fields import Hands, Side
from overlay.plan.session import Session
from overlay.plan.texts import texts_of
from overlay.timeline.layout import Layout
from overlay.timeline.model import Move, Segment, SegmentKind, Timeline
from overlay.timeline.place import place_in_words
from overlay.timeline.summary import summarize
from overlay.units.clock import format_duration
from overlay.words.phrases import phrases_for
from overlay.words.sides import NOT_A_SIDE

_LONGEST_QUOTE = 60


def check_class(session: Session, layout: Layout) -> tuple[Finding, ...]:
    """Everything noticed in a laid-out class, in the order of the class as far as it has a place."""
    timeline = layout.timeline
    return (
        *_length(session, timeline),
        *_sides(timeline),
        *_frame(session, timeline),
        *_hands(session, timeline),
        *_changes(session, timeline),
        *_previews(session, timeline),
        *_blocks(session, timeline),
        *_easier(timeline),
        *_sides_written_out(session),
        *layout.findings,
    )


def _seconds(**figures: Fraction) -> tuple[tuple[str, float], ...]:
    return tuple((f"{name}_s", float(value)) for name, value in figures.items())


def _length(session: Session, timeline: Timeline) -> Iterator[Finding]:
    if session.target is None:
        return
    lasts = timeline.duration - timeline.class_start
    off = lasts - session.target
    if abs(off) > session.checks.target_within:
        how = "longer" if off > 0 else "shorter"
        text = f"{format_duration(lasts)} is {format_duration(abs(off))} {how} than the target"
        figures = _seconds(lasts=lasts, target=session.target)
        yield Finding("off-target", Weight.FINDING, "class", text, figures)


def _sides(timeline: Timeline) -> Iterator[Finding]:
    work = summarize(timeline).work_by_side
    left, right = work[Side.LEFT], work[Side.RIGHT]
    if left != right:
        text = f"the left side works {format_duration(left)}, the right side {format_duration(right)}"
        yield Finding("sides-unequal", Weight.FINDING, "class", text, _seconds(left=left, right=right))


def _frame(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """Something easy to begin and to end with."""
    works = [segment for segment in timeline.segments if segment.kind is SegmentKind.WORK]
    if session.opening is None and _hands_of(works[0]) is Hands.LOADED:
        text = "the class begins on the hands, with no opening: begin with something easy"
        yield Finding("no-warm-up", Weight.REMARK, "class", text)
    if session.closing is None and (_hands_of(works[-1]) is Hands.LOADED or works[-1].side is not None):
        text = "the class ends in hard or one-sided work, with no closing: end with something easy"
        yield Finding("no-closing", Weight.REMARK, "class", text)


def _hands_of(segment: Segment) -> Hands | None:
    return segment.move.hands if segment.kind is SegmentKind.WORK and segment.move else None


def _hands(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """Runs of loaded work; a stretch without load that is long enough ends a run."""
    most, relief = session.checks.hands_loaded, session.checks.hands_break
    first: Segment | None = None
    last: Segment | None = None
    for segment in (*timeline.segments, None):
        if segment is not None and _hands_of(segment) is Hands.LOADED:
            first, last = first or segment, segment
            continue
        free_since = last.end if last else Fraction(0)
        if segment is None or (last is not None and segment.end - free_since >= relief):
            if first is not None and last is not None and last.end - first.start > most:
                run = last.end - first.start
                text = (
                    f"the hands are loaded for {format_duration(run)} without a break of {format_duration(relief)}: "
                    f"{format_duration(most)} is the most"
                )
                figures = _seconds(loaded=run, most=most)
                yield Finding("hands-loaded-long", Weight.FINDING, place_in_words(first), text, figures)
            first = last = None


def _changes(session: Session, timeline: Timeline) -> Iterator[Finding]:
    checks = session.checks
    before: Segment | None = None
    for segment in timeline.segments:
        if segment.kind is not SegmentKind.WORK or segment.move is None:
            continue
        if before is not None and before.move is not None:
            has = segment.start - before.end
            needs, what = Fraction(0), ""
            if _differ(before.move.position, segment.move.position):
                needs, what = checks.position_change, f"from {before.move.position} to {segment.move.position}"
            new = [item for item in segment.move.equipment if item not in before.move.equipment]
            if new and checks.equipment_change > needs:
                needs, what = checks.equipment_change, f"to fetch {', '.join(new)}"
            if has < needs:
                text = f"{format_duration(has)} to get ready {what}: {format_duration(needs)} is the least"
                place = place_in_words(segment)
                yield Finding("change-too-quick", Weight.FINDING, place, text, _seconds(has=has, needs=needs))
        before = segment


def _differ(one: str | None, other: str | None) -> bool:
    return one is not None and other is not None and one.casefold() != other.casefold()


def _previews(session: Session, timeline: Timeline) -> Iterator[Finding]:
    each = session.checks.preview_each
    for segment in timeline.segments:
        needs = each * len(segment.shows)
        if segment.kind is SegmentKind.PREVIEW and segment.duration < needs:
            count = len(segment.shows)
            text = f"{format_duration(segment.duration)} for {count} exercises: {format_duration(needs)} is the least"
            figures = (*_seconds(has=segment.duration, needs=needs), ("exercises", float(count)))
            yield Finding("preview-too-short", Weight.FINDING, place_in_words(segment), text, figures)


def _blocks(session: Session, timeline: Timeline) -> Iterator[Finding]:
    """A block counts from its preview to its last work. A short one without a side may end a class."""
    checks, blocks = session.checks, session.blocks
    for number, block in enumerate(blocks):
        segments = [segment for segment in timeline.segments if segment.block == block.id]
        works = [segment for segment in segments if segment.kind is SegmentKind.WORK]
        length = works[-1].end - segments[0].start
        may_be_short = number == len(blocks) - 1 and block.side is None
        figures = _seconds(block=length, least=checks.block_least, most=checks.block_most)
        if length > checks.block_most:
            text = f"{format_duration(length)} is long for one block: {format_duration(checks.block_most)} is the most"
            yield Finding("block-long", Weight.FINDING, f"block {block.id}", text, figures)
        elif length < checks.block_least and not may_be_short:
            text = f"{format_duration(length)} is short for a block: {format_duration(checks.block_least)} is the least"
            yield Finding("block-short", Weight.FINDING, f"block {block.id}", text, figures)


def _easier(timeline: Timeline) -> Iterator[Finding]:
    told: set[Move] = set()
    for segment in timeline.segments:
        move = segment.move
        if _hands_of(segment) is Hands.LOADED and move and move.easier is None and move not in told:
            told.add(move)
            text = "it loads the hands and has no easier version: write easier:"
            yield Finding("no-easier-version", Weight.FINDING, place_in_words(segment), text)


def _sides_written_out(session: Session) -> Iterator[Finding]:
    """A side word in a text of a block that is mirrored would be wrong on the other side."""
    mirrored = {block.mirror for block in session.blocks}
    for language in session.language:
        phrases = phrases_for(session, language)
        words = re.compile(rf"\b(?:{re.escape(phrases.left)}|{re.escape(phrases.right)})\b", re.IGNORECASE)
        for block in session.blocks:
            if block.id not in mirrored or block.mirror:
                continue
            mirrors = [other for other in session.blocks if other.mirror == block.id]
            taken_over = [
                getattr(block, key)
                for key in type(block).model_fields
                if any(getattr(other, key) == getattr(block, key) for other in mirrors)
            ]
            listed = [session.exercise_of(interval) for interval in block.intervals or ()]
            texts = dict.fromkeys(text for part in (*taken_over, *listed) for _, text in texts_of(part))
            for text in texts:
                written = text.find(language, main=session.main_language) or ""
                found = words.search(NOT_A_SIDE.sub("", written))
                if found:
                    quote = written if len(written) <= _LONGEST_QUOTE else f"{written[:_LONGEST_QUOTE]}…"
                    message = f"“{quote}” says {found[0]}, and the block is mirrored: write {{side}} or {{other_side}}"
                    yield Finding("side-written-out", Weight.FINDING, f"block {block.id}", message)
