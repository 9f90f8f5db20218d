"""Broadcast WAV files of 24-bit stereo, written as they come, of any length.

The form is RIFF, or RF64 (EBU Tech 3306) where RIFF's 32-bit sizes do not reach: a little over
four hours at 48 kHz. `bext` is that of EBU Tech 3285 version 2, the coding history that of EBU R 98,
and iXML says the frame rate, which `bext` cannot. Nothing in a file depends on when or where it was
made: date, time and references are blank.
"""

from __future__ import annotations

import struct
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from xml.etree import ElementTree as Xml

import numpy as np

from overlay.tones.loudness import Samples
from overlay.tones.mix import Piece
from overlay.units.clock import frame_to_sample
from overlay.units.rate import Counting, FrameRate

CHANNELS, BYTES_A_SAMPLE = 2, 3
FRAME_BYTES = CHANNELS * BYTES_A_SAMPLE
ORIGINATOR = "class-overlay"

_FULL_SCALE = 1 << 23
_NO_ROOM = 0xFFFFFFFF
"""In a 32-bit size: look in `ds64`."""
_NOT_MEASURED = 0x7FFF
_SILENCE_SAMPLES = 1 << 17


@dataclass(frozen=True)
class Description:
    """What a file says about itself. Levels are None where they are not known.

    `start_frame` is the frame number of the first sample's timecode.
    """

    title: str
    contents: str
    rate: FrameRate
    counting: Counting
    start_frame: int
    sample_rate_hz: int
    sample_count: int
    momentary_max_lufs: float | None = None
    true_peak_dbtp: float | None = None

    @property
    def time_reference_samples(self) -> int:
        """Samples since midnight: the nearest to the start frame, halves up.

        01:00:00;00 at 29.97 is 172 799 827.2 samples of 48 kHz, and 172 799 827 is written.
        """
        return frame_to_sample(self.start_frame, self.rate, self.sample_rate_hz)


def broadcast_wave(description: Description, pieces: Iterable[Piece]) -> Iterator[bytes]:
    """A whole file, chunk by chunk: mono pieces in both channels, silence between them.

    Pieces come in order and do not overlap. Memory does not grow with length: silence is one block
    of zeros, given out again and again. Raises ValueError for pieces out of order, past the end, or
    at full scale and beyond.
    """
    yield header(description)
    zeros = bytes(_SILENCE_SAMPLES * FRAME_BYTES)
    position = 0
    for start, samples in pieces:
        if start < position:
            raise ValueError(f"a piece at sample {start} begins before the last one ended, at {position}")
        yield from _silence(start - position, zeros)
        yield pack(samples)
        position = start + len(samples)
    if position > description.sample_count:
        raise ValueError(f"sound to sample {position} does not fit into {description.sample_count}")
    yield from _silence(description.sample_count - position, zeros)


def header(description: Description) -> bytes:
    """Everything before the samples.

    >>> from fractions import Fraction
    >>> fields = ("Desk break", "beeps", FrameRate(Fraction(25)), Counting.NON_DROP, 0, 48000)
    >>> header(Description(*fields, sample_count=48000))[:4], header(Description(*fields, sample_count=1 << 30))[:4]
    (b'RIFF', b'RF64')
    """
    chunks = _chunk(b"bext", _bext(description), filler=b"\0") + _chunk(b"iXML", _ixml(description), filler=b"\n")
    chunks += _chunk(b"fmt ", _format(description))
    data_bytes = description.sample_count * FRAME_BYTES
    riff_bytes = len(b"WAVE") + len(chunks) + 8 + data_bytes
    if riff_bytes < _NO_ROOM:
        return b"RIFF" + struct.pack("<I", riff_bytes) + b"WAVE" + chunks + b"data" + struct.pack("<I", data_bytes)
    sizes = struct.pack("<QQQI", riff_bytes + 8 + 28, data_bytes, description.sample_count, 0)
    opening = b"RF64" + struct.pack("<I", _NO_ROOM) + b"WAVE" + _chunk(b"ds64", sizes)
    return opening + chunks + b"data" + struct.pack("<I", _NO_ROOM)


