"""The rows of the table that draw: layers in their carriers, stills, the contact sheet."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cache, partial
from typing import TYPE_CHECKING

from overlay.folder.job import File, Job, file_sums, later
from overlay.folder.manifest import sha256_of

if TYPE_CHECKING:
    from overlay.pictures.frames import Layer


def layer(name: str) -> Callable[[Job], Iterator[File]]:
    """The maker of a layer by its name, in every carrier that the plan asks for."""

    def make(job: Job) -> Iterator[File]:
        if name in job.layers:
            yield from _carried(job, name, [name])

    return make


def all_layers(job: Job) -> Iterator[File]:
    """Every layer in one, in every carrier that the plan asks for."""
    if job.layers:
        yield from _carried(job, "all", job.layers)


def _refuse_flashing(job: Job, layer: Layer) -> None:
    from overlay.pictures.flash import refuse_flashing
    from overlay.pictures.means import Means, layer_shape

    def looked_through() -> bytes:
        refuse_flashing(layer)
        return b"steady"

    (job.means or Means()).remembered(("steady", layer_shape(layer)), looked_through)


def _carried(job: Job, name: str, parts: Iterable[str]) -> Iterator[File]:
    """A layer's files; what it is joined from is looked through for flashing before the first is made."""
    from overlay.pictures.carry import carry
    from overlay.pictures.means import Means, layer_shape

    means, session = job.means or Means(), job.session
    shown = job.layer(name)
    # A sum, since a still a frame makes thousands of files of one layer.
    shape = sha256_of(repr(layer_shape(shown)).encode("utf-8", "surrogatepass"))

    @cache
    def look_through() -> None:
        for part in parts:
            _refuse_flashing(job, job.layer(part))

    def steady(content: Iterable[bytes]) -> Iterator[bytes]:
        look_through()
        yield from content

    for carrier in session.pictures.carrier:
        coding = means.coding(job.layer_recipe(name))
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

    means = job.means or Means()
    for media in still_files(job.timeline, job.layers):
        layer = job.layer("titles" if media.kind is MediaKind.TITLE_STILL else "previews")
        key = state_keys(layer, [(0, media.shows)], "png")[0, media.shows]
        made = partial(lambda layer, state: png(compose(layer, (state,))), layer, media.shows)
        yield File(media.path, later(means.remembered, (key,), made), inputs=(key,))


def sheet(job: Job) -> Iterator[File]:
    """All of them on one page."""
    from overlay.pictures.fonts import SHIPPED
    from overlay.pictures.means import layer_shape
    from overlay.pictures.sheet import contact_sheet

    fonts = job.fonts or SHIPPED
    shown = [job.layer(name) for name in ("titles", "previews") if name in job.layers]
    inputs = (*map(layer_shape, shown), job.timeline, file_sums(fonts.files))
    yield File("pictures/sheet.png", later(contact_sheet, job.timeline, shown, fonts), inputs=inputs)
