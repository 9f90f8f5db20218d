"""The one table of outputs: what can be made, under which path, by which writer.

A new output is one writer in its room and one row here. A writer gives content; only `folder/`
puts it on disk. Writers are imported when their row is made, so that a build of captions loads
nothing of pictures.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from overlay.errors import UsageError
from overlay.folder.names import file_name
from overlay.plan.nearest import did_you_mean
from overlay.plan.outputs import SrtFlavour
from overlay.plan.session import Session
from overlay.timeline.data import timeline_data
from overlay.timeline.layout import Layout, lay_out
from overlay.timeline.model import Timeline

if TYPE_CHECKING:
    from overlay.pictures.frames import Layer


@dataclass(frozen=True)
class Job:
    """What every writer may ask for. `unprinted` are the languages that the fonts cannot print."""

    session: Session
    layout: Layout
    plain_mov: bool = False
    unprinted: frozenset[str] = frozenset()

    @property
    def timeline(self) -> Timeline:
        return self.layout.timeline

    @property
    def printed_in(self) -> list[str]:
        """The languages that a script is made in, the main one first."""
        return [language for language in self.timeline.languages if language not in self.unprinted]

    def layout_in(self, language: str) -> Layout:
        """The class with everything named in one of its languages."""
        return self.layout if language == self.timeline.language else lay_out(self.session, language)

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
    from overlay.pictures.progress import progress_layer
    from overlay.pictures.timer import timer_layer
    from overlay.pictures.titles import titles_layer

    timeline, look, view = job.timeline, job.session.look, job.session.view
    makers: dict[str, Callable[[], Layer]] = {
        "timer": lambda: timer_layer(timeline, look),
        "titles": lambda: titles_layer(timeline, look, view),
        "previews": lambda: previews_layer(timeline, look, view),
        "progress": lambda: progress_layer(timeline, look),
    }
    return {name: make for name, make in makers.items() if getattr(look, name).show}


def _layer(name: str) -> Callable[[Job], Iterator[File]]:
    def make(job: Job) -> Iterator[File]:
        from overlay.pictures.movie import check_movie, layer_movie

        layers = _layers(job)
        if name in layers:
            layer = layers[name]()
            movie = layer_movie(layer, plain=job.plain_mov)
            yield File(f"pictures/{name}.mov", movie, check=lambda path: check_movie(path, layer))

    return make


def _stills(job: Job) -> Iterator[File]:
    from overlay.pictures.stills import png, stills_of

    layers = _layers(job)
    for name in ("titles", "previews"):
        if name in layers:
            for number, still in enumerate(stills_of(layers[name]()), 1):
                kind, _, words = still.words.partition("-")
                path = f"pictures/stills/{file_name(f'{kind}-{number:03}-{words}')}.png"
                yield File(path, [png(still.picture())])


def _sheet(job: Job) -> Iterator[File]:
    from overlay.pictures.sheet import contact_sheet

    layers = _layers(job)
    shown = [layers[name]() for name in ("titles", "previews") if name in layers]
    yield File("pictures/sheet.png", [contact_sheet(job.timeline, shown)])


def _shot_list(job: Job) -> Iterator[File]:
    from overlay.paper.shot_list import shot_list_pdf

    session = job.session
    yield File("paper/shot-list.pdf", [shot_list_pdf(job.layout, session.paper, session.tones)])


def _script(job: Job) -> Iterator[File]:
    from overlay.paper.script import script_pdf

    for language in job.printed_in:
        name = "script" if language == job.timeline.language else f"script-{language}"
        yield File(f"paper/{name}.pdf", [script_pdf(job.layout_in(language), job.session.paper)])


def _strip(job: Job) -> Iterator[File]:
    from overlay.paper.picture import timeline_png, timeline_svg

    svg = timeline_svg(job.layout)
    yield File("paper/timeline.svg", [svg.encode("utf-8")])
    yield File("paper/timeline.png", [timeline_png(svg)])


def _handoff(job: Job) -> Iterator[File]:
    from overlay.captions.webvtt import chapters_text
    from overlay.handoff.chapters import chapters_txt, ffmpeg_metadata
    from overlay.handoff.notes import description_text, editor_notes

    timeline, layers = job.timeline, list(_layers(job))
    texts = {
        "chapters.vtt": chapters_text(timeline),
        "chapters.txt": chapters_txt(timeline),
        "chapters.ffmetadata": ffmpeg_metadata(timeline),
        "description.txt": description_text(timeline),
        "editor-notes.txt": editor_notes(timeline, job.session.tones, layers),
    }
    for name, text in texts.items():
        yield File(f"handoff/{name}", [text.encode("utf-8")])


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
