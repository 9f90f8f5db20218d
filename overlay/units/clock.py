"""The one clock: durations in a plan, and every step from exact time to frame, sample, ms.

Time is exact seconds (`Fraction`). A boundary becomes a frame number once, here, and everything
else comes from that frame number.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction
from math import lcm

from overlay.units.rate import FrameRate

LONGEST_CLASS = Fraction(12 * 3600)
"""Seconds. Longer than anybody teaches; a mistyped duration shows up here."""

_NUMBER = r"\d{1,9}(?:\.\d{1,9})?"
_UNITS = re.compile(rf"(?:({_NUMBER})\s*h)?\s*(?:({_NUMBER})\s*m(?:in)?)?\s*(?:({_NUMBER})\s*s(?:ec)?)?", re.ASCII)
_CLOCK = re.compile(r"(?:(\d{1,4}):)?(\d{1,4}):(\d{1,9}(?:\.\d{1,9})?)", re.ASCII)
_BARE = re.compile(_NUMBER, re.ASCII)


def parse_duration(text: str) -> Fraction:
    """Read a duration as written in a plan; exact seconds, never negative.

    `40s`, `1m30s`, `1h`, `2.5s`, `1:30`, `0:45`, `1:02:00`; a bare number is seconds.
    Raises ValueError for anything else, and for minutes or seconds over 59 behind a larger part.

    >>> parse_duration("1:30"), parse_duration("2.5s"), parse_duration("1h")
    (Fraction(90, 1), Fraction(5, 2), Fraction(3600, 1))
    """
    plain = text.strip()
    if _BARE.fullmatch(plain):
        return Fraction(plain)
    if clock := _CLOCK.fullmatch(plain):
        hours, minutes, seconds = clock[1], Fraction(clock[2]), Fraction(clock[3])
        if len(clock[3].partition(".")[0]) != 2:
            raise ValueError(f"{plain} needs two digits after the colon: write 1:05 or 1:50")
        if seconds >= 60:
            raise ValueError(f"{plain} has {clock[3]} seconds after the colon: 59 is the most")
        if hours is not None and minutes >= 60:
            raise ValueError(f"{plain} has {minutes} minutes after the hour: 59 is the most")
        return Fraction(hours or 0) * 3600 + minutes * 60 + seconds
    if plain and (units := _UNITS.fullmatch(plain)):
        h, m, s = (Fraction(part or 0) for part in units.groups())
        if ((h or m) and s >= 60) or (h and m >= 60):
            raise ValueError(f"{plain} has a part over 59: write 1m30s or 90s")
        return h * 3600 + m * 60 + s
    raise ValueError(f"{plain} is not a duration: write it as 40s, 1m30s or 1:30")


def format_duration(seconds: Fraction) -> str:
    """A duration as a person writes it: `45s`, `1:30`, `1:02:00`, decimals only when needed.

    Exact for whatever `parse_duration` reads, else to the millisecond.

    >>> format_duration(Fraction(90)), format_duration(Fraction(5, 2)), format_duration(Fraction(0))
    ('1:30', '2.5s', '0s')
    """
    minutes, rest = divmod(seconds, 60)
    whole, part = divmod(rest, 1)
    exact = (part * 10**9).denominator == 1
    decimals = f".{part * 10**9 // 1:09}" if exact else f".{min(nearest(part * 1000), 999):03}"
    decimals = decimals.rstrip("0").rstrip(".")
    if not minutes:
        return f"{whole}{decimals}s"
    if minutes < 60:
        return f"{minutes}:{whole:02}{decimals}"
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02}:{whole:02}{decimals}"


def nearest(value: Fraction) -> int:
    """The nearest whole number, halves up: one rule, so that equal intervals stay equal.

    >>> [nearest(Fraction(n, 2)) for n in (1, 3, 5)]
    [1, 2, 3]
    """
    return _nearest(value.numerator, value.denominator)


def _nearest(numerator: int, denominator: int) -> int:
    return (2 * numerator + denominator) // (2 * denominator)


def time_to_frame(time: Fraction, rate: FrameRate) -> int:
    """The frame nearest to an exact time since class zero.

    >>> time_to_frame(Fraction(1001, 1000), FrameRate.parse("29.97"))
    30
    """
    return nearest(time * rate.value)


def countdown_frames(end: Fraction, rate: FrameRate, steps_a_second: int = 1) -> Callable[[int], int]:
    """For a number of steps left before an exact time, the frame of `time_to_frame`: a countdown asks for thousands.

    >>> frame_of = countdown_frames(Fraction(10), FrameRate.parse("29.97"), 3)
    >>> [frame_of(left) for left in (3, 2, 1, 0)]
    [270, 280, 290, 300]
    """
    last, step = end * rate.value, rate.value / steps_a_second
    unit = lcm(last.denominator, step.denominator)
    last_units, step_units = int(last * unit), int(step * unit)
    return lambda left: _nearest(last_units - left * step_units, unit)


def frame_to_time(frame: int, rate: FrameRate) -> Fraction:
    """The exact time at which a frame begins, in seconds since class zero.

    >>> frame_to_time(30, FrameRate.parse("29.97"))
    Fraction(1001, 1000)
    """
    return frame / rate.value


def frame_to_sample(frame: int, rate: FrameRate, sample_rate_hz: int) -> int:
    """The sample nearest to the beginning of a frame.

    >>> frame_to_sample(1, FrameRate.parse("29.97"), 48000)
    1602
    """
    return nearest(frame_to_time(frame, rate) * sample_rate_hz)


def frame_to_ms(frame: int, rate: FrameRate) -> int:
    """The millisecond to write for a frame: rounded down.

    A reader by W3C IMSC 1.1 shows a time on the first frame that is not before it, so rounding to
    nearest would land a frame late: frame 2 at 29.97 is 66.733 ms, and 67 is already frame 3.

    >>> frame_to_ms(2, FrameRate.parse("29.97"))
    66
    """
    return frame_to_time(frame, rate) * 1000 // 1


def ms_to_frame(ms: int, rate: FrameRate) -> int:
    """The frame on which a W3C reader shows a millisecond time: the first one not before it.

    >>> ms_to_frame(5100, FrameRate.parse("29.97"))
    153
    """
    return -(-(Fraction(ms, 1000) * rate.value) // 1)


def seconds_shown(left: Fraction) -> int:
    """What a countdown shows with `left` exact seconds to go: the ceiling, never 0 while it runs.

    >>> [seconds_shown(Fraction(n, 2)) for n in (10, 9, 1)]
    [5, 5, 1]
    """
    return -(-left // 1)
