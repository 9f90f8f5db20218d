"""A line through beeps, and the direct sound before the room's."""

from __future__ import annotations

from fractions import Fraction
from types import SimpleNamespace

import numpy as np
import pytest

from overlay.footage.arrival import at_direct_sound
from overlay.footage.bands import bands_of, template_of
from overlay.footage.evidence import Kind, kind_of, presence
from overlay.footage.fit import Expected, Line, Peak, Stretch, through
from overlay.footage.phase import in_phase
from overlay.footage.search import Planned
from overlay.plan.outputs import ToneSettings
from overlay.tones.beep import sound_to_shape, voice

RATE_HZ = 48000


def strayed_peaks(offset: float, drift: float, strays: list[float]) -> list[Peak]:
    random = np.random.default_rng(2)
    peaks = []
    for number in range(60):
        time = 20.0 * number
        beep = Expected(Planned("start", 0, time), 0, 0)
        at = offset + time * (1 + drift) + random.normal(0, 0.002)
        peaks.append(Peak(beep, at + (strays[number] if number < len(strays) else 0.0), 4.0))
    return peaks


def test_outliers_do_not_move_the_line() -> None:
    """A fifth of all peaks is off by up to a tenth of a second, all to one side: drift stays within 3 ppm."""
    line = through(strayed_peaks(12.5, 70e-6, [0.03, 0.05, 0.08] * 4), Line(np.array([12.5]), 0.0))
    assert line.offsets[0] == pytest.approx(12.5, abs=0.002)
    assert line.drift == pytest.approx(70e-6, abs=3e-6)


def test_nothing_heard_leaves_the_line() -> None:
    """Peaks without weight say nothing: the search's offset stays, and the clock is taken as good."""
    silent = [Peak(peak.beep, peak.time + 0.05, 0.0) for peak in strayed_peaks(3.0, 0.0, [])]
    line = through(silent, Line(np.array([3.0]), 0.0))
    assert line.offsets[0] == pytest.approx(3.0, abs=1e-6)
    assert line.drift == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize("ratio_db", [9.0, 2.0, -3.0])
def test_the_direct_sound_is_found_before_the_room(corpus: SimpleNamespace, ratio_db: float) -> None:
    """Twenty beeps in a hard room: peaks come milliseconds late, the direct sound within 1.5 ms of the truth."""
    settings = ToneSettings()
    kinds: dict[str, Kind] = {}
    beeps: list[Expected] = []
    random = np.random.default_rng(7)
    sound = np.zeros(130 * RATE_HZ, dtype=np.float32)
    voices = {
        name: voice(sound_to_shape(settings.sound(name), -18.0, RATE_HZ), -6.0) for name in ("ready", "start", "stop")
    }
    for number in range(30):
        name = ("ready", "start", "stop")[number % 3]
        time = Fraction(4 * number + 3)
        at = int(time * RATE_HZ)
        sound[at : at + len(voices[name].samples)] += voices[name].samples
        beeps.append(Expected(Planned(name, 0, float(time)), 0, 0))
    heard = corpus.recordings.convolved(sound, corpus.recordings.Room(ratio_db, 0.5).response(random))
    heard += 0.02 * random.standard_normal(len(heard)).astype(np.float32)
    pitches = {name: round(settings.sound(name).pitch) for name in voices}
    bands = bands_of([(0, heard)], RATE_HZ, pitches.values())
    for name, sounding in voices.items():
        band = bands[pitches[name]]
        there = presence(band, ((0, len(heard)),), RATE_HZ)
        kinds[name] = kind_of(name, band, template_of(sounding.samples, RATE_HZ, pitches[name]), there)
    line, *_ = in_phase(beeps, kinds, [Stretch(0.01, 60.0)])
    assert line.keeps_phase
    direct = at_direct_sound([line], beeps, kinds)
    assert direct.drift == pytest.approx(0, abs=1e-6)
    assert direct.offsets[0] == pytest.approx(0, abs=0.0015)
