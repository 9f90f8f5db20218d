"""A layer for programs that know no alpha: H.264 over a flat colour, or as fill and matte.

Each distinct picture is coded by itself and stands in the MP4 file twice; the file points at the two
in turn as often as it shows (`container.py`). Twice, because of two such pictures one right after the
other the standard wants to know that they are two: they bear different numbers (ITU-T H.264, 7.4.3,
idr_pic_id).
"""

from __future__ import annotations

import re
import struct
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from PIL import Image

from overlay.errors import MachineError
from overlay.pictures.composite import States, compose, showings
from overlay.pictures.container import Timing, h264, movie_head
from overlay.pictures.eight_bit import Opaque, mean_error, to_frame
from overlay.pictures.frames import Layer, Picture
from overlay.pictures.packets import Packets
from overlay.pictures.reopen import check_frames
from overlay.units.color import Color

if TYPE_CHECKING:
    from av import VideoFrame

_CODEC = "libx264"
# Tagged BT.709, limited range, chroma in the middle; nothing depends on the pictures before.
_SETTINGS = "keyint=1:sliced-threads=0:colorprim=bt709:transfer=bt709:colormatrix=bt709:range=tv:chromaloc=1"
_OPTIONS = {"preset": "veryfast", "tune": "zerolatency", "qp": "12", "x264-params": _SETTINGS}
_START_CODE = re.compile(rb"\x00{2,3}\x01")
_SEI, _SPS, _PPS = 6, 7, 8  # ITU-T H.264, table 7-1
_LARGEST_MEAN_ERROR = 1.0


def over(key: Color) -> Opaque:
    """What is at least half there, over a flat colour: an edge is hard, so that it keys cleanly."""

    def flatten(picture: Picture) -> Picture:
        rgba = np.array(picture)
        rgba[rgba[..., 3] < 128] = (*key.rgb, 255)
        rgba[..., 3] = 255
        return Image.fromarray(rgba)

    return flatten


def fill(picture: Picture) -> Picture:
    """The colours alone, which run on beyond every edge."""
    opaque = picture.copy()
    opaque.putalpha(255)
    return opaque


def matte(picture: Picture) -> Picture:
    """The alpha alone, as grey: black is nothing, white is all."""
    alpha = picture.getchannel("A")
    return Image.merge("RGBA", (alpha, alpha, alpha, Image.new("L", picture.size, 255)))


def opaque_movie(layer: Layer, opaque: Opaque) -> Iterator[bytes]:
    """The bytes of the MP4 file. Raises MachineError where PyAV was built without H.264."""
    numbers: dict[States, tuple[int, int]] = {}
    samples: list[int] = []
    encoder = _Encoder(layer)
    with Packets() as packets:
        for states, frames in showings(layer):
            if states not in numbers:
                one, other = encoder.encode(to_frame(compose(layer, states), "yuv420p", opaque))
                numbers[states] = packets.add(one), packets.add(other)
            samples += (numbers[states][frame % 2] for frame in range(len(samples), len(samples) + frames))
        timing = Timing(layer.rate, layer.counting, layer.start_frame)
        shown, carried = [(sample, 1) for sample in samples], h264(layer.size, encoder.configuration)
        yield movie_head(layer.size, timing, packets.lengths, shown, carried=carried)
        yield from packets


def check_opaque(path: Path, layer: Layer, opaque: Opaque) -> None:
    """Open the written movie again, seek in it, and compare it with what was meant."""

    def shows(picture: VideoFrame, drawn: Picture) -> bool:
        return mean_error(picture, to_frame(drawn, "yuv420p", opaque)) <= _LARGEST_MEAN_ERROR

    check_frames(path, layer, "yuv420p", shows)


class _Encoder:
    """Codes pictures, each by itself and twice: with an even and with an odd number."""

    configuration = b""

    def __init__(self, layer: Layer) -> None:
        from av.codec.codec import UnknownCodecError
        from av.video.codeccontext import VideoCodecContext

        try:
            context = VideoCodecContext.create(_CODEC, "w")
        except UnknownCodecError as error:
            raise MachineError(
                f"This machine's PyAV cannot code H.264 (it has no {_CODEC}).",
                remedy="Choose another carrier, or install the av package as PyPI offers it.",
            ) from error
        assert isinstance(context, VideoCodecContext)
        self._context = context
        self._context.width, self._context.height = layer.size.width_px, layer.size.height_px
        self._context.pix_fmt = "yuv420p"
        self._context.framerate, self._context.time_base = layer.rate.value, 1 / layer.rate.value
        self._context.thread_count = 1
        self._context.options = _OPTIONS
        self._count = 0

    def encode(self, frame: VideoFrame) -> tuple[bytes, bytes]:
        """The two packets of a picture."""
        pair = []
        for _ in range(2):
            frame.pts = self._count
            self._count += 1
            (packet,) = map(bytes, self._context.encode(frame))
            self.configuration = self.configuration or _configuration(packet)
            pair.append(_with_lengths(packet))
        return pair[0], pair[1]


def _units(packet: bytes) -> list[bytes]:
    """The NAL units of a packet in the byte stream format (ITU-T H.264, annex B)."""
    return [unit for unit in _START_CODE.split(packet) if unit]


def _with_lengths(packet: bytes) -> bytes:
    """The coded slices of a packet, each after its length, as MP4 has them; the file's head has the rest."""
    units = [unit for unit in _units(packet) if unit[0] & 31 not in (_SEI, _SPS, _PPS)]
    return b"".join(struct.pack(">I", len(unit)) + unit for unit in units)


def _configuration(packet: bytes) -> bytes:
    """What a decoder must know first (ISO/IEC 14496-15, 5.3.3): profile, level, and the parameter sets."""
    (sps,) = (unit for unit in _units(packet) if unit[0] & 31 == _SPS)
    (pps,) = (unit for unit in _units(packet) if unit[0] & 31 == _PPS)
    head = bytes((1, sps[1], sps[2], sps[3], 0xFF, 0xE1))
    sets = struct.pack(">H", len(sps)) + sps + b"\1" + struct.pack(">H", len(pps)) + pps
    high = bytes((0xFC | 1, 0xF8, 0xF8, 0)) if sps[1] >= 100 else b""
    return head + sets + high
