"""The QuickTime or MP4 file round coded pictures: everything in it that is not a picture.

The formats are Apple's published QuickTime File Format and ISO/IEC 14496-12 (ISO base media file
format), which took over the shared part, with ISO/IEC 14496-15 for H.264 in it. What the choices
below rest on:

- The movie's tables stand before the pictures. All sizes are known before the first picture is put
  together, so the file still streams out in one go, and a reader opens it without going to its end.
- Each sample is a chunk of its own, because samples of one chunk lie one after another, and here one
  picture is pointed at again and again from anywhere.
- The timescale is 1000 times the nominal rate, so that every rate has the same shape: a frame lasts
  1000 units, or 1001 at the NTSC rates.
- No edit list: the first picture shows at zero. No dates: the same class gives the same bytes.
- Every picture is a sync sample, which is what a file without a table of sync samples says.
- Only QuickTime files have a timecode track: MP4 has none that its standard names.
"""

from __future__ import annotations

import struct
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from overlay.units.raster import Size
from overlay.units.rate import Counting, FrameRate

_UNITY_MATRIX = struct.pack(">9i", 0x10000, 0, 0, 0, 0x10000, 0, 0, 0, 0x40000000)
_UNDETERMINED = 0x55C4  # ISO 639-2 "und", three letters of five bits
_DROP_FRAME, _WRAPS_AT_24_HOURS = 1, 2
_IN_USE, _IN_MOVIE = 1, 2
_VIDEO_TRACK, _TIMECODE_TRACK = 1, 2
_TIMECODE_BYTES = 4
_LARGEST_32_BIT = 2**32 - 1


@dataclass(frozen=True)
class Timing:
    """How the pictures run: the rate, and the timecode of the first one."""

    rate: FrameRate
    counting: Counting
    start_frame: int

    @property
    def timescale(self) -> int:
        """Units a second."""
        return 1000 * self.rate.nominal

    @property
    def frame_units(self) -> int:
        """How long a frame lasts.

        >>> Timing(FrameRate.parse("29.97"), Counting.DROP, 0).frame_units
        1001
        """
        return int(self.timescale / self.rate.value)


@dataclass(frozen=True)
class Format:
    """What a file carries: its sample description, and whether it is MP4 or QuickTime."""

    description: bytes
    is_mp4: bool = False


def movie_head(
    size: Size,
    timing: Timing,
    packet_bytes: Sequence[int],
    showings: Sequence[tuple[int, int]],
    *,
    plain: bool = False,
    carried: Format | None = None,
) -> bytes:
    """All bytes of a movie before its pictures.

    `packet_bytes` is the length of each coded picture, `showings` are (which picture, for how many
    frames) in order. After the head come the coded pictures: each once, in the order of
    `packet_bytes`, or, where `plain`, one for every frame shown. `carried` is ProRes where it is left
    out. Raises ValueError for a movie of over 2^32 - 1 units (19 hours at 60 frames a second).
    """
    carried = carried or prores(size)
    lengths = np.array(packet_bytes, np.int64)
    shown = np.repeat([picture for picture, _ in showings], [frames for _, frames in showings])
    if len(shown) * timing.frame_units > _LARGEST_32_BIT:
        raise ValueError(f"a movie of {len(shown)} frames is longer than its format can tell")
    stored = lengths[shown] if plain else lengths
    places = np.cumsum(stored) - stored
    pictures = _Samples(lengths[shown], places if plain else places[shown])
    label = b"" if carried.is_mp4 else struct.pack(">I", timing.start_frame)
    media_bytes = len(label) + int(stored.sum())
    if carried.is_mp4:
        before = _box(b"ftyp", b"isom", struct.pack(">I", 0x200), b"isom", b"iso2", b"avc1", b"mp41")
    else:
        before = _box(b"ftyp", b"qt  ", bytes.fromhex("20040600"), b"qt  ")
    # Where the media starts depends on how long the tables are, and how wide an entry of the tables
    # must be on where the media starts: settled at the second or the third go.
    media_at, settled = 0, False
    while not settled:
        movie = _movie(size, timing, carried, pictures.moved(media_at + len(label)), media_at)
        head = before + movie + _media_data_header(media_bytes)
        settled, media_at = len(head) == media_at, len(head)
    return head + label


