"""Levels in decibels."""

from __future__ import annotations

import math


def db_to_gain(level_db: float) -> float:
    """The factor for a change in dB.

    >>> round(db_to_gain(-6.0206), 4)
    0.5
    """
    return float(10 ** (level_db / 20))


def gain_to_db(gain: float) -> float:
    """The change in dB for a factor; minus infinity for silence.

    >>> round(gain_to_db(0.5), 2), gain_to_db(0.0)
    (-6.02, -inf)
    """
    return 20 * math.log10(gain) if gain > 0 else -math.inf
