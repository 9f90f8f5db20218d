"""How what is wrong with a cut is told: findings, errors in frames, quoted captions."""

from __future__ import annotations

from fractions import Fraction

from overlay.plan.advice import Finding, Weight
from overlay.units.clock import nearest

MEASURED_MS = 1.0
"""Milliseconds that a place may be off by measuring alone."""
MANY = 3
"""Faults of one sort in one place beyond which they are told together."""
_QUOTED = 40
"""Characters of a caption that are quoted."""


def finding(name: str, where: str, text: str, weight: Weight = Weight.FINDING, **figures: float) -> Finding:
    """A finding of a short name at a place; each of the `figures` is named with its unit."""
    rounded = {figure: round(value, 3) for figure, value in figures.items()}
    return Finding(name, weight, where, text, tuple(rounded.items()))


def off(error_ms: float, rate: Fraction) -> str:
    """How far off, in frames and milliseconds.

    >>> off(-100.1, Fraction(30000, 1001))
    '3 frames (100 ms) early'
    """
    count = float(abs(Fraction(error_ms)) / 1000 * rate)
    shown = frames(round(count)) if abs(count - round(count)) < 0.1 else f"{count:.1f} frames"
    return f"{shown} ({abs(error_ms):.0f} ms) {'late' if error_ms > 0 else 'early'}"


def back(error_ms: float, rate: Fraction) -> str:
    """How many frames, and which way, mend such an error."""
    count = nearest(abs(Fraction(error_ms)) / 1000 * rate)
    return f"{frames(count)} {'earlier' if error_ms > 0 else 'later'}"


def frames(count: int) -> str:
    """So many frames.

    >>> frames(1), frames(2)
    ('1 frame', '2 frames')
    """
    return f"{count} {'frame' if count == 1 else 'frames'}"


def short(text: str) -> str:
    """A caption in quotes, cut where it is long."""
    plain = " ".join(text.split())
    return f"“{plain}”" if len(plain) <= _QUOTED else f"“{plain[: _QUOTED - 1].rstrip()}…”"
