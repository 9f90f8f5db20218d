"""Timelines built from the model, and the readers that tests share."""

from __future__ import annotations

import subprocess
from collections.abc import Callable, Iterable, Sequence
from fractions import Fraction
from pathlib import Path

import pytest

from overlay.timeline.model import Beep, BeepKind, Cue, CueKind, Segment, SegmentKind, Timeline
from overlay.units.clock import frame_to_sample, time_to_frame
from overlay.units.raster import Size
from overlay.units.rate import Counting, FrameRate
from overlay.units.span import Span
from overlay.words.phrases import phrases_of

MakeTimeline = Callable[..., Timeline]


def _timeline(
    beeps: Iterable[tuple[str, str]],
    *,
    rate: str = "25",
    seconds: str = "60",
    sample_rate_hz: int = 48000,
    start_frame: int = 0,
    cues: Sequence[tuple[str, str, str]] = (),
    title: str = "Desk break",
) -> Timeline:
    """A class of one stretch with (seconds, kind) beeps and (start, end, language) cues."""
    frame_rate = FrameRate.parse(rate)

    def frame(time: str) -> int:
        return time_to_frame(Fraction(time), frame_rate)

    def beep(time: str, kind: str) -> Beep:
        return Beep(frame(time), BeepKind(kind), frame_to_sample(frame(time), frame_rate, sample_rate_hz))

    stretch = Segment(SegmentKind.WORK, Span(0, frame(seconds)), Fraction(0), Fraction(seconds))
    return Timeline(
        title=title,
        language="en",
        languages=("en", "es"),
        phrases=phrases_of("en"),
        size=Size(1920, 1080),
        rate=frame_rate,
        counting=Counting.DROP if frame_rate.can_drop else Counting.NON_DROP,
        start_frame=start_frame,
        sample_rate_hz=sample_rate_hz,
        segments=(stretch,),
        beeps=tuple(beep(*given) for given in beeps),
        cues=tuple(
            Cue(language, CueKind.CUE, Span(frame(start), frame(end)), "Sit tall.") for start, end, language in cues
        ),
    )


@pytest.fixture(scope="session")
def make_timeline() -> MakeTimeline:
    """Builds a timeline: `make_timeline([("2", "start"), ("12.5", "stop")], rate="29.97")`."""
    return _timeline


@pytest.fixture(scope="session")
def class_beeps() -> list[tuple[str, str]]:
    """A minute with every kind that stands today, at times that fall between frames."""
    ready = [("3.1", "ready"), ("4.1", "ready"), ("5.1", "ready")]
    return [*ready, ("6.1", "start"), ("26.37", "change"), ("46.61", "stop"), ("49.3", "ready"), ("52.3", "start")]


@pytest.fixture(scope="session")
def ffmpeg_log() -> Callable[..., str]:
    """Runs the ffmpeg program of the wheels over a file and gives its report."""
    imageio_ffmpeg = pytest.importorskip("imageio_ffmpeg", reason="no ffmpeg program among the wheels")
    program = imageio_ffmpeg.get_ffmpeg_exe()

    def run(path: Path, audio_filter: str) -> str:
        command = [program, "-hide_banner", "-nostats", "-i", str(path), "-af", audio_filter, "-f", "null", "-"]
        return subprocess.run(command, capture_output=True, text=True, check=True).stderr

    return run