@dataclass(frozen=True)
class _Samples:
    """The samples of a track in the order of time: how long each is and where it stands."""

    byte_counts: NDArray[np.int64]
    offsets: NDArray[np.int64]

    def moved(self, bytes_: int) -> _Samples:
        return _Samples(self.byte_counts, self.offsets + bytes_)


def _media_data_header(media_bytes: int) -> bytes:
    if 8 + media_bytes > _LARGEST_32_BIT:
        return struct.pack(">I4sQ", 1, b"mdat", 16 + media_bytes)
    return struct.pack(">I4s", 8 + media_bytes, b"mdat")


def _movie(
    size: Size,
    timing: Timing,
    carried: Format,
    pictures: _Samples,
    timecode_at: int,
) -> bytes:
    duration = len(pictures.offsets) * timing.frame_units
    video_header = _full_box(b"vmhd", struct.pack(">4H", 0, 0, 0, 0), flags=1)
    video_table = _sample_table(carried.description, pictures, timing.frame_units)
    tracks = [
        _box(
            b"trak",
            _track_header(_VIDEO_TRACK, _IN_USE | _IN_MOVIE, duration, (size.width_px, size.height_px)),
            b"" if carried.is_mp4 else _box(b"tref", _box(b"tmcd", struct.pack(">I", _TIMECODE_TRACK))),
            _media(timing, duration, b"vide", video_header, video_table, is_mp4=carried.is_mp4),
        )
    ]
    if not carried.is_mp4:
        timecode = _Samples(np.array([_TIMECODE_BYTES]), np.array([timecode_at]))
        timecode_table = _sample_table(_timecode_description(timing), timecode, duration)
        tracks.append(
            _box(
                b"trak",
                _track_header(_TIMECODE_TRACK, _IN_MOVIE, duration, (0, 0)),
                _media(timing, duration, b"tmcd", _timecode_header(), timecode_table),
            )
        )
    return _box(
        b"moov",
        _full_box(
            b"mvhd",
            struct.pack(">4IIH10x", 0, 0, timing.timescale, duration, 0x10000, 0x100),
            _UNITY_MATRIX,
            struct.pack(">24xI", len(tracks) + 1),
        ),
        *tracks,
    )


def _track_header(track: int, flags: int, duration: int, pixels: tuple[int, int]) -> bytes:
    width, height = pixels
    return _full_box(
        b"tkhd",
        struct.pack(">5I8x4H", 0, 0, track, 0, duration, 0, 0, 0, 0),
        _UNITY_MATRIX,
        struct.pack(">II", width << 16, height << 16),
        flags=flags,
    )


def _media(
    timing: Timing, duration: int, kind: bytes, kind_header: bytes, table: bytes, *, is_mp4: bool = False
) -> bytes:
    where = b"url " if is_mp4 else b"alis"
    return _box(
        b"mdia",
        _full_box(b"mdhd", struct.pack(">4IHH", 0, 0, timing.timescale, duration, _UNDETERMINED, 0)),
        _handler(bytes(4) if is_mp4 else b"mhlr", kind),
        _box(
            b"minf",
            kind_header,
            b"" if is_mp4 else _handler(b"dhlr", b"alis"),
            _box(b"dinf", _full_box(b"dref", struct.pack(">I", 1), _full_box(where, flags=1))),
            table,
        ),
    )


def _handler(component: bytes, kind: bytes) -> bytes:
    # The name that ends it is empty: a length of 0 in QuickTime, a closing 0 in MP4.
    return _full_box(b"hdlr", component, kind, bytes(12), b"\0")


