"""The layers by name, each made from values alone: another process can make it as well."""

from __future__ import annotations

from dataclasses import replace
from functools import cache, partial
from hashlib import blake2b
from pathlib import Path

from overlay.pictures.cards import previews_layer
from overlay.pictures.composite import joined
from overlay.pictures.fonts import Fonts
from overlay.pictures.frames import Layer
from overlay.pictures.images import Images, image_beside
from overlay.pictures.progress import progress_layer
from overlay.pictures.timer import timer_layer
from overlay.pictures.titles import titles_layer
from overlay.plan.look import Look
from overlay.plan.session import View
from overlay.timeline.model import Timeline


def make_layer(
    name: str, timeline: Timeline, look: Look, view: View, fonts: Fonts, plan: Path, root: Path | None = None
) -> Layer:
    """A layer of a class by its name; `plan` is the file beside which images stand, or above it within `root`.

    Raises KeyError for another name.
    """
    layer = _made(name, timeline, look, view, fonts, partial(image_beside, plan, root=root))
    # A font is shown by what is in its file, not by where it stands.
    sums = tuple(blake2b(path.read_bytes()).hexdigest() for path in fonts.files)
    return replace(layer, parts=tuple(replace(part, shaped_by=(part.shaped_by, sums)) for part in layer.parts))


def join_layers(
    names: tuple[str, ...],
    timeline: Timeline,
    look: Look,
    view: View,
    fonts: Fonts,
    plan: Path,
    root: Path | None = None,
) -> Layer:
    """Several layers as one, the later ones above."""
    return joined([make_layer(name, timeline, look, view, fonts, plan, root) for name in names], "all")


def _made(name: str, timeline: Timeline, look: Look, view: View, fonts: Fonts, found: Images) -> Layer:
    images = cache(found)
    if name == "timer":
        return timer_layer(timeline, look, fonts)
    if name == "titles":
        return titles_layer(timeline, look, view, fonts, images)
    if name == "previews":
        return previews_layer(timeline, look, view, fonts, images)
    if name == "progress":
        return progress_layer(timeline, look, fonts)
    raise KeyError(name)
