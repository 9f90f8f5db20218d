"""Broadcast WAV, read back by readers that are not ours."""

from __future__ import annotations

import io
import json
import shutil
import struct
import subprocess
import wave as standard_wave
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree as Xml

import numpy as np
import pytest

from overlay.tones.wave import Description, broadcast_wave, header, pack
from overlay.units.rate import Counting, FrameRate
from overlay.units.timecode import label_to_frame

PLAIN = Description(
    title="Desk break",
    contents="Beeps",
    rate=FrameRate.parse("25"),
    counting=Counting.NON_DROP,
    start_frame=0,
    sample_rate_hz=48000,
    sample_count=48000,
)
TWELVE_HOURS = 12 * 3600 * 48000
FULL_SCALE = 2**23


def described(label: str, rate: str, counting: Counting) -> Description:
    frame_rate = FrameRate.parse(rate)
    return replace(PLAIN, rate=frame_rate, counting=counting, start_frame=label_to_frame(label, frame_rate, counting))


def chunks_of(data: bytes) -> dict[bytes, bytes]:
    """The chunks after `WAVE`, walked by their sizes; `data` without its samples."""
    found, position = {}, 12
    while position < len(data):
        name, (size,) = data[position : position + 4], struct.unpack("<I", data[position + 4 : position + 8])
        found[name] = data[position + 8 : position + 8 + size]
        position += 8 + size + size % 2
    return found


def written(path: Path, description: Description, **pieces: list[tuple[int, np.ndarray]]) -> Path:
    path.write_bytes(b"".join(broadcast_wave(description, pieces.get("pieces", []))))
    return path


def sparse(path: Path, description: Description) -> Path:
    """A file of silence as long as it says, that takes no room on most disks."""
    opening = header(description)
    with path.open("wb") as file:
        file.write(opening)
        file.truncate(len(opening) + description.sample_count * 6)
    return path


# STANDARDS: samples since midnight at 48 kHz, computed from EBU Tech 3285's definition; the third
# is 172 799 827.2, which is rounded to nearest.
TIME_REFERENCES = [
    ("01:00:00:00", "25", Counting.NON_DROP, 172_800_000),
    ("01:00:00:00", "29.97", Counting.NON_DROP, 172_972_800),
    ("01:00:00:00", "23.976", Counting.NON_DROP, 172_972_800),
    ("01:00:00;00", "29.97", Counting.DROP, 172_799_827),
    ("00:00:00:00", "59.94", Counting.NON_DROP, 0),
]


@pytest.mark.parametrize(("label", "rate", "counting", "expected"), TIME_REFERENCES)
def test_time_reference_by_libavformat(
    label: str, rate: str, counting: Counting, expected: int, tmp_path: Path
) -> None:
    """PyAV reads our bext: time reference, originator, coding history, description."""
    av = pytest.importorskip("av")
    with av.open(str(written(tmp_path / "tones.wav", described(label, rate, counting)))) as container:
        found = dict(container.metadata)
    assert int(found["time_reference"]) == expected
    assert found["encoded_by"] == "class-overlay"
    assert found["comment"] == "Beeps: Desk break"
    assert found["coding_history"] == "A=PCM,F=48000,W=24,M=stereo,T=class-overlay\r\n"
    assert "date" not in found


@pytest.mark.skipif(shutil.which("ffprobe") is None, reason="the program ffprobe is not installed")
@pytest.mark.parametrize(("label", "rate", "counting", "expected"), TIME_REFERENCES)
def test_time_reference_by_ffprobe(label: str, rate: str, counting: Counting, expected: int, tmp_path: Path) -> None:
    """The system's ffprobe, where there is one."""
    path = written(tmp_path / "tones.wav", described(label, rate, counting))
    command = ["ffprobe", "-v", "error", "-show_format", "-of", "json", str(path)]
    found = json.loads(subprocess.run(command, capture_output=True, check=True).stdout)
    assert int(found["format"]["tags"]["time_reference"]) == expected


def test_bext_fields_stand_where_the_standard_puts_them() -> None:
    """EBU Tech 3285 v2: 602 fixed bytes; version at 346; levels in hundredths at 412, 0x7FFF where unknown."""
    body = chunks_of(header(replace(PLAIN, true_peak_dbtp=-6.02, momentary_max_lufs=-17.9)))[b"bext"]
    assert body[602:].startswith(b"A=PCM,")
    assert body[320:338] == bytes(18)
    assert struct.unpack_from("<QH", body, 338) == (0, 2)
    assert struct.unpack_from("<5h", body, 412) == (0x7FFF, 0x7FFF, -602, -1790, 0x7FFF)
    assert body[422:602] == bytes(180)


def test_ixml_says_rate_and_timecode() -> None:
    """The SPEED group, and the title as it is written: no letter lost, nothing taken as markup."""
    description = replace(described("01:00:00;00", "29.97", Counting.DROP), title="Ćwiczenia <b>&amp; przerwa")
    body = chunks_of(header(description))[b"iXML"]
    root = Xml.fromstring(body.decode("utf-8"))
    assert root.tag == "BWFXML"
    assert root.findtext("PROJECT") == "Ćwiczenia <b>&amp; przerwa"
    speed = {element.tag: element.text for element in root.find("SPEED") or []}
    assert speed["TIMECODE_RATE"] == "30000/1001"
    assert speed["TIMECODE_FLAG"] == "DF"
    assert speed["TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_HI"] == "0"
    assert speed["TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_LO"] == "172799827"
    assert speed["FILE_SAMPLE_RATE"] == speed["TIMESTAMP_SAMPLE_RATE"] == "48000"


