"""Labels against published figures and an independent library."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from timecode import Timecode

from overlay.units.rate import RATE_NAMES, Counting, FrameRate
from overlay.units.timecode import frame_to_label, label_to_frame

NTSC, NTSC_60 = FrameRate.parse("29.97"), FrameRate.parse("59.94")

# Worked figures: OpenTimelineIO tests/test_opentime.py `test_timecode_ntsc_2997fps`; the rest
# computed from the counting rule of SMPTE ST 12-1.
DROP_29_97 = {
    0: "00:00:00;00",
    1799: "00:00:59;29",
    1800: "00:01:00;02",
    3597: "00:01:59;29",
    3598: "00:02:00;02",
    10789: "00:05:59;29",
    10790: "00:06:00;02",
    17981: "00:09:59;29",
    17982: "00:10:00;00",
    17983: "00:10:00;01",
    107891: "00:59:59;29",
    107892: "01:00:00;00",
    1084319: "10:03:00;05",
    2589407: "23:59:59;29",
}
NON_DROP_29_97 = {
    0: "00:00:00:00",
    1799: "00:00:59:29",
    1800: "00:01:00:00",
    10789: "00:05:59:19",
    10790: "00:05:59:20",
    17981: "00:09:59:11",
    17982: "00:09:59:12",
    17983: "00:09:59:13",
    1084319: "10:02:23:29",
}
DROP_59_94 = {
    1084319: "05:01:30;03",
    3599: "00:00:59;59",
    3600: "00:01:00;04",
    35963: "00:09:59;59",
    35964: "00:10:00;00",
}


@pytest.mark.parametrize(
    ("rate", "counting", "figures"),
    [
        (NTSC, Counting.DROP, DROP_29_97),
        (NTSC, Counting.NON_DROP, NON_DROP_29_97),
        (NTSC_60, Counting.DROP, DROP_59_94),
    ],
)
def test_worked_figures(rate: FrameRate, counting: Counting, figures: dict[int, str]) -> None:
    """Every worked figure holds in both directions."""
    assert {frame: frame_to_label(frame, rate, counting) for frame in figures} == figures
    assert {label_to_frame(label, rate, counting): label for label in figures.values()} == figures


def test_sequence_of_ttml2() -> None:
    """W3C TTML2, `ttp:dropMode`: 01:08:59;28, 01:08:59;29, 01:09:00;02, 01:09:00;03."""
    first = label_to_frame("01:08:59;28", NTSC, Counting.DROP)
    labels = [frame_to_label(first + n, NTSC, Counting.DROP) for n in range(4)]
    assert labels == ["01:08:59;28", "01:08:59;29", "01:09:00;02", "01:09:00;03"]


@pytest.mark.parametrize(("rate", "in_an_hour"), [(NTSC, 107_892), (NTSC_60, 215_784)])
def test_an_hour_of_drop_frame(rate: FrameRate, in_an_hour: int) -> None:
    """An hour of labels: 108 skipped at 29.97 (2 x 60 - 2 x 6), twice that at 59.94."""
    assert label_to_frame("01:00:00;00", rate, Counting.DROP) == in_an_hour
    assert frame_to_label(24 * in_an_hour, rate, Counting.DROP) == "00:00:00;00"


COUNTINGS = [
    *((name, Counting.NON_DROP) for name in RATE_NAMES if name != "47.952"),
    ("29.97", Counting.DROP),
    ("59.94", Counting.DROP),
]


@pytest.mark.parametrize(("name", "counting"), COUNTINGS)
@given(data=st.data())
def test_against_the_library_timecode(name: str, counting: Counting, data: st.DataObject) -> None:
    """PyPI `timecode`, used from frame counts (it numbers frames from 1)."""
    rate = FrameRate.parse(name)
    frame = data.draw(st.integers(0, 12 * 3600 * rate.nominal))
    other = Timecode(name, frames=frame + 1, force_non_drop_frame=counting is Counting.NON_DROP)
    assert frame_to_label(frame, rate, counting).replace(";", ":") == str(other).replace(";", ":")


@pytest.mark.parametrize(("name", "counting"), [*COUNTINGS, ("47.952", Counting.NON_DROP)])
@given(data=st.data())
def test_labels_name_frames(name: str, counting: Counting, data: st.DataObject) -> None:
    """A label leads back to its frame, for a whole day of labels."""
    rate = FrameRate.parse(name)
    frame = data.draw(st.integers(0, 23 * 3600 * rate.nominal))
    assert label_to_frame(frame_to_label(frame, rate, counting), rate, counting) == frame


@pytest.mark.parametrize(
    ("label", "counting"),
    [
        ("00:01:00;00", Counting.DROP),
        ("00:01:00;01", Counting.DROP),
        ("00:00:00:30", Counting.NON_DROP),
        ("00:60:00:00", Counting.NON_DROP),
        ("00:00:60:00", Counting.NON_DROP),
        ("24:00:00:00", Counting.NON_DROP),
        ("0:00:00:00", Counting.NON_DROP),
        ("00:00:00;00", Counting.NON_DROP),
        ("noon", Counting.NON_DROP),
    ],
)
def test_labels_that_do_not_exist(label: str, counting: Counting) -> None:
    """Skipped labels, numbers over their range and other forms are refused."""
    with pytest.raises(ValueError, match=label.split(":")[0]):
        label_to_frame(label, NTSC, counting)


@pytest.mark.parametrize("name", ["23.976", "24", "25", "30", "50", "60"])
def test_drop_frame_exists_at_two_rates_only(name: str) -> None:
    """OpenTimelineIO `dropframe_timecode_rates`: 30000/1001 and 60000/1001, no other."""
    with pytest.raises(ValueError, match=r"29\.97 and 59\.94"):
        frame_to_label(0, FrameRate.parse(name), Counting.DROP)


def test_frames_before_zero_have_no_label() -> None:
    """Negative times have no timecode."""
    with pytest.raises(ValueError, match="before"):
        frame_to_label(-1, NTSC, Counting.DROP)
