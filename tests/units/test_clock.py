"""The one clock: durations as written, and every step from time to frame, sample and millisecond."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlay.units.clock import (
    format_duration,
    frame_to_ms,
    frame_to_sample,
    frame_to_time,
    ms_to_frame,
    nearest,
    parse_duration,
    seconds_shown,
    time_to_frame,
)
from overlay.units.rate import RATE_NAMES, FrameRate

RATES = [FrameRate.parse(name) for name in RATE_NAMES]


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("40s", 40), ("1m30s", 90), ("1:30", 90), ("0:45", 45), ("1:02:00", 3720), ("2.5s", Fraction(5, 2)),
        ("90", 90), ("0:30", 30), ("01:30", 90), ("1:05", 65), ("90:00", 5400), ("1:30.5", Fraction(181, 2)),
        ("12:30:45", 45045), ("00:01:30", 90), ("1h", 3600), ("1 m 30 s", 90), ("2 min", 120), ("010", 10),
        ("1m", 60), ("1h5s", 3605), ("0", 0), ("0s", 0),
    ],
)  # fmt: skip
def test_durations_as_people_write_them(text: str, seconds: Fraction) -> None:
    """One reader for every form; a leading zero or a third part never changes the meaning."""
    assert parse_duration(text) == seconds


@pytest.mark.parametrize(
    "text",
    [
        "1:75",
        "1:5",
        "1m90s",
        "1h60m",
        "1:60:00",
        "",
        "s",
        "1:2:3:4",
        "abc",
        "1,5s",
        "1e3",
        "inf",
        "nan",
        "5x",
        "1m1m",
        "+1:30",
        "-5s",
        "٣s",
    ],
)
def test_what_is_no_duration(text: str) -> None:
    """Anything else is refused, never guessed."""
    with pytest.raises(ValueError, match=r"duration|seconds|minutes|digits|over 59"):
        parse_duration(text)


@given(st.fractions(min_value=0, max_value=43200, max_denominator=1000))
def test_a_written_duration_is_read_back(seconds: Fraction) -> None:
    """What we print, we read: to the millisecond."""
    shown = Fraction(nearest(seconds * 1000), 1000)
    assert parse_duration(format_duration(shown)) == shown


@pytest.mark.parametrize(("half", "whole"), [(1, 1), (3, 2), (5, 3)])
def test_halves_go_up(half: int, whole: int) -> None:
    """0.5, 1.5, 2.5 become 1, 2, 3: not 0, 2, 2 as rounding half to even would have it."""
    assert nearest(Fraction(half, 2)) == whole


@pytest.mark.parametrize(("name", "time", "frames"), [("25", "4.6", 115), ("30", "8.3", 249)])
def test_frame_counts_that_floats_get_wrong(name: str, time: str, frames: int) -> None:
    """int(4.6 * 25) is 114 and arange(0, 8.3, 1/30) has 250 values: both measured, both off by one."""
    assert time_to_frame(Fraction(time), FrameRate.parse(name)) == frames


def test_every_frame_appears_once() -> None:
    """Frames 1 to 1001 at 29.97 through time and back: none skipped, none doubled."""
    rate = FrameRate.parse("29.97")
    assert [time_to_frame(frame_to_time(frame, rate), rate) for frame in range(1, 1002)] == list(range(1, 1002))


def test_an_hour_at_23_976_is_86314_frames() -> None:
    """3600 s x 24000/1001 = 86313.69: a rate written as 23.98 would be half a second off."""
    assert time_to_frame(Fraction(3600), FrameRate.parse("23.976")) == 86314


def test_the_worked_example_of_imsc() -> None:
    """W3C IMSC 1.1, Synchronization: 5.1 s at 29.97 shows on ceil(5.1 x 30000/1001) = 153."""
    assert ms_to_frame(5100, FrameRate.parse("29.97")) == 153


@pytest.mark.parametrize("rate", RATES, ids=str)
def test_a_written_millisecond_shows_on_its_frame(rate: FrameRate) -> None:
    """Floored milliseconds land on their own frame at every rate; the nearest ones do not."""
    frames = range(10_000)
    assert all(ms_to_frame(frame_to_ms(frame, rate), rate) == frame for frame in frames)


@pytest.mark.parametrize(
    ("name", "wrong"), [("24", 333), ("23.976", 480), ("30", 333), ("59.94", 492), ("60", 333), ("25", 0), ("50", 0)]
)
def test_why_milliseconds_are_floored(name: str, wrong: int) -> None:
    """Computed from IMSC's rule: how many of the first 999 frames Python's nearest millisecond misses."""
    rate = FrameRate.parse(name)
    nearest_ms = (round(frame_to_time(frame, rate) * 1000) for frame in range(1, 1000))
    assert sum(ms_to_frame(ms, rate) != frame for frame, ms in enumerate(nearest_ms, 1)) == wrong


@pytest.mark.parametrize(
    ("name", "tenths"),
    [("24", 20000), ("25", 19200), ("30", 16000), ("23.976", 20020), ("29.97", 16016), ("59.94", 8008)],
)
def test_samples_in_a_frame(name: str, tenths: int) -> None:
    """Samples a frame at 48 kHz, computed: 1601.6 at 29.97. Ten frames are whole to a sample."""
    assert frame_to_sample(10, FrameRate.parse(name), 48000) == tenths


@given(st.integers(0, 10**6), st.sampled_from(RATES), st.sampled_from([44100, 48000, 96000]))
def test_samples_are_nearest(frame: int, rate: FrameRate, sample_rate_hz: int) -> None:
    """A frame's sample is never more than half a sample from its exact time."""
    exact = frame_to_time(frame, rate) * sample_rate_hz
    assert abs(frame_to_sample(frame, rate, sample_rate_hz) - exact) <= Fraction(1, 2)


@pytest.mark.parametrize(
    ("left", "shown"), [("5", 5), ("4.999", 5), ("4.001", 5), ("4", 4), ("0.001", 1), ("1", 1), ("4.5", 5)]
)
def test_a_countdown_shows_the_ceiling(left: str, shown: int) -> None:
    """5 for the first second of five, 1 for the last; 0 is never shown while it runs."""
    assert seconds_shown(Fraction(left)) == shown
