"""Recordings of classes as a phone makes them: beeps from a loudspeaker, music, speech, a room, a clock that is off.

Everything is made by general tools: numpy for music, noise and rooms, espeak-ng for speech where it is installed,
PyAV for the files. What a recording holds is known to the sample, so that what is heard can be checked.
"""

from __future__ import annotations

import io
import shutil
import subprocess
import wave
from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache
from pathlib import Path

import av
import numpy as np

from overlay.plan.outputs import ToneSettings
from overlay.timeline.model import Timeline
from overlay.tones.mix import mix
from overlay.tones.track import events_of, voices_of

RATE_HZ = 48000
BAND_HZ = (500, 1500)
"""The band in which tones are compared with everything else: that of the beeps' fundamentals."""
SPEECH = (
    "Sit tall before you pull. Lead with the elbow and keep the shoulder down. Two more, make them slow.",
    "Next we stay seated and press the floor away. Breathe out as you push. Easier: use one hand on the desk.",
    "Good. Shake out the hands. Halfway there. Keep the chin level and let the ribs follow the breath.",
)


@dataclass(frozen=True)
class Room:
    """Early reflections and an exponential tail of noise behind the direct sound.

    `ratio_db` is direct to reverberant energy, `decay` the time in seconds in which the tail falls by 60 dB.
    """

    ratio_db: float = 0.0
    decay: float = 0.5

    def response(self, random: np.random.Generator) -> np.ndarray:
        length = int(self.decay * RATE_HZ)
        tail = random.standard_normal(length) * np.exp(-6.9 * np.arange(length) / length)
        tail[: int(0.0015 * RATE_HZ)] = 0  # nothing comes sooner behind the direct sound than by way of the floor
        for _ in range(6):
            tail[int(random.uniform(0.0015, 0.03) * RATE_HZ)] += random.uniform(5, 20) * random.choice((-1, 1))
        tail *= 10 ** (-self.ratio_db / 20) / np.sqrt(np.sum(tail**2))
        tail[0] = 1.0
        return tail


@dataclass(frozen=True)
class Filmed:
    """One recording: where the class lies in it, and what else is heard.

    `zero` is the second of the recording at which class frame 0 falls; `pauses` are (class second, seconds of pause).
    `tone_db` is tone against everything else in the band while beeps sound, None for tones alone.
    """

    zero: float = 7.3
    length: float | None = None
    pauses: Sequence[tuple[float, float]] = ()
    tone_db: float | None = 0.0
    room: Room | None = field(default_factory=Room)
    ppm: float = 0.0
    bed: str = "mixed"
    seed: int = 1
    missing: float = 0.0
    extra: int = 0
    voices: str = "class"


def filmed(timeline: Timeline, settings: ToneSettings, how: Filmed) -> np.ndarray:
    """The recorded sound, mono float32 at 48 kHz on the recording's own clock."""
    random = np.random.default_rng(how.seed)
    true_length = how.length or how.zero + float(timeline.duration) + sum(pause for _, pause in how.pauses) + 5
    count = int(true_length * RATE_HZ)
    tones = np.zeros(count, dtype=np.float32)
    if how.voices != "none":
        _sound_class(tones, timeline, settings, how, random)
    heard = tones
    if how.room is not None:
        heard = convolved(tones, how.room.response(random))
    if how.tone_db is not None:
        rest = bed(how.bed, count, random)
        sounding = np.abs(tones) > 0
        if not sounding.any():
            sounding[:] = True
        level = _band_level(tones, sounding) / max(_band_level(rest, sounding), 1e-9) if how.voices != "none" else 1.0
        heard = heard + rest * np.float32(level * 10 ** (-how.tone_db / 20))
    heard = heard * np.float32(0.5 / max(float(np.max(np.abs(heard))), 1e-6))
    return resampled(heard, how.ppm) if how.ppm else heard


