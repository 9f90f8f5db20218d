"""Coding pictures: ProRes 4444 at a fixed quantiser, each distinct slice once.

Of a state only the slices of its box are looked at, and of those only the ones that were not seen
before are coded: a digit that changes codes a digit, a bar that loses a pixel one slice. The
published frame structure rests in `slices.py`, the pixels in `pixels.py`; only the encoder itself
is foreign (PyAV's `prores_ks`).
"""

from __future__ import annotations

import hashlib
import struct
from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from fractions import Fraction
from functools import lru_cache
from itertools import combinations
from typing import Final

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from overlay.errors import MachineError
from overlay.pictures.composite import FLASH, States, compose, draw_part, lay, part_states, showings
from overlay.pictures.frames import Layer, Picture
from overlay.pictures.pixels import to_yuva
from overlay.pictures.slices import SLICE_HEIGHT_PX, CodedFrame, SliceGrid, StructureError
from overlay.units.raster import Box, Size

ENCODER: Final = "prores_ks"
# Quantiser 1 (libavcodec counts it in steps of 118): the codec's finest, and no search for a rate. Matrix 5 is
# the finest of the encoder's (that of 4444 XQ, for which it has no name): it keeps every pixel of a letter's edge
# within a level or so, where that of 4444 is off by over two, for an eighth more bytes.
ENCODER_OPTIONS: Final = {
    "profile": "4444",
    "alpha_bits": "16",
    "flags": "+qscale",
    "global_quality": "118",
    "quant_mat": "5",
}
_BT_709 = 1  # ITU-T H.273, for primaries, transfer and matrix alike

Pixels = NDArray[np.uint32]
Patch = dict[int, bytes]
"""Coded slices by their place in the picture, counted row by row."""


class Encoder:
    """Codes pictures of one size, each on its own. Raises MachineError where PyAV was built without it."""

    def __init__(self, size: Size) -> None:
        from av import CodecContext
        from av.codec.codec import UnknownCodecError

        try:
            self._context = CodecContext.create(ENCODER, "w")
        except UnknownCodecError as error:
            raise MachineError(
                f"This machine's PyAV cannot code ProRes (it has no {ENCODER}).",
                remedy="Install the av package as PyPI offers it.",
            ) from error
        self._context.width, self._context.height = size.width_px, size.height_px
        self._context.pix_fmt = "yuva444p10le"
        # The encoder asks for a rate and, at a fixed quantiser, makes nothing of it.
        self._context.framerate = Fraction(25)
        self._context.time_base = Fraction(1, 25)
        self._context.thread_count = 1
        self._context.options = ENCODER_OPTIONS
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


class SliceCoder:
    """Codes what is drawn, slice by slice, and every distinct slice once."""

    _BATCH = 64

    def __init__(self, size: Size) -> None:
        self.grid = SliceGrid(size)
        self._coded: dict[bytes, bytes] = {}
        self._waiting: dict[int, dict[bytes, Pixels]] = {}
        self._last: dict[tuple[Box, int], tuple[Pixels, dict[int, bytes]]] = {}

    def see(self, picture: Picture, box: Box) -> dict[int, bytes]:
        """Take in a picture of a grown box. Gives the key of each of its slices that is not blank, by place.

        Slices that stand as they did in the picture of this box before are not even looked up.
        """
        keys: dict[int, bytes] = {}
        rows, pixels = self.grid.rows_of(box), _packed(picture)
        for column in self.grid.columns_of(box):
            left, width_px = self.grid.columns[column]
            strip = pixels[:, left - box.left : left - box.left + width_px]
            strip = _filled(strip, SLICE_HEIGHT_PX * len(rows), width_px)
            blocks = strip.reshape(len(rows), SLICE_HEIGHT_PX * width_px)
            blank: tuple[Pixels, dict[int, bytes]] = (np.zeros_like(blocks), {})
            before, known = self._last.get((box, column), blank)
            now = dict(known)
            for row in np.flatnonzero((blocks != before).any(axis=1)):
                now.pop(int(row), None)
                if blocks[row].any():
                    now[int(row)] = self._key(width_px, blocks[row])
            self._last[box, column] = blocks, now
            keys |= {rows[row] * self.grid.column_count + column: key for row, key in now.items()}
        return keys

    def slice(self, key: bytes) -> bytes:
        """The coded slice of a key that `see` gave."""
        if key not in self._coded:
            for width_px in list(self._waiting):
                self._code(width_px)
        return self._coded[key]

    def _key(self, width_px: int, block: Pixels) -> bytes:
        # Slices of different widths may have the same pixels one after another: the width is in the key.
        key = hashlib.blake2b(block.tobytes(), digest_size=20, person=str(width_px).encode()).digest()
        waiting = self._waiting.setdefault(width_px, {})
        if key not in self._coded and key not in waiting:
            waiting[key] = block.copy()
            if len(waiting) == self._BATCH:
                self._code(width_px)
        return key

    def _code(self, width_px: int) -> None:
        """Code the slices that wait: one above the other they are a picture one slice wide."""
        waiting = self._waiting.pop(width_px)
        if not waiting:
            return
        height_px = SLICE_HEIGHT_PX * len(waiting)
        picture = Image.frombuffer("RGBA", (width_px, height_px), b"".join(map(bytes, waiting.values())))
        coded = CodedFrame.parse(Encoder(Size(*picture.size)).encode(picture)).slices
        if len(coded) != len(waiting):
            raise StructureError(f"{len(waiting)} slices are coded as {len(coded)}")
        self._coded.update(zip(waiting, coded, strict=True))


