"""A layer for programs that know no alpha: H.264 over a flat colour, or as fill and matte.

A picture that stands is one coded picture and others that say "as before". Each distinct stretch of
up to `_LONGEST` frames is coded once, by itself, and stands in the MP4 file once; the file points at
it as often as it shows (`container.py`).
"""

from __future__ import annotations

import re
import struct
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from PIL import Image

from overlay.errors import MachineError
from overlay.pictures.browser import to_frame
from overlay.pictures.composite import States, compose, showings
from overlay.pictures.container import Timing, h264, movie_head
from overlay.pictures.frames import Layer, Picture
from overlay.pictures.packets import Packets
from overlay.pictures.pixels import to_yuv420
from overlay.pictures.reopen import check_frames
from overlay.units.color import Color

if TYPE_CHECKING:
    from av import VideoFrame

_CODEC = "libx264"
_LONGEST = 60
_SETTINGS = (
    "keyint=infinite:min-keyint=1:scenecut=0:bframes=0:ref=1:rc-lookahead=0:sliced-threads=0:"
    "colorprim=bt709:transfer=bt709:colormatrix=bt709:range=tv:chromaloc=1"
)
_OPTIONS = {"preset": "veryfast", "tune": "zerolatency", "crf": "12", "x264-params": _SETTINGS}
_START_CODE = re.compile(rb"\x00{2,3}\x01")
_SEI, _SPS, _PPS = 6, 7, 8  # ITU-T H.264, table 7-1
_LARGEST_MEAN_ERROR = 1.0

Opaque = Callable[[Picture], Picture]
"""Makes an RGBA picture opaque, in some way."""


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
    stretches: dict[tuple[States, int, bool], list[int]] = {}
    samples: list[int] = []
    sync: list[bool] = []
    configuration, other = b"", False
    with Packets() as packets:
        for states, frames in showings(layer):
            for start in range(0, frames, _LONGEST):
                stretch = (states, min(_LONGEST, frames - start), other)
                if stretch not in stretches:
                    encoder = _Encoder(layer)
                    coded = encoder.stretch(opaque(compose(layer, states)), *stretch[1:])
                    configuration = encoder.configuration
                    stretches[stretch] = [packets.add(packet) for packet in coded]
                    sync += [number == 0 for number in range(len(coded))]
                samples += stretches[stretch]
                # Two pictures that begin anew, one right after the other, must bear different numbers.
                other = stretch[1] == 1 and not other
        timing = Timing(layer.rate, layer.counting, layer.start_frame)
        shown = [(sample, 1) for sample in samples]
        carried = h264(layer.size, configuration)
        yield movie_head(layer.size, timing, packets.lengths, shown, carried=carried, sync=sync)
        yield from packets


def check_opaque(path: Path, layer: Layer, opaque: Opaque) -> None:
    """Open the written movie again, seek in it, and compare it with what was meant."""

    def shows(picture: VideoFrame, drawn: Picture) -> bool:
        wanted = to_yuv420(opaque(drawn))
        for plane, values in zip(picture.planes, wanted, strict=False):
            seen = np.frombuffer(memoryview(plane), np.uint8).reshape(plane.height, -1)[:, : plane.width]
            if np.abs(seen.astype(int) - values).mean() > _LARGEST_MEAN_ERROR:
                return False
        return True

    check_frames(path, layer, "yuv420p", shows)


class _Encoder:
    """Codes one stretch of a standing picture."""

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

    def stretch(self, picture: Picture, frames: int, other: bool) -> list[bytes]:
        """The packets of a picture that stands for so many frames; with the `other` number where asked."""
        from av.video.frame import PictureType

        packets, frame = [], to_frame(picture, "yuv420p")
        for number in range(frames + other):
            frame.pts = number
            frame.pict_type = PictureType.I if number <= other else PictureType.NONE
            packets += [bytes(packet) for packet in self._context.encode(frame)]
        packets += [bytes(packet) for packet in self._context.encode(None)]
        assert len(packets) == frames + other
        self.configuration = _configuration(packets[0])
        return [_with_lengths(packet) for packet in packets[other:]]


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
