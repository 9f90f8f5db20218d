"""SubRip read back by three readers that we did not write."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from math import ceil
from pathlib import Path

import pysubs2
import pytest
import srt
import ttconv.srt.reader
from ttconv.model import Br, P, Text

from overlay.captions.srt import srt_text
from overlay.plan.read import parse_plan, read_plan
from overlay.timeline.layout import Layout, lay_out
from overlay.timeline.model import Timeline
from overlay.units.clock import frame_to_ms
from overlay.units.span import Span

DEMO = Path(__file__).parents[2] / "demo" / "desk-break.yaml"
Rows = list[tuple[int, int, str]]
"""Start and end in milliseconds, and the words on one line."""
Reader = Callable[[Path], Rows]
RATES = {
    "23.976": Fraction(24000, 1001),
    "24": Fraction(24),
    "25": Fraction(25),
    "29.97": Fraction(30000, 1001),
    "59.94": Fraction(60000, 1001),
}


def small_layout(cue: str, work: str = "30s", rate: str = "29.97") -> Layout:
    text = (
        f"overlay: 1\ntitle: A\ncalls: none\nvideo: {{frame_rate: {rate}}}\n"
        f"blocks: [{{intervals: [{{name: A, work: {work}, cues: [{{at: 0.1s, say: {cue}}}]}}, {{name: B}}]}}]\n"
    )
    return lay_out(parse_plan(text.encode("utf-8"), "a.yaml"))


def small(cue: str) -> Timeline:
    return small_layout(cue).timeline


def long_class(rate: str) -> Timeline:
    """Over an hour and a half in work of 33.3 s, so that boundaries fall on all kinds of frames."""
    plan = DEMO.read_text("utf-8")
    plan = plan.replace('frame_rate: 29.97, timecode: drop-frame, start: "01:00:00;00"', f"frame_rate: {rate}")
    plan = plan.replace("rounds: 2", "rounds: 20").replace("work: 30s", "work: 33.3s")
    return lay_out(parse_plan(plan.encode("utf-8"), "long.yaml")).timeline


def with_spans(timeline: Timeline, spans: list[tuple[int, int]]) -> Timeline:
    """The class with a cue on each of the given spans."""
    cue = timeline.cues[0]
    cues = (cue._replace(span=Span(*span), text=f"Cue {number}.") for number, span in enumerate(spans))
    return replace(timeline, cues=tuple(cues))


def as_file(text: str, folder: Path) -> Path:
    path = folder / "en.srt"
    path.write_bytes(text.encode("utf-8"))
    return path


def in_ms(row: srt.Subtitle) -> tuple[int, int]:
    start, end = (time.total_seconds() * 1000 for time in (row.start, row.end))
    return round(start), round(end)


def expected(timeline: Timeline) -> Rows:
    return [
        (frame_to_ms(cue.span.start_frame, timeline.rate), frame_to_ms(cue.span.end_frame, timeline.rate), cue.text)
        for cue in timeline.cues
    ]


def by_srt(path: Path) -> Rows:
    with path.open(encoding="utf-8-sig") as file:
        return [(*in_ms(row), row.content.replace("\n", " ")) for row in srt.parse(file, ignore_errors=False)]


def by_pysubs2(path: Path) -> Rows:
    return [
        (row.start, row.end, row.plaintext.replace("\n", " "))
        for row in pysubs2.load(str(path), encoding="utf-8-sig", format_="srt")
    ]


def by_ttconv(path: Path) -> Rows:
    with path.open(encoding="utf-8-sig") as file:
        body = ttconv.srt.reader.to_model(file).get_body()
    return [
        (
            round(p.get_begin() * 1000),
            round(p.get_end() * 1000),
            "".join(" " if isinstance(e, Br) else e.get_text() for e in p.dfs_iterator() if isinstance(e, Br | Text)),
        )
        for p in body.dfs_iterator()
        if isinstance(p, P)
    ]


READERS = pytest.mark.parametrize("reader", [by_srt, by_pysubs2, by_ttconv])


@READERS
@pytest.mark.parametrize("windows", [False, True])
def test_reads_back(reader: Reader, windows: bool, tmp_path: Path) -> None:
    """PyPI `srt`, `pysubs2` and `ttconv`: the same count, times and words, in both flavours."""
    timeline = lay_out(read_plan(DEMO)).timeline
    assert len(timeline.cues) > 50
    assert reader(as_file(srt_text(timeline, "en", windows=windows), tmp_path)) == expected(timeline)


def test_counters_run_from_one() -> None:
    """SubRip counts from 1 (IETF cellar, codec/subtitles.md)."""
    rows = list(srt.parse(srt_text(lay_out(read_plan(DEMO)).timeline, "en")))
    assert [row.index for row in rows] == list(range(1, len(rows) + 1))


def test_the_form_of_a_cue() -> None:
    """IETF cellar, codec/subtitles.md: counter, times with a comma, text, blank line."""
    assert srt_text(small("Up"), "en").startswith("1\n00:00:10,110 --> 00:00:11,311\nUp\n\n")


@pytest.mark.parametrize(
    ("cue", "content"),
    [
        ('"Breathe in\\n\\nand out"', "Breathe in and out"),
        ('"  Trim  me "', "Trim me"),
        ('"Hips < knees & chest --> up"', "Hips < knees & chest → up"),
        ('"<90° is enough"', "<90° is enough"),
        ('"10"', "10"),
    ],
)
@READERS
def test_text_that_readers_trip_over(reader: Reader, cue: str, content: str, tmp_path: Path) -> None:
    """Blank lines, loose spaces and arrows never split or end a cue; a sign for less is no tag."""
    assert [row[2] for row in reader(as_file(srt_text(small(cue), "en"), tmp_path))] == [content]


def test_a_block_text_with_an_empty_line_stays_one_cue() -> None:
    """YAML keeps the empty line of a block text; no caption does."""
    plan = "overlay: 1\ntitle: A\nblocks:\n- intervals:\n  - name: A\n    cues:\n    - |\n      In\n\n      and out\n"
    timeline = lay_out(parse_plan(plan.encode(), "a.yaml")).timeline
    assert "\nIn and out\n\n" in srt_text(timeline, "en")


def test_plain_utf_8() -> None:
    """No byte-order mark, LF only, a blank line at the end."""
    text = srt_text(small("Ñandú"), "en")
    assert not text.startswith("\ufeff")
    assert "\r" not in text
    assert text.endswith("\n\n")


def test_the_windows_flavour_differs_in_mark_and_line_ends_only() -> None:
    """A byte-order mark (EF BB BF), CR LF everywhere and never CR CR LF."""
    timeline = small("Ñandú")
    raw = srt_text(timeline, "en", windows=True).encode("utf-8")
    assert raw.startswith(b"\xef\xbb\xbf1\r\n")
    assert raw.count(b"\r\n") == raw.count(b"\n") == raw.count(b"\r")
    assert raw.endswith(b"\r\n\r\n")
    assert raw.decode("utf-8-sig").replace("\r\n", "\n") == srt_text(timeline, "en")


@pytest.mark.parametrize("rate", RATES)
def test_every_caption_starts_and_ends_on_its_own_frame(rate: str) -> None:
    """W3C IMSC 1.1, Synchronization: a time shows on the first frame that is not before it."""
    timeline = long_class(rate)
    assert len(timeline.cues) > 150
    rows = srt.parse(srt_text(timeline, "en"))
    shown = [tuple(ceil(Fraction(ms, 1000) * RATES[rate]) for ms in in_ms(row)) for row in rows]
    assert shown == [(cue.span.start_frame, cue.span.end_frame) for cue in timeline.cues]


@pytest.mark.parametrize("rate", ["29.97", "59.94"])
def test_no_cue_is_dropped_however_short(rate: str, tmp_path: Path) -> None:
    """Count in is count out, down to a frame: 16 ms at 59.94."""
    timeline = with_spans(small_layout("Up", rate=rate).timeline, [(n, n + 1) for n in range(0, 600, 7)])
    path = as_file(srt_text(timeline, "en"), tmp_path)
    assert by_srt(path) == by_pysubs2(path) == expected(timeline)
    assert all(start < end for start, end, _ in by_srt(path))


def test_times_that_touch_still_touch_and_never_overlap(tmp_path: Path) -> None:
    """Start and end are rounded by one rule, so the end of a caption is the start of the next."""
    timeline = with_spans(small("Up"), [(n * 31, n * 31 + 31) for n in range(20)])
    rows = by_srt(as_file(srt_text(timeline, "en"), tmp_path))
    assert [row[1] for row in rows[:-1]] == [row[0] for row in rows[1:]]


def test_writing_again_what_was_read_changes_nothing() -> None:
    """No tag, blank line or millisecond is added or lost on the way round."""
    text = srt_text(small('"Hips < knees, <90°, & chest"'), "en")
    assert srt.compose(srt.parse(text), reindex=False) == text


def test_words_too_many_for_the_time_are_kept_and_found(tmp_path: Path) -> None:
    """Half a second for twelve words: a finding, every word, and no caption over the next one."""
    words = "One two three four five six seven eight nine ten eleven twelve."
    layout = small_layout(words, work="0.5s")
    assert layout.findings
    rows = by_srt(as_file(srt_text(layout.timeline, "en"), tmp_path))
    assert " ".join(row[2] for row in rows) == words
    assert all(one[1] <= next_[0] for one, next_ in pairwise(rows))


def test_only_the_language_asked_for() -> None:
    """Each file holds one language, counted from 1."""
    timeline = small("Up.")
    two = replace(timeline, cues=(*timeline.cues, timeline.cues[0]._replace(language="es", text="Arriba.")))
    assert srt_text(two, "es").splitlines()[::2] == ["1", "Arriba."]
    assert srt_text(two, "de") == ""
