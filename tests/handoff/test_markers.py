"""Markers, as a table that a spreadsheet opens."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from fractions import Fraction

import pytest

from overlay.handoff.markers import MarkerKind, as_text, markers_csv, markers_of
from overlay.plan.read import parse_plan
from overlay.timeline.layout import lay_out
from overlay.timeline.model import Timeline

LaidOut = Callable[..., Timeline]


def rows(timeline: Timeline) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(markers_csv(timeline), newline="")))


def test_every_block_exercise_cue_and_beep_is_there(small_class: LaidOut) -> None:
    """As many of each as the class has, at their frames, in order."""
    timeline = small_class("29.97", "01:00:00;00", leader=True)
    table = rows(timeline)
    frames = [int(row["frame"]) for row in table]
    assert frames == sorted(frames)
    beeps = [(int(row["frame"]), row["text"]) for row in table if row["kind"] == "beep"]
    assert beeps == [(beep.frame, beep.kind.value) for beep in timeline.beeps]
    said = [(int(row["frame"]), row["text"]) for row in table if row["kind"] in ("cue", "call")]
    assert said == [(cue.span.start_frame, cue.text) for cue in timeline.cues]
    work = [segment for segment in timeline.segments if segment.move]
    exercises = [row for row in table if row["kind"] == "exercise"]
    assert [int(row["frame"]) for row in exercises] == [segment.span.start_frame for segment in work]
    assert [row["text"] for row in exercises][:4] == [
        "Row (right), 1/2", "Press (right), 1/2", "Row (right), 2/2", "Press (right), 2/2",
    ]  # fmt: skip
    assert [row["text"] for row in table if row["kind"] == "block"] == ["Pull", "Other pull"]
    assert [row["text"] for row in table if row["kind"] in ("opening", "closing")] == ["Opening", "Closing"]


def test_the_columns_say_one_frame_three_ways(small_class: LaidOut) -> None:
    """The label is that of the frame, the seconds are the frame's time rounded down to the millisecond."""
    timeline = small_class("59.94", "01:00:00;00")
    table = rows(timeline)
    assert list(table[0]) == ["frame", "label", "seconds", "kind", "text"]
    for row in table:
        frame = int(row["frame"])
        assert row["label"] == timeline.frame_to_label(frame)
        lag = frame / Fraction(60000, 1001) - Fraction(row["seconds"])
        assert 0 <= lag < Fraction(1, 1000)


@pytest.mark.parametrize("sign", [*"=+-@", *"\uff1d\uff0b\uff0d\uff20\u2212"])
def test_no_text_is_a_formula(sign: str) -> None:
    """Signs that begin a formula get an apostrophe, fullwidth ones too (OWASP, CSV Injection), no others do."""
    assert as_text(f"{sign}1+1") == f"'{sign}1+1"
    assert as_text(f"Left; {sign}1") == f"Left; '{sign}1"
    assert as_text(f"Left {sign} right") == f"Left {sign} right"


def test_hostile_words_stay_in_their_cell() -> None:
    """Commas, quotes, semicolons and formulas come back as one text, and nothing is lost."""
    text = """\
overlay: 1
title: "=cmd"
blocks:
  - name: '=HYPERLINK("x","y")'
    intervals: [{name: '@sum(1,2); -3 "slow"', work: 40s, cues: ['-8, +9']}]
"""
    timeline = lay_out(parse_plan(text.encode("utf-8"), "a.yaml")).timeline
    table = rows(timeline)
    assert [row["text"] for row in table if row["kind"] == "block"] == ["""'=HYPERLINK("x","y")"""]
    assert [row["text"] for row in table if row["kind"] == "exercise"] == ["""'@sum(1,2); '-3 "slow\""""]
    assert [row["text"] for row in table if row["kind"] == "cue"] == ["'-8, +9"]
    assert all(not cell.startswith(("=", "+", "-", "@")) for row in table for cell in row.values())


def test_parts_tile_the_class(small_class: LaidOut) -> None:
    """Opening, blocks, closing, end to end; the leader is before them."""
    timeline = small_class(leader=True)
    kinds = (MarkerKind.OPENING, MarkerKind.BLOCK, MarkerKind.CLOSING)
    parts = [marker for marker in markers_of(timeline) if marker.kind in kinds]
    assert [(part.text, part.kind) for part in parts] == [
        ("Opening", MarkerKind.OPENING), ("Pull", MarkerKind.BLOCK), ("Other pull", MarkerKind.BLOCK),
        ("Closing", MarkerKind.CLOSING),
    ]  # fmt: skip
    edges = [part.span.start_frame for part in parts] + [timeline.frame_count]
    assert edges[0] == timeline.segments[1].span.start_frame
    assert [part.span.end_frame for part in parts] == edges[1:]


def test_cues_of_one_language_only() -> None:
    """A class in two languages marks the words of its main one."""
    text = "overlay: 1\ntitle: A\nlanguage: [en, es]\nopening: {length: 9s, cues: [{en: Hello, es: Hola}]}\n"
    timeline = lay_out(parse_plan(f"{text}blocks: [{{intervals: [{{name: B}}]}}]".encode(), "a.yaml")).timeline
    assert [marker.text for marker in markers_of(timeline) if marker.kind is MarkerKind.CUE] == ["Hello"]
