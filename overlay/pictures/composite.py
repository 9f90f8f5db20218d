"""What a layer shows as a whole: which states stand together, for how long, and their picture."""

from __future__ import annotations

from collections.abc import Hashable, Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from PIL import Image

from overlay.pictures.frames import Layer, Part, Picture
from overlay.units.raster import Box

States = tuple[Hashable, ...]
"""What every part of a layer shows at a time, in the order of the parts."""


class _Flash:
    """What no part shows: the whole picture, white."""


FLASH: States = (_Flash(),)
"""Shown on the layer's flash frame instead of what the parts show."""


@dataclass(frozen=True)
class LayerCounts:
    """How much there is of a layer: what it lasts, and what of it is new."""

    frames: int
    pictures: int
    part_states: int


def showings(layer: Layer) -> Iterator[tuple[States, int]]:
    """What shows and for how many frames, from the first frame to the last.

    >>> from fractions import Fraction
    >>> from overlay.units.raster import Size
    >>> from overlay.units.rate import Counting, FrameRate
    >>> def draw(color: Hashable) -> Picture:
    ...     return Image.new("RGBA", (128, 16), str(color))
    >>> part = Part(Box(0, 0, 128, 16), ((0, None), (10, "red"), (12, None)), draw)
    >>> layer = Layer("lamp", Size(640, 360), FrameRate(Fraction(25)), Counting.NON_DROP, 0, 50, (part,))
    >>> list(showings(layer))
    [((None,), 10), (('red',), 2), ((None,), 38)]
    >>> count_layer(layer)
    LayerCounts(frames=50, pictures=2, part_states=1)
    """
    changes = [dict(part.changes) for part in layer.parts]
    flash = set() if layer.flash_frame is None else {layer.flash_frame, layer.flash_frame + 1}
    starts = sorted(start for start in {0}.union(flash, *changes) if start < layer.frame_count)
    states: list[Hashable] = [None] * len(changes)
    for start, end in pairwise([*starts, layer.frame_count]):
        states = [change.get(start, state) for change, state in zip(changes, states, strict=True)]
        yield (FLASH if start == layer.flash_frame else tuple(states)), end - start


def count_layer(layer: Layer) -> LayerCounts:
    """Count the frames, the distinct pictures and the distinct states of parts that are not empty."""
    pictures = {states for states, _ in showings(layer)}
    part_states = {
        (part, state) for states in pictures - {FLASH} for part, state in enumerate(states) if state is not None
    }
    return LayerCounts(layer.frame_count, len(pictures), len(part_states))


def draw_part(part: Part, state: Hashable, within: Box) -> Picture:
    """A part's picture of a state on a blank ground that covers `within`.

    Raises ValueError where the part draws anything but RGBA of its box's size.
    """
    box, ground = part.box, Image.new("RGBA", (within.width_px, within.height_px))
    if state is not None:
        picture = part.draw(state)
        if picture.mode != "RGBA" or picture.size != (box.width_px, box.height_px):
            raise ValueError(f"{state!r} is drawn as {picture.mode} {picture.size}, not as RGBA for {box}")
        ground.paste(picture, (box.left - within.left, box.top - within.top))
    return ground


def compose(layer: Layer, states: States) -> Picture:
    """The whole picture of a layer: RGBA, straight alpha, of the layer's size."""
    whole = whole_box(layer)
    if states is FLASH:
        return Image.new("RGBA", (whole.width_px, whole.height_px), (255, 255, 255, 255))
    picture = Image.new("RGBA", (whole.width_px, whole.height_px))
    for part, state in zip(layer.parts, states, strict=True):
        if state is not None:
            picture.paste(draw_part(part, state, part.box), (part.box.left, part.box.top))
    return picture


def flattened(layer: Layer) -> Layer:
    """The same layer as one part that owns the whole picture and shows all states together."""

    def draw(states: Hashable) -> Picture:
        assert isinstance(states, tuple)
        return compose(layer, states)

    start, changes = 0, []
    for states, frames in showings(layer):
        changes.append((start, states))
        start += frames
    return replace(layer, parts=(Part(whole_box(layer), tuple(changes), draw),), flash_frame=None)


def whole_box(layer: Layer) -> Box:
    """The box of the whole picture."""
    return Box(0, 0, layer.size.width_px, layer.size.height_px)