def code_states(layer: Layer, states: Sequence[tuple[int, Hashable]]) -> Iterator[Patch]:
    """The coded slices of each (part, state), drawn now."""
    coder = SliceCoder(layer.size)
    seen = []
    for number, state in states:
        grown = coder.grid.grow(layer.parts[number].box)
        seen.append(coder.see(draw_part(layer.parts[number], state, grown), grown))
    return ({place: coder.slice(key) for place, key in keys.items()} for keys in seen)


def pack(patch: Patch) -> bytes:
    """A patch in one piece: how many slices, their places, their lengths, the slices.

    >>> unpack(pack({3: b"abc", 1: b""}))
    {3: b'abc', 1: b''}
    """
    head = struct.pack(f">I{2 * len(patch)}I", len(patch), *patch, *map(len, patch.values()))
    return head + b"".join(patch.values())


def unpack(packed: bytes) -> Patch:
    """The patch that was packed."""
    (count,) = struct.unpack_from(">I", packed)
    numbers = struct.unpack_from(f">{2 * count}I", packed, 4)
    patch, position = {}, 4 + 8 * count
    for place, length in zip(numbers[:count], numbers[count:], strict=True):
        patch[place] = packed[position : position + length]
        position += length
    return patch


class CodedLayer:
    """A layer's pictures put together from coded slices."""

    _DRAWN_KEPT = 16

    def __init__(self, layer: Layer, blank: CodedFrame, patches: dict[tuple[int, Hashable], Patch]) -> None:
        self.layer = layer
        self._blank = blank
        self._patches = patches
        self._places = [
            frozenset[int]().union(*(patch for (of, _), patch in patches.items() if of == part))
            for part in range(len(layer.parts))
        ]
        self._is_apart = not any(one & other for one, other in combinations(self._places, 2))
        self._met: dict[tuple[bytes, ...], bytes] = {}
        self._coder = SliceCoder(layer.size)
        self._drawn = lru_cache(maxsize=self._DRAWN_KEPT)(self._draw)

    def packet(self, states: States) -> bytes:
        """The coded picture that shows these states."""
        if states is FLASH:
            return self.whole(states)
        slices = list(self._blank.slices)
        for place, data in self._shown(states).items():
            slices[place] = data
        return self._blank.packet(slices)

    def packet_bytes(self, states: States) -> int:
        """How long that packet is, without putting it together."""
        if states is FLASH:
            return len(self.whole(states))
        blank = self._blank.slices
        return self._blank.byte_count + sum(len(data) - len(blank[at]) for at, data in self._shown(states).items())

    def whole(self, states: States) -> bytes:
        """The picture that shows these states, coded as a whole."""
        return Encoder(self.layer.size).encode(compose(self.layer, states))

    def _shown(self, states: States) -> Patch:
        """The slices that are not blank while these states show."""
        shown: Patch = {}
        pairs = [pair for pair in enumerate(states) if pair[1] is not None]
        for number, pair in enumerate(pairs):
            patch = self._patches[pair]
            meeting = () if self._is_apart else shown.keys() & patch.keys()
            if meeting:
                shown = shown | patch | {place: self._meet(place, pairs[: number + 1]) for place in meeting}
            else:
                shown |= patch
        return shown

    def _meet(self, place: int, pairs: Sequence[tuple[int, Hashable]]) -> bytes:
        """The slice in which several parts show something. Same slices of the parts make the same one again."""
        pairs = [pair for pair in pairs if place in self._patches[pair]]
        key = tuple(self._patches[pair][place] for pair in pairs)
        if key not in self._met:
            box = self._coder.grid.box_of(place)
            together = Image.new("RGBA", (box.width_px, box.height_px))
            for pair in pairs:
                grown = self._coder.grid.grow(self.layer.parts[pair[0]].box)
                left, top = box.left - grown.left, box.top - grown.top
                area = (left, top, left + box.width_px, top + box.height_px)
                lay(together, self._drawn(pair).crop(area), (0, 0))
            self._met[key] = self._coder.slice(self._coder.see(together, box)[place])
        return self._met[key]

    def _draw(self, pair: tuple[int, Hashable]) -> Picture:
        part = self.layer.parts[pair[0]]
        return draw_part(part, pair[1], self._coder.grid.grow(part.box))


