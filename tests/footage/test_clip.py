"""What a file is to the editor's program, against ffprobe where it is installed."""

from __future__ import annotations

import shutil
import subprocess
from fractions import Fraction
from pathlib import Path
from types import SimpleNamespace

import av
import numpy as np
import pytest

from overlay.errors import MachineError
from overlay.footage.clip import read_clip


def film(path: Path, rate: str, count: int, timecode: str | None = None, options: dict[str, str] | None = None) -> Path:
    with av.open(str(path), "w", options=options or {}) as container:
        if timecode:
            container.metadata["timecode"] = timecode
        stream = container.add_stream("mpeg4", rate=Fraction(rate))
        stream.width, stream.height, stream.pix_fmt = 64, 48, "yuv420p"
        for number in range(count):
            frame = av.VideoFrame.from_ndarray(np.full((48, 64, 3), number % 255, dtype=np.uint8), format="rgb24")
            frame.pts, frame.time_base = number, 1 / Fraction(rate)
            container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
    return path


@pytest.mark.parametrize("ending", ["mp4", "mov", "mkv", "avi"])
@pytest.mark.parametrize("rate", ["30000/1001", "25", "24000/1001", "60"])
def test_rate_and_count(tmp_path: Path, ending: str, rate: str) -> None:
    """The exact rate, whatever the container rounds times to, and every frame."""
    clip = read_clip(film(tmp_path / f"a.{ending}", rate, 120))
    assert (clip.frame_rate, clip.frame_count, clip.is_steady) == (Fraction(rate), 120, True)
    assert float(clip.end) == pytest.approx(120 / Fraction(rate), abs=0.002)
    assert not clip.has_sound


def test_ffprobe_counts_the_same(tmp_path: Path) -> None:
    """An independent count of packets, and the same rate."""
    if shutil.which("ffprobe") is None:
        pytest.skip("needs ffprobe")
    path = film(tmp_path / "a.mp4", "30000/1001", 77)
    asked = "stream=r_frame_rate,nb_read_packets"
    command = ["ffprobe", "-v", "error", "-count_packets", "-show_entries", asked, "-of", "csv=p=0", str(path)]
    told = subprocess.run(command, capture_output=True, text=True, check=True).stdout.strip()
    clip = read_clip(path)
    assert told == f"{clip.frame_rate.numerator}/{clip.frame_rate.denominator},{clip.frame_count}"


def test_a_start_timecode_is_counted_in_its_own_frames(tmp_path: Path) -> None:
    """QuickTime keeps it in a track of its own: drop-frame 00:01:00;02 is frame 1800 at 29.97."""
    clip = read_clip(film(tmp_path / "a.mov", "30000/1001", 30, "00:01:00;02"))
    assert clip.start_frame == 1800
    assert read_clip(film(tmp_path / "b.mov", "25", 30, "01:00:00:00")).start_frame == 90000


def test_varying_and_without_a_picture(corpus: SimpleNamespace, tmp_path: Path) -> None:
    """A phone's varying rate is seen; a file of sound alone has no frames."""
    sound = np.zeros(20 * 48000, dtype=np.float32)
    assert not read_clip(corpus.recordings.write_mp4(tmp_path / "v.mp4", sound, variable=True)).is_steady
    with av.open(str(tmp_path / "s.wav"), "w") as container:
        stream = container.add_stream("pcm_s16le", rate=48000, layout="mono")
        frame = av.AudioFrame.from_ndarray(np.zeros((1, 4800), dtype=np.int16), format="s16", layout="mono")
        frame.sample_rate = 48000
        container.mux(stream.encode(frame))
    clip = read_clip(tmp_path / "s.wav")
    assert (clip.has_picture, clip.has_sound, clip.frame_count) == (False, True, 0)


def test_unreadable(tmp_path: Path) -> None:
    """A clear error for what is no film, and for nothing at all."""
    (tmp_path / "a.mp4").write_bytes(b"no film")
    with pytest.raises(MachineError, match="cannot be read as footage"):
        read_clip(tmp_path / "a.mp4")
    with pytest.raises(MachineError, match="no file"):
        read_clip(tmp_path / "b.mp4")
