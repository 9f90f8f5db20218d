"""The parts that an editor thinks in: the opening, each block, the closing."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from typing import NamedTuple

from overlay.timeline.model import Segment, SegmentKind, Timeline
from overlay.units.span import Span


class Part(NamedTuple):
    """`block` is the block's id; None for the opening and the closing, whose kind `first` has."""

    name: str
    span: Span
    first: Segment

    @property
    def block(self) -> str | None:
        return self.first.block


def parts_of(timeline: Timeline) -> Iterator[Part]:
    """Every part in order, named in the timeline's language. They tile the class; a leader is no part."""
    segments = (segment for segment in timeline.segments if segment.kind is not SegmentKind.LEADER)
    for _, run in groupby(segments, key=lambda segment: segment.block or segment.kind):
        first, *others = run
        last = others[-1] if others else first
        name = first.block_name or first.block or str(getattr(timeline.phrases, first.kind.value))
        yield Part(name, Span(first.span.start_frame, last.span.end_frame), first)