def _sound_class(
    tones: np.ndarray, timeline: Timeline, settings: ToneSettings, how: Filmed, random: np.random.Generator
) -> None:
    voices = voices_of(timeline, settings, RATE_HZ)
    events = events_of(timeline, RATE_HZ)
    kept = [event for event in events if random.random() >= how.missing]
    for start, samples in mix(kept, voices, int(timeline.duration * RATE_HZ)):
        moved = sum(pause for at, pause in how.pauses if start / RATE_HZ >= at - 0.01)
        _add(tones, samples, start + round((how.zero + moved) * RATE_HZ))
    kinds = list(voices)
    for _ in range(how.extra):
        _add(tones, voices[kinds[random.integers(len(kinds))]].samples, int(random.uniform(0, len(tones))))


def _add(sound: np.ndarray, piece: np.ndarray, at: int) -> None:
    start, end = max(at, 0), min(at + len(piece), len(sound))
    if end > start:
        sound[start:end] += piece[start - at : end - at].astype(np.float32)


def convolved(sound: np.ndarray, response: np.ndarray) -> np.ndarray:
    """The sound in a room, in blocks; as long as the sound."""
    block = 1 << 18
    size = block + (1 << (len(response) - 1).bit_length())
    spectrum = np.fft.rfft(response, size)
    out = np.zeros(len(sound) + size, dtype=np.float32)
    for start in range(0, len(sound), block):
        piece = sound[start : start + block]
        if piece.any():
            out[start : start + size] += np.fft.irfft(np.fft.rfft(piece, size) * spectrum, size).astype(np.float32)
    return out[: len(sound)]


def resampled(sound: np.ndarray, ppm: float) -> np.ndarray:
    """What a recorder writes whose clock is fast by so many ppm: more samples for the same time."""
    out = np.empty(int(len(sound) * (1 + ppm * 1e-6)) - 8, dtype=np.float32)
    for start in range(0, len(out), 1 << 20):
        at = np.arange(start, min(start + (1 << 20), len(out))) / (1 + ppm * 1e-6)
        whole = np.clip(at.astype(np.int64), 2, len(sound) - 4)
        part = (at - whole).astype(np.float32)
        value = np.zeros(len(at), dtype=np.float32)
        for tap in range(-1, 3):  # Lagrange of the third order: the band lies far below half the rate
            weight = np.ones(len(at), dtype=np.float32)
            for other in range(-1, 3):
                if other != tap:
                    weight *= (part - other) / np.float32(tap - other)
            value += weight * sound[whole + tap]
        out[start : start + len(at)] = value
    return out


def _band_level(sound: np.ndarray, where: np.ndarray) -> float:
    """Root of the mean square in the band, over the samples of `where` (at most two minutes of them)."""
    total = count = 0.0
    block = 1 << 16
    freqs = np.fft.rfftfreq(block, 1 / RATE_HZ)
    outside = (freqs < BAND_HZ[0]) | (freqs > BAND_HZ[1])
    for start in range(0, len(sound) - block, block):
        here = where[start : start + block]
        if here.any():
            spectrum = np.fft.rfft(sound[start : start + block])
            spectrum[outside] = 0
            total += float(np.sum(np.fft.irfft(spectrum, block)[here] ** 2))
            count += float(here.sum())
            if count > 120 * RATE_HZ:
                break
    return float(np.sqrt(total / max(count, 1)))


def bed(kind: str, count: int, random: np.random.Generator) -> np.ndarray:
    """What else is heard: noise, music, speech, or all of them (mixed)."""
    if kind == "silence":
        return np.zeros(count, dtype=np.float32)
    parts = ("noise", "music", "speech") if kind == "mixed" else (kind,)
    total = np.zeros(count, dtype=np.float32)
    for part in parts:
        made = {"noise": _noise, "music": _music, "speech": _speech, "timer": _timer}[part](count, random)
        total += made / np.float32(max(np.sqrt(np.mean(made[: 60 * RATE_HZ] ** 2)), 1e-9))
    return total