class WholeLayer(CodedLayer):
    """A layer's pictures, each coded as a whole."""

    def __init__(self, layer: Layer, blank: CodedFrame) -> None:
        super().__init__(layer, blank, {})
        self._packets: dict[States, bytes] = {}

    def packet(self, states: States) -> bytes:
        if states not in self._packets:
            self._packets[states] = self.whole(states)
        return self._packets[states]

    def packet_bytes(self, states: States) -> int:
        return len(self.packet(states))


Coding = Callable[[Layer, Sequence[tuple[int, Hashable]]], Iterable[Patch]]
"""How states come to their slices: `code_states`, or with workers and a cache (`means.py`)."""


def code_layer(layer: Layer, coding: Coding = code_states) -> CodedLayer:
    """A layer coded slice by slice, or as whole pictures where the encoder does not let slices be joined.

    An encoder that looked beyond a slice while coding it would still make a file that opens, with
    pictures that are a little wrong; hence the fullest picture of every layer is coded both ways.
    Raises StructureError where coded pictures are not built as published, ValueError where a box is not
    inside the picture.
    """
    blank = CodedFrame.parse(Encoder(layer.size).encode(Image.new("RGBA", (layer.size.width_px, layer.size.height_px))))
    if len(blank.slices) != SliceGrid(layer.size).slice_count:
        raise StructureError(f"a coded picture of {layer.size} has {len(blank.slices)} slices")
    for box in (part.box for part in layer.parts):
        if not _is_inside(box, layer.size):
            raise ValueError(f"{box} is not inside a picture of {layer.size}")
    states = part_states(layer)
    coded = CodedLayer(layer, blank, dict(zip(states, coding(layer, states), strict=True)))
    spliced = (states for states, _ in showings(layer) if states is not FLASH)
    fullest = max(spliced, key=lambda states: len(states) - states.count(None))
    return coded if coded.packet(fullest) == coded.whole(fullest) else WholeLayer(layer, blank)


def _is_inside(box: Box, size: Size) -> bool:
    return 0 <= box.left < box.right <= size.width_px and 0 <= box.top < box.bottom <= size.height_px


def _packed(picture: Picture) -> Pixels:
    """The pixels of an RGBA picture, each in 32 bits: (rows, columns)."""
    return np.asarray(picture).view(np.uint32)[..., 0]


def _filled(pixels: Pixels, height_px: int, width_px: int) -> Pixels:
    """Pixels made up to whole macroblocks as the encoder itself does it: the last column and row repeated."""
    below, right = height_px - pixels.shape[0], width_px - pixels.shape[1]
    return np.pad(pixels, ((0, below), (0, right)), mode="edge") if below or right else pixels
