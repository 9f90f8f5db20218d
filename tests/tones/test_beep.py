"""The sound of each kind of beep."""

from __future__ import annotations

import itertools
import math
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlay.plan.outputs import Sound, Sounds, ToneSettings
from overlay.tones.beep import Shape, pop_shape, sound_to_shape, voice
from overlay.tones.loudness import Samples, beep_loudness

RATES_HZ = (44100, 48000, 96000)
KINDS = tuple(Sounds.model_fields)
# ISO 16 (A4 = 440 Hz) in equal temperament, rounded to a hundredth; from memory of the usual table.
NOTES_HZ = {"D5": 587.33, "E5": 659.26, "F#5": 739.99, "A5": 880.0, "B5": 987.77, "C#6": 1108.73, "E6": 1318.51}
PITCHES = {"ready": "A5", "start": "E6", "change": "C#6", "stop": "E5", "half": "B5", "last": "F#5", "finish": "D5"}


def shape_of(kind: str, rate_hz: int = 48000) -> Shape:
    return sound_to_shape(ToneSettings().sound(kind), ToneSettings().loudness, rate_hz)


def pip_of(shape: Shape) -> Samples:
    return voice(shape, ToneSettings().ceiling).samples[: shape.pip_samples]


def oversampled_peak_dbfs(samples: Samples) -> float:
    """The peak after eight times oversampling through the spectrum, by scipy."""
    signal = pytest.importorskip("scipy.signal")
    padded = np.concatenate((np.zeros(512), samples, np.zeros(512)))
    return float(20 * np.log10(np.max(np.abs(signal.resample(padded, 8 * len(padded))))))


@pytest.mark.parametrize("rate_hz", RATES_HZ)
@pytest.mark.parametrize("kind", KINDS)
def test_pitch_is_equal_tempered(kind: str, rate_hz: int) -> None:
    """The strongest frequency of each kind is its note by ISO 16, within 0.5 Hz, from 500 to 1500 Hz."""
    pip = pip_of(shape_of(kind, rate_hz))
    size = 1 << 21
    found_hz = float(np.argmax(np.abs(np.fft.rfft(pip * np.hanning(len(pip)), size)))) * rate_hz / size
    assert found_hz == pytest.approx(NOTES_HZ[PITCHES[kind]], abs=0.5)
    assert 500 <= found_hz <= 1500


def test_kinds_are_told_apart_by_count_and_length_alone() -> None:
    """Any two kinds differ in how many pips they have, or by at least half in how long a pip is."""
    sounds = [ToneSettings().sound(kind) for kind in KINDS]
    for one, other in itertools.combinations(sounds, 2):
        shorter, longer = sorted((one.length, other.length))
        assert one.count != other.count or longer / shorter >= Fraction(3, 2)


@pytest.mark.parametrize("rate_hz", RATES_HZ)
@pytest.mark.parametrize("kind", KINDS)
def test_edges_are_silent_and_the_next_sample_is_not(kind: str, rate_hz: int) -> None:
    """First and last sample are zero, edges last 10 ms or more, and a 24-bit file shows the second sample."""
    shape = shape_of(kind, rate_hz)
    samples = voice(shape, ToneSettings().ceiling).samples
    assert samples[0] == samples[-1] == 0
    assert abs(np.rint(samples[1] * 2**23)) >= 1
    assert shape.edge_samples >= rate_hz / 100


@pytest.mark.parametrize("kind", KINDS)
def test_no_click(kind: str) -> None:
    """Energy outside an octave around each partial is at least 60 dB below the whole."""
    shape = shape_of(kind)
    samples = voice(shape, ToneSettings().ceiling).samples
    energy = np.abs(np.fft.rfft(samples, 1 << 18)) ** 2
    frequencies_hz = np.fft.rfftfreq(1 << 18, 1 / 48000)
    outside = np.ones(len(energy), dtype=bool)
    for partial in range(1, len(shape.partials) + 1):
        octaves = np.abs(np.log2(np.maximum(frequencies_hz, 1) / (partial * shape.pitch_hz)))
        outside &= octaves > 0.5
    assert 10 * math.log10(np.sum(energy[outside]) / np.sum(energy)) <= -60


