"""Loudness and true peak against published figures and other libraries."""

from __future__ import annotations

import math
import re
from pathlib import Path

import numpy as np
import pytest

from overlay.tones.beep import raised_cosine
from overlay.tones.loudness import LoudnessMeter, Samples, TruePeakMeter, beep_loudness, k_weighting

RATES_HZ = (44100, 48000, 96000)


def sine(level_dbfs: float, seconds: float, rate_hz: int = 48000, pitch_hz: float = 1000.0) -> Samples:
    """A sine of a peak level."""
    return 10 ** (level_dbfs / 20) * np.sin(2 * np.pi * pitch_hz * np.arange(round(seconds * rate_hz)) / rate_hz)


def stereo(mono: Samples) -> Samples:
    return np.column_stack((mono, mono))


def steps(*levels: tuple[float, float], rate_hz: int = 48000) -> Samples:
    return np.concatenate([sine(level_dbfs, seconds, rate_hz) for level_dbfs, seconds in levels])


def metered(mono: Samples, rate_hz: int = 48000, piece_samples: int = 70_001) -> LoudnessMeter:
    """A meter that was fed a signal in both channels, in pieces."""
    meter = LoudnessMeter(rate_hz)
    for start in range(0, len(mono), piece_samples):
        meter.feed(stereo(mono[start : start + piece_samples]))
    return meter


def test_the_filters_are_those_of_the_standard() -> None:
    """ITU-R BS.1770-4, tables 1 and 2 (48 kHz)."""
    (shelf_b, shelf_a), (pass_b, pass_a) = k_weighting(48000)
    assert shelf_b == pytest.approx((1.53512485958697, -2.69169618940638, 1.19839281085285), abs=1e-11)
    assert shelf_a == pytest.approx((-1.69065929318241, 0.73248077421585), abs=1e-11)
    assert pass_b == (1.0, -2.0, 1.0)
    assert pass_a == pytest.approx((-1.99004745483398, 0.99007225036621), abs=1e-11)


@pytest.mark.parametrize("rate_hz", RATES_HZ)
def test_full_scale_in_one_channel_reads_3_lu_below(rate_hz: int) -> None:
    """ITU-R BS.1770-5, annex 1: 997 Hz at 0 dBFS in one of left, right, centre reads -3.01 LKFS."""
    meter = LoudnessMeter(rate_hz)
    tone = sine(0, 3, rate_hz, 997)
    meter.feed(np.column_stack((tone, np.zeros(len(tone)))))
    assert meter.integrated_lufs == pytest.approx(-3.01, abs=0.03)


TECH_3341 = {
    1: steps((-23, 20)),
    2: steps((-33, 20)),
    3: steps((-36, 10), (-23, 60), (-36, 10)),
    4: steps((-72, 10), (-36, 10), (-23, 60), (-36, 10), (-72, 10)),
    5: steps((-26, 20), (-20, 20.1), (-26, 20)),
}


@pytest.mark.parametrize("number", TECH_3341)
def test_ebu_tech_3341_integrated(number: int) -> None:
    """EBU Tech 3341, signals 1 to 5 (made here): -23.0, -33.0, -23.0, -23.0, -23.0 LUFS, each ±0.1."""
    meter = metered(TECH_3341[number])
    assert meter.integrated_lufs == pytest.approx(-33 if number == 2 else -23, abs=0.1)


@pytest.mark.parametrize("rate_hz", RATES_HZ)
def test_ebu_tech_3341_momentary(rate_hz: int) -> None:
    """EBU Tech 3341: signals 1 and 2 steady, signal 12 (-20 for 0.18 s, -30 for 0.22 s) -23.0 ±0.1 LUFS."""
    assert metered(sine(-23, 2, rate_hz), rate_hz).momentary_max_lufs == pytest.approx(-23, abs=0.1)
    assert metered(sine(-33, 2, rate_hz), rate_hz).momentary_max_lufs == pytest.approx(-33, abs=0.1)
    pulses = steps(*[(-20, 0.18), (-30, 0.22)] * 25, rate_hz=rate_hz)
    assert metered(pulses, rate_hz).momentary_max_lufs == pytest.approx(-23, abs=0.1)


@pytest.mark.parametrize("piece_samples", [1000, 4799, 100_000])
def test_readings_do_not_depend_on_the_pieces(piece_samples: int) -> None:
    """A signal cut anywhere reads the same."""
    noise = np.random.default_rng(5).normal(0, 0.05, 100_000)
    whole, cut = metered(noise, piece_samples=len(noise)), metered(noise, piece_samples=piece_samples)
    assert cut.integrated_lufs == pytest.approx(whole.integrated_lufs, abs=1e-9)
    assert cut.momentary_max_lufs == pytest.approx(whole.momentary_max_lufs, abs=1e-9)


def test_nothing_heard_reads_minus_infinity() -> None:
    """Silence, and a signal shorter than one gating block."""
    assert metered(np.zeros(96000)).integrated_lufs == -math.inf
    assert metered(np.zeros(96000)).momentary_max_lufs == -math.inf
    assert metered(sine(-20, 0.3)).integrated_lufs == -math.inf


