"""Bands hold what beeps do around their pitches."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from overlay.footage.bands import BAND_RATE_HZ, LEAD, bands_of, template_of


@pytest.mark.parametrize("rate_hz", [48000, 44100, 8000])
def test_a_steady_tone_is_a_steady_envelope(rate_hz: int) -> None:
    """Level and phase hold across blocks and odd pieces; half the amplitude, as of one side of the spectrum."""
    at = np.arange(40 * rate_hz)
    sound = (0.5 * np.sin(2 * np.pi * 880 * at / rate_hz)).astype(np.float32)
    cuts = [0, 7, 999, 16 * rate_hz + 3, 30 * rate_hz, len(sound)]
    pieces = [(first, sound[first:end]) for first, end in pairwise(cuts)]
    band = bands_of(pieces, rate_hz, [880])[880]
    inside = band.values[BAND_RATE_HZ - band.first : 39 * BAND_RATE_HZ - band.first]
    assert np.allclose(np.abs(inside), 0.25, atol=0.002)
    assert np.ptp(np.unwrap(np.angle(inside))) < 0.02


def test_another_pitch_stays_out() -> None:
    """A tone 300 Hz off leaves less than a thousandth."""
    at = np.arange(20 * 48000)
    sound = np.sin(2 * np.pi * 1180 * at / 48000).astype(np.float32)
    values = bands_of([(0, sound)], 48000, [880])[880].values
    assert np.max(np.abs(values[BAND_RATE_HZ : 19 * BAND_RATE_HZ])) < 1e-3


def test_places_before_the_picture_and_gaps() -> None:
    """Value n stands at its own time, for sound that begins before the picture's zero and after a gap."""
    click = np.zeros(4800, dtype=np.float32)
    click[:480] = np.sin(2 * np.pi * 880 * np.arange(480) / 48000)
    band = bands_of([(-24000, click), (30 * 48000, click)], 48000, [880])[880]
    loud = np.flatnonzero(np.abs(band.values) > 0.15)
    times = (loud + band.first) / BAND_RATE_HZ
    assert times[0] == pytest.approx(-0.5, abs=0.006)
    assert times[-1] == pytest.approx(30.01, abs=0.006)
    assert not np.any((times > -0.4) & (times < 29.9))


def test_a_template_begins_behind_its_lead() -> None:
    """Nothing but ringing comes before the beep's first sample."""
    beep = np.sin(2 * np.pi * 880 * np.arange(4800) / 48000)
    template = np.abs(template_of(beep, 48000, 880))
    assert len(template) == 50 + 2 * LEAD
    assert template[LEAD - 10] < 0.05
    assert template[LEAD + 10] > 0.45
