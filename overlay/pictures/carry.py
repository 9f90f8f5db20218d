"""A layer in each carrier: what files it makes, and how each is looked at once it is written."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import lru_cache, partial
from pathlib import Path
from typing import NamedTuple

from overlay.pictures.animation import animation_movie, check_animation
from overlay.pictures.browser import check_webm, webm_movie
from overlay.pictures.coding import Coding
from overlay.pictures.composite import States, compose, showings
from overlay.pictures.frames import Layer, Picture
from overlay.pictures.movie import check_movie, layer_movie
from overlay.pictures.opaque import check_opaque, fill, matte, opaque_movie, over
from overlay.pictures.stills import check_png, png
from overlay.plan.carriers import Carrier, key_color
from overlay.plan.look import Look


class Carried(NamedTuple):
    """One file: its path below the folder of a build, its bytes, and how to check it once it is written.

    `same_as` is the path of an earlier file with the same bytes, where there is one.
    """

    path: str
    content: Iterable[bytes]
    check: Callable[[Path], None] | None
    details: Mapping[str, str] | None = None
    same_as: str | None = None


def carry(layer: Layer, carrier: Carrier, look: Look, coding: Coding, *, plain: bool) -> Iterator[Carried]:
    """The files of a layer in a carrier. `coding` and `plain` are as `layer_movie` has them."""
    paths = carrier.paths(layer.name)
    if carrier is Carrier.PRORES:
        yield Carried(paths[0], layer_movie(layer, plain=plain, coding=coding), partial(check_movie, layer=layer))
    elif carrier is Carrier.QTRLE:
        yield Carried(paths[0], animation_movie(layer, plain=plain), partial(check_animation, layer=layer))
    elif carrier is Carrier.WEBM:
        yield Carried(paths[0], webm_movie(layer), partial(check_webm, layer=layer))
    elif carrier is Carrier.PNG:
        yield from _numbered(layer, paths[0])
    else:
        key = key_color(look)
        ways = [over(key)] if carrier is Carrier.KEY else [fill, matte]
        details = {"key_color": str(key)} if carrier is Carrier.KEY else None
        for path, opaque in zip(paths, ways, strict=True):
            check = partial(check_opaque, layer=layer, opaque=opaque)
            yield Carried(path, opaque_movie(layer, opaque), check, details)


def _numbered(layer: Layer, folder: str) -> Iterator[Carried]:
    """A still a frame, numbered from 0; a picture that showed before is the same file again."""
    first: dict[States, str] = {}
    number = 0
    # The last picture is kept for its check.
    composed = lru_cache(maxsize=1)(partial(compose, layer))
    for states, frames in showings(layer):
        for _ in range(frames):
            path = f"{folder}{layer.name}-{number:06}.png"
            number += 1
            if states in first:
                yield Carried(path, (), None, same_as=first[states])
            else:
                first[states] = path
                yield Carried(path, _drawn(composed, states), partial(_check_drawn, composed=composed, states=states))


def _drawn(composed: Callable[[States], Picture], states: States) -> Iterator[bytes]:
    yield png(composed(states))


def _check_drawn(path: Path, composed: Callable[[States], Picture], states: States) -> None:
    check_png(path, composed(states))
