"""The small copy to listen to."""

from __future__ import annotations

import io
from collections.abc import Callable

import numpy as np
import pytest

from overlay.errors import MachineError
from overlay.plan.outputs import ToneSettings
from overlay.timeline.model import Timeline
from overlay.tones.listening import listening_copy

MakeTimeline = Callable[..., Timeline]


def test_a_minute_is_small_and_sounds_right(make_timeline: MakeTimeline, class_beeps: list[tuple[str, str]]) -> None:
    """libsndfile decodes it: a minute, the start's pitch at its place, silence between."""
    soundfile = pytest.importorskip("soundfile")
    data = listening_copy(make_timeline(class_beeps, rate="29.97"), ToneSettings())
    assert len(data) < 100_000
    samples, rate_hz = soundfile.read(io.BytesIO(data))
    assert len(samples) / rate_hz == pytest.approx(60, abs=0.2)
    start = samples[int(6.15 * rate_hz) : int(6.4 * rate_hz)]
    found_hz = np.argmax(np.abs(np.fft.rfft(start * np.hanning(len(start)), 1 << 18))) * rate_hz / (1 << 18)
    assert found_hz == pytest.approx(1318.51, abs=1)
    assert np.max(np.abs(start)) == pytest.approx(10 ** (-17.7 / 20), abs=0.02)
    assert np.max(np.abs(samples[int(10 * rate_hz) : int(20 * rate_hz)])) < 1e-3


def test_two_runs_give_the_same_bytes(make_timeline: MakeTimeline, class_beeps: list[tuple[str, str]]) -> None:
    """Nothing of the machine or the moment is in the file."""
    timeline = make_timeline(class_beeps)
    assert listening_copy(timeline, ToneSettings()) == listening_copy(timeline, ToneSettings())


def test_without_an_encoder_the_machine_is_to_blame(
    make_timeline: MakeTimeline, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A missing encoder, as imageio-ffmpeg reports it, is one clear error with a remedy."""

    def missing() -> str:
        raise RuntimeError("No ffmpeg exe could be found.")

    monkeypatch.setattr("imageio_ffmpeg.get_ffmpeg_exe", missing)
    with pytest.raises(MachineError, match="listening copy") as caught:
        listening_copy(make_timeline([("1", "start")], seconds="3"), ToneSettings())
    assert "imageio-ffmpeg" in (caught.value.remedy or "")
