"""What a layer shows as a whole: which states stand together, for how long, and their picture."""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
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
    return LayerCounts(layer.frame_count, len(pictures), len(part_states(layer)))


def part_states(layer: Layer) -> list[tuple[int, Hashable]]:
    """Every (part, state) that shows and is not empty, once, in the order in which they first show."""
    shown = (states for states, _ in showings(layer) if states is not FLASH)
    pairs = (pair for states in shown for pair in enumerate(states) if pair[1] is not None)
    return list(dict.fromkeys(pairs))


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
    return compose_within(layer, states, Box(0, 0, layer.size.width_px, layer.size.height_px))


def compose_within(layer: Layer, states: States, box: Box) -> Picture:
    """What of that picture lies in a box that holds every part of the layer."""
    if states is FLASH:
        return Image.new("RGBA", (box.width_px, box.height_px), (255, 255, 255, 255))
    return _together(layer.parts, states, box)


def joined(layers: Sequence[Layer], name: str) -> Layer:
    """Several layers of one class as one, the later ones above. Raises IndexError for no layers."""
    return replace(layers[0], name=name, parts=tuple(part for layer in layers for part in layer.parts))


def drawn_box(layer: Layer) -> Box:
    """The least box that holds every part of a layer that has parts."""
    return _round([part.box for part in layer.parts])


def drawn_by(part: Part) -> str:
    """The name of the function that draws a part."""
    function = getattr(part.draw, "func", part.draw)
    return f"{getattr(function, '__module__', '')}.{getattr(function, '__qualname__', '')}"


def _together(parts: Sequence[Part], states: States, within: Box) -> Picture:
    picture = Image.new("RGBA", (within.width_px, within.height_px))
    for part, state in zip(parts, states, strict=True):
        if state is not None:
            at = (part.box.left - within.left, part.box.top - within.top)
            lay(picture, draw_part(part, state, part.box), at)
    return picture


def lay(ground: Picture, picture: Picture, at: tuple[int, int]) -> None:
    """Lay a picture over another. Colour under alpha 0 is kept from above, else from below."""
    area = (*at, at[0] + picture.width, at[1] + picture.height)
    below = ground.crop(area)
    if below.getbbox(alpha_only=False) is None:
        ground.paste(picture, at)
        return
    laid = np.array(Image.alpha_composite(below, picture))
    upper = np.asarray(picture)
    clear = (laid[..., 3] == 0) & upper.any(axis=-1)
    laid[clear] = upper[clear]
    ground.paste(Image.fromarray(laid), at)


def _round(boxes: Sequence[Box]) -> Box:
    """The least box round several."""
    return Box(
        min(box.left for box in boxes),
        min(box.top for box in boxes),
        max(box.right for box in boxes),
        max(box.bottom for box in boxes),
    )
