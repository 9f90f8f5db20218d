"""WebVTT against its published syntax, and read back by three readers that we did not write."""

from __future__ import annotations

import html
import io
import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil
from pathlib import Path

import pysubs2
import pytest
import ttconv.vtt.reader
import webvtt
from ttconv.model import Br, P, Text

from overlay.captions.webvtt import chapters_text, webvtt_text
from overlay.plan.read import parse_plan, read_plan
from overlay.timeline.layout import lay_out
from overlay.timeline.model import Timeline
from overlay.units.clock import frame_to_ms
from overlay.units.span import Span

DEMO = Path(__file__).parents[2] / "demo" / "desk-break.yaml"
Rows = list[tuple[int, int, str]]
"""Start and end in milliseconds, and the words on one line."""
RATES = {
    "23.976": Fraction(24000, 1001),
    "24": Fraction(24),
    "25": Fraction(25),
    "29.97": Fraction(30000, 1001),
    "59.94": Fraction(60000, 1001),
}


def small(cue: str, size: str = "1920x1080", title: str = "A") -> Timeline:
    text = (
        f"overlay: 1\ntitle: {title}\ncalls: none\nvideo: {{size: {size}, frame_rate: 29.97}}\n"
        f"blocks: [{{intervals: [{{name: A, cues: [{{at: 3.1s, say: {cue}}}]}}]}}]\n"
    )
    return lay_out(parse_plan(text.encode("utf-8"), "a.yaml")).timeline


def demo() -> Timeline:
    return lay_out(read_plan(DEMO)).timeline


def long_class(rate: str) -> Timeline:
    """Over an hour and a half in work of 33.3 s, so that boundaries fall on all kinds of frames."""
    plan = DEMO.read_text("utf-8")
    plan = plan.replace('frame_rate: 29.97, timecode: drop-frame, start: "01:00:00;00"', f"frame_rate: {rate}")
    plan = plan.replace("rounds: 2", "rounds: 20").replace("work: 30s", "work: 33.3s")
    return lay_out(parse_plan(plan.encode("utf-8"), "long.yaml")).timeline


def expected(timeline: Timeline) -> Rows:
    return [
        (frame_to_ms(cue.span.start_frame, timeline.rate), frame_to_ms(cue.span.end_frame, timeline.rate), cue.text)
        for cue in timeline.cues
    ]


@dataclass(frozen=True)
class Read:
    """A cue as the strict reader below found it, its text decoded."""

    identifier: str
    start_ms: int
    end_ms: int
    settings: dict[str, str]
    text: str


_TIME = r"(?:(\d{2,}):)?([0-5]\d):([0-5]\d)\.(\d{3})"
_TIMING = re.compile(rf"{_TIME}[ \t]+-->[ \t]+{_TIME}(?:[ \t]+(\S.*))?", re.ASCII)
_PERCENT = r"(?:100|\d{1,2})(?:\.\d+)?%"
_SETTINGS = {
    "line": rf"(?:-?\d+|{_PERCENT})(?:,(?:start|center|end))?",
    "position": rf"{_PERCENT}(?:,(?:line-left|center|line-right))?",
    "size": _PERCENT,
    "align": "start|center|end|left|right",
    "vertical": "rl|lr",
}


def strict(text: str) -> list[Read]:
    """Every cue of a file by the author's syntax of W3C WebVTT (sections 4.1 to 4.5); ValueError for any offence.

    Narrower than the rules in two things that our files have no use for: no tags, no STYLE or REGION.
    """
    plain = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    head = re.match(r"WEBVTT(?:[ \t][^\n]*)?\n\n+", plain)
    if head is None or not plain.endswith("\n"):
        raise ValueError("the head or the last line end is not there")
    cues: list[Read] = []
    for block in re.split(r"\n\n+", plain[head.end() :].strip("\n")):
        if not block:
            continue
        if re.match(r"NOTE(?:[ \t\n]|$)", block):
            if "-->" in block:
                raise ValueError("a note holds an arrow")
            continue
        lines = block.split("\n")
        identifier = "" if "-->" in lines[0] else lines.pop(0)
        timing = _TIMING.fullmatch(lines.pop(0)) if lines else None
        if timing is None:
            raise ValueError(f"no timing: {block}")
        if identifier and identifier in {cue.identifier for cue in cues}:
            raise ValueError(f"{identifier} stands twice")
        start_ms, end_ms = _ms(timing.groups()[:4]), _ms(timing.groups()[4:8])
        if end_ms <= start_ms or (cues and start_ms < cues[-1].start_ms):
            raise ValueError(f"times out of order: {block}")
        cues.append(Read(identifier, start_ms, end_ms, _settings(timing[9] or ""), _decoded("\n".join(lines))))
    return cues


