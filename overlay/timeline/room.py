"""Free room in a segment, and words put into it. All times are exact seconds."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

Room = tuple[Fraction, Fraction]
"""A stretch of time in which something can be said: from, until."""


def without(free: list[Room], taken: Room) -> list[Room]:
    """The room that is left when a stretch of time is taken out.

    >>> [[int(time) for time in room] for room in without([(Fraction(0), Fraction(9))], (Fraction(3), Fraction(5)))]
    [[0, 3], [5, 9]]
    """
    left = []
    for start, end in free:
        if taken[1] <= start or taken[0] >= end:
            left.append((start, end))
            continue
        if start < taken[0]:
            left.append((start, taken[0]))
        if taken[1] < end:
            left.append((taken[1], end))
    return left


def total(free: list[Room]) -> Fraction:
    """All free room together."""
    return sum((end - start for start, end in free), Fraction(0))


def holds(free: list[Room], start: Fraction, length: Fraction) -> bool:
    """Whether words of this length fit at this very time."""
    return any(begin <= start and start + length <= end for begin, end in free)


def spread(
    free: list[Room], lengths: Sequence[Fraction], wanted: Sequence[Fraction], breath: Fraction
) -> list[Fraction] | None:
    """Starts for words in their order, each as near after its wanted time as all the others allow.

    Between two of them lies at least a breath. None where they do not all fit.
    """
    limits: list[Fraction] = []
    limit = free[-1][1] if free else Fraction(0)
    for length in reversed(lengths):
        start = fit_back(free, limit, length)
        if start is None:
            return None
        limits.append(start)
        limit = start - breath
    limits.reverse()
    starts: list[Fraction] = []
    now = free[0][0] if free else Fraction(0)
    for length, want, limit in zip(lengths, wanted, limits, strict=True):
        start = fit_on(free, max(now, want), length)
        starts.append(limit if start is None else min(start, limit))
        now = starts[-1] + length + breath
    return starts


def fit_back(free: list[Room], limit: Fraction, length: Fraction) -> Fraction | None:
    """The latest start from which words of this length are over by `limit`."""
    for start, end in reversed(free):
        begin = min(end, limit) - length
        if begin >= start:
            return begin
    return None


def fit_on(free: list[Room], wanted: Fraction, length: Fraction) -> Fraction | None:
    """The earliest start at or after `wanted`."""
    for start, end in free:
        begin = max(start, wanted)
        if begin + length <= end:
            return begin
    return None
