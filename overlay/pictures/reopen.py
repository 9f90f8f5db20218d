"""A written movie opened again, before it is given its name, and compared with its layer."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from fractions import Fraction
from itertools import accumulate
from pathlib import Path
from typing import TYPE_CHECKING

from overlay.errors import MachineError
from overlay.pictures.composite import States, compose, showings
from overlay.pictures.frames import Layer, Picture

if TYPE_CHECKING:
    from av import VideoFrame
    from av.video.stream import VideoStream

Shows = Callable[["VideoFrame", Picture], bool]
"""Whether a decoded picture is the drawn one, as near as its coding comes."""
_CHANGES_LOOKED_AT = 2


def check_frames(path: Path, layer: Layer, pixels: str, shows: Shows, *, timecode: str | None = None) -> None:
    """Open a movie with a constant frame rate again and compare it with its layer.

    Looks at the count of frames, the rate, the length, the size, the kind of pixel (by how its name
    begins) and the start timecode, and at the first and the last picture and those on both sides of
    some changes between. Raises MachineError with the first thing that is not as it should be.
    """
    import av

    with readable(path), av.open(str(path)) as container:
        stream = container.streams.video[0]
        for what, found, wanted in _facts(stream, layer, pixels, timecode):
            if found != wanted:
                raise MachineError(f"{path.name} came out wrong: {what} is {found}, not {wanted}.")
        unit = exact(stream.time_base)
        for frame, states in looked_at(layer):
            pts = int(frame / layer.rate.value / unit)
            container.seek(pts, stream=stream)
            picture = next(picture for picture in container.decode(stream) if (picture.pts or 0) >= pts)
            if picture.pts != pts or not shows(picture, compose(layer, states)):
                raise wrong_picture(path, frame)


def looked_at(layer: Layer) -> list[tuple[int, States]]:
    """The first and the last frame and those on both sides of some changes, with what they show."""
    shown = list(showings(layer))
    ends = list(accumulate(frames for _, frames in shown))
    frames = {0, layer.frame_count - 1}
    for number in range(_CHANGES_LOOKED_AT):
        change = ends[(number + 1) * len(ends) // (_CHANGES_LOOKED_AT + 1) - 1]
        frames |= {change - 1, min(change, layer.frame_count - 1)}
    return [(frame, shown[bisect_right(ends, frame)][0]) for frame in sorted(frames)]


def wrong_picture(path: Path, frame: int) -> MachineError:
    """The error for a frame that shows something else."""
    return MachineError(f"{path.name} came out wrong: frame {frame} does not show what was drawn.")


@contextmanager
def readable(path: Path) -> Iterator[None]:
    """What a reader cannot make out is the machine's fault, told by the file's name."""
    import av

    try:
        yield
    except (av.FFmpegError, OSError) as error:
        raise MachineError(f"{path.name} was written but cannot be read: {error.strerror}.") from error
    except (IndexError, StopIteration) as error:
        raise MachineError(f"{path.name} was written but holds too few pictures.") from error


def exact(ratio: Fraction | None) -> Fraction:
    """A ratio as the standard library has it, whatever class the reader's own is; zero where it is not set."""
    return Fraction(ratio.numerator, ratio.denominator) if ratio else Fraction(0)


def _facts(stream: VideoStream, layer: Layer, pixels: str, timecode: str | None) -> list[tuple[str, object, object]]:
    """What a stream says of itself: (what, found, wanted)."""
    facts: list[tuple[str, object, object]] = [
        ("the count of frames", stream.frames, layer.frame_count),
        ("the frame rate", exact(stream.average_rate), layer.rate.value),
        (
            "the length in seconds",
            (stream.duration or 0) * exact(stream.time_base),
            layer.frame_count / layer.rate.value,
        ),
        ("the size", f"{stream.width}x{stream.height}", str(layer.size)),
        ("the kind of pixel", (stream.pix_fmt or "none")[: len(pixels)], pixels),
    ]
    if timecode is not None:
        facts.append(("the start timecode", stream.metadata.get("timecode"), timecode))
    return facts
