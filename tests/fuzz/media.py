"""Recordings that are broken: cut off, zeroed, bits turned, pieces taken out or doubled.

python tests/fuzz/media.py FOLDER FIRST COUNT     reads and listens to them, and prints figures
"""

from __future__ import annotations

import json
import random
import sys
import time
from collections import Counter
from fractions import Fraction
from pathlib import Path

import av
import numpy as np

from overlay.errors import MachineError
from overlay.footage.listen import listen, locate
from overlay.footage.sound import Footage
from overlay.plan.read import parse_plan
from overlay.timeline.layout import lay_out

PLAN = b"overlay: 1\ntitle: A\ntiming: {work: 4s, preview: 4s}\nblocks: [{intervals: [{name: B}]}]\n"
KINDS = {"mp4": ("h264", "aac"), "mov": ("mpeg4", "pcm_s16le"), "wav": (None, "pcm_s16le"), "mp3": (None, "mp3")}
"""What the sound files are that people hand over, by ending: the coding of pictures and of sound."""
RATE_HZ = 48000
_SECONDS = 12


def sound_files(folder: Path) -> list[Path]:
    """A recording of each kind: pips in noise, with pictures where the kind has any."""
    noise = np.random.default_rng(1).normal(0, 0.01, _SECONDS * RATE_HZ)
    times = np.arange(len(noise)) / RATE_HZ
    pips = np.where(times % 1 < 0.1, 0.5 * np.sin(2 * np.pi * 880 * times), 0)
    samples = ((noise + pips) * 32767).astype(np.int16).reshape(1, -1)
    return [_written(folder / f"sound.{ending}", samples, *coding) for ending, coding in KINDS.items()]


def _written(path: Path, samples: np.ndarray, picture: str | None, sound: str) -> Path:
    with av.open(str(path), "w") as container:
        video = container.add_stream(picture, rate=Fraction(25)) if picture else None
        audio = container.add_stream(sound, rate=RATE_HZ, layout="mono")
        if video is not None:
            video.width, video.height, video.pix_fmt = 64, 48, "yuv420p"
            for number in range(_SECONDS * 25):
                frame = av.VideoFrame.from_ndarray(np.full((72, 64), number % 200, np.uint8), format="yuv420p")
                container.mux(video.encode(frame))
            container.mux(video.encode(None))
        for start in range(0, samples.shape[1], 1024):
            frame = av.AudioFrame.from_ndarray(samples[:, start : start + 1024], format="s16", layout="mono")
            frame.sample_rate, frame.pts, frame.time_base = RATE_HZ, start, Fraction(1, RATE_HZ)
            container.mux(audio.encode(frame))
        container.mux(audio.encode(None))
    return path


def mangled(whole: bytes, number: int) -> bytes:
    """A file with something wrong with it; heads, where the tables stand, more often than the rest."""
    random_ = random.Random(number)
    raw = bytearray(whole)

    def place() -> int:
        near = random_.choice([256, 4096, len(raw)])
        at = random_.randrange(min(near, len(raw)))
        return random_.choice([at, len(raw) - 1 - at])

    for _ in range(random_.choice([1, 1, 3, 20])):
        at = place()
        length = random_.choice([1, 4, 100, 5000, len(raw) // 3])
        match random_.randrange(6):
            case 0 if len(raw) > 1000:
                del raw[max(at, 1) :]
            case 1:
                raw[at : at + length] = bytes(len(raw[at : at + length]))
            case 2:
                raw[at] ^= 1 << random_.randrange(8)
            case 3:
                raw[at : at + 4] = random_.choice(
                    [b"\xff\xff\xff\xff", b"\x7f\xff\xff\xff", b"\0\0\0\1", b"\x80\0\0\0"]
                )
            case 4 if len(raw) > length + 1000:
                del raw[at : at + length]
            case _:
                raw[at:at] = raw[at : at + min(length, 5000)]
    return bytes(raw)


def heard(path: Path) -> str:
    """How reading and listening to a file ended."""
    session = parse_plan(PLAN, "a.yaml")
    try:
        with Footage(path) as footage:
            for _ in footage.pieces():
                pass
            footage.facts()
        locate(listen(lay_out(session).timeline, session.tones, path))
    except MachineError as error:
        return "refused" if str(path) in error.message or path.name in error.message else "refused without its name"
    return "read"


def main() -> None:
    """Mangle files by number and print what came of them."""
    from hang import cut_off
    from memory import most_mb

    folder, first, count = Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3])
    av.logging.set_level(av.logging.PANIC)
    wholes = [(path.suffix, path.read_bytes()) for path in sound_files(folder)]
    ends: Counter[str] = Counter()
    slowest = (0.0, "")
    for number in range(first, first + count):
        suffix, whole = wholes[number % len(wholes)]
        path = folder / f"broken-{number}{suffix}"
        path.write_bytes(mangled(whole, number))
        print(number, file=sys.stderr, flush=True)
        began = time.process_time()
        try:
            with cut_off():
                ends[heard(path)] += 1
        except Exception as error:
            ends[f"{type(error).__name__}: {str(error)[:80]} ({path.name})"] += 1
        slowest = max(slowest, (time.process_time() - began, path.name))
        path.unlink()
    peak_mb = most_mb()
    print(json.dumps({"ends": ends, "slowest": slowest, "peak_mb": peak_mb}))


if __name__ == "__main__":
    main()
