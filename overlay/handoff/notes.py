"""Words for people: what the class is, for publishing it, and what the folder is, for the editor."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence

from overlay.handoff.chapters import chapters_txt
from overlay.plan.carriers import Carrier, key_color
from overlay.plan.look import Look
from overlay.plan.outputs import ToneSettings
from overlay.timeline.model import SegmentKind, Timeline
from overlay.timeline.summary import summarize
from overlay.units.clock import format_duration
from overlay.units.rate import Counting
from overlay.words.sides import fill

WIDTH = 92
"""Characters a line: a page in any program that shows plain text."""


def description_text(timeline: Timeline) -> str:
    """What the class is, what one needs, its blocks with times, and the caution; to be stored as UTF-8."""
    words, summary = timeline.phrases.notes, summarize(timeline)
    count = len(summary.blocks)
    figures = {
        "length": format_duration(summary.duration),
        "blocks": str(count),
        "work": format_duration(summary.work),
    }
    needs = fill(words["description_needs"], {"equipment": ", ".join(summary.equipment)})
    parts = [
        timeline.title,
        fill(words["description_class" if count > 1 else "description_class_one"], figures),
        needs if summary.equipment else words["description_needs_nothing"],
        chapters_txt(timeline).rstrip("\n"),
        timeline.phrases.caution,
    ]
    return "\n\n".join(part for part in parts if part) + "\n"


def editor_notes(
    timeline: Timeline,
    tones: ToneSettings,
    layers: Sequence[str],
    carriers: Sequence[Carrier] = (Carrier.PRORES,),
    look: Look | None = None,
) -> str:
    """One page for the editor: what each file is, where it goes, how it is made, and what helps; stored as UTF-8.

    `layers` are the names of the pictures' layers, `carriers` what they come in;
    `look` tells the flat colour that the layers stand on where they must be keyed.
    """
    words, paper = timeline.phrases.notes, timeline.phrases.paper
    zero = timeline.time_to_frame(timeline.class_start)
    rate = fill(paper["frame_rate"], {"rate": f"{float(timeline.rate.value):.5g}"})
    counting = paper["drop_frame" if timeline.counting is Counting.DROP else "non_drop"]
    picture = f"{timeline.size.width_px} × {timeline.size.height_px}, {rate}, {counting}"
    settings = fill(
        paper["sound_settings"],
        {
            "sample_rate": f"{tones.sample_rate / 1000:g}",
            "loudness": f"{tones.loudness:g}",
            "ceiling": f"{tones.ceiling:g}",
        },
    )
    place = {
        "picture": picture,
        "start": timeline.frame_to_label(0),
        "zero": timeline.frame_to_label(zero),
        "frames": str(timeline.frame_count),
    }
    files = [
        *(_layers(carrier, layers, words, look or Look()) for carrier in carriers),
        ("pictures/stills/", words["notes_stills"]),
        ("tones/tones.wav", fill(words["notes_tones"], {"settings": settings})),
        ("captions/", words["notes_captions"]),
        ("handoff/class.otio, *.edl", words["notes_tracks"]),
        ("handoff/chapters.*", words["notes_chapters"]),
        ("handoff/description.txt", words["notes_description"]),
        ("paper/", words["notes_paper"]),
    ]
    parts = [
        fill(words["notes_head"], {"title": timeline.title}),
        f"{fill(words['notes_place'], place)}\n{_sync(timeline)}",
        "\n".join([words["notes_files"], *(f"- {path}: {what}." for path, what in files if path)]),
        words["notes_trouble"],
        words["notes_check"],
    ]
    return "\n\n".join(_wrapped(part) for part in parts) + "\n"


def _layers(carrier: Carrier, layers: Sequence[str], words: Mapping[str, str], look: Look) -> tuple[str, str]:
    """The files of the layers in a carrier, and what they are."""
    kinds = {Carrier.PRORES: "notes_layers", Carrier.KEY: "notes_key", Carrier.FILL_AND_MATTE: "notes_fill_and_matte"}
    paths = ", ".join(path for layer in layers for path in carrier.paths(layer))
    return paths, fill(words[kinds.get(carrier, "notes_movies")], {"color": str(key_color(look))})


def _sync(timeline: Timeline) -> str:
    words = timeline.phrases.notes
    if timeline.segments[0].kind is not SegmentKind.LEADER or timeline.flash_frame is None:
        return words["notes_no_leader"]
    leader = {
        "length": format_duration(timeline.class_start),
        "pop": timeline.frame_to_label(timeline.flash_frame),
    }
    return fill(words["notes_leader"], leader)


def _wrapped(text: str) -> str:
    """Every line of a text, what belongs to a dash set in; names of files and commands stay whole."""
    return "\n".join(
        textwrap.fill(
            line,
            WIDTH,
            subsequent_indent="  " if line.startswith("- ") else "",
            break_long_words=False,
            break_on_hyphens=False,
        )
        for line in text.split("\n")
    )
