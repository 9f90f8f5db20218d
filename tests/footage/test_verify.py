"""A finished edit is judged rightly: every beep to a millisecond, its level, its captions, its length and rate."""

from __future__ import annotations

import re
import runpy
import subprocess
from fractions import Fraction
from pathlib import Path
from types import SimpleNamespace

import imageio_ffmpeg
import numpy as np
import pytest

from overlay.errors import MachineError
from overlay.footage.faults import findings_of
from overlay.footage.verdict import verdict_data, verdict_lines
from overlay.footage.verify import Verdict, verify
from overlay.plan.advice import Weight
from overlay.tones.mix import Event
from overlay.units.clock import frame_to_sample

cuts = SimpleNamespace(**runpy.run_path(str(Path(__file__).with_name("cuts.py"))))
TIMELINE, FRAME_MS = cuts.TIMELINE, cuts.FRAME_MS
FRAME_SAMPLES = 1601.6


def judged(path: Path, *captions: Path, at: Fraction | None = None) -> tuple[Verdict, dict[str, str]]:
    """The verdict, and what has to be mended: text by name."""
    verdict = verify(TIMELINE, cuts.SESSION.tones, path, captions, at=at)
    found = findings_of(verdict)
    assert "\n".join(verdict_lines(verdict, found))
    return verdict, {each.name: each.text for each in found if each.weight is Weight.FINDING}


