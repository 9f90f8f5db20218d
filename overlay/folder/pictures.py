"""The rows of the table that draw: layers in their carriers, stills, the contact sheet."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cache, partial
from pathlib import Path
from typing import TYPE_CHECKING

from overlay.folder.job import File, Job, file_sums, later
from overlay.folder.manifest import sha256_of
from overlay.plan.look import Look
from overlay.plan.session import View
from overlay.timeline.model import Timeline

if TYPE_CHECKING:
    from overlay.pictures.fonts import Fonts
    from overlay.pictures.frames import Layer


def _layers(job: Job) -> dict[str, Callable[[], Layer]]:
    """The layers that the look asks for, by name, each made on demand, here or in another process."""
    from overlay.pictures.layers import make_layer

    return {name: partial(make_layer, name, *_shapes(job)) for name in job.layers}


def _shapes(job: Job) -> tuple[Timeline, Look, View, Fonts, Path, Path | None]:
    """What shapes the pictures of a class."""
    from overlay.pictures.fonts import SHIPPED

    return job.timeline, job.session.look, job.session.view, job.fonts or SHIPPED, job.plan, job.root


def layer(name: str) -> Callable[[Job], Iterator[File]]:
    """The maker of a layer by its name, in every carrier that the plan asks for."""

    def make(job: Job) -> Iterator[File]:
        layers = _layers(job)
        if name in layers:
            yield from _carried(job, layers[name], [layers[name]])

    return make


def all_layers(job: Job) -> Iterator[File]:
    """Every layer in one, in every carrier that the plan asks for."""
    from overlay.pictures.layers import join_layers

    if job.layers:
        recipe = partial(join_layers, tuple(job.layers), *_shapes(job))
        yield from _carried(job, recipe, _layers(job).values())


def _refuse_flashing(job: Job, layer: Layer) -> None:
    from overlay.pictures.flash import refuse_flashing
    from overlay.pictures.means import Means, layer_shape

    def looked_through() -> bytes:
        refuse_flashing(layer)
        return b"steady"

    (job.means or Means()).remembered(("steady", layer_shape(layer)), looked_through)


def _carried(job: Job, recipe: Callable[[], Layer], parts: Iterable[Callable[[], Layer]]) -> Iterator[File]:
    """A layer's files; it and what it is joined from are looked through for flashing before the first is made."""
    from overlay.pictures.carry import carry
    from overlay.pictures.means import Means, layer_shape

    means, session = job.means or Means(), job.session
    shown = recipe()
    # A sum, since a still a frame makes thousands of files of one layer.
    shape = sha256_of(repr(layer_shape(shown)).encode("utf-8", "surrogatepass"))

    @cache
    def look_through() -> None:
        for part in parts:
            _refuse_flashing(job, part())

    def steady(content: Iterable[bytes]) -> Iterator[bytes]:
        look_through()
        yield from content

    for carrier in session.pictures.carrier:
        coding = means.coding(recipe)
        for made in carry(shown, carrier, session.look, coding, plain=job.plain_mov):
            inputs = (carrier, job.plain_mov, shape)
            details = partial(_as_they_are, made.details) if made.details is not None else None
            yield File(made.path, steady(made.content), details, made.check, made.same_as, inputs)


def _as_they_are(details: Mapping[str, str]) -> Mapping[str, str]:
    return details


def stills(job: Job) -> Iterator[File]:
    """Every distinct title, preview and card."""
    from overlay.folder.media import still_files
    from overlay.handoff.tracks import MediaKind
    from overlay.pictures.composite import compose
    from overlay.pictures.means import Means, state_keys
    from overlay.pictures.stills import png

    layers = {name: make() for name, make in _layers(job).items() if name in ("titles", "previews")}
    means = job.means or Means()
    for media in still_files(job.timeline, job.layers):
        layer = layers["titles" if media.kind is MediaKind.TITLE_STILL else "previews"]
        key = state_keys(layer, [(0, media.shows)], "png")[0, media.shows]
        made = partial(lambda layer, state: png(compose(layer, (state,))), layer, media.shows)
        yield File(media.path, later(means.remembered, (key,), made), inputs=(key,))


def sheet(job: Job) -> Iterator[File]:
    """All of them on one page."""
    from overlay.pictures.fonts import SHIPPED
    from overlay.pictures.means import layer_shape
    from overlay.pictures.sheet import contact_sheet

    layers, fonts = _layers(job), job.fonts or SHIPPED
    shown = [layers[name]() for name in ("titles", "previews") if name in layers]
    inputs = (*map(layer_shape, shown), job.timeline, file_sums(fonts.files))
    yield File("pictures/sheet.png", later(contact_sheet, job.timeline, shown, fonts), inputs=inputs)
