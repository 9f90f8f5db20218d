"""The one table of outputs: what can be made, under which path, by which writer.

A new output is one writer in its room and one row here. A writer gives content; only `folder/`
puts it on disk. Writers are imported when their row is made, so that a build of captions loads
nothing of pictures.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from overlay.errors import UsageError
from overlay.plan.advice import Finding
from overlay.plan.nearest import did_you_mean
from overlay.plan.outputs import SrtFlavour
from overlay.plan.session import Session
from overlay.timeline.data import timeline_data
from overlay.timeline.layout import Layout, Moved, lay_out
from overlay.timeline.model import Timeline

if TYPE_CHECKING:
    from overlay.handoff.tracks import Piece
    from overlay.pictures.fonts import Fonts
    from overlay.pictures.frames import Layer


@dataclass(frozen=True)
class Job:
    """What every writer may ask for: `plan` is the file beside which images stand, `fonts` what words are
    drawn with (the tool's own where it is None); `unprinted` are the languages that these fonts cannot print,
    `findings` what was noticed."""

    session: Session
    layout: Layout
    plain_mov: bool = False
    plan: Path = Path("plan.yaml")
    fonts: Fonts | None = None
    unprinted: frozenset[str] = frozenset()
    findings: tuple[Finding, ...] = ()
    moved: Moved | None = None
    """What put the class on the footage's clock, where there are takes."""
    takes: tuple[Piece, ...] = ()

    @property
    def timeline(self) -> Timeline:
        return self.layout.timeline

    @property
    def font_files(self) -> tuple[Path, ...]:
        """The files of the fonts that pages are set with; none where they are the tool's own."""
        return self.fonts.files if self.fonts is not None else ()

    @property
    def printed_in(self) -> list[str]:
        """The languages that a script is made in."""
        return [language for language in self.timeline.languages if language not in self.unprinted]

    def layout_in(self, language: str) -> Layout:
        """The class with everything named in one of its languages."""
        return self.layout if language == self.timeline.language else lay_out(self.session, language, self.moved)

    @property
    def layers(self) -> list[str]:
        """The layers that the look does not switch off, from the table."""
        look = self.session.look
        return [row.name for row in self.rows_of("layer") if getattr(look, row.name).show]

    def rows_of(self, kind: str) -> list[Output]:
        """The rows of the table that make files of a kind."""
        return [row for row in CATALOG.values() if row.kind == kind]


@dataclass(frozen=True)
class File:
    """One file to write: its path below the folder, its content in pieces, what the manifest tells
    of it beside its size, and how to check it once it is written."""

    path: str
    content: Iterable[bytes]
    details: Mapping[str, Any] | None = None
    check: Callable[[Path], None] | None = None


@dataclass(frozen=True)
class Output:
    """One row of the table.

    `draws` says that words of the plan are set in the tool's fonts, `on_request` that it is only made
    when it is named.
    """

    name: str
    kind: str
    make: Callable[[Job], Iterator[File]]
    draws: bool = False
    on_request: bool = False


def _timeline(job: Job) -> Iterator[File]:
    text = json.dumps(timeline_data(job.timeline), ensure_ascii=False, indent=1)
    yield File("timeline.json", [text.encode("utf-8"), b"\n"])


def _captions(job: Job) -> Iterator[File]:
    from overlay.captions.imsc import imsc_text
    from overlay.captions.srt import srt_text
    from overlay.captions.webvtt import webvtt_text

    windows = job.session.captions.srt is SrtFlavour.WINDOWS
    for language in job.timeline.languages:
        texts = {
            "srt": srt_text(job.timeline, language, windows=windows),
            "vtt": webvtt_text(job.timeline, language),
            "ttml": imsc_text(job.timeline, language),
        }
        for ending, text in texts.items():
            yield File(f"captions/{language}.{ending}", [text.encode("utf-8")])


def _tones(job: Job) -> Iterator[File]:
    from overlay.tones.track import duck_track, level_report, stem_tracks, tone_track

    timeline, settings = job.timeline, job.session.tones
    levels = {"levels": level_report(timeline, settings).data()}
    yield File("tones/tones.wav", tone_track(timeline, settings), levels)
    if settings.stems:
        for kind, stem in stem_tracks(timeline, settings).items():
            yield File(f"tones/stems/{kind}.wav", stem)
    if settings.duck:
        spoken = [(w.start, w.end) for w in job.layout.spoken if w.language == timeline.language]
        yield File("tones/duck.wav", duck_track(timeline, settings, spoken))
    if settings.listening_copy:
        from overlay.tones.listening import listening_copy

        yield File("tones/listening.mp3", [listening_copy(timeline, settings)])


def _layers(job: Job) -> dict[str, Callable[[], Layer]]:
    """The layers that the look asks for, by name, each made on demand."""
    from overlay.pictures.cards import previews_layer
    from overlay.pictures.fonts import SHIPPED
    from overlay.pictures.images import image_beside
    from overlay.pictures.progress import progress_layer
    from overlay.pictures.timer import timer_layer
    from overlay.pictures.titles import titles_layer

    timeline, look, view, fonts = job.timeline, job.session.look, job.session.view, job.fonts or SHIPPED
    images = cache(partial(image_beside, job.plan))
    makers: dict[str, Callable[[], Layer]] = {
        "timer": lambda: timer_layer(timeline, look, fonts),
        "titles": lambda: titles_layer(timeline, look, view, fonts, images),
        "previews": lambda: previews_layer(timeline, look, view, fonts, images),
        "progress": lambda: progress_layer(timeline, look, fonts),
    }
    return {name: makers[name] for name in job.layers}


def _layer(name: str) -> Callable[[Job], Iterator[File]]:
    def make(job: Job) -> Iterator[File]:
        from overlay.folder.media import layer_path
        from overlay.pictures.flash import refuse_flashing
        from overlay.pictures.movie import check_movie, layer_movie

        layers = _layers(job)
        if name in layers:
            layer = layers[name]()
            refuse_flashing(layer)
            movie = layer_movie(layer, plain=job.plain_mov)
            yield File(layer_path(name), movie, check=lambda path: check_movie(path, layer))

    return make


def _stills(job: Job) -> Iterator[File]:
    from overlay.folder.media import still_files
    from overlay.handoff.tracks import MediaKind
    from overlay.pictures.composite import compose
    from overlay.pictures.stills import png

    layers = {name: make() for name, make in _layers(job).items() if name in ("titles", "previews")}
    for media in still_files(job.timeline, job.layers):
        layer = layers["titles" if media.kind is MediaKind.TITLE_STILL else "previews"]
        yield File(media.path, [png(compose(layer, (media.shows,)))])


def _sheet(job: Job) -> Iterator[File]:
    from overlay.pictures.fonts import SHIPPED
    from overlay.pictures.sheet import contact_sheet

    layers = _layers(job)
    shown = [layers[name]() for name in ("titles", "previews") if name in layers]
    yield File("pictures/sheet.png", [contact_sheet(job.timeline, shown, job.fonts or SHIPPED)])


def _shot_list(job: Job) -> Iterator[File]:
    from overlay.paper.shot_list import shot_list_pdf

    session = job.session
    yield File("paper/shot-list.pdf", [shot_list_pdf(job.layout, session.paper, session.tones, job.font_files)])


def _script(job: Job) -> Iterator[File]:
    from overlay.paper.script import script_pdf

    for language in job.printed_in:
        name = "script" if language == job.timeline.language else f"script-{language}"
        page = script_pdf(job.layout_in(language), job.session.paper, job.font_files)
        yield File(f"paper/{name}.pdf", [page])


def _strip(job: Job) -> Iterator[File]:
    from overlay.paper.picture import timeline_png, timeline_svg

    svg = timeline_svg(job.layout, job.font_files)
    yield File("paper/timeline.svg", [svg.encode("utf-8")])
    yield File("paper/timeline.png", [timeline_png(svg, job.font_files)])


def _handoff(job: Job) -> Iterator[File]:
    from overlay.captions.webvtt import chapters_text
    from overlay.handoff.chapters import chapters_txt, ffmpeg_metadata
    from overlay.handoff.notes import description_text, editor_notes

    timeline = job.timeline
    texts = {
        "chapters.vtt": chapters_text(timeline),
        "chapters.txt": chapters_txt(timeline),
        "chapters.ffmetadata": ffmpeg_metadata(timeline),
        "description.txt": description_text(timeline),
        "editor-notes.txt": editor_notes(timeline, job.session.tones, job.layers),
    }
    for name, text in texts.items():
        yield File(f"handoff/{name}", [text.encode("utf-8")])
    yield from _tracks(job)


def rehearsal_text(job: Job, version: str | None = None) -> str:
    """The rehearsal page; with a `version` as it is served while the plan is written (`page/rehearsal.py`)."""
    from overlay.page.rehearsal import rehearsal_page
    from overlay.tones.track import beep_figures

    sounds = beep_figures(job.timeline, job.session.tones)
    return rehearsal_page(job.layout, job.session.look, sounds, job.findings, version=version)


def _rehearsal(job: Job) -> Iterator[File]:
    yield File("rehearsal.html", [rehearsal_text(job).encode("utf-8")])


def _tracks(job: Job) -> Iterator[File]:
    """The class as tracks and markers, for the editor's program."""
    from overlay.folder.media import media_of
    from overlay.handoff.edl import edl_texts
    from overlay.handoff.markers import markers_csv
    from overlay.handoff.otio import otio_text
    from overlay.handoff.tracks import class_tracks

    timeline, handle_frames = job.timeline, job.session.handoff.handles.count
    media = tuple(media_of(timeline, job.layers))
    tracks = class_tracks(timeline, media, job.takes, handle_frames=handle_frames)
    document = otio_text(timeline, tracks, handle_frames=handle_frames)
    yield File("handoff/class.otio", [document.encode("utf-8")])
    for name, text in edl_texts(timeline, tracks).items():
        yield File(f"handoff/{name}.edl", [text.encode("utf-8")])
    yield File("handoff/markers.csv", [markers_csv(timeline).encode("utf-8")])


LAYERS = ("timer", "titles", "previews", "progress")
CATALOG: dict[str, Output] = {
    row.name: row
    for row in (
        Output("timeline", "timeline", _timeline),
        Output("captions", "captions", _captions),
        Output("tones", "tones", _tones),
        *(Output(name, "layer", _layer(name), draws=True) for name in LAYERS),
        Output("stills", "still", _stills, draws=True),
        Output("sheet", "still", _sheet, draws=True, on_request=True),
        Output("shot-list", "paper", _shot_list, draws=True),
        Output("script", "paper", _script, draws=True),
        Output("strip", "paper", _strip, draws=True),
        Output("handoff", "handoff", _handoff),
        Output("rehearsal", "rehearsal", _rehearsal),
    )
}
ALWAYS = "timeline"
"""The output that every build writes."""


def chosen(only: Sequence[str]) -> list[Output]:
    """The rows that are named, or all; `ALWAYS` is among them. Raises UsageError for an unknown name."""
    names = [name.strip() for several in only for name in several.split(",")]
    for name in names:
        if name not in CATALOG:
            raise UsageError(f"There is no output {name}.", remedy=did_you_mean(name, list(CATALOG)))
    asked = names or [row.name for row in CATALOG.values() if not row.on_request]
    return [row for row in CATALOG.values() if row.name in asked or row.name == ALWAYS]