def _noise(count: int, random: np.random.Generator) -> np.ndarray:
    """Noise that falls by 3 dB an octave from 100 Hz, looped from a stretch that no class repeats with."""
    size = int(41.37 * RATE_HZ)
    freqs = np.fft.rfftfreq(size, 1 / RATE_HZ)
    spectrum = np.fft.rfft(random.standard_normal(size)) / np.sqrt(np.maximum(freqs, 100))
    return np.resize(np.fft.irfft(spectrum, size).astype(np.float32), count)


def _music(count: int, random: np.random.Generator) -> np.ndarray:
    """Chords, a bass, a tune and a drum at a steady tempo, looped from sixteen bars."""
    beat = 60 / random.uniform(90, 150)
    size = int(64 * beat * RATE_HZ)
    loop = np.zeros(size, dtype=np.float32)
    scale = 220 * 2 ** (np.array([0, 2, 3, 5, 7, 8, 10, 12, 14, 15, 17, 19]) / 12)
    for step in range(128):
        start = int(step * beat / 2 * RATE_HZ)
        notes = [(scale[random.integers(len(scale))] * 2, 0.4, 0.2)] if random.random() < 0.6 else []
        if step % 8 == 0:
            root = random.integers(5)
            notes += [(scale[root + third], 4 * beat, 0.15) for third in (0, 2, 4)] + [(scale[root] / 4, beat, 0.4)]
        for pitch, length, level in notes:
            t = np.arange(int(length * RATE_HZ)) / RATE_HZ
            tone = sum(np.sin(2 * np.pi * pitch * n * t + random.uniform(0, 6)) / n for n in range(1, 6))
            _add(loop, level * tone * np.minimum(t / 0.01, 1) * np.exp(-2 * t / length), start)
        if step % 2 == 0:
            hit = random.standard_normal(6000) * np.exp(-np.arange(6000) / 1200)
            _add(loop, 0.5 * hit, start)
    return np.resize(loop, count)


def _speech(count: int, random: np.random.Generator) -> np.ndarray:
    said = [spoken(text, int(random.integers(120, 180))) for text in SPEECH]
    total = np.zeros(count, dtype=np.float32)
    at = 0
    while at < count:
        words = said[random.integers(len(said))]
        _add(total, words, at)
        at += len(words) + int(random.uniform(0.5, 5) * RATE_HZ)
    return total


@cache
def spoken(text: str, words_a_minute: int) -> np.ndarray:
    """Speech by espeak-ng; where that is missing, a hum with a voice's overtones, broken into syllables."""
    program = shutil.which("espeak-ng")
    if program is None:
        t = np.arange(6 * RATE_HZ) / RATE_HZ
        pitch = 2 * np.pi * np.cumsum(120 + 20 * np.sin(2 * np.pi * 0.7 * t)) / RATE_HZ
        hum = sum(np.sin(n * pitch) / n for n in range(1, 25))
        return (hum * (np.sin(2 * np.pi * 2.1 * t) > -0.3)).astype(np.float32)
    command = [program, "-s", str(words_a_minute), "--stdout", text]
    with wave.open(io.BytesIO(subprocess.run(command, capture_output=True, check=True).stdout)) as file:
        rate_hz = file.getframerate()
        samples = np.frombuffer(file.readframes(1 << 30), dtype="<i2").astype(np.float32) / 32768
    at = np.arange(int(len(samples) * RATE_HZ / rate_hz)) * rate_hz / RATE_HZ
    return np.interp(at, np.arange(len(samples)), samples).astype(np.float32)


def _timer(count: int, random: np.random.Generator) -> np.ndarray:
    """Some other timer: three short pips and a long one, over and over."""
    total = np.zeros(count, dtype=np.float32)
    pitch = random.choice((880.0, 1000.0, 1318.5, 2000.0))
    work, rest = random.choice((20, 30, 40, 45)), random.choice((10, 15, 20))
    at = random.uniform(2, 20)
    while at < count / RATE_HZ:
        for begin, length in ((at - 3, 0.1), (at - 2, 0.1), (at - 1, 0.1), (at, 0.5), (at + work, 0.8)):
            t = np.arange(int(length * RATE_HZ)) / RATE_HZ
            ends = np.minimum(np.minimum(t, length - t) / 0.01, 1)
            _add(total, np.sin(2 * np.pi * pitch * t) * ends, int(begin * RATE_HZ))
        at += work + rest
    return total + np.float32(0.05) * _noise(count, random)


