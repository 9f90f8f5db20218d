"""A leader with its sync pop moves everything, and everything by the same."""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest
import soundfile
import srt

from overlay.pipeline import Built, build

PLAN = """\
overlay: 1
title: Small class
video: {size: 640x360, frame_rate: RATE, start: "01:00:00:00"}
timing: {work: 4s, preview: 4s}
blocks: [{intervals: [{name: Row, cues: [{at: 1s, say: Pull}]}]}]
closing: {length: 2s}
"""
OUTPUTS = ["captions", "tones", "timer", "titles"]


def built(folder: Path, rate: str, tones: str) -> Built:
    folder.mkdir()
    plan = folder / "small.yaml"
    plan.write_text(PLAN.replace("RATE", rate) + tones, encoding="utf-8")
    return build(plan, only=OUTPUTS)


@pytest.mark.parametrize("rate", ["25", "29.97", "59.94"])
def test_a_leader_moves_everything_alike(tmp_path: Path, rate: str) -> None:
    """Segments, beeps and captions stand later by the leader's frames, the picture flashes with the pop,
    and the pop stands two seconds of frames before class zero (the 2-pop: one frame of 1 kHz)."""
    without, with_ = (
        built(tmp_path / name, rate, tones) for name, tones in (("a", ""), ("b", "tones: {leader: true}\n"))
    )
    plain, led = (json.loads((one.folder / "timeline.json").read_text("utf-8")) for one in (without, with_))
    exact = Fraction(plain["frame_rate"])
    assert [segment["kind"] for segment in led["segments"]] == ["leader", *(s["kind"] for s in plain["segments"])]
    zero = led["segments"][1]["start_frame"]
    assert zero == int(3 * exact + Fraction(1, 2))
    pop, *others = led["beeps"]
    assert pop["kind"] == "pop"
    assert zero - pop["frame"] == round(2 * exact)
    for moved, still in zip(others, plain["beeps"], strict=True):
        assert (moved["kind"], moved["frame"]) == (still["kind"], still["frame"] + zero)
    for moved, still in zip(led["segments"][1:], plain["segments"], strict=True):
        assert moved["end_frame"] == still["end_frame"] + zero
    for moved, still in zip(led["cues"], plain["cues"], strict=True):
        assert moved["start_frame"] == still["start_frame"] + zero
    starts = [
        next(iter(srt.parse((one.folder / "captions" / "en.srt").read_text("utf-8")))).start for one in (without, with_)
    ]
    assert abs((starts[1] - starts[0]).total_seconds() - 3) < 0.04

    for layer in ("timer", "titles"):
        with av.open(str(with_.folder / "pictures" / f"{layer}.mov")) as container:
            white = [
                number
                for number, frame in enumerate(container.decode(video=0))
                if frame.to_ndarray(format="rgba").min() > 250
            ]
        assert white == [pop["frame"]]

    samples, sample_rate = soundfile.read(with_.folder / "tones" / "tones.wav")
    loud = np.flatnonzero(np.abs(samples[:, 0]) > 0)
    begin, end = (int(Fraction(pop["frame"] + n) / exact * sample_rate + Fraction(1, 2)) for n in (0, 1))
    assert begin <= loud[0] <= begin + 2
    assert loud[loud < end + 100][-1] < end
    spectrum = np.abs(np.fft.rfft(samples[begin:end, 0], 48000))
    assert abs(int(spectrum.argmax()) - 1000) <= 5


def test_without_a_leader_nothing_flashes(tmp_path: Path) -> None:
    """No pop, no white frame."""
    one = built(tmp_path / "a", "25", "")
    assert all(beep.kind.value != "pop" for beep in one.timeline.beeps)
    assert one.timeline.flash_frame is None
