"""Timecode labels, made from frame numbers only.

Counting rule (SMPTE ST 12-1, restated in W3C TTML2 `ttp:dropMode`): at 29.97 drop-frame the labels
00 and 01 are skipped at second 00 of every minute but minutes 00, 10, 20, 30, 40 and 50; at 59.94
the labels 00 to 03. No picture is ever dropped. Labels run for 24 hours and then start again.
"""

from __future__ import annotations

import re

from overlay.units.rate import Counting, FrameRate

_LABEL = re.compile(r"(\d\d):(\d\d):(\d\d)([:;.])(\d\d)", re.ASCII)


def frame_to_label(frame: int, rate: FrameRate, counting: Counting) -> str:
    """The label of a frame: `HH:MM:SS:FF`, with `;` before the frames when drop-frame.

    `frame` counts from the label 00:00:00:00 and is at least 0; past 24 hours labels start again.

    >>> ntsc = FrameRate.parse("29.97")
    >>> frame_to_label(1800, ntsc, Counting.DROP), frame_to_label(1800, ntsc, Counting.NON_DROP)
    ('00:01:00;02', '00:01:00:00')
    """
    if frame < 0:
        raise ValueError("a frame before 00:00:00:00 has no label")
    skipped = _labels_skipped_a_minute(rate, counting)
    separator = ";" if skipped else ":"
    nominal = rate.nominal
    if skipped:
        a_minute = 60 * nominal - skipped
        ten_minutes = 10 * a_minute + skipped
        tens, rest = divmod(frame, ten_minutes)
        minutes_with_skip = max(0, (rest - skipped) // a_minute)
        frame += skipped * (9 * tens + minutes_with_skip)
    seconds, frames = divmod(frame, nominal)
    minutes, seconds = divmod(seconds, 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours % 24:02}:{minutes:02}:{seconds:02}{separator}{frames:02}"


def label_to_frame(label: str, rate: FrameRate, counting: Counting) -> int:
    """The frame that a label names, counted from 00:00:00:00.

    Raises ValueError for a label that does not exist: a wrong form, minutes or seconds over 59,
    frames at or over the nominal rate, or one that drop-frame counting skips.

    >>> label_to_frame("01:00:00;00", FrameRate.parse("29.97"), Counting.DROP)
    107892
    """
    match = _LABEL.fullmatch(label.strip())
    if match is None:
        raise ValueError(f"{label} is not a timecode: write it as HH:MM:SS:FF")
    hours, minutes, seconds, frames = (int(match[group]) for group in (1, 2, 3, 5))
    if hours > 23 or minutes > 59 or seconds > 59 or frames >= rate.nominal:
        raise ValueError(f"{label} does not exist at {rate.nominal} frames a second")
    skipped = _labels_skipped_a_minute(rate, counting)
    if match[4] != ":" and not skipped:
        raise ValueError(f"{label} is written as drop-frame, but the counting is non-drop")
    if minutes % 10 and not seconds and frames < skipped:
        raise ValueError(f"{label} does not exist: drop-frame counting skips it")
    minutes += 60 * hours
    whole = (60 * minutes + seconds) * rate.nominal + frames
    return whole - skipped * (minutes - minutes // 10)


def _labels_skipped_a_minute(rate: FrameRate, counting: Counting) -> int:
    if counting is Counting.NON_DROP:
        return 0
    if not rate.can_drop:
        raise ValueError("drop-frame counting exists at 29.97 and 59.94 frames a second only")
    return rate.nominal // 15
