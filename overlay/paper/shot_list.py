"""The shot list: what to lay out, every shot in playing order, and the same shots in filming order."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import groupby
from pathlib import Path
from typing import Any

from overlay.paper.sheet import marks_of, picture_words, put, round_words, set_pages, sheet_data, shortened
from overlay.paper.shots import Setup, Shot, equipment_of, filming_order, setups_in_playing_order, shots_of
from overlay.plan.fields import Side
from overlay.plan.outputs import ToneSettings
from overlay.plan.paper import PaperSettings
from overlay.timeline.layout import Layout
from overlay.timeline.model import CueKind, Segment, SegmentKind, Timeline
from overlay.timeline.summary import summarize
from overlay.units.clock import format_duration

_LETTERS_A_LINE = 40
"""About as many as fit into a line of a cell."""
_LONGEST_PLACE = 200
"""Characters of a camera or a position at the head of a set-up; the whole text stands in the playing order."""


def shot_list_pdf(
    layout: Layout,
    paper: PaperSettings | None = None,
    tones: ToneSettings | None = None,
    font_files: Sequence[Path] = (),
) -> bytes:
    """The shot list as a tagged PDF, set with these fonts or the tool's own. The same class gives the same bytes.

    Raises MachineError where the page cannot be set.
    """
    paper = paper or PaperSettings()
    timeline = layout.timeline
    shots = shots_of(timeline, paper)
    groups = filming_order(shots)
    data = {
        **sheet_data(timeline, paper),
        "facts": _facts(timeline, shots, tones or ToneSettings()),
        "equipment": [_counted(thing, count) for thing, count in _equipment(shots)],
        "groups": [_block(layout, paper, list(run)) for _, run in groupby(shots, key=_group)],
        "setups": [_setup(layout, paper, n, setup, some) for n, (setup, some) in enumerate(groups, start=1)],
        "saving": _saving(timeline, shots),
    }
    return set_pages("shot_list.typ", data, font_files)


def _group(shot: Shot) -> str:
    return shot.block or f"\0{shot.segments[0].kind.value}"


def _facts(timeline: Timeline, shots: Sequence[Shot], tones: ToneSettings) -> list[tuple[str, str, bool]]:
    """Name, value, and whether the value is figures and no words."""
    words, phrases = timeline.phrases.paper, timeline.phrases
    summary = summarize(timeline)
    by_side = [f"{phrases.side(side)} {format_duration(work)}" for side, work in summary.work_by_side.items() if work]
    without = summary.work - sum(summary.work_by_side.values(), Fraction(0))
    if without:
        by_side.append(f"{words['no_side']} {format_duration(without)}")
    levels = {"sample_rate": tones.sample_rate / 1000, "loudness": tones.loudness, "ceiling": tones.ceiling}
    sound = put(words["sound_settings"], **{name: f"{value:g}" for name, value in levels.items()})
    inserts = sum(shot.insert is not None for shot in shots)
    of_class = len(shots) - inserts
    count = put(words["shots_and_inserts"], shots=of_class, inserts=inserts) if inserts else str(of_class)
    return [
        (words["length"], format_duration(summary.duration), True),
        (words["picture"], picture_words(timeline), True),
        (words["sound"], sound, False),
        (words["work_a_side"], " · ".join(by_side), False),
        (words["shots"], count, False),
        (words["setups"], _saving(timeline, shots), False),
    ]


def _saving(timeline: Timeline, shots: Sequence[Shot]) -> str:
    """How many set-ups filming takes in either order."""
    playing, filming = setups_in_playing_order(shots), len(filming_order(shots))
    phrase = timeline.phrases.paper["setups_saved"]
    return put(phrase, filming=filming, playing=playing, saved=playing - filming)


def _equipment(shots: Sequence[Shot]) -> tuple[tuple[str, int], ...]:
    return equipment_of([move for shot in shots for move in shot.moves])


def _counted(thing: str, count: int) -> str:
    """`2 × dumbbell`; a thing that the plan counts itself is left as it is written."""
    return thing if count == 1 and thing[:1].isdigit() else f"{count} × {thing}"


def _block(layout: Layout, paper: PaperSettings, shots: Sequence[Shot]) -> dict[str, Any]:
    timeline = layout.timeline
    first, last = shots[0].segments[0], [shot for shot in shots if not shot.insert][-1].segments[-1]
    name = first.block_name or first.block or getattr(timeline.phrases, first.kind.value)
    detail = f"{timeline.frame_to_label(first.span.start_frame)} · {format_duration(last.end - first.start)}"
    if first.rounds and first.rounds > 1:
        detail += f" · {first.rounds} {timeline.phrases.rounds}"
    side = first.side.value if first.side else None
    return {"name": name, "detail": detail, "side": side, "shots": [_shot(layout, paper, shot) for shot in shots]}


def _setup(layout: Layout, paper: PaperSettings, number: int, setup: Setup, shots: Sequence[Shot]) -> dict[str, Any]:
    words = layout.timeline.phrases.paper
    placed = " · ".join(shortened(part, _LONGEST_PLACE) for part in (setup.camera, setup.position) if part)
    return {
        "name": put(words["setup_number"], number=number),
        "detail": placed or words["as_it_stands"],
        "shots": [_shot(layout, paper, shot, with_block=True) for shot in shots],
    }


def _shot(layout: Layout, paper: PaperSettings, shot: Shot, *, with_block: bool = False) -> dict[str, Any]:
    timeline = layout.timeline
    words = timeline.phrases.paper
    first, last = shot.segments[0], shot.segments[-1]
    name = " · ".join(move.name for move in shot.moves) or getattr(timeline.phrases, first.kind.value)
    where = [words["insert"] if shot.insert else round_words(timeline, shot.segments)]
    if with_block and shot.block:
        where.insert(0, first.block_name or first.block)
    labels = [timeline.frame_to_label(first.span.start_frame), timeline.frame_to_label(last.span.end_frame)]
    if shot.insert:
        labels = [f"» {timeline.frame_to_label(preview.span.start_frame)}" for preview in shot.segments]
    notes = [move.setup for move in shot.moves if move.setup]
    shown: dict[str, Any] = {
        "number": shot.number,
        "marks": marks_of(shot.segments),
        "length": format_duration(shot.length),
        "handles": put(words["handles"], handles=format_duration(paper.handles))
        if shot.insert and paper.handles
        else None,
        "labels": labels,
        "where": " · ".join(part for part in where if part) or None,
        "name": name,
        "side": _side(shot),
        "position": shot.setup.position,
        "camera": shot.setup.camera,
        "equipment": [_counted(thing, count) for thing, count in shot.equipment],
        "notes": notes,
        "cue": "" if shot.insert else _first_cue(layout, shot.segments),
        "parts": [] if shot.insert else [_part(timeline, segment) for segment in shot.segments],
    }
    texts = (name, shown["cue"], *notes, shot.setup.position or "", shot.setup.camera or "")
    lines = len(shown["parts"]) + len(shown["equipment"]) + len(labels)
    return {**shown, "letters": sum(map(len, texts)) + _LETTERS_A_LINE * lines}


def _side(shot: Shot) -> str | None:
    side: Side | None = shot.side or next((segment.side for segment in shot.segments if segment.side), None)
    return side.value if side else None


def _part(timeline: Timeline, segment: Segment) -> dict[str, str]:
    is_work = segment.kind is SegmentKind.WORK and segment.move is not None
    name = segment.move.name if is_work and segment.move else getattr(timeline.phrases, segment.kind.value)
    return {
        "kind": segment.kind.value,
        "label": timeline.frame_to_label(segment.span.start_frame),
        "length": format_duration(segment.duration),
        "name": name,
    }


def _first_cue(layout: Layout, segments: Sequence[Segment]) -> str:
    """The first thing that the plan says in a shot's work (or where there is none, in the shot), else the tool."""
    works = [segment for segment in segments if segment.kind is SegmentKind.WORK] or segments
    wanted = {id(segment) for segment in works}
    language = layout.timeline.language
    said = [words for words in layout.spoken if id(words.segment) in wanted and words.language == language]
    said.sort(key=lambda words: words.kind is not CueKind.CUE)
    return said[0].text if said else ""