def _ms(parts: tuple[str | None, ...]) -> int:
    hours, minutes, seconds, ms = (int(part or 0) for part in parts)
    return ((hours * 60 + minutes) * 60 + seconds) * 1000 + ms


def _settings(text: str) -> dict[str, str]:
    found: dict[str, str] = {}
    for part in text.split():
        name, _, value = part.partition(":")
        if name in found or not re.fullmatch(_SETTINGS.get(name, "(?!)"), value):
            raise ValueError(f"{part} is not a setting here")
        found[name] = value
    return found


def _decoded(text: str) -> str:
    if "-->" in text or "<" in text or re.search("&(?!(?:amp|lt|gt|nbsp|lrm|rlm);)", text):
        raise ValueError(f"not escaped: {text}")
    return html.unescape(text)


GOOD = [
    "WEBVTT\n\n",
    "\ufeffWEBVTT and more\r\n\r\n00:00.000 --> 00:01.000\r\nA\r\n",
    "WEBVTT\n\n00:00.000 --> 00:00:01.000\nwith and without hours\n",
    "WEBVTT\n\nNOTE\nSaid\n\none\n00:00:00.000\t-->\t100:00:01.000 line:-1 align:center\nA\nB\n",
    "WEBVTT\n\n00:00.000 --> 00:02.000\nA\n\n00:01.000 --> 00:02.000\noverlaps are allowed &amp; --&gt; so are these\n",
]
BAD = {
    "no head": "00:00.000 --> 00:01.000\nA\n",
    "one line end after the head": "WEBVTT\n00:00.000 --> 00:01.000\nA\n",
    "no line end at the end": "WEBVTT\n\n00:00.000 --> 00:01.000\nA",
    "an arrow in a note": "WEBVTT\n\nNOTE left --> right\n",
    "an arrow in the text": "WEBVTT\n\n00:00.000 --> 00:01.000\nup --> down\n",
    "a bare sign for less": "WEBVTT\n\n00:00.000 --> 00:01.000\nless than <90\n",
    "a bare ampersand": "WEBVTT\n\n00:00.000 --> 00:01.000\nhips & knees\n",
    "an unknown reference": "WEBVTT\n\n00:00.000 --> 00:01.000\n&copy; &AMP;\n",
    "a blank line in the text": "WEBVTT\n\n00:00.000 --> 00:01.000\nin\n\nand out\n",
    "no space before the arrow": "WEBVTT\n\n00:00.000--> 00:01.000\nA\n",
    "a comma before the milliseconds": "WEBVTT\n\n00:00,000 --> 00:01,000\nA\n",
    "an end before the start": "WEBVTT\n\n00:00:01.000 --> 00:00:00.999\nA\n",
    "no length": "WEBVTT\n\n00:01.000 --> 00:01.000\nA\n",
    "a start that goes back": "WEBVTT\n\n00:02.000 --> 00:03.000\nA\n\n00:01.999 --> 00:03.000\nB\n",
    "an identifier twice": "WEBVTT\n\n1\n00:00.000 --> 00:01.000\nA\n\n1\n00:01.000 --> 00:02.000\nB\n",
    "a setting twice": "WEBVTT\n\n00:00.000 --> 00:01.000 size:50% size:60%\nA\n",
    "a percentage over 100": "WEBVTT\n\n00:00.000 --> 00:01.000 line:101%\nA\n",
    "a setting of another day": "WEBVTT\n\n00:00.000 --> 00:01.000 align:middle\nA\n",
} | {
    f"the time {time}": f"WEBVTT\n\n{time} --> 01:00:00.000\nA\n"
    for time in (
        "0:00:00.000",
        "0000:00.000",
        "00:0:00.000",
        "00:00:0.000",
        "00:00:00.00",
        "00:00:00.0000",
        "00:00:00",
        "0:00.000",
        "000:00.000",
        "00:00..000",
        "00:60.000",
        "60:00.000",
    )
}


