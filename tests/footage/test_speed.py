"""The speed of a cut, told by how the errors of its beeps grow."""

from __future__ import annotations

import tracemalloc
from fractions import Fraction

import numpy as np
import pytest

from overlay.footage.beeps import HeardBeep
from overlay.footage.fit import Expected
from overlay.footage.pattern import Planned
from overlay.footage.speed import speed_by_trend


def beeps(count: int, speed: Fraction, *, strays: int = 0) -> list[HeardBeep]:
    """Beeps two seconds apart in a cut of a speed, each heard within a millisecond, some anywhere."""
    random = np.random.default_rng(5)
    errors_ms = [2000 * number * float(1 / speed - 1) + random.uniform(-1, 1) for number in range(count)]
    for number in random.choice(count, strays, replace=False):
        errors_ms[number] += random.uniform(-80, 80)
    expected = [Expected(Planned("start", 0, 2.0 * number), 0, 0) for number in range(count)]
    return [HeardBeep(each, each.time, error, False, True) for each, error in zip(expected, errors_ms, strict=True)]


@pytest.mark.parametrize("speed", [Fraction(1), Fraction(1000, 1001), Fraction(1001, 1000)])
def test_the_usual_speeds_are_told(speed: Fraction) -> None:
    """Whatever a few beeps say."""
    assert speed_by_trend(beeps(60, speed, strays=12)) == speed


def test_too_few_tell_nothing() -> None:
    """Nor do beeps that stray without a trend."""
    assert speed_by_trend(beeps(5, Fraction(1000, 1001))) == 1
    assert speed_by_trend(beeps(40, Fraction(1), strays=30)) == 1


def test_the_longest_class_is_compared_in_bounded_memory() -> None:
    """Twelve hours have twenty thousand beeps; two by two they would fill gigabytes."""
    many = beeps(20_000, Fraction(1000, 1001), strays=2000)
    tracemalloc.start()
    assert speed_by_trend(many) == Fraction(1000, 1001)
    peak_bytes = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak_bytes < 100_000_000