@pytest.fixture(scope="module")
def clean(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The plan's own outputs put together, captions embedded."""
    folder = tmp_path_factory.mktemp("clean")
    captions, finer = cuts.srt_file(folder / "a.srt"), ["-aac_coder", "twoloop"]
    path: Path = cuts.cut(folder / "clean.mp4", cuts.sound(), captions=captions, options=finer)
    return path


def test_a_clean_cut(clean: Path) -> None:
    """Nothing to mend; every beep within a tenth of a millisecond of its own sample; all captions on their frames."""
    verdict, findings = judged(clean)
    assert findings == {}
    assert verdict.offsets == (0.0, 0.0)
    assert len(verdict.heard) == len(verdict.beeps) == len(TIMELINE.beeps)
    for heard, planned in zip(verdict.beeps, TIMELINE.beeps, strict=True):
        assert heard.expected.planned.frame == planned.frame
        assert heard.heard == pytest.approx(planned.sample / 48000, abs=1e-4)
    assert verdict.extra == ()
    assert verdict.facts.picture_count == TIMELINE.frame_count
    (captions,) = verdict.captions
    cues = [cue for cue in TIMELINE.cues if cue.language == "en"]
    assert (len(captions.pairs), captions.missing, captions.extra) == (len(cues), (), ())
    assert abs(captions.worst_ms) < 1


@pytest.mark.parametrize(
    ("suffix", "options"), [(".mkv", []), (".mov", ["-c:a", "pcm_s16le"]), (".mp4", ["-r", "30000/1001"])]
)
def test_other_containers(tmp_path: Path, suffix: str, options: list[str]) -> None:
    """Whole milliseconds for times (Matroska), sound without a coder: the same figures."""
    path = cuts.cut(tmp_path / f"a{suffix}", cuts.sound(), options=options)
    verdict, findings = judged(path)
    assert findings == {}
    assert verdict.worst_ms is not None
    assert verdict.worst_ms < 1
    assert float(verdict.frame_rate or 0) == pytest.approx(30000 / 1001, rel=1e-4)


def moved(number: int, by_frames: int) -> cuts.Change:
    """One beep moved."""

    def change(events: list[Event]) -> list[Event]:
        event = events[number]
        events[number] = Event(event.sample + round(by_frames * FRAME_SAMPLES), event.kind)
        return events

    return change


def of_kind(kind: str, place: int = 1) -> int:
    """The number of a kind's beep in the class."""
    return [number for number, beep in enumerate(TIMELINE.beeps) if beep.kind.value == kind][place]


@pytest.mark.parametrize(("kind", "by_frames"), [("start", 2), ("stop", -2), ("ready", 3)])
def test_a_beep_moved(tmp_path: Path, kind: str, by_frames: int) -> None:
    """Found with its error to a millisecond, and told by name and place; the others are as they are."""
    number = of_kind(kind)
    verdict, findings = judged(cuts.cut(tmp_path / "a.mp4", cuts.sound(moved(number, by_frames))))
    assert verdict.beeps[number].error_ms == pytest.approx(by_frames * FRAME_MS, abs=1)
    assert sum(abs(error) > 1 for error in verdict.errors_ms) == 1
    assert verdict.worst_ms == pytest.approx(abs(by_frames) * FRAME_MS, abs=1)
    assert verdict.median_ms == pytest.approx(0, abs=0.1)
    assert list(findings) == ["beep-moved"]
    assert "Tall march" in findings["beep-moved"] or "Sit to stand" in findings["beep-moved"]
    assert f"move it {abs(by_frames)} frames {'earlier' if by_frames > 0 else 'later'}" in findings["beep-moved"]


def test_a_beep_one_frame_off_passes(tmp_path: Path) -> None:
    """A frame is the limit: up to it there is nothing to mend."""
    verdict, findings = judged(cuts.cut(tmp_path / "a.mp4", cuts.sound(moved(of_kind("start"), 1))))
    assert verdict.worst_ms == pytest.approx(FRAME_MS, abs=1)
    assert findings == {}


def test_a_beep_removed(tmp_path: Path) -> None:
    """Missing, and nothing is made up in its place."""
    number = of_kind("change" if any(b.kind.value == "change" for b in TIMELINE.beeps) else "stop")
    path = cuts.cut(tmp_path / "a.mp4", cuts.sound(lambda events: events[:number] + events[number + 1 :]))
    verdict, findings = judged(path)
    assert [beep.is_heard for beep in verdict.beeps].count(False) == 1
    assert not verdict.beeps[number].is_heard
    assert list(findings) == ["beep-missing"]
    assert "The stop of Tall march" in findings["beep-missing"]


def test_an_extra_beep(tmp_path: Path) -> None:
    """Told with its kind and its second."""
    sample = TIMELINE.frame_to_sample(TIMELINE.beeps[of_kind("start")].frame + 150)
    path = cuts.cut(tmp_path / "a.mp4", cuts.sound(lambda events: [*events, Event(sample, "start")]))
    verdict, findings = judged(path)
    ((kind, time),) = verdict.extra
    assert (kind, time) == ("start", pytest.approx(sample / 48000, abs=0.005))
    assert list(findings) == ["beep-extra"]


def test_all_late_at_the_beginning(tmp_path: Path) -> None:
    """Three frames late is late; with the frame given on which the class begins it is not."""
    path = cuts.cut(tmp_path / "a.mp4", cuts.sound(before=3 * FRAME_MS / 1000))
    verdict, findings = judged(path)
    assert verdict.median_ms == pytest.approx(3 * FRAME_MS, abs=1)
    assert list(findings) == ["beeps-moved"]
    assert "3 frames (100 ms) late" in findings["beeps-moved"]
    assert "--at 00:00:00;03" in findings["beeps-moved"]
    verdict, findings = judged(path, at=Fraction(3003, 30000))
    assert verdict.worst_ms == pytest.approx(0, abs=1)
    assert findings == {}


def test_something_before_the_class(tmp_path: Path) -> None:
    """An intro of 7.2 s: its length is told, and all is judged from there, captions too."""
    before = 216 * FRAME_MS / 1000
    captions = cuts.srt_file(tmp_path / "a.srt", shift_ms=round(before * 1000))
    path = cuts.cut(tmp_path / "a.mp4", cuts.sound(before=before, after=4), captions=captions)
    verdict, findings = judged(path)
    assert verdict.offsets == pytest.approx((before, before), abs=1e-3)
    assert verdict.worst_ms is not None
    assert verdict.worst_ms < 1
    assert findings == {}
    assert verdict.beeps[0].heard == pytest.approx(before + TIMELINE.beeps[0].sample / 48000, abs=1e-3)


def test_a_pause_between_blocks(tmp_path: Path) -> None:
    """2.5 s put in before the second block: told with the figure; its beeps are judged from where they moved to."""
    first = next(s for s in TIMELINE.segments if s.block == "arms")

    def change(events: list[Event]) -> list[Event]:
        border = TIMELINE.frame_to_sample(first.span.start_frame)
        return [Event(e.sample + (120000 if e.sample >= border else 0), e.kind) for e in events]

    verdict, findings = judged(cuts.cut(tmp_path / "a.mp4", cuts.sound(change, after=3)))
    assert verdict.offsets == pytest.approx((0, 2.5), abs=1e-3)
    assert verdict.worst_ms == pytest.approx(0, abs=1)
    assert "pause" in findings
    assert "From Arms on the class comes 2.500 s later" in findings["pause"]
    assert not {"beep-missing", "beep-extra", "beeps-moved"} & set(findings)


def test_a_block_that_slipped(tmp_path: Path) -> None:
    """Every beep of one block four frames early: one finding for all of them."""
    first = next(s for s in TIMELINE.segments if s.block == "arms")
    border = TIMELINE.frame_to_sample(first.span.start_frame)
    path = cuts.cut(
        tmp_path / "a.mp4",
        cuts.sound(lambda all_: [Event(e.sample - (6406 if e.sample >= border else 0), e.kind) for e in all_]),
    )
    _, findings = judged(path)
    assert list(findings) == ["beeps-moved"]
    assert "All beeps of Arms come 4 frames (133 ms) early" in findings["beeps-moved"]


def test_speech_as_loud_as_the_beeps(tmp_path: Path) -> None:
    """Speech over the beeps, at their own loudness: each is heard all the same, at its own sample."""
    verdict, findings = judged(cuts.cut(tmp_path / "a.mp4", cuts.sound(speech_db=-20)))
    assert len(verdict.heard) == len(TIMELINE.beeps)
    assert verdict.worst_ms is not None
    assert verdict.worst_ms < 1
    assert not [name for name in findings if name.startswith("beep")]


def loudness_by_ffmpeg(path: Path) -> tuple[float, float]:
    """Integrated loudness and true peak as FFmpeg's ebur128 has them, to a tenth."""
    command = [imageio_ffmpeg.get_ffmpeg_exe(), "-hide_banner", "-nostats", "-i", str(path)]
    command += ["-filter_complex", "ebur128=peak=true", "-f", "null", "-"]
    told = subprocess.run(command, capture_output=True, text=True, check=True).stderr
    summary = told[told.rindex("Summary:") :]
    found = [re.search(rf"{name}:\s+(-?[\d.]+)", summary) for name in ("I", "Peak")]
    return float(found[0][1]), float(found[1][1])  # type: ignore[index]


@pytest.mark.parametrize(("gain_db", "rate_hz"), [(0.0, 48000), (-8.0, 44100)])
def test_loudness_as_others_measure_it(tmp_path: Path, gain_db: float, rate_hz: int) -> None:
    """FFmpeg's ebur128 and pyloudnorm give the same, within what both tell (0.1)."""
    pyloudnorm = pytest.importorskip("pyloudnorm")
    samples = cuts.sound(speech_db=-22) * 10 ** (gain_db / 20)
    path = cuts.cut(
        tmp_path / "a.wav", samples, rate_hz=48000, options=["-map", "-0:v", "-c:a", "pcm_f32le", "-ar", str(rate_hz)]
    )
    verdict, _ = judged(path)
    levels = verdict.levels
    loudness, peak = loudness_by_ffmpeg(path)
    assert levels.loudness_lufs == pytest.approx(loudness, abs=0.1)
    assert levels.true_peak_dbtp == pytest.approx(peak, abs=0.1)
    independent = pyloudnorm.Meter(48000).integrated_loudness(samples)
    assert levels.loudness_lufs == pytest.approx(independent, abs=0.1)


def test_beeps_against_speech(tmp_path: Path) -> None:
    """Beeps at the loudness that the plan sets, lowered with the fader; speech measured by pyloudnorm alone."""
    pyloudnorm = pytest.importorskip("pyloudnorm")
    speech = cuts.sound(lambda _: [], speech_db=-22)
    beeps = cuts.sound(speech_db=-200) - cuts.sound(lambda _: [], speech_db=-200)
    for gain_db in (0.0, -14.0):
        verdict, findings = judged(cuts.cut(tmp_path / "a.mp4", speech + beeps * 10 ** (gain_db / 20)))
        levels = verdict.levels
        assert levels.beeps_lufs == pytest.approx(-18 + gain_db, abs=0.3)
        assert levels.rest_lufs == pytest.approx(pyloudnorm.Meter(48000).integrated_loudness(speech), abs=0.5)
        assert ("beeps-soft" in findings) is (levels.beeps_over_rest_lu < -10)


def test_a_loud_master_that_clips(tmp_path: Path) -> None:
    """-9 LUFS and over full scale: both told, each with its figure; beeps are heard all the same."""
    samples = cuts.sound(speech_db=-22)
    quiet, _ = judged(cuts.cut(tmp_path / "quiet.mp4", samples))
    assert quiet.levels.loudness_lufs is not None
    gain = 10 ** ((-9 - quiet.levels.loudness_lufs) / 20)
    verdict, findings = judged(cuts.cut(tmp_path / "loud.mp4", np.clip(samples * gain, -1, 1)))
    assert verdict.levels.loudness_lufs == pytest.approx(-9, abs=1.5)
    assert {"too-loud", "true-peak"} <= set(findings)
    assert "clips" in findings["true-peak"]
    assert verdict.worst_ms is not None
    assert verdict.worst_ms < 1


def test_captions_half_a_second_late(tmp_path: Path) -> None:
    """One finding for the track, with the figure; the beeps are right."""
    path = cuts.cut(tmp_path / "a.mp4", cuts.sound(), captions=cuts.srt_file(tmp_path / "a.srt", shift_ms=500))
    verdict, findings = judged(path)
    assert list(findings) == ["captions-moved"]
    assert verdict.captions[0].shift_ms == pytest.approx(500, abs=1)
    assert "(500 ms) late" in findings["captions-moved"]


def test_a_caption_missing_one_changed_one_moved(tmp_path: Path) -> None:
    """Each is told by its words, in captions beside the cut as well as in it."""

    def change(subtitles: list) -> list:
        subtitles[2].content = "Something that nobody wrote."
        subtitles[4].start += (subtitles[4].end - subtitles[4].start) / 2
        return subtitles[:-1]

    captions = cuts.srt_file(tmp_path / "a.srt", change)
    path = cuts.cut(tmp_path / "a.mp4", cuts.sound(), captions=captions)
    for verdict, findings in (judged(path), judged(cuts.cut(tmp_path / "b.mp4", cuts.sound()), captions)):
        (compared,) = verdict.captions
        assert [cue.text for cue in compared.missing][-1] == "That was it. Well done."
        assert len(compared.missing) == 2
        assert [caption.text for caption in compared.extra] == ["Something that nobody wrote."]
        assert list(findings) == ["caption-moved", "captions-missing", "captions-extra"]
        assert "nobody wrote" in findings["captions-extra"]


def test_another_frame_rate(tmp_path: Path) -> None:
    """30 where the plan has 29.97 is told; the beeps, which are sound, are right."""
    verdict, findings = judged(cuts.cut(tmp_path / "a.mp4", cuts.sound(), rate="30"))
    assert list(findings) == ["frame-rate"]
    assert float(verdict.frame_rate or 0) == pytest.approx(30, rel=1e-4)
    assert "29.97" in findings["frame-rate"]


@pytest.mark.parametrize(("speed", "said"), [(Fraction(24, 25), "4 % slower"), (Fraction(1001, 1000), "0.1 % faster")])
def test_another_speed(tmp_path: Path, speed: Fraction, said: str) -> None:
    """A frame rate taken for another, and the sound higher or lower by as much: one finding instead of many."""
    planned = cuts.sound(before=3.0)
    at = np.arange(int(len(planned) / speed)) * float(speed)
    samples = np.stack([np.interp(at, np.arange(len(planned)), channel) for channel in planned.T], axis=1)
    verdict, findings = judged(cuts.cut(tmp_path / "a.mp4", samples))
    assert list(findings) == ["speed"]
    assert f"runs {said} than the class" in findings["speed"]
    assert verdict.speed == speed


def test_cut_short(tmp_path: Path) -> None:
    """Told by how much; beeps and captions that are gone with it are no findings of their own."""
    samples = cuts.sound()
    captions = cuts.srt_file(tmp_path / "a.srt", lambda subtitles: subtitles[:-1])
    verdict, findings = judged(cuts.cut(tmp_path / "a.mp4", samples[: -12 * 48000], captions=captions))
    assert len(verdict.captions[0].missing) == 1
    assert list(findings) == ["cut-short"]
    assert "12.0" in findings["cut-short"]
    assert verdict.facts.end < TIMELINE.duration - 11


def test_another_class(tmp_path: Path) -> None:
    """Beeps in another pattern: not found, and nothing is judged by them."""
    events = [Event(round(k * 48000 * 17.3) + 48000, kind) for k, kind in enumerate(("start", "stop") * 3)]
    verdict, findings = judged(cuts.cut(tmp_path / "a.mp4", cuts.sound(lambda _: events)))
    assert not verdict.is_found
    assert list(findings) == ["not-found"]
    data = verdict_data(verdict, findings_of(verdict))
    assert (data["found"], data["offset_s"], data["beeps"], data["median_ms"]) == (False, None, [], None)


@pytest.mark.parametrize(
    ("name", "words"),
    [("mute.mp4", "no sound"), ("silent.mp4", "silent"), ("text.mp4", "cannot be read"), ("none.mp4", "no file")],
)
def test_cuts_that_cannot_be_judged(tmp_path: Path, name: str, words: str) -> None:
    """MachineError, with the reason and what to do."""
    path = tmp_path / name
    if name == "mute.mp4":
        cuts.cut(path, None)
    elif name == "silent.mp4":
        cuts.cut(path, np.zeros((5 * 48000, 2)))
    elif name == "text.mp4":
        path.write_text("no film at all", encoding="utf-8")
    with pytest.raises(MachineError, match=words) as raised:
        verify(TIMELINE, cuts.SESSION.tones, path)
    assert raised.value.remedy


def test_sound_that_starts_later_than_the_picture(tmp_path: Path) -> None:
    """FO3: sound with its own start is heard where it plays: an intro of silence that no sample holds."""
    path = cuts.cut(tmp_path / "a.mp4", cuts.sound())
    late = tmp_path / "late.mp4"
    command = [imageio_ffmpeg.get_ffmpeg_exe(), "-v", "error", "-y", "-i", path, "-itsoffset", "0.0667", "-i", path]
    subprocess.run([*command, "-map", "0:v", "-map", "1:a", "-c", "copy", late], check=True)
    verdict, findings = judged(late)
    assert verdict.median_ms == pytest.approx(66.7, abs=1)
    assert "2 frames (67 ms) late" in findings["beeps-moved"]


def test_the_samples_are_where_the_frames_are() -> None:
    """The makers of cuts and the plan count alike."""
    assert [beep.sample for beep in TIMELINE.beeps] == [
        frame_to_sample(beep.frame, TIMELINE.rate, 48000) for beep in TIMELINE.beeps
    ]


def test_the_share_of_the_work_is_told(clean: Path) -> None:
    """From the first reading to the last it only grows, and comes near the whole."""
    shares: list[float] = []
    verify(TIMELINE, cuts.SESSION.tones, clean, far=shares.append)
    assert shares == sorted(shares)
    assert shares[0] < 0.1 < 0.9 < shares[-1] <= 1
