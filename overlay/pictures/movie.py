"""A layer as a transparent movie: ProRes 4444 with straight alpha, in a QuickTime file.

What each distinct state shows that is new is drawn and coded once, slice by slice (`coding.py`,
`slices.py`); each distinct picture stands in the file once, and the file points at it as often as it
shows (`container.py`). So a layer costs what it shows that is new, not what it lasts. Memory holds
the coded slices of the states, never all pictures.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import repeat
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from overlay.errors import MachineError
from overlay.pictures.coding import Coding, code_layer, code_states
from overlay.pictures.composite import States, showings
from overlay.pictures.container import Timing, movie_head
from overlay.pictures.frames import Layer, Picture
from overlay.pictures.pixels import to_yuva
from overlay.pictures.reopen import check_frames
from overlay.pictures.slices import StructureError
from overlay.units.timecode import frame_to_label

if TYPE_CHECKING:
    from av import VideoFrame

_CODED_BITS = 10
# Y, Cb, Cr, alpha, of 1023: one level of 8 bits, where the codec itself is wrong by two of these
# at the sharpest edges and by none in a plain area.
_LARGEST_ERRORS = (4, 4, 4, 0)


def layer_movie(layer: Layer, *, plain: bool = False, coding: Coding = code_states) -> Iterator[bytes]:
    """The bytes of a layer's movie file: the tables first, then a coded picture at a time.

    The file points at each distinct picture as often as it shows; `plain` writes the bytes of every
    frame in full, for a reader that cannot follow. `coding` tells how states are coded, with the same
    bytes whichever way. Raises ValueError where a box of the layer is not inside the picture,
    MachineError where the encoder at hand cannot be used.
    """
    try:
        coded = code_layer(layer, coding)
    except StructureError as error:
        raise MachineError(f"The ProRes encoder at hand cannot be used: {error}.") from error
    numbers: dict[States, int] = {}
    shown = [(numbers.setdefault(states, len(numbers)), frames) for states, frames in showings(coded.layer)]
    pictures = list(numbers)
    timing = Timing(layer.rate, layer.counting, layer.start_frame)
    yield movie_head(layer.size, timing, [coded.packet_bytes(states) for states in pictures], shown, plain=plain)
    if plain:
        for number, frames in shown:
            yield from repeat(coded.packet(pictures[number]), frames)
    else:
        yield from map(coded.packet, pictures)


def check_movie(path: Path, layer: Layer) -> None:
    """Open a written movie again and compare it with its layer, as `reopen.py` says."""
    label = frame_to_label(layer.start_frame, layer.rate, layer.counting)
    check_frames(path, layer, "yuva444p", _shows, timecode=label)


def _shows(picture: VideoFrame, drawn: Picture) -> bool:
    """Whether a decoded picture is the drawn one: alpha exactly, colour as near as the codec comes."""
    wanted = to_yuva(drawn)
    for plane, component, values, error in zip(
        picture.planes, picture.format.components, wanted, _LARGEST_ERRORS, strict=True
    ):
        coded = np.frombuffer(memoryview(plane), "<u2").reshape(plane.height, -1)[:, : plane.width]
        decoded = (coded >> (component.bits - _CODED_BITS)).astype(np.int32)
        if np.abs(decoded - values).max() > error:
            return False
    return True