@pytest.mark.parametrize("text", GOOD)
def test_the_checker_takes_what_the_rules_allow(text: str) -> None:
    """Inputs of our own for the author's syntax of W3C WebVTT."""
    strict(text)


@pytest.mark.parametrize("fault", BAD)
def test_the_checker_refuses_what_the_rules_forbid(fault: str) -> None:
    """The same; the times are those that web-platform-tests' `timings-*` name, and minutes and seconds of 60."""
    with pytest.raises(ValueError, match=r"."):
        strict(BAD[fault])


def test_the_written_file_keeps_the_published_syntax() -> None:
    """Every cue with its number, its words and its times."""
    timeline = demo()
    cues = strict(webvtt_text(timeline, "en"))
    assert [(cue.start_ms, cue.end_ms, cue.text.replace("\n", " ")) for cue in cues] == expected(timeline)
    assert [cue.identifier for cue in cues] == [str(number) for number in range(1, len(timeline.cues) + 1)]


def test_the_head_says_title_and_language() -> None:
    """The whole beginning of a file."""
    text = webvtt_text(small("Up.", title="Legs --> arms"), "en")
    assert text == (
        "WEBVTT\n\nNOTE\nLegs → arms\nLanguage: en\n\n"
        "1\n00:00:13.113 --> 00:00:14.314 line:88.1% position:50% size:75% align:center\nUp.\n"
    )


def by_webvtt_py(text: str) -> Rows:
    return [
        (_clock(row.start), _clock(row.end), html.unescape(row.text.replace("\n", " ")))
        for row in webvtt.from_string(text)
    ]


def _clock(time: str) -> int:
    match = re.fullmatch(_TIME, time)
    assert match
    return _ms(match.groups())


def by_pysubs2(text: str) -> Rows:
    rows = pysubs2.SSAFile.from_string(text, format_="vtt")
    return [(row.start, row.end, html.unescape(row.plaintext.replace("\n", " "))) for row in rows]


def by_ttconv(text: str) -> Rows:
    document = ttconv.vtt.reader.to_model(io.StringIO(text))
    assert document is not None
    return [
        (
            round(p.get_begin() * 1000),
            round(p.get_end() * 1000),
            "".join(e.get_text() if isinstance(e, Text) else " " for e in p.dfs_iterator() if isinstance(e, Br | Text)),
        )
        for p in document.get_body().dfs_iterator()
        if isinstance(p, P)
    ]


# The first two hand escaped text through as it stands; ttconv decodes it.
READERS = pytest.mark.parametrize("reader", [by_webvtt_py, by_pysubs2, by_ttconv])


@READERS
def test_reads_back(reader: Callable[[str], Rows]) -> None:
    """PyPI `webvtt-py`, `pysubs2` and `ttconv`: the same count, times and words."""
    timeline = demo()
    assert len(timeline.cues) > 50
    assert reader(webvtt_text(timeline, "en")) == expected(timeline)


@pytest.mark.parametrize(
    ("cue", "words"),
    [
        ('"Hips < knees & chest --> up"', "Hips < knees & chest --> up"),
        ('"<90° is enough, <b>really</b>"', "<90° is enough, <b>really</b>"),
        ('"&amp; &lt; R&B"', "&amp; &lt; R&B"),
        ('"Breathe in\\n\\nand out"', "Breathe in and out"),
        ("NOTE this", "NOTE this"),
        ("10", "10"),
    ],
)
@READERS
def test_text_that_readers_trip_over(reader: Callable[[str], Rows], cue: str, words: str) -> None:
    """Signs for less, ampersands, arrows and blank lines never become markup, nor end a cue."""
    text = webvtt_text(small(cue), "en")
    assert strict(text)[0].text.replace("\n", " ") == words
    assert [row[2] for row in reader(text)] == [words]


@pytest.mark.parametrize("rate", RATES)
def test_every_caption_starts_and_ends_on_its_own_frame(rate: str) -> None:
    """W3C IMSC 1.1, Synchronization: a time shows on the first frame that is not before it."""
    timeline = long_class(rate)
    assert len(timeline.cues) > 150
    cues = strict(webvtt_text(timeline, "en"))
    shown = [tuple(ceil(Fraction(ms, 1000) * RATES[rate]) for ms in (cue.start_ms, cue.end_ms)) for cue in cues]
    assert shown == [(cue.span.start_frame, cue.span.end_frame) for cue in timeline.cues]


