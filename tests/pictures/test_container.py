"""The QuickTime file's tables, taken apart by a small reader of boxes and opened by libavformat."""

from __future__ import annotations

import struct
import sys
from fractions import Fraction
from pathlib import Path

import av
import pytest
from PIL import Image

from overlay.pictures.coding import Encoder
from overlay.pictures.container import Timing, movie_head
from overlay.units.raster import Size
from overlay.units.rate import RATE_NAMES, Counting, FrameRate

SIZE = Size.parse("640x360")
CONTAINERS = {b"moov", b"trak", b"mdia", b"minf", b"stbl", b"tref"}
FOUR_GIB = 2**32


def _timing(rate: str = "29.97", counting: Counting = Counting.NON_DROP, start_frame: int = 0) -> Timing:
    return Timing(FrameRate.parse(rate), counting, start_frame)


def _boxes(data: bytes, path: str = "") -> dict[str, bytes]:
    """Payloads by path, such as `moov/trak1/mdia`; tracks are numbered."""
    found: dict[str, bytes] = {}
    position, tracks = 0, 0
    while position < len(data):
        length, kind = struct.unpack_from(">I4s", data, position)
        if length == 1:
            length = struct.unpack_from(">Q", data, position + 8)[0]
        name = kind.decode()
        if kind == b"trak":
            tracks += 1
            name += str(tracks)
        found[path + name] = data[position + 8 : position + length]
        if kind in CONTAINERS:
            found |= _boxes(found[path + name], f"{path}{name}/")
        position += length
    return found


def _offsets(boxes: dict[str, bytes], track: int) -> tuple[int, ...]:
    table = f"moov/trak{track}/mdia/minf/stbl/"
    kind, code = (table + "co64", "Q") if table + "co64" in boxes else (table + "stco", "I")
    (count,) = struct.unpack_from(">4xI", boxes[kind])
    return struct.unpack_from(f">{count}{code}", boxes[kind], 8)


def test_a_picture_stands_once_and_is_pointed_at_often() -> None:
    """Offsets repeat with the pictures; each frame is a chunk of its own of the right length."""
    head = movie_head(SIZE, _timing(), [100, 300, 50], [(0, 2), (1, 1), (0, 1), (2, 2)], plain=False)
    boxes, first = _boxes(head), len(head)
    assert _offsets(boxes, 1) == (first, first, first + 100, first, first + 400, first + 400)
    sizes = struct.unpack_from(">4xII6I", boxes["moov/trak1/mdia/minf/stbl/stsz"])
    assert sizes == (0, 6, 100, 100, 300, 100, 50, 50)
    assert struct.unpack(">4x4I", boxes["moov/trak1/mdia/minf/stbl/stsc"]) == (1, 1, 1, 1)
    assert struct.unpack_from(">I4s", head, len(head) - 12) == (8 + 4 + 450, b"mdat")


def test_a_plain_file_holds_every_frame() -> None:
    """Offsets run on, frame after frame."""
    head = movie_head(SIZE, _timing(), [100, 300], [(0, 2), (1, 1), (0, 1)], plain=True)
    first = len(head)
    assert _offsets(_boxes(head), 1) == (first, first + 100, first + 200, first + 500)
    assert struct.unpack_from(">I4s", head, len(head) - 12) == (8 + 4 + 600, b"mdat")


@pytest.mark.parametrize("rate", RATE_NAMES)
def test_time_is_exact(rate: str) -> None:
    """A frame lasts a whole number of units, and a second of units makes the rate to the fraction."""
    timing = _timing(rate)
    assert Fraction(timing.timescale, timing.frame_units) == timing.rate.value
    boxes = _boxes(movie_head(SIZE, timing, [100], [(0, 10)], plain=False))
    times = (timing.timescale, 10 * timing.frame_units)
    assert struct.unpack_from(">4x4I", boxes["moov/mvhd"]) == (0, 0, *times)
    assert struct.unpack_from(">4x4I", boxes["moov/trak1/mdia/mdhd"]) == (0, 0, *times)
    assert struct.unpack(">4x3I", boxes["moov/trak1/mdia/minf/stbl/stts"]) == (1, 10, timing.frame_units)


def test_ntsc_is_30000_by_1001() -> None:
    """The spelling that the trade knows."""
    assert (_timing("29.97").timescale, _timing("29.97").frame_units) == (30000, 1001)


def test_the_video_track_refers_to_its_timecode() -> None:
    """Start frame, drop-frame flag, frame duration, nominal rate, as QuickTime's `tmcd` has them."""
    head = movie_head(SIZE, _timing("29.97", Counting.DROP, 107892), [100], [(0, 10)], plain=False)
    boxes = _boxes(head)
    assert struct.unpack(">I", boxes["moov/trak1/tref/tmcd"]) == (2,)
    description = boxes["moov/trak2/mdia/minf/stbl/stsd"]
    assert struct.unpack_from(">4x4s", description, 8) == (b"tmcd",)
    assert struct.unpack_from(">4xIIIB", description, 24) == (1 | 2, 30000, 1001, 30)
    (offset,) = _offsets(boxes, 2)
    assert struct.unpack_from(">I", head, offset) == (107892,)


