"""Finished edits made by general tools: a class's beeps with speech and noise, coded as AAC in MP4 over a plain ground.

FFmpeg codes them (the one that imageio-ffmpeg brings), espeak-ng speaks where it is installed. Where each beep stands
is known to the sample.
"""

from __future__ import annotations

import runpy
import subprocess
from collections.abc import Callable, Sequence
from fractions import Fraction
from pathlib import Path
from types import SimpleNamespace

import imageio_ffmpeg
import numpy as np

from overlay.captions.srt import srt_text
from overlay.plan.read import session_of
from overlay.plan.source import parse_source
from overlay.timeline.layout import lay_out
from overlay.tones.mix import Event, mix
from overlay.tones.track import events_of, voices_of

recordings = SimpleNamespace(**runpy.run_path(str(Path(__file__).with_name("recordings.py"))))
RATE_HZ = 48000
PLAN = """\
overlay: 1
title: A short class
video: {frame_rate: 29.97}
timing: {work: 12s, rest: 8s, preview: 10s, between_blocks: 16s}
opening: {length: 8s, cues: [Have a chair and a band ready.]}
blocks:
  - id: legs
    name: Legs
    preview_cues: [First the legs.]
    intervals:
      - {name: Sit to stand, cues: [Feet under the knees.]}
      - {name: Tall march, cues: [Grow tall and lift one knee.]}
      - {name: Calf raise, cues: [Slowly down again.]}
  - id: arms
    name: Arms
    preview_cues: [Now the arms.]
    intervals:
      - {name: Band row, cues: [Press the shoulders down first.]}
      - {name: Pull-apart, cues: [Breathe out as you open.]}
closing: {length: 8s, cues: [That was it. Well done.]}
"""
SESSION = session_of(parse_source(PLAN.encode(), "a.yaml"))
TIMELINE = lay_out(SESSION).timeline
FRAME_MS = 1001 / 30
Change = Callable[[list[Event]], list[Event]]


def sound(change: Change = list, *, speech_db: float = -28.0, before: float = 0.0, after: float = 0.0) -> np.ndarray:
    """Stereo sound of the cut: beeps as they are planned, then changed; speech and a little noise beside them.

    `speech_db` is its level (root of the mean square) below full scale; `before` and `after` are seconds that stand
    before and after the class.
    """
    lead = round(before * RATE_HZ)
    count = lead + TIMELINE.sample_count + round(after * RATE_HZ)
    mono = np.zeros(count)
    events = sorted(change(list(events_of(TIMELINE))))
    for start, samples in mix(events, voices_of(TIMELINE, SESSION.tones, RATE_HZ), TIMELINE.sample_count):
        mono[lead + start : lead + start + len(samples)] = samples
    random = np.random.default_rng(3)
    voice = recordings.bed("speech", count, random) * 10 ** (speech_db / 20)
    noise = random.standard_normal(count) * 1e-3
    return np.repeat((mono + voice + noise)[:, None], 2, axis=1)


def cut(
    path: Path,
    samples: np.ndarray | None,
    *,
    captions: Path | None = None,
    rate: str = "30000/1001",
    rate_hz: int = RATE_HZ,
    options: Sequence[str] = (),
) -> Path:
    """Code a cut as long as its sound; `options` go to FFmpeg's output. Without samples it has no sound.

    FFmpeg's finer way of coding AAC takes four times as long: `options` may ask for it.
    """
    seconds = len(samples) / rate_hz if samples is not None else 5.0
    frames = round(seconds * Fraction(rate))
    command = [imageio_ffmpeg.get_ffmpeg_exe(), "-v", "error", "-y"]
    command += ["-f", "lavfi", "-i", f"color=c=0x556b5f:s=64x48:r={rate}"]
    if samples is not None:
        layout = str(samples.shape[1])
        command += ["-f", "f32le", "-ar", str(rate_hz), "-ac", layout, "-i", "pipe:0"]
    if captions is not None:
        command += ["-i", str(captions), "-c:s", "mov_text"]
    for number in range(1 + (samples is not None) + (captions is not None)):
        command += ["-map", str(number)]
    command += ["-frames:v", str(frames), "-c:v", "mpeg4", "-c:a", "aac", "-aac_coder", "fast", "-b:a", "128k"]
    data = samples.astype("<f4").tobytes() if samples is not None else b""
    subprocess.run([*command, *options, str(path)], input=data, check=True)
    return path


def srt_file(path: Path, change: Callable[[list], list] = list, shift_ms: int = 0) -> Path:
    """The plan's captions as SubRip, changed (a list of `srt.Subtitle`) and late by so many milliseconds."""
    from datetime import timedelta

    import srt

    subtitles = change(list(srt.parse(srt_text(TIMELINE, "en"))))
    for each in subtitles:
        each.start += timedelta(milliseconds=shift_ms)
        each.end += timedelta(milliseconds=shift_ms)
    path.write_text(srt.compose(subtitles), encoding="utf-8")
    return path
