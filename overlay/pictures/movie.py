"""A layer as a transparent movie: ProRes 4444 with straight alpha, in a QuickTime file.

Each distinct state of each part is drawn and coded once, in its own box alone, and put into the
blank picture as slices (`coding.py`, `slices.py`); each distinct picture stands in the file once,
and the file points at it as often as it shows (`container.py`). So a layer costs what it shows that
is new, not what it lasts. Memory holds the coded slices of the states, never all pictures.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from fractions import Fraction
from itertools import accumulate, repeat
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from overlay.errors import MachineError
from overlay.pictures.coding import code_layer
from overlay.pictures.composite import States, compose, showings
from overlay.pictures.container import Timing, movie_head
from overlay.pictures.frames import Layer, Picture
from overlay.pictures.pixels import to_yuva
from overlay.pictures.slices import StructureError
from overlay.units.timecode import frame_to_label

if TYPE_CHECKING:
    from av import VideoFrame
    from av.video.stream import VideoStream

_CHANGES_LOOKED_AT = 2
_CODED_BITS = 10
# Y, Cb, Cr, alpha, of 1023: two levels of 8 bits, where the codec itself is wrong by three of these
# at the sharpest edges and by none in a plain area.
_LARGEST_ERRORS = (8, 8, 8, 0)


def layer_movie(layer: Layer, *, plain: bool = False) -> Iterator[bytes]:
    """The bytes of a layer's movie file: the tables first, then a coded picture at a time.

    The file points at each distinct picture as often as it shows; `plain` writes the bytes of every
    frame in full, for a reader that cannot follow. Raises ValueError where two boxes of the layer
    share a coded slice, MachineError where the encoder at hand cannot be used.
    """
    try:
        coded = code_layer(layer)
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
    """Open a written movie again and compare it with its layer.

    Looks at the count of frames, the rate, the length, the size, the alpha and the start timecode,
    and at the first and the last picture and those on both sides of some changes between. Raises
    MachineError with the first thing that is not as it should be.
    """
    import av

    try:
        with av.open(str(path)) as container:
            stream = container.streams.video[0]
            for what, found, wanted in _facts(stream, layer):
                if found != wanted:
                    raise MachineError(f"{path.name} came out wrong: {what} is {found}, not {wanted}.")
            unit = _exact(stream.time_base)
            for frame, states in _looked_at(layer):
                pts = int(frame / layer.rate.value / unit)
                container.seek(pts, stream=stream)
                picture = next(container.decode(stream))
                if picture.pts != pts or not _shows(picture, compose(layer, states)):
                    raise MachineError(f"{path.name} came out wrong: frame {frame} does not show what was drawn.")
    except (av.FFmpegError, OSError) as error:
        raise MachineError(f"{path.name} was written but cannot be read: {error.strerror}.") from error
    except (IndexError, StopIteration) as error:
        raise MachineError(f"{path.name} was written but holds too few pictures.") from error


def _facts(stream: VideoStream, layer: Layer) -> list[tuple[str, object, object]]:
    """What a stream says of itself: (what, found, wanted)."""
    return [
        ("the count of frames", stream.frames, layer.frame_count),
        ("the frame rate", _exact(stream.average_rate), layer.rate.value),
        (
            "the length in seconds",
            (stream.duration or 0) * _exact(stream.time_base),
            layer.frame_count / layer.rate.value,
        ),
        ("the size", f"{stream.width}x{stream.height}", str(layer.size)),
        ("the kind of pixel", (stream.pix_fmt or "none")[:8], "yuva444p"),
        (
            "the start timecode",
            stream.metadata.get("timecode"),
            frame_to_label(layer.start_frame, layer.rate, layer.counting),
        ),
    ]


def _exact(ratio: Fraction | None) -> Fraction:
    """A ratio as the standard library has it, whatever class the reader's own is; zero where it is not set."""
    return Fraction(ratio.numerator, ratio.denominator) if ratio else Fraction(0)


def _looked_at(layer: Layer) -> list[tuple[int, States]]:
    """The first and the last frame and those on both sides of some changes, with what they show."""
    shown = list(showings(layer))
    ends = list(accumulate(frames for _, frames in shown))
    frames = {0, layer.frame_count - 1}
    for number in range(_CHANGES_LOOKED_AT):
        change = ends[(number + 1) * len(ends) // (_CHANGES_LOOKED_AT + 1) - 1]
        frames |= {change - 1, min(change, layer.frame_count - 1)}
    return [(frame, shown[bisect_right(ends, frame)][0]) for frame in sorted(frames)]


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