def test_kinds_sound_equally_loud() -> None:
    """Every kind's pip is at the loudness of all tones, though peaks differ."""
    for kind in KINDS:
        assert beep_loudness(pip_of(shape_of(kind)), 48000) == pytest.approx(-18, abs=0.01)


def test_the_ceiling_comes_before_the_loudness() -> None:
    """A loudness that does not fit under the ceiling is not reached, and the voice says so."""
    loud = voice(sound_to_shape(Sound(), -8.0, 48000), -12.0)
    assert loud.loudness_lufs < -8
    assert -12.1 <= oversampled_peak_dbfs(loud.samples) <= -12


def test_pips_stand_where_the_spacing_says() -> None:
    """At 44.1 kHz a spacing of 1/7 s is no whole number of samples: each pip is placed from the first."""
    sound = Sound.model_validate({"count": "4", "spacing": "0.143", "length": "0.1"})
    shape = sound_to_shape(sound, -18.0, 44100)
    assert shape.pip_starts == (0, 6306, 12613, 18919)


@pytest.mark.parametrize(("frame_samples", "edge_samples"), [(1920, 480), (1602, 480), (800, 400)])
def test_the_pop_is_one_frame_of_1_khz(frame_samples: int, edge_samples: int) -> None:
    """A 2-pop: 1 kHz for exactly one frame; at 59.94 a frame has no room for two edges of 10 ms."""
    shape = pop_shape(frame_samples, -18.0, 48000)
    pip = voice(shape, -6.0).samples
    assert len(pip) == frame_samples
    assert shape.edge_samples == edge_samples
    assert pip[0] == pip[-1] == 0
    found_hz = float(np.argmax(np.abs(np.fft.rfft(pip, 1 << 20)))) * 48000 / (1 << 20)
    assert found_hz == pytest.approx(1000, abs=5)


def _durations(least_ms: int, most_ms: int) -> st.SearchStrategy[str]:
    return st.integers(least_ms, most_ms).map(lambda ms: f"{ms / 1000:.3f}")


@st.composite
def _legal_sounds(draw: st.DrawFn) -> dict[str, object]:
    fade_ms = draw(st.integers(10, 60))
    length_ms = draw(st.integers(2 * fade_ms, 400))
    return {
        "count": str(draw(st.integers(1, 3))),
        "fade": f"{fade_ms / 1000:.3f}",
        "length": f"{length_ms / 1000:.3f}",
        "spacing": draw(_durations(length_ms, 800)),
        "pitch": draw(st.sampled_from(["C4", "Bb5", "2500", "250", "1319.7 Hz", "D#7"])),
        "partials": ["1"] + [f"{level:.2f}" for level in draw(st.lists(st.floats(0, 1), max_size=7))],
        "loudness": draw(st.sampled_from(["-40", "-18 LUFS", "-8"])),
    }


@settings(max_examples=60)
@given(
    sound=_legal_sounds(),
    ceiling=st.sampled_from(["-1", "-6 dBTP", "-30"]),
    rate_hz=st.sampled_from(RATES_HZ),
)
def test_any_legal_sound_is_finite_silent_at_both_ends_and_below_the_ceiling(
    sound: dict[str, object], ceiling: str, rate_hz: int
) -> None:
    """Whatever a plan may ask for."""
    given_settings = ToneSettings.model_validate({"sounds": {"start": sound}, "ceiling": ceiling})
    shape = sound_to_shape(given_settings.sound("start"), given_settings.loudness, rate_hz)
    rendered = voice(shape, given_settings.ceiling)
    assert np.all(np.isfinite(rendered.samples))
    assert rendered.samples[0] == rendered.samples[-1] == 0
    assert oversampled_peak_dbfs(rendered.samples) <= given_settings.ceiling
    loudness_lufs = beep_loudness(rendered.samples[: shape.pip_samples], rate_hz)
    assert loudness_lufs == pytest.approx(rendered.loudness_lufs, abs=1e-6)
    assert loudness_lufs <= shape.loudness_lufs + 1e-6
