"""Stills: every distinct title, preview and card as a PNG with straight alpha, for editors who would
rather place pictures, and for a page on which a person proofs them all."""

from __future__ import annotations

import io
from collections.abc import Hashable, Iterator
from pathlib import Path
from typing import NamedTuple

from PIL import Image

from overlay.errors import MachineError
from overlay.pictures.composite import compose, showings
from overlay.pictures.frames import Layer
from overlay.timeline.changes import CardState, PreviewState, TitleState


class Still(NamedTuple):
    """One distinct picture of a layer: its state, and the frame it is first shown on."""

    state: Hashable
    frame: int
    layer: Layer

    def picture(self) -> Image.Image:
        """The whole picture: RGBA, straight alpha, of the class's size."""
        return compose(self.layer, (self.state,))


def png(picture: Image.Image) -> bytes:
    """A picture as PNG: straight alpha (PNG has no other), sRGB as drawn, no date."""
    out = io.BytesIO()
    # Level 3 is a third of the time of level 6, and such plain pictures come out hardly larger.
    picture.save(out, "PNG", compress_level=3)
    return out.getvalue()


def stills_of(layer: Layer) -> Iterator[Still]:
    """Every distinct picture of a layer of one part, in the order in which each is first shown."""
    seen: set[Hashable] = set()
    start = 0
    for states, frames in showings(layer):
        state = states[0]
        if isinstance(state, (TitleState, PreviewState, CardState)) and state not in seen:
            seen.add(state)
            yield Still(state, start, layer)
        start += frames


def check_png(path: Path, picture: Image.Image) -> None:
    """Open a written still again; it must show what was drawn to the bit, or MachineError is raised."""
    try:
        with Image.open(path) as written:
            is_same = written.mode == picture.mode and written.size == picture.size
            is_same = is_same and written.tobytes() == picture.tobytes()
    except OSError as error:
        raise MachineError(f"{path.name} was written but cannot be read.") from error
    if not is_same:
        raise MachineError(f"{path.name} came out wrong: it does not show what was drawn.")
