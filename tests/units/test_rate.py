"""Frame rates as they are written."""

from __future__ import annotations

from fractions import Fraction

import pytest

from overlay.units.rate import RATE_NAMES, FrameRate


def test_the_rates_that_timecode_labels() -> None:
    """The ten rates of SMPTE ST 12-1 as OpenTimelineIO's `smpte_timecode_rates` lists them."""
    ntsc = [Fraction(nominal * 1000, 1001) for nominal in (24, 30, 48, 60)]
    assert {FrameRate.parse(name).value for name in RATE_NAMES} == {24, 25, 30, 48, 50, 60, *ntsc}


@pytest.mark.parametrize("text", ["29.97", "30000/1001", "29.970", "29.97 fps"])
def test_one_rate_in_many_spellings(text: str) -> None:
    """29.97 is 30000/1001, however it is written."""
    assert FrameRate.parse(text) == FrameRate(Fraction(30000, 1001))


@pytest.mark.parametrize("text", ["29", "29.9", "0", "-25", "25.5", "1/0", "abc", ""])
def test_rates_without_labels(text: str) -> None:
    """A rate that timecode cannot label is refused."""
    with pytest.raises(ValueError, match="not a frame rate"):
        FrameRate.parse(text)
