"""Pictures as frames of 8 bits with halved colour (4:2:0), BT.709 and limited range: what WebM and H.264 carry."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from overlay.pictures.frames import Picture
from overlay.pictures.pixels import to_yuv420

if TYPE_CHECKING:
    from av import VideoFrame

Opaque = Callable[[Picture], Picture]
"""Makes an RGBA picture opaque, each pixel by itself."""
_BT_709 = 1  # ITU-T H.273, for primaries, transfer and matrix alike


def as_it_is(picture: Picture) -> Picture:
    """The picture itself."""
    return picture


def to_frame(picture: Picture, pixels: str, opaque: Opaque = as_it_is) -> VideoFrame:
    """A picture, made opaque in some way, as a `yuv420p` or `yuva420p` frame. Its sides are even."""
    from av import VideoFrame
    from av.video.reformatter import ColorRange

    frame = VideoFrame(picture.width, picture.height, pixels)
    # Most of a layer is blank: only what is drawn is converted.
    box = picture.getbbox(alpha_only=False) or (0, 0, 2, 2)
    left, top, right, bottom = (2 * (side // 2) for side in (*box[:2], box[2] + 1, box[3] + 1))
    ground = to_yuv420(opaque(Image.new("RGBA", (2, 2))))
    drawn = to_yuv420(opaque(picture.crop((left, top, right, bottom))))
    for plane, blank, values in zip(planes(frame), ground, drawn, strict=False):
        plane[:] = blank[0, 0]
        rows, columns = values.shape
        half = picture.width // plane.shape[1]
        plane[top // half : top // half + rows, left // half : left // half + columns] = values
    frame.colorspace = frame.color_primaries = frame.color_trc = _BT_709
    frame.color_range = ColorRange.MPEG
    return frame


def planes(frame: VideoFrame) -> list[NDArray[np.uint8]]:
    """The planes of a frame of 8 bits, each of shape (rows, columns), to look at and to write to."""
    return [
        np.frombuffer(memoryview(plane), np.uint8).reshape(plane.height, -1)[:, : plane.width] for plane in frame.planes
    ]


def mean_error(one: VideoFrame, other: VideoFrame) -> float:
    """How far two frames of a size are apart in the mean, in 8-bit code values, in their worst plane."""
    pairs = zip(planes(one), planes(other), strict=True)
    return max(float(np.abs(a.astype(np.int16) - b).mean()) for a, b in pairs)
