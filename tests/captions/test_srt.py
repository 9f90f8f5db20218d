"""SubRip read back by two readers that we did not write."""

from __future__ import annotations

from pathlib import Path

import pysubs2
import pytest
import srt

from overlay.captions.srt import srt_text
from overlay.plan.read import parse_plan, read_plan
from overlay.timeline.layout import lay_out
from overlay.timeline.model import Timeline
from overlay.units.clock import frame_to_ms

DEMO = Path(__file__).parents[2] / "demo" / "desk-break.yaml"


def small(cue: str, rate: str = "29.97") -> Timeline:
    text = (
        f"overlay: 1\ntitle: A\ncalls: none\nvideo: {{frame_rate: {rate}}}\n"
        f"blocks: [{{intervals: [{{name: A, cues: [{{at: 3.1s, say: {cue}}}]}}]}}]\n"
    )
    return lay_out(parse_plan(text.encode("utf-8"), "a.yaml")).timeline


def test_srt_reads_back() -> None:
    """PyPI `srt`: the same count, words and milliseconds."""
    timeline = lay_out(read_plan(DEMO)).timeline
    rows = list(srt.parse(srt_text(timeline, "en")))
    assert [row.content.replace("\n", " ") for row in rows] == [cue.text for cue in timeline.cues]
    starts = [frame_to_ms(cue.span.start_frame, timeline.rate) for cue in timeline.cues]
    assert [round(row.start.total_seconds() * 1000) for row in rows] == starts
    assert [row.index for row in rows] == list(range(1, len(rows) + 1))


def test_pysubs2_reads_back(tmp_path: Path) -> None:
    """PyPI `pysubs2`: the same from the file."""
    timeline = lay_out(read_plan(DEMO)).timeline
    path = tmp_path / "en.srt"
    path.write_bytes(srt_text(timeline, "en").encode("utf-8"))
    rows = pysubs2.load(str(path), encoding="utf-8")
    assert [row.plaintext.replace("\n", " ") for row in rows] == [cue.text for cue in timeline.cues]
    ends = [frame_to_ms(cue.span.end_frame, timeline.rate) for cue in timeline.cues]
    assert [row.end for row in rows] == ends


def test_the_form_of_a_cue() -> None:
    """IETF cellar, codec/subtitles.md: counter, times with a comma, text, blank line."""
    assert srt_text(small("Up"), "en").startswith("1\n00:00:13,113 --> 00:00:14,314\nUp\n\n")


@pytest.mark.parametrize(
    ("cue", "content"),
    [
        ('"Breathe in\\n\\nand out"', "Breathe in and out"),
        ('"  Trim  me "', "Trim me"),
        ('"Hips < knees & chest --> up"', "Hips < knees & chest → up"),
    ],
)
def test_text_that_readers_trip_over(cue: str, content: str) -> None:
    """Blank lines, loose spaces and arrows never split or end a cue."""
    rows = list(srt.parse(srt_text(small(cue), "en"), ignore_errors=False))
    assert [row.content.replace("\n", " ") for row in rows] == [content]


def test_plain_utf_8() -> None:
    """No byte-order mark, LF only, a blank line at the end."""
    text = srt_text(small("Ñandú"), "en")
    assert not text.startswith("\ufeff")
    assert "\r" not in text
    assert text.endswith("\n\n")