def pack(samples: Samples) -> bytes:
    """Mono samples as little-endian 24-bit stereo, both channels alike, rounded to nearest.

    >>> pack(np.array([0.0, 0.5])).hex(" ", 3)
    '000000 000000 000040 000040'
    """
    whole = np.rint(samples * _FULL_SCALE)
    if len(whole) and not np.max(np.abs(whole)) < _FULL_SCALE:
        raise ValueError("samples at full scale would be clipped")
    mono = whole.astype("<i4").view(np.uint8).reshape(-1, 4)[:, :BYTES_A_SAMPLE]
    return np.tile(mono, CHANNELS).tobytes()


def _silence(sample_count: int, zeros: bytes) -> Iterator[bytes]:
    blocks, rest = divmod(sample_count, _SILENCE_SAMPLES)
    for _ in range(blocks):
        yield zeros
    if rest:
        yield zeros[: rest * FRAME_BYTES]


def _chunk(name: bytes, body: bytes, filler: bytes = b"") -> bytes:
    """Bodies are filled to an even size: libsndfile loses its way in RF64 after the byte that pads an odd one."""
    even = body + filler * (len(body) % 2)
    return name + struct.pack("<I", len(even)) + even


def _format(description: Description) -> bytes:
    rate_hz = description.sample_rate_hz
    return struct.pack("<HHIIHH", 1, CHANNELS, rate_hz, rate_hz * FRAME_BYTES, FRAME_BYTES, 8 * BYTES_A_SAMPLE)


def _bext(description: Description) -> bytes:
    """Text is ASCII by the standard, accents left off; iXML has the title in full."""
    plain = unicodedata.normalize("NFKD", f"{description.contents}: {description.title}")
    text = "".join(c for c in plain if not unicodedata.combining(c)).encode("ascii", "replace")
    history = f"A=PCM,F={description.sample_rate_hz},W={8 * BYTES_A_SAMPLE},M=stereo,T={ORIGINATOR}\r\n"
    levels = [None, None, description.true_peak_dbtp, description.momentary_max_lufs, None]
    fixed = struct.pack(
        "<256s32s32s10s8sQH64s5h180s",
        text,
        ORIGINATOR.encode("ascii"),
        b"",
        b"",
        b"",
        description.time_reference_samples,
        2,
        b"",
        *(_NOT_MEASURED if level is None else round(level * 100) for level in levels),
        b"",
    )
    return fixed + history.encode("ascii")


def _ixml(description: Description) -> bytes:
    rate, rate_hz = str(description.rate), str(description.sample_rate_hz)
    high, low = divmod(description.time_reference_samples, 1 << 32)
    root = Xml.Element("BWFXML")
    for name, text in (("IXML_VERSION", "1.61"), ("PROJECT", description.title), ("NOTE", description.contents)):
        Xml.SubElement(root, name).text = text
    speed = Xml.SubElement(root, "SPEED")
    for name, text in (
        ("MASTER_SPEED", rate),
        ("CURRENT_SPEED", rate),
        ("TIMECODE_RATE", rate),
        ("TIMECODE_FLAG", "DF" if description.counting is Counting.DROP else "NDF"),
        ("FILE_SAMPLE_RATE", rate_hz),
        ("AUDIO_BIT_DEPTH", str(8 * BYTES_A_SAMPLE)),
        ("DIGITIZER_SAMPLE_RATE", rate_hz),
        ("TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_HI", str(high)),
        ("TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_LO", str(low)),
        ("TIMESTAMP_SAMPLE_RATE", rate_hz),
    ):
        Xml.SubElement(speed, name).text = text
    return b'<?xml version="1.0" encoding="UTF-8"?>' + Xml.tostring(root, encoding="unicode").encode("utf-8")
