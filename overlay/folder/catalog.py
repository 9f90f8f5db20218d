"""The one table of outputs: what can be made, under which path, by which writer.

A new output is one writer in its room and one row here. A writer gives content; only `folder/`
puts it on disk. Writers are imported when their row is made, so that a build of captions loads
nothing of pictures.
"""

from __future__ import annotations

import json
from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from overlay.errors import UsageError
from overlay.folder import pictures
from overlay.folder.job import LAYERS, File, Job, Output, later, made_by
from overlay.plan.carriers import Carrier
from overlay.plan.nearest import did_you_mean
from overlay.plan.outputs import SrtFlavour
from overlay.timeline.data import timeline_data
from overlay.timeline.layout import Layout
from overlay.timeline.model import Timeline

if TYPE_CHECKING:
    from overlay.pictures.means import Means


def _timeline(job: Job) -> Iterator[File]:
    yield File("timeline.json", later(_timeline_text, job.timeline))


def _timeline_text(timeline: Timeline) -> str:
    return json.dumps(timeline_data(timeline), ensure_ascii=False, indent=1) + "\n"


def _captions(job: Job) -> Iterator[File]:
    from overlay.captions.imsc import imsc_text
    from overlay.captions.srt import srt_text
    from overlay.captions.webvtt import webvtt_text

    srt = partial(srt_text, windows=job.session.captions.srt is SrtFlavour.WINDOWS)
    for language in job.timeline.languages:
        for ending, write in (("srt", srt), ("vtt", webvtt_text), ("ttml", imsc_text)):
            yield File(f"captions/{language}.{ending}", later(write, job.timeline, language))


def _tones(job: Job) -> Iterator[File]:
    from overlay.tones.track import duck_track, level_report, stem_tracks, tone_track

    # Beeps are shaped by all of the class but what is said.
    heard, settings = replace(job.timeline, cues=()), job.session.tones
    track = made_by("tones/tones.wav", tone_track, heard, settings)
    yield replace(track, details=lambda: {"levels": level_report(heard, settings).data()})
    if settings.stems:
        for kind, stem in stem_tracks(heard, settings).items():
            yield File(f"tones/stems/{kind}.wav", stem, inputs=(stem_tracks.__qualname__, kind, heard, settings))
    if settings.duck:
        spoken = [(w.start, w.end) for w in job.layout.spoken if w.language == heard.language]
        yield made_by("tones/duck.wav", duck_track, heard, settings, spoken)
    if settings.listening_copy:
        from overlay.tones.listening import listening_copy

        yield made_by("tones/listening.mp3", listening_copy, heard, settings)


def _shot_list(job: Job) -> Iterator[File]:
    from overlay.paper.shot_list import shot_list_pdf

    session = job.session
    yield made_by("paper/shot-list.pdf", shot_list_pdf, job.layout, session.paper, session.tones, job.font_files)


def _script(job: Job) -> Iterator[File]:
    from overlay.paper.script import script_pdf

    for language in job.printed_in:
        name = "script" if language == job.timeline.language else f"script-{language}"
        inputs = job.layout_in(language), job.session.paper, job.font_files
        yield made_by(f"paper/{name}.pdf", script_pdf, *inputs)


def _strip(job: Job) -> Iterator[File]:
    from overlay.paper.picture import timeline_png, timeline_svg

    def png(layout: Layout, font_files: tuple[Path, ...]) -> bytes:
        return timeline_png(timeline_svg(layout, font_files), font_files)

    yield made_by("paper/timeline.svg", timeline_svg, job.layout, job.font_files)
    yield made_by("paper/timeline.png", png, job.layout, job.font_files)


def _handoff(job: Job) -> Iterator[File]:
    from overlay.captions.webvtt import chapters_text
    from overlay.handoff.chapters import chapters_txt, ffmpeg_metadata
    from overlay.handoff.notes import description_text, editor_notes

    timeline, session = job.timeline, job.session
    carried = session.pictures.carrier, session.look
    texts = {
        "chapters.vtt": chapters_text(timeline),
        "chapters.txt": chapters_txt(timeline),
        "chapters.ffmetadata": ffmpeg_metadata(timeline),
        "description.txt": description_text(timeline),
        "editor-notes.txt": editor_notes(timeline, session.tones, job.layers, *carried),
    }
    for name, text in texts.items():
        yield File(f"handoff/{name}", [text.encode("utf-8")])
    yield from _tracks(job)


