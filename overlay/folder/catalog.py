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
from typing import Any

from overlay.errors import UsageError
from overlay.folder.names import file_name
from overlay.plan.advice import Finding
from overlay.plan.nearest import did_you_mean
from overlay.plan.outputs import SrtFlavour
from overlay.plan.session import Session
from overlay.timeline.data import timeline_data
from overlay.timeline.layout import Layout
from overlay.timeline.model import Timeline


@dataclass(frozen=True)
class Job:
    """What every writer may ask for."""

    session: Session
    layout: Layout
    plain_mov: bool = False
    findings: tuple[Finding, ...] = ()

    @property
    def timeline(self) -> Timeline:
        return self.layout.timeline

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
    """One row of the table. `draws` says that words of the plan are set in the tool's fonts."""

    name: str
    kind: str
    make: Callable[[Job], Iterator[File]]
    draws: bool = False


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


def _timer(job: Job) -> Iterator[File]:
    from overlay.pictures.movie import check_movie, layer_movie
    from overlay.pictures.timer import timer_layer

    layer = timer_layer(job.timeline, job.session.look)
    movie = layer_movie(layer, plain=job.plain_mov)
    yield File("pictures/timer.mov", movie, check=lambda path: check_movie(path, layer))


def _titles(job: Job) -> Iterator[File]:
    from overlay.pictures.movie import check_movie, layer_movie
    from overlay.pictures.titles import titles_layer

    layer = titles_layer(job.timeline, job.session.look)
    movie = layer_movie(layer, plain=job.plain_mov)
    yield File("pictures/titles.mov", movie, check=lambda path: check_movie(path, layer))


def _stills(job: Job) -> Iterator[File]:
    from overlay.pictures.stills import preview_stills

    taken: set[str] = set()
    for block, still in preview_stills(job.timeline, job.session.look).items():
        name = file_name(f"preview-{block}", frozenset(taken))
        taken.add(name)
        yield File(f"pictures/stills/{name}.png", [still])


def _shot_list(job: Job) -> Iterator[File]:
    from overlay.paper.shot_list import shot_list_pdf

    yield File("paper/shot-list.pdf", [shot_list_pdf(job.layout)])


def _handoff(job: Job) -> Iterator[File]:
    from overlay.captions.webvtt import chapters_text

    yield File("handoff/chapters.vtt", [chapters_text(job.timeline).encode("utf-8")])


def rehearsal_text(job: Job, version: str | None = None) -> str:
    """The rehearsal page; with a `version` as it is served while the plan is written (`page/rehearsal.py`)."""
    from overlay.page.rehearsal import rehearsal_page
    from overlay.tones.track import beep_figures

    sounds = beep_figures(job.timeline, job.session.tones)
    return rehearsal_page(job.layout, job.session.look, sounds, job.findings, version=version)


def _rehearsal(job: Job) -> Iterator[File]:
    yield File("rehearsal.html", [rehearsal_text(job).encode("utf-8")])


CATALOG: dict[str, Output] = {
    row.name: row
    for row in (
        Output("timeline", "timeline", _timeline),
        Output("captions", "captions", _captions),
        Output("tones", "tones", _tones),
        Output("timer", "layer", _timer, draws=True),
        Output("titles", "layer", _titles, draws=True),
        Output("stills", "still", _stills, draws=True),
        Output("shot-list", "paper", _shot_list, draws=True),
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
    return [row for row in CATALOG.values() if not names or row.name in names or row.name == ALWAYS]
