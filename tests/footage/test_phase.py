"""Beeps that add up: drift and offset without a single beep's own peak."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest

from overlay.footage.bands import BAND_RATE_HZ, Band, template_of
from overlay.footage.evidence import Kind, kind_of
from overlay.footage.fit import Expected, Stretch
from overlay.footage.phase import added_up, in_phase
from overlay.footage.search import Planned
from overlay.plan.outputs import ToneSettings
from overlay.tones.beep import sound_to_shape, voice

RATE_HZ = 48000
NAMES = ("ready", "start", "stop")


def heard_kinds(
    times: Sequence[float], seconds: float, drift: float, noise: float, turns: Sequence[float]
) -> tuple[dict[str, Kind], list[Expected]]:
    """Bands with a beep at each time of a clock that drifts, each turned by so much of a period, in noise.

    `noise` is its level against the beeps', both in the band. The kinds take turns.
    """
    settings = ToneSettings()
    random = np.random.default_rng(11)
    kinds, beeps = {}, []
    for number, name in enumerate(NAMES):
        pitch_hz = round(settings.sound(name).pitch)
        sounding = voice(sound_to_shape(settings.sound(name), -18.0, RATE_HZ), -6.0)
        template = template_of(sounding.samples, RATE_HZ, pitch_hz)
        count = round(seconds * BAND_RATE_HZ)
        level = noise * float(np.abs(template).max()) / np.sqrt(2)
        values = level * (random.standard_normal(count) + 1j * random.standard_normal(count))
        fine = np.interp(np.arange(0, len(template), 0.125), np.arange(len(template)), template.real) + 1j * np.interp(
            np.arange(0, len(template), 0.125), np.arange(len(template)), template.imag
        )
        for time, turn in zip(times[number :: len(NAMES)], turns[number :: len(NAMES)], strict=True):
            at = time * (1 + drift) * BAND_RATE_HZ - 25
            whole = int(np.floor(at))
            eighth = round((1 - (at - whole)) * 8) % 8
            whole += 0 if eighth == 0 and at - whole < 0.5 else 1
            piece = fine[eighth::8][: len(template) - 1]
            phase = np.exp(2j * np.pi * (turn - pitch_hz * time * (1 + drift)))
            values[whole : whole + len(piece)] += piece * phase
            beeps.append(Expected(Planned(name, 0, time), 0, 0))
        band = Band(pitch_hz, 0, values.astype(np.complex64))
        kinds[name] = kind_of(name, band, template, np.ones(count, dtype=bool))
    return kinds, sorted(beeps, key=lambda beep: beep.time)


@pytest.mark.parametrize("drift_ppm", [100.0, -70.0])
@pytest.mark.parametrize("seconds", [300.0, 3600.0])
def test_a_clock_that_drifts_over_a_whole_hour(drift_ppm: float, seconds: float) -> None:
    """FO8: without any pause the beeps at the end are up to 0.36 s off those at the beginning: 0.5 ppm, 2 ms."""
    times = np.sort(np.random.default_rng(3).uniform(5, seconds - 5, int(seconds / 8)))
    kinds, beeps = heard_kinds(times, seconds + 1, drift_ppm * 1e-6, 1.0, np.zeros(len(times)))
    at_first = times[0] * drift_ppm * 1e-6
    line, *_ = in_phase(beeps, kinds, [Stretch(float(at_first) + 0.015, float(times[0]))])
    assert line.drift * 1e6 == pytest.approx(drift_ppm, abs=0.5)
    assert line.offsets[0] == pytest.approx(0, abs=0.002)


def test_beeps_without_a_common_phase_do_not_add_up() -> None:
    """Sound from a hand that moves: no line is made of it, whatever drift would suit it by chance."""
    random = np.random.default_rng(4)
    times = np.sort(random.uniform(5, 395, 60))
    still, beeps = heard_kinds(times, 400, 0.0, 0.3, np.zeros(60))
    moved, _ = heard_kinds(times, 400, 0.0, 0.3, random.random(60))
    places = [Stretch(0.0, 200.0)]
    assert in_phase(beeps, still, places)
    assert not in_phase(beeps, moved, places)
    assert added_up(beeps, still, places) > 1.5 * added_up(beeps, moved, places)


def test_one_interval_off_adds_up_to_less() -> None:
    """FO5: an eighth of all beeps missing tells the next place apart, where nothing else does."""
    times = np.array([30.0 * number + part for number in range(8) for part in (1.0, 2.0, 3.0)])
    kinds, beeps = heard_kinds(times, 300, 0.0, 0.5, np.zeros(len(times)))
    assert added_up(beeps, kinds, [Stretch(0.0, 120.0)]) > added_up(beeps, kinds, [Stretch(30.0, 120.0)]) + 10
