"""The tone track of a whole class."""

from __future__ import annotations

import hashlib
import io
import math
import re
from collections.abc import Callable, Iterable
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from overlay.plan.outputs import ToneSettings
from overlay.timeline.model import Timeline
from overlay.tones.track import duck_track, level_report, stem_tracks, tone_track
from overlay.units.clock import frame_to_time

MakeTimeline = Callable[..., Timeline]
Beeps = list[tuple[str, str]]
FRAME_RATES = ("23.976", "25", "29.97", "59.94")
DEFAULT = ToneSettings()


def read(chunks: Iterable[bytes]) -> np.ndarray:
    """The left channel as whole 24-bit numbers, by libsndfile; both channels are alike."""
    soundfile = pytest.importorskip("soundfile")
    samples, _ = soundfile.read(io.BytesIO(b"".join(chunks)), dtype="int32")
    assert np.array_equal(samples[:, 0], samples[:, 1])
    left: np.ndarray = samples[:, 0] >> 8
    return left


def onsets(samples: np.ndarray, quiet_samples: int) -> np.ndarray:
    """Where sound begins after at least this much silence."""
    sounding = np.flatnonzero(samples)
    return sounding[np.diff(sounding, prepend=-quiet_samples - 1) > quiet_samples]


@pytest.mark.parametrize("sample_rate_hz", [44100, 48000, 96000])
@pytest.mark.parametrize("rate", FRAME_RATES)
def test_every_onset_is_on_its_frame(
    rate: str, sample_rate_hz: int, make_timeline: MakeTimeline, class_beeps: Beeps
) -> None:
    """Within one sample of the frame's exact time; the file is as long as the class, to the sample."""
    timeline = make_timeline(class_beeps, rate=rate, sample_rate_hz=sample_rate_hz)
    samples = read(tone_track(timeline, DEFAULT))
    found = onsets(samples, sample_rate_hz // 5)
    exact = [frame_to_time(beep.frame, timeline.rate) * sample_rate_hz for beep in timeline.beeps]
    assert len(found) == len(exact)
    # The first sample of a beep is zero by design, so the sound is first seen on the one after.
    for onset, time in zip(found, exact, strict=True):
        assert abs(int(onset) - 1 - time) <= 1
    assert [int(onset) - 1 for onset in found] == [beep.sample for beep in timeline.beeps]
    assert len(samples) == timeline.sample_count
    assert abs(len(samples) - frame_to_time(timeline.frame_count, timeline.rate) * sample_rate_hz) <= Fraction(1, 2)
    assert samples[0] == samples[-1] == 0


def test_two_runs_give_the_same_bytes(make_timeline: MakeTimeline, class_beeps: Beeps) -> None:
    """Track, stems and key."""

    def digests() -> list[str]:
        timeline = make_timeline(class_beeps, rate="29.97")
        key = duck_track(timeline, DEFAULT, [(Fraction(1), Fraction(5, 2))])
        files = [tone_track(timeline, DEFAULT), *stem_tracks(timeline, DEFAULT).values(), key]
        return [hashlib.sha256(b"".join(file)).hexdigest() for file in files]

    assert digests() == digests()


def test_the_report_is_what_ffmpeg_measures(
    make_timeline: MakeTimeline, class_beeps: Beeps, tmp_path: Path, ffmpeg_log: Callable[..., str]
) -> None:
    """FFmpeg's ebur128 on the whole file: loudest momentary within 0.2 LU, true peak within 0.1 dB."""
    timeline = make_timeline([*class_beeps, ("47.1", "ready"), ("52.5", "change")], rate="29.97")
    (tmp_path / "tones.wav").write_bytes(b"".join(tone_track(timeline, DEFAULT)))
    log = ffmpeg_log(tmp_path / "tones.wav", "ebur128=peak=true")
    report = level_report(timeline, DEFAULT)
    assert report.momentary_max_lufs == pytest.approx(max(map(float, re.findall(r"M:\s*(-?[\d.]+)", log))), abs=0.2)
    assert report.true_peak_dbtp == pytest.approx(float(re.findall(r"Peak:\s*(-?[\d.]+) dBFS", log)[-1]), abs=0.1)


@pytest.mark.parametrize("kind", ["start", "stop"])
def test_a_long_tone_is_as_loud_as_we_say(
    kind: str, make_timeline: MakeTimeline, tmp_path: Path, ffmpeg_log: Callable[..., str]
) -> None:
    """A beep of 5 s: our loudness, FFmpeg's momentary and pyloudnorm's integrated agree within 0.2 LU."""
    pyloudnorm, soundfile = pytest.importorskip("pyloudnorm"), pytest.importorskip("soundfile")
    settings = ToneSettings.model_validate({"sounds": {kind: {"length": "5", "loudness": "-20"}}})
    timeline = make_timeline([("0", kind)], seconds="5")
    path = tmp_path / "long.wav"
    path.write_bytes(b"".join(tone_track(timeline, settings)))
    [level] = level_report(timeline, settings).kinds
    log = ffmpeg_log(path, "ebur128=peak=true")
    samples, rate_hz = soundfile.read(path)
    assert level.loudness_lufs == pytest.approx(-20, abs=1e-6)
    assert level.loudness_lufs == pytest.approx(max(map(float, re.findall(r"M:\s*(-?[\d.]+)", log))), abs=0.2)
    assert level.loudness_lufs == pytest.approx(pyloudnorm.Meter(rate_hz).integrated_loudness(samples), abs=0.2)


def test_the_report_tells_each_kind(make_timeline: MakeTimeline, class_beeps: Beeps) -> None:
    """Counts, cuts, loudness over the beep itself, and what a meter's window makes of a short one."""
    timeline = make_timeline([*class_beeps, ("59.9", "stop")])
    levels = {level.kind: level for level in level_report(timeline, DEFAULT).kinds}
    assert {kind: level.beeps for kind, level in levels.items()} == {"ready": 4, "start": 2, "change": 1, "stop": 2}
    assert {kind for kind, level in levels.items() if level.cut_short} == {"stop"}
    for level in levels.values():
        assert level.loudness_lufs == pytest.approx(-18, abs=1e-6)
        assert level.true_peak_dbtp <= -6
        assert not level.held_by_ceiling
    # One pip of 80 ms in a window of 400 ms: 10 log10(80/400) = -6.99 LU.
    assert levels["ready"].momentary_max_lufs == pytest.approx(-18 - 6.99, abs=0.05)


def test_beeps_near_each_other_are_measured_together(make_timeline: MakeTimeline) -> None:
    """Three pips in 300 ms are louder on a meter than any kind alone."""
    timeline = make_timeline([("1", "ready"), ("1.12", "ready"), ("1.24", "ready")])
    report = level_report(timeline, DEFAULT)
    assert report.momentary_max_lufs == pytest.approx(report.kinds[0].momentary_max_lufs + 10 * math.log10(3), abs=0.1)


def test_a_kind_held_by_the_ceiling_is_reported(make_timeline: MakeTimeline) -> None:
    """-8 LUFS does not fit under -12 dBTP."""
    settings = ToneSettings.model_validate({"loudness": "-8", "ceiling": "-12"})
    report = level_report(make_timeline([("1", "start")]), settings)
    assert report.kinds[0].held_by_ceiling
    assert report.kinds[0].loudness_lufs < -8
    assert -12.1 < (report.true_peak_dbtp or 0) <= -12


def test_stems_add_up_to_the_track(make_timeline: MakeTimeline, class_beeps: Beeps) -> None:
    """One file a kind, as long as the class; summed, the track, within the rounding of each."""
    timeline = make_timeline([*class_beeps, ("46.9", "ready")], rate="59.94")
    stems = {kind: read(chunks) for kind, chunks in stem_tracks(timeline, DEFAULT).items()}
    assert list(stems) == ["ready", "start", "change", "stop"]
    assert len(onsets(stems["start"], 9600)) == 2
    track = read(tone_track(timeline, DEFAULT))
    assert np.max(np.abs(sum(stems.values()) - track)) <= 2


def test_the_key_sounds_while_words_are_said(make_timeline: MakeTimeline) -> None:
    """At the ceiling while somebody speaks, silent elsewhere, without a click."""
    times = [("1", "3"), ("2.9", "8"), ("10", "10.04")]
    timeline = make_timeline([])
    spans = [(Fraction(start), Fraction(end)) for start, end in times]
    samples = read(duck_track(timeline, DEFAULT, spans)) / 2**23
    spoken = np.zeros(len(samples), dtype=bool)
    for start, end in ((1, 8), (10, 10.04)):
        spoken[round(start * 48000) : round(end * 48000)] = True
    assert not np.any(samples[~spoken])
    ceiling = 10 ** (-6 / 20)
    inside = samples[round(1.02 * 48000) : round(7.98 * 48000)].reshape(-1, 480)
    assert np.all(np.max(np.abs(inside), axis=1) > 0.99 * ceiling)
    assert np.max(np.abs(samples)) <= ceiling
    assert samples[48000] == samples[8 * 48000 - 1] == 0
    assert np.max(np.abs(np.diff(samples))) <= 1.05 * ceiling * 2 * np.pi * 1000 / 48000


def test_the_pop_lasts_its_frame(make_timeline: MakeTimeline) -> None:
    """The leader's mark: from its frame's sample to the next frame's, at 29.97 where frames differ."""
    timeline = make_timeline([("0", "pop"), ("4", "start")], rate="29.97")
    samples = read(tone_track(timeline, DEFAULT))
    pop = np.flatnonzero(samples[: 2 * 48000])
    assert 0 <= pop[0] <= 1
    assert timeline.frame_to_sample(1) - 3 <= pop[-1] < timeline.frame_to_sample(1)


def test_a_class_without_beeps_is_silent(make_timeline: MakeTimeline) -> None:
    """A file all the same; the report has no figures rather than wrong ones."""
    timeline = make_timeline([])
    assert not np.any(read(tone_track(timeline, DEFAULT)))
    assert stem_tracks(timeline, DEFAULT) == {}
    report = level_report(timeline, DEFAULT)
    assert (report.momentary_max_lufs, report.true_peak_dbtp, report.kinds) == (None, None, ())


def test_a_beep_at_the_very_end_has_no_room(make_timeline: MakeTimeline) -> None:
    """It makes no sound and does no harm; the report says that it was cut, and has no figures."""
    timeline = make_timeline([("60", "stop")])
    assert not np.any(read(tone_track(timeline, DEFAULT)))
    report = level_report(timeline, DEFAULT)
    assert (report.momentary_max_lufs, report.true_peak_dbtp) == (None, None)
    assert report.kinds[0].cut_short == 1


def test_a_beep_on_the_last_frame(make_timeline: MakeTimeline) -> None:
    """One frame of room: it starts on its sample and ends with silence."""
    timeline = make_timeline([("59.96", "stop")])
    samples = read(tone_track(timeline, DEFAULT))
    assert onsets(samples, 100)[0] - 1 == timeline.beeps[0].sample
    assert samples[-1] == 0
    assert level_report(timeline, DEFAULT).kinds[0].cut_short == 1


def test_the_file_carries_its_levels(make_timeline: MakeTimeline, class_beeps: Beeps) -> None:
    """The report's figures in hundredths in bext (EBU Tech 3285 v2), at bytes 416 and 418."""
    timeline = make_timeline(class_beeps)
    data = next(tone_track(timeline, DEFAULT))
    body = data.index(b"bext") + 8
    peak, momentary = np.frombuffer(data[body + 416 : body + 420], "<i2") / 100
    report = level_report(timeline, DEFAULT)
    assert (peak, momentary) == pytest.approx((report.true_peak_dbtp, report.momentary_max_lufs), abs=0.005)
