"""Chapters, read back by FFmpeg; and the rules of published descriptions."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from overlay.captions.webvtt import chapters_text
from overlay.handoff.chapters import chapter_lines, chapters_txt, ffmpeg_metadata
from overlay.plan.read import parse_plan, read_plan
from overlay.timeline.chapters import chapters_of
from overlay.timeline.layout import lay_out
from overlay.timeline.model import Timeline

DEMO = Path(__file__).parents[2] / "demo" / "desk-break.yaml"
needs_ffmpeg = pytest.mark.skipif(shutil.which("ffmpeg") is None, reason="needs the ffmpeg program")


def timeline_of(text: str, rate: str = "29.97") -> Timeline:
    plan = f"overlay: 1\ntitle: Desk = break; \\#1\nvideo: {{frame_rate: {rate}}}\n{text}"
    return lay_out(parse_plan(plan.encode("utf-8"), "a.yaml")).timeline


def block(name: str, length: str) -> str:
    return f"{{name: '{name}', preview: 0s, after: 0s, intervals: [{{name: B, work: {length}}}]}}"


HOSTILE = ("a = b; c # d \\ e", "[CHAPTER]", "title=x", "R&B <b>", "ünï –")
BLOCKS = "blocks: [" + ", ".join(block(name, "20s") for name in HOSTILE) + "]"


def test_published_lines_keep_the_rules() -> None:
    """First at 0:00, rising, ten seconds each (general practice of hosted video; STANDARDS 7.3)."""
    for text in (
        f"blocks: [{block('A', '3s')}, {block('B', '9.99s')}, {block('C', '30s')}, {block('D', '4s')}]",
        f"opening: {{length: 5s}}\nblocks: [{block('A', '30s')}, {block('B', '12.5s')}]\nclosing: {{length: 9s}}",
        BLOCKS,
    ):
        timeline = timeline_of(text)
        lines = chapter_lines(timeline)
        starts = [line.start_s for line in lines]
        assert starts[0] == 0
        assert starts == sorted(set(starts))
        ends = [*starts[1:], int(timeline.duration)]
        assert all(end - start >= 10 for start, end in zip(starts, ends, strict=True))
        names = " · ".join(line.name for line in lines).split(" · ")
        assert names == [chapter.name for chapter in chapters_of(timeline)]


def test_short_chapters_are_joined() -> None:
    """To the one after, the last to the one before; times are floored."""
    blocks = ", ".join(block(name, length) for name, length in (("A", "3s"), ("B", "9.9s"), ("C", "30s"), ("D", "4s")))
    assert chapters_txt(timeline_of(f"blocks: [{blocks}]")) == "0:00 A · B\n0:12 C · D\n"
    assert chapters_txt(timeline_of(f"blocks: [{block('A', '4s')}]")) == "0:00 A\n"


def test_an_hour_is_written_with_hours() -> None:
    """M:SS below an hour, H:MM:SS from there on."""
    text = f"blocks: [{block('A', '59m59s')}, {block('B', '5m')}, {block('C', '50s')}]"
    assert chapters_txt(timeline_of(text)).split("\n")[:3] == ["0:00 A", "59:59 B", "1:04:59 C"]


def test_a_leader_is_cut_before_publishing() -> None:
    """The list counts from the class; what lies on the timeline counts from the files' first frame."""
    text = f"tones: {{leader: true}}\nblocks: [{block('A', '20s')}, {block('B', '20s')}]"
    timeline = timeline_of(text, "25")
    assert chapters_txt(timeline) == "0:00 A\n0:20 B\n"
    assert [(c.name, c.span.start_frame, c.span.end_frame) for c in chapters_of(timeline)] == [
        ("A", 0, 575),
        ("B", 575, 1075),
    ]


def chapters_in(*command: Any) -> list[tuple[str, Fraction, Fraction]]:
    shown = subprocess.run(["ffprobe", "-v", "error", "-of", "json", "-show_chapters", *command], capture_output=True)
    return [
        (
            chapter["tags"]["title"],
            chapter["start"] * Fraction(chapter["time_base"]),
            chapter["end"] * Fraction(chapter["time_base"]),
        )
        for chapter in json.loads(shown.stdout)["chapters"]
    ]


@needs_ffmpeg
@pytest.mark.parametrize("rate", ["23.976", "25", "29.97", "59.94"])
def test_ffmpeg_reads_every_chapter_exactly(rate: str, tmp_path: Path) -> None:
    """ffprobe: the same names, whatever stands in them, and bounds exact to the fraction."""
    timeline = timeline_of(BLOCKS, rate)
    path = tmp_path / "chapters.ffmetadata"
    path.write_text(ffmpeg_metadata(timeline), encoding="utf-8")
    exact = timeline.rate.value
    assert chapters_in("-f", "ffmetadata", path) == [
        (chapter.name, chapter.span.start_frame / exact, chapter.span.end_frame / exact)
        for chapter in chapters_of(timeline)
    ]
    form = subprocess.run(
        ["ffprobe", "-v", "error", "-of", "json", "-show_format", "-f", "ffmetadata", path], capture_output=True
    )
    assert json.loads(form.stdout)["format"]["tags"]["title"] == timeline.title


@needs_ffmpeg
@pytest.mark.parametrize("ending", ["mp4", "mkv"])
def test_ffmpeg_puts_the_chapters_into_a_finished_file(ending: str, tmp_path: Path) -> None:
    """The command of the docstring: every name, each bound within a millisecond, and the picture untouched."""
    timeline = lay_out(read_plan(DEMO)).timeline
    path, cut, out = tmp_path / "chapters.ffmetadata", tmp_path / f"cut.{ending}", tmp_path / f"out.{ending}"
    path.write_text(ffmpeg_metadata(timeline), encoding="utf-8")
    source = f"color=size=32x32:rate=5:duration={float(timeline.duration):.3f}"
    quiet = ["ffmpeg", "-v", "error", "-y"]
    subprocess.run([*quiet, "-f", "lavfi", "-i", source, "-c:v", "mpeg4", cut], check=True)
    subprocess.run([*quiet, "-i", cut, "-i", path, "-map_chapters", "1", "-codec", "copy", out], check=True)
    read = chapters_in(out)
    assert [name for name, _, _ in read] == [chapter.name for chapter in chapters_of(timeline)]
    for (_, start, end), chapter in zip(read, chapters_of(timeline), strict=True):
        assert abs(start - chapter.span.start_frame / timeline.rate.value) <= Fraction(1, 1000)
        assert abs(end - chapter.span.end_frame / timeline.rate.value) <= Fraction(1, 100)


@needs_ffmpeg
def test_ffmpeg_reads_the_chapters_of_the_web(tmp_path: Path) -> None:
    """chapters.vtt as FFmpeg's WebVTT reader sees it: one cue a chapter with its name."""
    timeline = lay_out(read_plan(DEMO)).timeline
    path = tmp_path / "chapters.vtt"
    path.write_text(chapters_text(timeline), encoding="utf-8")
    shown = subprocess.run(
        ["ffmpeg", "-v", "error", "-i", path, "-f", "srt", "-"], capture_output=True, check=True
    ).stdout.decode("utf-8")
    assert re.findall(r"-->.*\n(.+)\n", shown) == [chapter.name for chapter in chapters_of(timeline)]