def write_mp4(
    path: Path,
    sound: np.ndarray | None,
    *,
    rate_hz: int = RATE_HZ,
    sound_start: Fraction = Fraction(0),
    picture_start: Fraction = Fraction(0),
    variable: bool = False,
    rotated: bool = False,
    gap: tuple[float, float] | None = None,
    picture_seconds: float | None = None,
    codec: str = "aac",
    coder: str = "fast",
) -> Path:
    """A file with a small picture and AAC at 64 kb/s, each starting at its own time; `gap` leaves packets out.

    `sound` is at 48 kHz; another `rate_hz` is that of the file. `coder` is how FFmpeg codes AAC: `twoloop` is finer
    and takes four times as long.
    """
    options = {"movie_timescale": "48000"} if path.suffix == ".mp4" else {}  # else starts are whole milliseconds
    seconds = picture_seconds if picture_seconds is not None else len(sound) / RATE_HZ if sound is not None else 1.0
    with av.open(str(path), "w", options=options) as container:
        video = container.add_stream("mpeg4", rate=30)
        video.width, video.height, video.pix_fmt, video.bit_rate = 64, 48, "yuv420p", 20_000
        video.time_base = video.codec_context.time_base = Fraction(1, 60000)
        audio = None
        if sound is not None:
            how = {"aac_coder": coder} if codec == "aac" else {}
            audio = container.add_stream(codec, rate=rate_hz, layout="mono", options=how)
            if codec == "aac":
                audio.bit_rate = 64_000
        if rotated:
            video.set_display_rotation(90)
        _write_picture(container, video, seconds, picture_start, variable)
        if audio is not None and sound is not None:
            _write_sound(container, audio, sound, rate_hz, sound_start, gap)
    return path


def _write_picture(container, video, seconds: float, start: Fraction, variable: bool) -> None:
    random = np.random.default_rng(5)
    image = np.full((48, 64, 3), 90, dtype=np.uint8)
    at, step = float(start), 1.0  # a picture a second keeps the making of hundreds of files short
    last = -1
    while at < float(start) + seconds:
        frame = av.VideoFrame.from_ndarray(image, format="rgb24")
        frame.pts = max(round(at * 60000), last + 1)
        last, frame.time_base = frame.pts, Fraction(1, 60000)
        container.mux(video.encode(frame))
        at += step * (random.uniform(0.5, 1.5) if variable else 1)
    container.mux(video.encode(None))


def _write_sound(container, audio, sound, rate_hz: int, start: Fraction, gap: tuple[float, float] | None) -> None:
    shift = round(start * rate_hz)
    other_rate = av.AudioResampler(format="fltp", layout="mono", rate=rate_hz, frame_size=1024)
    for at in range(0, len(sound), 4096):
        frame = av.AudioFrame.from_ndarray(sound[None, at : at + 4096], format="fltp", layout="mono")
        frame.sample_rate, frame.time_base, frame.pts = RATE_HZ, Fraction(1, RATE_HZ), at
        for piece in other_rate.resample(frame):
            for packet in audio.encode(piece):
                _mux(container, packet, shift, gap)
    for piece in other_rate.resample(None):
        for packet in audio.encode(piece):
            _mux(container, packet, shift, gap)
    for packet in audio.encode(None):
        _mux(container, packet, shift, gap)


def _mux(container, packet, shift: int, gap: tuple[float, float] | None) -> None:
    at = float(packet.pts * packet.time_base)
    if gap is not None and gap[0] <= at < gap[1]:
        return
    packet.pts += shift
    packet.dts += shift
    container.mux(packet)
