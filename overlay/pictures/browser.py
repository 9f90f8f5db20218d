"""A layer as WebM for browsers: VP9 with alpha, one coded picture a change.

The alpha is a second VP9 picture beside each first one (the WebM project's published way), which
most programs but browsers leave out. Colour is halved in both directions (4:2:0): edges of coloured
ink are softer than in the other carriers. Times are whole milliseconds, as WebM has them.
"""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from fractions import Fraction
from itertools import accumulate
from pathlib import Path
from typing import IO, TYPE_CHECKING

from overlay.errors import MachineError
from overlay.pictures.composite import compose, showings
from overlay.pictures.eight_bit import mean_error, to_frame
from overlay.pictures.frames import Layer, Picture
from overlay.pictures.reopen import looked_at, readable, wrong_picture

if TYPE_CHECKING:
    from av import VideoFrame

_CODEC = "libvpx-vp9"
_PIECE_BYTES = 1 << 20
# Lossless, which pictures as plain as these hardly grow by; nothing is looked ahead, so that every change
# is coded at once; one thread, so that the bytes are the same on every machine; a picture to begin at, for
# seeking, at least every 30 changes.
_OPTIONS = {
    "lossless": "1",
    "deadline": "realtime",
    "cpu-used": "7",
    "lag-in-frames": "0",
    "auto-alt-ref": "0",
    "g": "30",
    "threads": "1",
}


def webm_movie(layer: Layer) -> Iterator[bytes]:
    """The bytes of the WebM file, which is put by on disk: its head is written last.

    Raises MachineError where PyAV was built without VP9.
    """
    with tempfile.TemporaryFile() as file:
        _code_into(file, layer)
        file.seek(0)
        while piece := file.read(_PIECE_BYTES):
            yield piece


def _code_into(file: IO[bytes], layer: Layer) -> None:
    import av
    from av.codec.codec import UnknownCodecError
    from av.video.stream import VideoStream

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


def check_webm(path: Path, layer: Layer) -> None:
    """Open the written file again with the decoder that knows alpha, and compare it with its layer.

    Raises MachineError with the first thing that is not as it should be.
    """
    import av

    starts = list(accumulate((frames for _, frames in showings(layer)), initial=0))
    times_ms = [_nearest_ms(start, layer) for start in starts]
    # The length is that of the last picture, which the file rounds by itself, on top of where it starts.
    length_ms = times_ms[-2] + _nearest_ms(starts[-1] - starts[-2], layer)
    wanted = {max(start for start in starts[:-1] if start <= frame): states for frame, states in looked_at(layer)}
    with readable(path), av.open(str(path)) as container:
        stream = container.streams.video[0]
        decoder = av.VideoCodecContext.create(_CODEC, "r")
        assert isinstance(decoder, av.VideoCodecContext)
        lasts_ms = round((container.duration or 0) / 1000)
        facts = [
            ("the mark of alpha", stream.metadata.get("ALPHA_MODE", stream.metadata.get("alpha_mode")), "1"),
            ("the size", f"{stream.width}x{stream.height}", str(layer.size)),
            ("the length in milliseconds", lasts_ms, length_ms),
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


def _nearest_ms(frames: int, layer: Layer) -> int:
    return int(frames * 1000 / layer.rate.value + Fraction(1, 2))


def _shows(picture: VideoFrame, drawn: Picture) -> bool:
    return picture.format.name == "yuva420p" and mean_error(picture, to_frame(drawn, "yuva420p")) == 0