def test_times_that_touch_still_touch_and_never_overlap() -> None:
    """Start and end are rounded by one rule, so the end of a caption is the start of the next."""
    timeline = small("Up.")
    spans = (Span(n * 31, n * 31 + 31) for n in range(20))
    cues = strict(webvtt_text(replace(timeline, cues=tuple(timeline.cues[0]._replace(span=s) for s in spans)), "en"))
    assert [cue.end_ms for cue in cues[:-1]] == [cue.start_ms for cue in cues[1:]]


@pytest.mark.parametrize(
    ("size", "bottom", "width"),
    [("1920x1080", 95, "75%"), ("1080x1920", 87.5, "90%"), ("1440x1080", 95, "90%")],
)
def test_captions_keep_to_the_lower_third(size: str, bottom: float, width: str) -> None:
    """BBC Subtitle Guidelines 10: central 90 % of the height, 75 % where the picture is tall, and the lower third."""
    words = "'Up. Stand up tall and breathe in, then sit down slowly and put your hands on your thighs again.'"
    for cue in strict(webvtt_text(small(words, size), "en")):
        top = float(cue.settings["line"].removesuffix("%"))
        lines = cue.text.count("\n") + 1
        assert 200 / 3 <= top <= bottom - 5 * lines, "at 5 % a line, the size that section 7.4 gives text"
        assert cue.settings | {"line": ""} == {"line": "", "position": "50%", "size": width, "align": "center"}


def test_only_the_language_asked_for() -> None:
    """Each file holds one language, counted from 1; a language without cues is a file without cues."""
    timeline = small("Up.")
    two = replace(timeline, cues=(*timeline.cues, timeline.cues[0]._replace(language="es", text="Arriba.")))
    assert [(cue.identifier, cue.text) for cue in strict(webvtt_text(two, "es"))] == [("1", "Arriba.")]
    assert webvtt_text(two, "de") == "WEBVTT\n\nNOTE\nA\nLanguage: de\n"


def partly_overlap(cues: list[Read]) -> bool:
    """True where two chapters overlap without one holding the other: the rule's *nested* cues never do."""
    return any(
        one.start_ms < other.start_ms < one.end_ms < other.end_ms for one in cues for other in cues if one is not other
    )


def test_chapters_that_overlap_in_part_are_seen() -> None:
    """The check itself: intervals of W3C WebVTT's own example of chapters, and one that breaks the rule."""
    times = ["00:00.000 --> 00:10.700", "00:10.700 --> 00:47.600", "00:47.600 --> 01:50.100", "01:50.100 --> 03:33.000"]
    good = strict("WEBVTT\n\n" + "\n".join(f"{time}\nA\n" for time in times))
    assert not partly_overlap(good)
    assert partly_overlap(strict("WEBVTT\n\n00:00.000 --> 01:00.000\nA\n\n00:30.000 --> 01:30.000\nB\n"))


def test_chapters_are_opening_blocks_and_closing_without_a_gap() -> None:
    """One for each, plain text, each from where the last one ends to the end of the class."""
    timeline = demo()
    chapters = strict(chapters_text(timeline))
    names = ["Wake up", "Push", "Legs, right", "Legs, left", "Pull", "Let it go"]
    assert [chapter.text for chapter in chapters] == ["Opening", *names, "Closing"]
    assert [chapter.end_ms for chapter in chapters[:-1]] == [chapter.start_ms for chapter in chapters[1:]]
    assert (chapters[0].start_ms, chapters[-1].end_ms) == (0, frame_to_ms(timeline.frame_count, timeline.rate))
    assert not partly_overlap(chapters)
    assert not any(chapter.settings for chapter in chapters)


def test_a_block_without_a_name_is_a_chapter_by_its_id() -> None:
    """Nothing to read but the id; names are escaped like all text."""
    plan = "overlay: 1\ntitle: A\nblocks: [{id: one, intervals: [{name: B}]}, {name: R&B, intervals: [{name: B}]}]"
    timeline = lay_out(parse_plan(plan.encode(), "a.yaml")).timeline
    assert [chapter.text for chapter in strict(chapters_text(timeline))] == ["one", "R&B"]