@pytest.mark.parametrize("rate_hz", RATES_HZ)
@pytest.mark.parametrize("pitch_hz", [500.0, 880.0, 1480.0, 2500.0])
def test_pyloudnorm_agrees(rate_hz: int, pitch_hz: float) -> None:
    """Our loudness of a long tone and that of the library pyloudnorm: within 0.2 LU."""
    pyloudnorm = pytest.importorskip("pyloudnorm")
    tone = sine(-12, 4, rate_hz, pitch_hz)
    theirs = pyloudnorm.Meter(rate_hz).integrated_loudness(stereo(tone))
    assert beep_loudness(tone, rate_hz) == pytest.approx(theirs, abs=0.2)
    assert metered(tone, rate_hz).integrated_lufs == pytest.approx(theirs, abs=0.2)


def test_pyloudnorm_agrees_on_a_gated_signal() -> None:
    """Noise with quiet stretches, so that both gates have work to do."""
    pyloudnorm = pytest.importorskip("pyloudnorm")
    noise = np.random.default_rng(7).normal(0, 1, 48000 * 12)
    noise *= np.repeat([0.1, 0.0001, 0.02, 0.06, 0.00001, 0.05], 96000)
    theirs = pyloudnorm.Meter(48000).integrated_loudness(stereo(noise))
    assert metered(noise).integrated_lufs == pytest.approx(theirs, abs=0.05)


def test_the_absolute_gate() -> None:
    """A minute at -75 LUFS does not count beside two seconds at -60: pyloudnorm gates it too."""
    pyloudnorm = pytest.importorskip("pyloudnorm")
    signal = steps((-75, 60), (-60, 2))
    theirs = pyloudnorm.Meter(48000).integrated_loudness(stereo(signal))
    assert metered(signal).integrated_lufs == pytest.approx(-60, abs=0.6)
    assert metered(signal).integrated_lufs == pytest.approx(theirs, abs=0.05)


def test_ffmpeg_agrees(tmp_path: Path, ffmpeg_log: object) -> None:
    """FFmpeg's ebur128 on a long tone with soft edges: loudness within 0.2 LU, true peak within 0.1 dB."""
    soundfile = pytest.importorskip("soundfile")
    tone = sine(-9, 5, 48000, 1318.51)
    edge = raised_cosine(720)
    tone[:720] *= edge
    tone[-720:] *= edge[::-1]
    soundfile.write(tmp_path / "tone.wav", stereo(tone), 48000, subtype="PCM_24")
    log = ffmpeg_log(tmp_path / "tone.wav", "ebur128=peak=true")
    momentary_lufs = max(float(level) for level in re.findall(r"M:\s*(-?[\d.]+)", log))
    peak_dbtp = float(re.findall(r"Peak:\s*(-?[\d.]+) dBFS", log)[-1])
    peak = TruePeakMeter()
    peak.feed(stereo(tone))
    assert beep_loudness(tone, 48000) == pytest.approx(momentary_lufs, abs=0.2)
    assert metered(tone).momentary_max_lufs == pytest.approx(momentary_lufs, abs=0.1)
    assert peak.true_peak_dbtp == pytest.approx(peak_dbtp, abs=0.1)


def test_a_short_beep_is_measured_over_itself() -> None:
    """A meter's window reads 100 ms of a tone 6.0 LU low (10 log 100/400); our beep loudness does not."""
    long, short = sine(-20, 4), sine(-20, 0.1)
    window = metered(np.append(short, np.zeros(24000))).momentary_max_lufs
    assert beep_loudness(short, 48000) == pytest.approx(beep_loudness(long, 48000), abs=0.1)
    assert window == pytest.approx(beep_loudness(short, 48000) - 6.02, abs=0.1)


@pytest.mark.parametrize(
    ("divisor", "phase_degrees", "gain", "expected_dbtp"),
    [(4, 0, 0.5, -6), (4, 45, 0.5, -6), (6, 60, 0.5, -6), (8, 67.5, 0.5, -6), (4, 45, 1.41, 3)],
)
def test_ebu_tech_3341_true_peak(divisor: int, phase_degrees: float, gain: float, expected_dbtp: float) -> None:
    """EBU Tech 3341, signals 15 to 19: -6.0 and +3.0 dBTP, +0.2/-0.4 (frequencies and phases from memory)."""
    samples = gain * np.sin(2 * np.pi * np.arange(48000) / divisor + np.radians(phase_degrees))
    edge = raised_cosine(4800)
    samples[:4800] *= edge
    samples[-4800:] *= edge[::-1]
    meter = TruePeakMeter()
    for start in range(0, len(samples), 997):
        meter.feed(stereo(samples[start : start + 997]))
    assert expected_dbtp - 0.4 <= meter.true_peak_dbtp <= expected_dbtp + 0.2


def test_an_independent_oversampler_agrees() -> None:
    """scipy's resampling through the spectrum, 16 times: within 0.1 dB up to 10 kHz."""
    signal = pytest.importorskip("scipy.signal")
    noise = np.random.default_rng(11).normal(0, 0.1, 4096)
    spectrum = np.fft.rfft(noise)
    spectrum[int(4096 * 10_000 / 48_000) :] = 0
    band = np.fft.irfft(spectrum) * np.concatenate((raised_cosine(2048), raised_cosine(2048)[::-1]))
    padded = np.concatenate((np.zeros(1024), band, np.zeros(1024)))
    theirs_db = 20 * np.log10(np.max(np.abs(signal.resample(padded, 16 * len(padded)))))
    meter = TruePeakMeter(channels=1)
    meter.feed(padded[:, None])
    assert meter.true_peak_dbtp == pytest.approx(theirs_db, abs=0.1)