def test_the_picture_is_described() -> None:
    """ProRes 4444 of the size, 32 bits deep, BT.709, square pixels, progressive; the display size."""
    boxes = _boxes(movie_head(SIZE, _timing(), [100], [(0, 1)], plain=False))
    description = boxes["moov/trak1/mdia/minf/stbl/stsd"][8:]
    assert description[4:8] == b"ap4h"
    assert struct.unpack_from(">HH", description, 32) == (640, 360)
    assert description[50 : 51 + description[50]] == b"\x0bProRes 4444"
    assert struct.unpack_from(">Hh", description, 82) == (32, -1)
    extensions = _boxes(description[86:])
    assert extensions == {
        "fiel": b"\1\0",
        "colr": b"nclc\0\1\0\1\0\1",
        "pasp": struct.pack(">II", 1, 1),
    }
    assert struct.unpack(">II", boxes["moov/trak1/tkhd"][-8:]) == (640 << 16, 360 << 16)


def test_no_dates() -> None:
    """Nothing of the day of the build is in the file."""
    boxes = _boxes(movie_head(SIZE, _timing(), [100], [(0, 1)], plain=False))
    headers = [payload for path, payload in boxes.items() if path.endswith(("mvhd", "tkhd", "mdhd"))]
    assert len(headers) == 5
    assert all(payload[4:12] == bytes(8) for payload in headers)


def test_offsets_are_as_wide_as_they_must_be() -> None:
    """32 bits up to the last byte that they reach, 64 from the next on."""
    reach = FOUR_GIB - 1 - len(movie_head(SIZE, _timing(), [1, 5], [(0, 1), (1, 1)], plain=True))
    for last, table in ((reach, "stco"), (reach + 1, "co64")):
        head = movie_head(SIZE, _timing(), [last, 5], [(0, 1), (1, 1)], plain=True)
        boxes = _boxes(head)
        assert _offsets(boxes, 1) == (len(head), len(head) + last)
        assert f"moov/trak1/mdia/minf/stbl/{table}" in boxes
        assert "moov/trak2/mdia/minf/stbl/stco" in boxes


@pytest.mark.skipif(sys.platform == "win32", reason="the file system stores holes")
def test_a_reader_finds_pictures_beyond_four_gib(tmp_path: Path) -> None:
    """libavformat decodes the first and the last frame of a plain file of over 6 GiB, most of it a hole."""
    packets = [Encoder(SIZE).encode(Image.new("RGBA", (640, 360), (level, level, level, 255))) for level in (0, 255)]
    frames = 2 * FOUR_GIB * 3 // 4 // 65536
    lengths = [packet.ljust(65536, b"\0") for packet in packets]
    head = movie_head(SIZE, _timing(), [65536, 65536], [(0, frames - 1), (1, 1)], plain=True)
    path = tmp_path / "long.mov"
    with path.open("wb") as file:
        file.write(head + lengths[0])
        file.seek(len(head) + (frames - 1) * 65536)
        file.write(lengths[1])
    with av.open(str(path)) as container:
        stream = container.streams.video[0]
        assert stream.frames == frames
        for frame, luma in ((0, 64), (frames - 1, 940)):
            container.seek(frame * 1001, stream=stream)
            picture = next(container.decode(stream))
            assert picture.pts == frame * 1001
            bits = picture.format.components[0].bits
            assert struct.unpack_from("<H", memoryview(picture.planes[0]))[0] >> (bits - 10) == luma


def test_twelve_hours_at_sixty_fit(tmp_path: Path) -> None:
    """The longest class that a plan may have, at the highest rate: its length reads back exactly."""
    packet = Encoder(SIZE).encode(Image.new("RGBA", (640, 360)))
    frames = 12 * 3600 * 60
    path = tmp_path / "long.mov"
    path.write_bytes(movie_head(SIZE, _timing("60"), [len(packet)], [(0, frames)], plain=False) + packet)
    with av.open(str(path)) as container:
        stream = container.streams.video[0]
        assert (stream.frames, stream.duration, stream.time_base) == (frames, frames * 1000, Fraction(1, 60000))
        container.seek((frames - 1) * 1000, stream=stream)
        assert next(container.decode(stream)).pts == (frames - 1) * 1000


def test_a_movie_too_long_to_tell_is_refused() -> None:
    """More units than 32 bits count."""
    with pytest.raises(ValueError, match="longer than"):
        movie_head(SIZE, _timing("60"), [100], [(0, 2**32 // 1000 + 1)], plain=False)


def test_media_of_over_four_gib_says_so_in_64_bits() -> None:
    """The media box of a long plain file has the long form of a length, and tables that agree with it."""
    head = movie_head(SIZE, _timing(), [60_000], [(0, 100_000)], plain=True)
    assert struct.unpack_from(">I4sQ", head, len(head) - 20) == (1, b"mdat", 16 + 4 + 6_000_000_000)
    assert _offsets(_boxes(head[:-20]), 1)[-1] == len(head) + 99_999 * 60_000