def test_a_late_start_needs_the_high_word() -> None:
    """23:00 at 96 kHz is past 32 bits of samples."""
    late = replace(PLAIN, start_frame=23 * 3600 * 25, sample_rate_hz=96000)
    assert late.time_reference_samples == 7_948_800_000
    root = Xml.fromstring(chunks_of(header(late))[b"iXML"].decode("utf-8"))
    high = int(root.findtext("SPEED/TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_HI") or "")
    low = int(root.findtext("SPEED/TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_LO") or "")
    assert high * 2**32 + low == 7_948_800_000


@pytest.mark.parametrize(("title", "ascii_text"), [("Pause café", b"Beeps: Pause cafe\0"), ("休憩", b"Beeps: ??\0")])
def test_bext_text_is_ascii(title: str, ascii_text: bytes) -> None:
    """Accents are left off; what has no ASCII letter becomes a question mark."""
    assert chunks_of(header(replace(PLAIN, title=title)))[b"bext"].startswith(ascii_text)
    assert len(chunks_of(header(replace(PLAIN, title="x" * 999)))[b"bext"].rstrip(b"\0")) < 700


@pytest.mark.parametrize("title", ["even", "uneven"])
def test_chunks_are_word_aligned(title: str) -> None:
    """RIFF pads odd chunks; the samples then begin on an even byte."""
    opening = header(replace(PLAIN, title=title))
    assert set(chunks_of(opening + bytes(48000 * 6))) == {b"bext", b"iXML", b"fmt ", b"data"}
    assert len(opening) % 2 == 0


def test_samples_by_the_standard_library_and_libsndfile() -> None:
    """Two pieces and the silence round them, in both channels, to the last bit."""
    soundfile = pytest.importorskip("soundfile")
    pieces = [(10, np.array([0.0, 0.5, -0.25, 1 / FULL_SCALE])), (300_000, np.array([-0.999, 0.0]))]
    data = b"".join(broadcast_wave(replace(PLAIN, sample_count=400_000), pieces))
    with standard_wave.open(io.BytesIO(data)) as reader:
        parameters = (reader.getnchannels(), reader.getsampwidth(), reader.getframerate(), reader.getnframes())
        assert parameters == (2, 3, 48000, 400_000)
    samples, rate_hz = soundfile.read(io.BytesIO(data), dtype="int32")
    assert rate_hz == 48000
    expected = np.zeros(400_000)
    expected[10:14] = [0, FULL_SCALE / 2, -FULL_SCALE / 4, 1]
    expected[300_000] = round(-0.999 * FULL_SCALE)
    assert np.array_equal(samples[:, 0] >> 8, expected)
    assert np.array_equal(samples[:, 0], samples[:, 1])


def test_twelve_hours_is_rf64_and_readers_agree_on_its_length(tmp_path: Path) -> None:
    """Past 4 GiB: libsndfile and libavformat both read 12 hours."""
    soundfile, av = pytest.importorskip("soundfile"), pytest.importorskip("av")
    path = sparse(tmp_path / "long.wav", replace(PLAIN, sample_count=TWELVE_HOURS, start_frame=25))
    assert path.stat().st_size > 2**32
    assert soundfile.info(path).frames == TWELVE_HOURS
    assert soundfile.info(path).format == "RF64"
    with av.open(str(path)) as container:
        assert container.duration == 12 * 3600 * 1_000_000
        assert int(container.metadata["time_reference"]) == 48000


def test_rf64_begins_where_riff_ends() -> None:
    """The first length that a 32-bit size cannot tell; both sizes count to the file's end."""
    spare = 2**32 - 1 - len(header(PLAIN)) + 8
    longest = replace(PLAIN, sample_count=(spare - 1) // 6)
    opening = header(longest)
    assert opening[:4] == b"RIFF"
    assert struct.unpack_from("<I", opening, 4)[0] == len(opening) + longest.sample_count * 6 - 8
    longer = header(replace(PLAIN, sample_count=longest.sample_count + 1))
    assert longer[:4] == b"RF64"
    riff_bytes, data_bytes, samples, table = struct.unpack_from("<QQQI", longer, 20)
    assert riff_bytes == len(longer) + data_bytes - 8
    assert (data_bytes, samples, table) == (6 * (longest.sample_count + 1), longest.sample_count + 1, 0)


def test_silence_is_one_block() -> None:
    """An hour of silence hands out the same bytes again and again."""
    _, *blocks, rest = broadcast_wave(replace(PLAIN, sample_count=3600 * 48000), [])
    assert len({id(block) for block in blocks}) == 1
    assert sum(map(len, blocks)) + len(rest) == 3600 * 48000 * 6


@pytest.mark.parametrize(
    "pieces",
    [
        [(10, np.zeros(5)), (12, np.zeros(5))],
        [(47_999, np.zeros(2))],
        [(0, np.array([1.0]))],
        [(0, np.array([-2.0]))],
        [(0, np.array([np.nan]))],
    ],
)
def test_pieces_that_do_not_fit_are_refused(pieces: list[tuple[int, np.ndarray]]) -> None:
    """Overlapping, past the end, at full scale, not a number: nothing is clipped or wrapped."""
    with pytest.raises(ValueError, match=r"piece|fit|full scale"):
        list(broadcast_wave(PLAIN, pieces))


def test_packing_rounds_to_nearest() -> None:
    """Half a step and more is a step, of either sign."""
    packed = pack(np.array([0.4, 0.6, -0.6]) / FULL_SCALE)
    assert packed == b"\0\0\0" * 2 + b"\1\0\0" * 2 + b"\xff\xff\xff" * 2
