"""Coding pictures: ProRes 4444 at a fixed quantiser, each distinct state of a part once.

The published frame structure and the splicing rest in `slices.py`, the pixels in `pixels.py`; only
the encoder itself is foreign (PyAV's `prores_ks`).
"""

from __future__ import annotations

from collections.abc import Hashable
from fractions import Fraction
from typing import Final

import numpy as np
from PIL import Image

from overlay.errors import MachineError
from overlay.pictures.composite import FLASH, States, compose, draw_part, flattened, showings
from overlay.pictures.frames import Layer, Picture
from overlay.pictures.pixels import to_yuva
from overlay.pictures.slices import Patch, Splicer, StructureError
from overlay.units.raster import Size

_ENCODER: Final = "prores_ks"
# Quantiser 1 (libavcodec counts it in steps of 118): the codec's finest, and no search for a rate.
_ENCODER_OPTIONS = {"profile": "4444", "alpha_bits": "16", "flags": "+qscale", "global_quality": "118"}
_BT_709 = 1  # ITU-T H.273, for primaries, transfer and matrix alike


class CodedLayer:
    """The coded states of a layer's parts, and the pictures put together from them.

    A state is drawn and coded when it is first asked for, and its slices are kept.
    """

    def __init__(self, layer: Layer) -> None:
        self.layer = layer
        self._encoders: dict[Size, Encoder] = {}
        blank = self._encode(Image.new("RGBA", (layer.size.width_px, layer.size.height_px)))
        self._splicer = Splicer(layer.size, [part.box for part in layer.parts], blank)
        self._patches: dict[tuple[int, Hashable], Patch] = {}

    def packet(self, states: States) -> bytes:
        """The coded picture that shows these states."""
        if states is FLASH:
            return self._whole(states)
        return self._splicer.packet(self._shown(states))

    def packet_bytes(self, states: States) -> int:
        """How long that packet is, without putting it together."""
        if states is FLASH:
            return len(self._whole(states))
        return self._splicer.packet_bytes(self._shown(states))

    def is_exact(self, states: States) -> bool:
        """Whether a picture put together from slices is the picture coded as a whole, to the byte."""
        try:
            return self.packet(states) == self._whole(states)
        except StructureError:
            return False

    def _whole(self, states: States) -> bytes:
        return self._encode(compose(self.layer, states))

    def _shown(self, states: States) -> list[Patch | None]:
        return [None if state is None else self._patch(part, state) for part, state in enumerate(states)]

    def _patch(self, part: int, state: Hashable) -> Patch:
        key = part, state
        if key not in self._patches:
            picture = draw_part(self.layer.parts[part], state, self._splicer.grown[part])
            self._patches[key] = self._splicer.cut(part, self._encode(picture))
        return self._patches[key]

    def _encode(self, picture: Picture) -> bytes:
        size = Size(*picture.size)
        if size not in self._encoders:
            self._encoders[size] = Encoder(size)
        return self._encoders[size].encode(picture)


def code_layer(layer: Layer) -> CodedLayer:
    """A layer coded box by box, or as whole pictures where the encoder does not let boxes be joined.

    An encoder that looked beyond a slice while coding it would still make a file that opens, with
    pictures that are a little wrong; hence the fullest picture of every layer is coded both ways.
    """
    coded = CodedLayer(layer)
    spliced = (states for states, _ in showings(layer) if states is not FLASH)
    fullest = max(spliced, key=lambda states: len(states) - states.count(None))
    return coded if coded.is_exact(fullest) else CodedLayer(flattened(layer))


class Encoder:
    """Codes pictures of one size, each on its own. Raises MachineError where PyAV was built without it."""

    def __init__(self, size: Size) -> None:
        from av import CodecContext
        from av.codec.codec import UnknownCodecError

        try:
            self._context = CodecContext.create(_ENCODER, "w")
        except UnknownCodecError as error:
            raise MachineError(
                f"This machine's PyAV cannot code ProRes (it has no {_ENCODER}).",
                remedy="Install the av package as PyPI offers it.",
            ) from error
        self._context.width, self._context.height = size.width_px, size.height_px
        self._context.pix_fmt = "yuva444p10le"
        # The encoder asks for a rate and, at a fixed quantiser, makes nothing of it.
        self._context.framerate = Fraction(25)
        self._context.time_base = Fraction(1, 25)
        self._context.thread_count = 1
        self._context.options = _ENCODER_OPTIONS
        self._count = 0

    def encode(self, picture: Picture) -> bytes:
        """The packet of an RGBA picture of this size."""
        from av import VideoFrame
        from av.video.reformatter import ColorRange

        frame = VideoFrame(picture.width, picture.height, "yuva444p10le")
        for plane, values in zip(frame.planes, to_yuva(picture), strict=True):
            np.frombuffer(memoryview(plane), "<u2").reshape(picture.height, -1)[:, : picture.width] = values
        frame.colorspace = frame.color_primaries = frame.color_trc = _BT_709
        frame.color_range = ColorRange.MPEG
        frame.pts = self._count
        self._count += 1
        (packet,) = self._context.encode(frame)
        return bytes(packet)
