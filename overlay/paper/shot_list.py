"""The shot list: one row a segment, with a box to tick."""

from __future__ import annotations

import json
from importlib import resources
from typing import Any

from overlay.errors import MachineError
from overlay.plan.look import font_folder
from overlay.timeline.layout import Layout
from overlay.timeline.model import CueKind, Segment, SegmentKind
from overlay.units.clock import format_duration


def shot_list_pdf(layout: Layout) -> bytes:
    """The shot list as a tagged PDF, A4. The same class gives the same bytes.

    Raises MachineError where the page cannot be set.
    """
    return set_pages("shot_list.typ", _data(layout))


def set_pages(template: str, data: dict[str, Any]) -> bytes:
    """Set a template of this room with data; fonts come from the tool alone."""
    import typst

    with resources.as_file(resources.files(__package__) / template) as path:
        try:
            pages = typst.compile(
                str(path),
                font_paths=[str(font_folder())],
                ignore_system_fonts=True,
                sys_inputs={"class": json.dumps(data, ensure_ascii=False)},
                format="pdf",
            )
        except typst.TypstError as error:
            raise MachineError(f"The page {template} could not be set: {error}") from error
    return bytes(pages)


_COLUMNS = ("timecode", "what", "side", "position", "equipment", "first_cue", "filmed")


def _data(layout: Layout) -> dict[str, Any]:
    timeline = layout.timeline
    rate, words = f"{float(timeline.rate.value):.5g}", timeline.phrases.paper
    return {
        "title": timeline.title,
        **_language(timeline.language),
        "words": {"heading": words["heading"], "columns": [words[name] for name in _COLUMNS]},
        "settings": f"{timeline.size} · {rate} fps · {timeline.counting.value} · {format_duration(timeline.duration)}",
        "caution": timeline.phrases.caution,
        "rows": [_row(layout, segment) for segment in timeline.segments],
    }


def _language(tag: str) -> dict[str, str | None]:
    """A BCP 47 tag as the two that a page takes: language, and a region of two letters if there is one."""
    language, *subtags = tag.split("-")
    region = next((subtag.lower() for subtag in subtags if len(subtag) == 2 and subtag.isalpha()), None)
    return {"language": language, "region": region}


def _row(layout: Layout, segment: Segment) -> dict[str, Any]:
    timeline = layout.timeline
    phrases = timeline.phrases
    move = segment.move if segment.kind is SegmentKind.WORK else None
    where = segment.block_name if move else None
    if move and segment.rounds and segment.rounds > 1:
        round_ = f"{phrases.round} {segment.round} {phrases.of} {segment.rounds}"
        where = f"{where}, {round_}" if where else round_
    shown = segment.shows if segment.kind is SegmentKind.PREVIEW else ()
    equipment = list(move.equipment) if move else []
    for each in shown:
        equipment += [item for item in each.move.equipment if item not in equipment]
    word = getattr(phrases, segment.kind.value)
    return {
        "kind": segment.kind.value,
        "frames": max(1, segment.span.frame_count),
        "timecode": timeline.frame_to_label(segment.span.start_frame),
        "length": format_duration(segment.duration),
        "what": move.name if move else f"{word} · {segment.block_name}" if segment.name else word,
        "where": where or (", ".join(each.move.name for each in shown) or None),
        "side": phrases.side(segment.side) if segment.side else "",
        "position": (move.position or "") if move else "",
        "camera": move.camera if move else None,
        "equipment": equipment,
        "cue": _first_cue(layout, segment),
    }


def _first_cue(layout: Layout, segment: Segment) -> str:
    """The first thing the plan says in a segment, else what the tool says."""
    language = layout.timeline.language
    said = [words for words in layout.spoken if words.segment is segment and words.language == language]
    said.sort(key=lambda words: words.kind is not CueKind.CUE)
    return said[0].text if said else ""