def _sample_table(description: bytes, samples: _Samples, sample_units: int) -> bytes:
    """One description, samples of equal duration, one to a chunk, each a sync sample."""
    offsets, count = samples.offsets, struct.pack(">I", len(samples.offsets))
    if offsets.max() > _LARGEST_32_BIT:
        chunk_offsets = _full_box(b"co64", count, offsets.astype(">u8").tobytes())
    else:
        chunk_offsets = _full_box(b"stco", count, offsets.astype(">u4").tobytes())
    return _box(
        b"stbl",
        _full_box(b"stsd", struct.pack(">I", 1), description),
        _full_box(b"stts", struct.pack(">3I", 1, len(offsets), sample_units)),
        _full_box(b"stsc", struct.pack(">4I", 1, 1, 1, 1)),
        _full_box(b"stsz", struct.pack(">I", 0), count, samples.byte_counts.astype(">u4").tobytes()),
        chunk_offsets,
    )


def prores(size: Size) -> Format:
    """ProRes 4444 with alpha in QuickTime: BT.709 throughout."""
    color = _box(b"colr", b"nclc", struct.pack(">3H", 1, 1, 1))
    return Format(_picture_description(b"ap4h", b"ProRes 4444", size, _box(b"fiel", bytes((1, 0))), color, depth=32))


def animation(size: Size) -> Format:
    """QuickTime's run-length coding with alpha."""
    return Format(_picture_description(b"rle ", b"Animation", size, _box(b"fiel", bytes((1, 0))), depth=32))


def h264(size: Size, configuration: bytes) -> Format:
    """H.264 in MP4: BT.709, limited range. `configuration` is the decoder's record of ISO/IEC 14496-15."""
    color = _box(b"colr", b"nclx", struct.pack(">3HB", 1, 1, 1, 0))
    entry = _picture_description(b"avc1", b"", size, _box(b"avcC", configuration), color, depth=24)
    return Format(entry, is_mp4=True)


def _picture_description(code: bytes, name: bytes, size: Size, *extensions: bytes, depth: int) -> bytes:
    """A description of progressive pictures with square pixels."""
    return _box(
        code,
        struct.pack(">6xH", 1),
        struct.pack(">HH4sII", 0, 0, bytes(4), 0, 0x3FF if code != b"avc1" else 0),
        struct.pack(">HHIIIH", size.width_px, size.height_px, 72 << 16, 72 << 16, 0, 1),
        _pascal(name).ljust(32, b"\0"),
        struct.pack(">Hh", depth, -1),
        *extensions,
        _box(b"pasp", struct.pack(">II", 1, 1)),
    )


def _timecode_description(timing: Timing) -> bytes:
    flags = _WRAPS_AT_24_HOURS | (_DROP_FRAME if timing.counting is Counting.DROP else 0)
    return _box(
        b"tmcd",
        struct.pack(">6xH", 1),
        struct.pack(">4xIIIBx", flags, timing.timescale, timing.frame_units, timing.rate.nominal),
    )


def _timecode_header() -> bytes:
    """The header of media that is neither picture nor sound, and how its numbers would be lettered."""
    general = _full_box(b"gmin", struct.pack(">H3Hh2x", 0x40, 0x8000, 0x8000, 0x8000, 0))
    lettering = _full_box(b"tcmi", struct.pack(">HHH2x3H3H", 0, 0, 12, 0, 0, 0, 0xFFFF, 0xFFFF, 0xFFFF), _pascal(b""))
    return _box(b"gmhd", general, _box(b"tmcd", lettering))


def _box(kind: bytes, *parts: bytes) -> bytes:
    return struct.pack(">I4s", 8 + sum(map(len, parts)), kind) + b"".join(parts)


def _full_box(kind: bytes, *parts: bytes, flags: int = 0) -> bytes:
    """A box that begins with a version, always 0, and flags."""
    return _box(kind, struct.pack(">I", flags), *parts)


def _pascal(text: bytes) -> bytes:
    return bytes((len(text),)) + text
