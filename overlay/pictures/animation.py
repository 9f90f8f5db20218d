"""A layer as a lossless movie: QuickTime's run-length coding, 8 bits, straight alpha.

For a program that misreads ProRes' alpha. Each distinct picture stands in the file once, as in
`movie.py`; it comes back to the bit.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import repeat
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from overlay.pictures.composite import States, compose, showings
from overlay.pictures.container import Timing, animation, movie_head
from overlay.pictures.frames import Layer, Picture
from overlay.pictures.packets import Packets
from overlay.pictures.reopen import check_frames
from overlay.units.timecode import frame_to_label

if TYPE_CHECKING:
    from av import VideoFrame


def animation_movie(layer: Layer, *, plain: bool = False) -> Iterator[bytes]:
    """The bytes of the movie file; `plain` as in `layer_movie`."""
    from av import CodecContext, VideoFrame

    encoder = CodecContext.create("qtrle", "w")
    encoder.width, encoder.height, encoder.pix_fmt = layer.size.width_px, layer.size.height_px, "argb"
    encoder.time_base, encoder.thread_count, encoder.gop_size = Fraction(1, 25), 1, 0
    numbers: dict[States, int] = {}
    shown: list[tuple[int, int]] = []
    with Packets() as packets:
        for states, frames in showings(layer):
            if states not in numbers:
                rgba = np.asarray(compose(layer, states))
                frame = VideoFrame.from_ndarray(np.ascontiguousarray(rgba[..., [3, 0, 1, 2]]), format="argb")
                frame.pts = len(packets.lengths)
                (packet,) = encoder.encode(frame)
                assert packet.is_keyframe
                numbers[states] = packets.add(bytes(packet))
            shown.append((numbers[states], frames))
        timing = Timing(layer.rate, layer.counting, layer.start_frame)
        yield movie_head(layer.size, timing, packets.lengths, shown, plain=plain, carried=animation(layer.size))
        if plain:
            for number, frames in shown:
                yield from repeat(packets[number], frames)
        else:
            yield from packets


def check_animation(path: Path, layer: Layer) -> None:
    """Open the written movie again; every picture that is looked at must be the drawn one to the bit."""
    label = frame_to_label(layer.start_frame, layer.rate, layer.counting)
    check_frames(path, layer, "argb", _shows, timecode=label)


def _shows(picture: VideoFrame, drawn: Picture) -> bool:
    return np.array_equal(picture.to_ndarray(format="rgba"), np.asarray(drawn))
