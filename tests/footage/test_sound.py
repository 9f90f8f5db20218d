"""The sound of footage stands on the clock of its picture."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from overlay.errors import MachineError
from overlay.footage.sound import Facts, Footage

RATE_HZ = 48000


def burst(at: float, seconds: float) -> np.ndarray:
    """Silence with a hundredth of a second of 1 kHz that begins at a second."""
    sound = np.zeros(int(seconds * RATE_HZ), dtype=np.float32)
    first = round(at * RATE_HZ)
    sound[first : first + 480] = 0.8 * np.sin(2 * np.pi * 1000 * np.arange(480) / RATE_HZ)
    return sound


def read(path: Path) -> tuple[np.ndarray, int, Facts]:
    """All of a file's sound with gaps filled by zeros, the sample that it begins with, and the facts."""
    with Footage(path) as footage:
        pieces = list(footage.pieces())
        facts = footage.facts()
    first = pieces[0][0]
    sound = np.zeros(pieces[-1][0] + len(pieces[-1][1]) - first, dtype=np.float32)
    for at, samples in pieces:
        sound[at - first : at - first + len(samples)] = samples
    return sound, first, facts


def middle_of_burst(path: Path, rate_hz: int = RATE_HZ) -> float:
    """The second on the picture's clock around which the burst's energy lies, less half its length."""
    sound, first, _ = read(path)
    energy = sound.astype(np.float64) ** 2
    peak = int(np.argmax(energy))
    near = slice(max(peak - rate_hz // 20, 0), peak + rate_hz // 20)
    at = np.average(np.arange(len(energy))[near], weights=energy[near])
    return float((first + at) / rate_hz - 0.005)


@pytest.mark.parametrize(
    ("sound_start", "picture_start"),
    [("0", "0"), ("0.975", "0"), ("0", "0.5"), ("0.667", "0.25"), ("17", "0")],
)
def test_sound_that_does_not_start_with_the_picture(
    corpus: SimpleNamespace, tmp_path: Path, sound_start: str, picture_start: str
) -> None:
    """FO3: a burst 10 s into the sound is heard where the picture's clock has it, whatever starts when."""
    starts = {"sound_start": Fraction(sound_start), "picture_start": Fraction(picture_start)}
    path = corpus.recordings.write_mp4(tmp_path / "a.mp4", burst(10, 12), **starts)
    expected = 10 + float(Fraction(sound_start) - Fraction(picture_start))
    assert middle_of_burst(path) == pytest.approx(expected, abs=0.0005)


@pytest.mark.parametrize(
    ("name", "codec", "tolerance"),
    [("a.mp4", "aac", 0.0005), ("a.mov", "pcm_s16le", 0.00005), ("a.mkv", "aac", 0.001), ("a.mkv", "flac", 0.001)],
)
def test_the_coders_delay_is_not_heard(
    corpus: SimpleNamespace, tmp_path: Path, name: str, codec: str, tolerance: float
) -> None:
    """AU10: AAC begins 1024 samples early; containers that write whole milliseconds stray by less than one."""
    path = corpus.recordings.write_mp4(tmp_path / name, burst(5, 8), codec=codec)
    assert middle_of_burst(path) == pytest.approx(5, abs=tolerance)


def test_another_sample_rate(corpus: SimpleNamespace, tmp_path: Path) -> None:
    """AU8, AU12: 44.1 kHz is read as such, and none of it is lost."""
    path = corpus.recordings.write_mp4(tmp_path / "a.mov", burst(5, 8), rate_hz=44100, codec="pcm_s16le")
    sound, first, facts = read(path)
    assert middle_of_burst(path, 44100) == pytest.approx(5, abs=0.0001)
    assert (first, len(sound), facts.sounding) == (0, 8 * 44100, ((0, 8 * 44100),))


def test_a_gap_moves_nothing(corpus: SimpleNamespace, tmp_path: Path) -> None:
    """What comes after a gap stands where its pts say, and the gap is told."""
    path = corpus.recordings.write_mp4(tmp_path / "a.mp4", burst(10, 12), gap=(3, 5.5))
    _, _, facts = read(path)
    assert middle_of_burst(path) == pytest.approx(10, abs=0.0005)
    (start, stop), (again, _) = facts.sounding
    assert start <= 0
    assert stop / RATE_HZ == pytest.approx(3, abs=0.05)
    assert again / RATE_HZ == pytest.approx(5.5, abs=0.05)


@pytest.mark.parametrize("how", [{"variable": True}, {"rotated": True}, {"variable": True, "rotated": True}])
def test_the_pictures_rate_and_turn_do_not_matter(corpus: SimpleNamespace, tmp_path: Path, how: dict[str, Any]) -> None:
    """FO1: times are pts; a variable frame rate is told and changes nothing."""
    path = corpus.recordings.write_mp4(tmp_path / "a.mp4", burst(10, 12), **how)
    assert middle_of_burst(path) == pytest.approx(10, abs=0.0005)
    assert read(path)[2].is_steady is not how.get("variable", False)


def test_lengths_are_those_of_the_streams(corpus: SimpleNamespace, tmp_path: Path) -> None:
    """FO10: the file ends with its picture, not with whatever stream is longest."""
    path = corpus.recordings.write_mp4(tmp_path / "a.mp4", burst(5, 12), picture_seconds=9.0)
    _, _, facts = read(path)
    assert facts.end == pytest.approx(9, abs=0.01)
    assert facts.has_picture


def test_sound_alone(corpus: SimpleNamespace, tmp_path: Path) -> None:
    """A recorder's file has no picture: its own first sample is zero."""
    path = tmp_path / "a.wav"
    import soundfile

    soundfile.write(path, burst(3, 5), RATE_HZ, subtype="PCM_24")
    _, first, facts = read(path)
    assert (first, facts.has_picture, facts.end) == (0, False, 5)
    assert middle_of_burst(path) == pytest.approx(3, abs=0.0001)


def test_no_sound(corpus: SimpleNamespace, tmp_path: Path) -> None:
    """A picture without sound is read, and says so."""
    path = corpus.recordings.write_mp4(tmp_path / "a.mp4", None, picture_seconds=3.0)
    with Footage(path) as footage:
        assert list(footage.pieces()) == []
        facts = footage.facts()
    assert not facts.has_sound
    assert facts.end == pytest.approx(3, abs=0.01)


@pytest.mark.parametrize("content", [b"", b"not a film", bytes(5000)])
def test_what_cannot_be_read(tmp_path: Path, content: bytes) -> None:
    """An error with a remedy, for a broken file, a folder, and a name that is wrong."""
    path = tmp_path / "a.mp4"
    path.write_bytes(content)
    for wrong in (path, tmp_path, tmp_path / "b.mp4"):
        with pytest.raises(MachineError) as caught:
            Footage(wrong)
        assert caught.value.remedy


def test_a_file_that_was_cut_off(corpus: SimpleNamespace, tmp_path: Path) -> None:
    """A card that was pulled out too early: what is there is read, or the file is refused; never a traceback."""
    path = corpus.recordings.write_mp4(tmp_path / "a.mkv", burst(5, 8), codec="aac")
    path.write_bytes(path.read_bytes()[: path.stat().st_size * 3 // 4])
    sound, first, _ = read(path)
    assert first == pytest.approx(0, abs=50)
    assert 4 < len(sound) / RATE_HZ < 8