def rehearsal_text(job: Job, version: str | None = None) -> str:
    """The rehearsal page; with a `version` as it is served while the plan is written (`page/rehearsal.py`)."""
    from overlay.page.rehearsal import rehearsal_page
    from overlay.tones.track import beep_figures

    sounds = beep_figures(job.timeline, job.session.tones)
    return rehearsal_page(
        job.layout, job.session.look, sounds, job.findings, version=version, faces=partial(_faces, job.means)
    )


def _faces(means: Means | None, texts: str) -> str:
    """The page's type, cut down to the letters of some texts: another word seldom has another letter."""
    from overlay.page.faces import face_rules

    letters = "".join(sorted(set(texts)))
    if means is None:
        return face_rules(letters)
    return means.remembered(("faces", letters), lambda: face_rules(letters).encode("ascii")).decode("ascii")


def _rehearsal(job: Job) -> Iterator[File]:
    session = job.session
    inputs = job.layout, session.look, session.tones, job.findings
    yield File("rehearsal.html", later(rehearsal_text, job), inputs=inputs)


def _tracks(job: Job) -> Iterator[File]:
    """The class as tracks and markers, for the editor's program."""
    from overlay.folder.media import media_of
    from overlay.handoff.edl import edl_texts
    from overlay.handoff.markers import markers_csv
    from overlay.handoff.otio import otio_text
    from overlay.handoff.tracks import class_tracks

    timeline, handle_frames = job.timeline, job.session.handoff.handles.count
    # A clip is one file: a movie, where there is one.
    carriers = job.session.pictures.carrier
    movies = [carrier for carrier in carriers if carrier is not Carrier.PNG]
    media = tuple(media_of(timeline, job.layers if movies else [], (movies or [Carrier.PRORES])[0]))
    tracks = class_tracks(timeline, media, job.takes, handle_frames=handle_frames)
    document = otio_text(timeline, tracks, handle_frames=handle_frames)
    yield File("handoff/class.otio", [document.encode("utf-8")])
    for name, text in edl_texts(timeline, tracks).items():
        yield File(f"handoff/{name}.edl", [text.encode("utf-8")])
    yield File("handoff/markers.csv", [markers_csv(timeline).encode("utf-8")])


CATALOG: dict[str, Output] = {
    row.name: row
    for row in (
        Output("timeline", "timeline", _timeline),
        Output("captions", "captions", _captions),
        Output("tones", "tones", _tones),
        *(Output(name, "layer", pictures.layer(name), draws=True) for name in LAYERS),
        Output("all", "joined-layers", pictures.all_layers, draws=True, on_request=True),
        Output("stills", "still", pictures.stills, draws=True),
        Output("sheet", "contact-sheet", pictures.sheet, draws=True, on_request=True),
        Output("shot-list", "paper", _shot_list, draws=True, ahead=True),
        Output("script", "paper", _script, draws=True, ahead=True),
        Output("strip", "paper", _strip, draws=True, ahead=True),
        Output("handoff", "handoff", _handoff),
        Output("rehearsal", "rehearsal", _rehearsal),
    )
}
ALWAYS = "timeline"
"""The output that every build writes."""


def rows_of(kind: str) -> list[Output]:
    """The rows of the table that make files of a kind."""
    return [row for row in CATALOG.values() if row.kind == kind]


def chosen(only: Sequence[str], asked: Collection[str] = ()) -> list[Output]:
    """The rows that are named, or all that are made unasked and those of `asked`; `ALWAYS` is among them.

    Raises UsageError for an unknown name.
    """
    names = [name.strip() for several in only for name in several.split(",")]
    for name in names:
        if name not in CATALOG:
            raise UsageError(f"There is no output {name}.", remedy=did_you_mean(name, list(CATALOG)))
    made = names or [row.name for row in CATALOG.values() if not row.on_request or row.name in asked]
    return [row for row in CATALOG.values() if row.name in made or row.name == ALWAYS]
