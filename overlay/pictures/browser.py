"""A layer as WebM for browsers: VP9 with alpha, one coded picture a change.

The alpha is a second VP9 picture beside each first one (the WebM project's published way), which
most programs but browsers leave out. Colour is halved in both directions (4:2:0): edges of coloured
ink are softer than in the other carriers. Times are whole milliseconds, as WebM has them.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from itertools import accumulate
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from overlay.errors import MachineError
from overlay.pictures.composite import compose, showings
from overlay.pictures.frames import Layer, Picture
from overlay.pictures.pixels import to_yuv420
from overlay.pictures.reopen import looked_at, readable, wrong_picture

if TYPE_CHECKING:
    from av import VideoFrame

_CODEC = "libvpx-vp9"
# A good, quick picture; nothing is looked ahead, so that every change is coded at once; one thread, so
# that the bytes are the same on every machine; a picture to begin at at least every 30 changes.
_OPTIONS = {
    "crf": "16",
    "b": "0",
    "deadline": "realtime",
    "cpu-used": "7",
    "lag-in-frames": "0",
    "auto-alt-ref": "0",
    "g": "30",
    "threads": "1",
}
_LARGEST_MEAN_ERROR, _LARGEST_ALPHA_ERROR = 2.0, 24


def webm_movie(layer: Layer) -> Iterator[bytes]:
    """The bytes of the WebM file. Raises MachineError where PyAV was built without VP9."""
    import av
    from av.codec.codec import UnknownCodecError
    from av.video.stream import VideoStream

    file = io.BytesIO()
    shown = list(showings(layer))
    starts = list(accumulate((frames for _, frames in shown), initial=0))
    lasts = dict(zip(starts, (frames for _, frames in shown), strict=False))
    unit = 1 / layer.rate.value
    with av.open(file, "w", format="webm", container_options={"fflags": "+bitexact"}) as container:
        try:
            stream = container.add_stream(_CODEC, rate=layer.rate.value, options=_OPTIONS)
            assert isinstance(stream, VideoStream)
        except UnknownCodecError as error:
            raise MachineError(
                f"This machine's PyAV cannot make WebM with alpha (it has no {_CODEC}).",
                remedy="Choose another carrier, or install the av package as PyPI offers it.",
            ) from error
        stream.width, stream.height, stream.pix_fmt = layer.size.width_px, layer.size.height_px, "yuva420p"
        stream.time_base = stream.codec_context.time_base = unit
        stream.metadata["alpha_mode"] = "1"
        for start, (states, _) in zip(starts, shown, strict=False):
            frame = to_frame(compose(layer, states), "yuva420p")
            frame.pts, frame.time_base = start, unit
            for packet in stream.encode(frame):
                packet.duration = lasts[start]
                container.mux(packet)
        container.mux(stream.encode())
    yield file.getvalue()


def to_frame(picture: Picture, pixels: str) -> VideoFrame:
    """A picture as an 8-bit 4:2:0 frame, tagged BT.709 and limited range."""
    from av import VideoFrame
    from av.video.reformatter import ColorRange

    frame = VideoFrame(picture.width, picture.height, pixels)
    for plane, values in zip(frame.planes, to_yuv420(picture), strict=False):
        rows, columns = values.shape
        np.frombuffer(memoryview(plane), np.uint8).reshape(rows, -1)[:, :columns] = values
    frame.colorspace = frame.color_primaries = frame.color_trc = 1
    frame.color_range = ColorRange.MPEG
    return frame


def check_webm(path: Path, layer: Layer) -> None:
    """Open the written file again with the decoder that knows alpha, and compare it with its layer.

    Raises MachineError with the first thing that is not as it should be.
    """
    import av

    starts = list(accumulate((frames for _, frames in showings(layer)), initial=0))
    times_ms = [round(start * 1000 / layer.rate.value) for start in starts]
    wanted = {max(start for start in starts[:-1] if start <= frame): states for frame, states in looked_at(layer)}
    with readable(path), av.open(str(path)) as container:
        stream = container.streams.video[0]
        decoder = av.VideoCodecContext.create(_CODEC, "r")
        assert isinstance(decoder, av.VideoCodecContext)
        lasts_ms = round((container.duration or 0) / 1000)
        facts = [
            ("the mark of alpha", stream.metadata.get("alpha_mode"), "1"),
            ("the size", f"{stream.width}x{stream.height}", str(layer.size)),
            ("the length in milliseconds", lasts_ms, times_ms[-1]),
        ]
        for what, found, right in facts:
            if found != right:
                raise MachineError(f"{path.name} came out wrong: {what} is {found}, not {right}.")
        count = 0
        for packet in container.demux(stream):
            if not packet.size:
                continue
            start, count = starts[count], count + 1
            if packet.pts is None or round(packet.pts * packet.time_base * 1000) != times_ms[count - 1]:
                raise MachineError(f"{path.name} came out wrong: the picture of frame {start} stands at another time.")
            (picture,) = decoder.decode(packet)
            if start in wanted and not _shows(picture, compose(layer, wanted[start])):
                raise wrong_picture(path, start)
        if count != len(starts) - 1:
            raise MachineError(f"{path.name} came out wrong: it has {count} pictures, not {len(starts) - 1}.")


def _shows(picture: VideoFrame, drawn: Picture) -> bool:
    if picture.format.name != "yuva420p":
        return False
    wanted = to_yuv420(drawn)
    seen = [
        np.frombuffer(memoryview(plane), np.uint8).reshape(plane.height, -1)[:, : plane.width]
        for plane in picture.planes
    ]
    errors = [np.abs(one.astype(int) - other) for one, other in zip(seen, wanted, strict=True)]
    worst = max(float(error.mean()) for error in errors)
    return worst <= _LARGEST_MEAN_ERROR and int(errors[3].max()) <= _LARGEST_ALPHA_ERROR
