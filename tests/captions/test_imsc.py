"""IMSC 1.1 against the profile's text, PyPI `ttconv` with its IMSC 1.1 filter, and PyPI `imschrm`."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from math import ceil
from pathlib import Path

import imschrm.doc_sequence
import imschrm.hrm
import pytest
import ttconv.imsc.reader
from fontTools.ttLib import TTFont
from ttconv.filters.doc.imsc11text import IMSC11TextFilter
from ttconv.isd import ISD
from ttconv.model import Br, ContentDocument, P, Text
from ttconv.style_properties import DirectionType, StyleProperties

from overlay.captions.imsc import imsc_text
from overlay.plan.read import parse_plan, read_plan
from overlay.timeline.layout import lay_out
from overlay.timeline.model import Timeline
from overlay.units.clock import frame_to_ms
from overlay.units.rate import RATE_NAMES
from overlay.units.span import Span

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "demo" / "desk-break.yaml"
RATES = {
    "23.976": Fraction(24000, 1001),
    "24": Fraction(24),
    "25": Fraction(25),
    "29.97": Fraction(30000, 1001),
    "59.94": Fraction(60000, 1001),
}
TT = "{http://www.w3.org/ns/ttml}"
TTP = "{http://www.w3.org/ns/ttml#parameter}"
XML = "{http://www.w3.org/XML/1998/namespace}"
TTS = "{http://www.w3.org/ns/ttml#styling}"
SIZES = ["1920x1080", "1080x1920", "1440x1080", "1080x1080"]


def small(cue: str, size: str = "1920x1080", title: str = "A", rate: str = "29.97") -> Timeline:
    text = (
        f"overlay: 1\ntitle: {title}\ncalls: none\nvideo: {{size: {size}, frame_rate: {rate}}}\n"
        f"blocks: [{{intervals: [{{name: A, cues: [{{at: 3.1s, say: {cue}}}]}}]}}]\n"
    )
    return lay_out(parse_plan(text.encode("utf-8"), "a.yaml")).timeline


def demo(size: str = "1920x1080") -> Timeline:
    plan = DEMO.read_text("utf-8").replace("size: 1920x1080", f"size: {size}")
    return lay_out(parse_plan(plan.encode("utf-8"), "demo.yaml")).timeline


def long_class(rate: str) -> Timeline:
    """Over an hour and a half in work of 33.3 s, so that boundaries fall on all kinds of frames."""
    plan = DEMO.read_text("utf-8")
    plan = plan.replace('frame_rate: 29.97, timecode: drop-frame, start: "01:00:00;00"', f"frame_rate: {rate}")
    plan = plan.replace("rounds: 2", "rounds: 20").replace("work: 30s", "work: 33.3s")
    return lay_out(parse_plan(plan.encode("utf-8"), "long.yaml")).timeline


def root_of(text: str) -> ElementTree.Element:
    return ElementTree.fromstring(text.encode("utf-8"))


def model_of(text: str) -> ContentDocument:
    document = ttconv.imsc.reader.to_model(ElementTree.ElementTree(root_of(text)))
    assert document is not None
    return document


def paragraphs(document: ContentDocument) -> Iterator[P]:
    return (element for element in document.get_body().dfs_iterator() if isinstance(element, P))


def times_of(p: P) -> tuple[Fraction, Fraction]:
    """Begin and end in exact seconds; ttconv gives None for a begin of zero."""
    return p.get_begin() or Fraction(0), p.get_end()


def words_of(p: P) -> str:
    parts = (element for element in p.dfs_iterator() if isinstance(element, Br | Text))
    return "".join(part.get_text() if isinstance(part, Text) else " " for part in parts)


def percents(value: str | None) -> tuple[float, ...]:
    assert value
    return tuple(float(part.removesuffix("%")) for part in value.split())


def test_ttconv_reads_back() -> None:
    """The same count, exact times and words."""
    timeline = demo()
    rows = [(*times_of(p), words_of(p)) for p in paragraphs(model_of(imsc_text(timeline, "en")))]
    assert len(rows) > 50
    assert rows == [
        (
            Fraction(frame_to_ms(cue.span.start_frame, timeline.rate), 1000),
            Fraction(frame_to_ms(cue.span.end_frame, timeline.rate), 1000),
            cue.text,
        )
        for cue in timeline.cues
    ]


@pytest.mark.parametrize("size", SIZES)
def test_ttconv_takes_it_for_the_text_profile(size: str) -> None:
    """The IMSC 1.1 filter raises ValueError for the first offence: regions, units, styles and elements."""
    IMSC11TextFilter().process(model_of(imsc_text(demo(size), "en")))


def test_the_filter_sees_an_offence() -> None:
    """The check itself: a region without an extent (IMSC 1.1, 8.4.2) is refused."""
    text = re.sub(r' tts:extent="[^"]*"', "", imsc_text(small("Up."), "en"))
    with pytest.raises(ValueError, match="extent"):
        IMSC11TextFilter().process(model_of(text))


class Errors(imschrm.hrm.EventHandler):
    """Collects what the hypothetical render model could not draw in time."""

    def __init__(self) -> None:
        self.found: list[str] = []

    def error(self, msg: str, doc_index: int, time_offset: Fraction, *_: object) -> None:
        self.found.append(f"{msg} at {time_offset}")


def too_much_to_draw(text: str) -> list[str]:
    errors = Errors()
    imschrm.hrm.validate(imschrm.doc_sequence.iter_isd([(0, None, text)]), errors)
    return errors.found


@pytest.mark.parametrize("size", SIZES)
def test_the_render_model_can_draw_it(size: str) -> None:
    """IMSC 1.1, 9: every caption is drawn before it shows."""
    assert too_much_to_draw(imsc_text(demo(size), "en")) == []


def test_the_render_model_sees_what_is_too_much() -> None:
    """The check itself: text of ten times the size is not drawn in time."""
    text = re.sub(r'tts:fontSize="\d+%"', 'tts:fontSize="1000%"', imsc_text(demo(), "en"))
    assert too_much_to_draw(text)


def test_the_root_names_profile_language_and_clock() -> None:
    """IMSC 1.1, Profile Signaling: the designator alone; media time; the language of the file."""
    timeline = small("Up.")
    tt = root_of(imsc_text(replace(timeline, cues=(timeline.cues[0]._replace(language="es-MX"),)), "es-MX"))
    assert tt.tag == TT + "tt"
    assert tt.get(TTP + "contentProfiles") == "http://www.w3.org/ns/ttml/profile/imsc1.1/text"
    assert tt.get(TTP + "timeBase") == "media"
    assert tt.get(XML + "lang") == "es-MX"


@pytest.mark.parametrize("name", RATE_NAMES)
def test_frame_rate_and_multiplier_give_the_exact_rate(name: str) -> None:
    """TTML2, ttp:frameRateMultiplier: the frame rate times numerator over denominator; left out where it is 1."""
    timeline = small("Up.", rate=name)
    tt = root_of(imsc_text(timeline, "en"))
    numerator, denominator = (tt.get(TTP + "frameRateMultiplier") or "1 1").split()
    assert int(tt.get(TTP + "frameRate") or 0) * Fraction(int(numerator), int(denominator)) == timeline.rate.value
    assert (tt.get(TTP + "frameRateMultiplier") is None) == (timeline.rate.value.denominator == 1)


def test_times_are_never_frame_labels() -> None:
    """A time in frames is media time, which a label at 23.976 is not: clock times with milliseconds only."""
    body = root_of(imsc_text(long_class("23.976"), "en")).find(TT + "body")
    assert body is not None
    times = [p.get(name) or "" for p in body.iter(TT + "p") for name in ("begin", "end")]
    assert len(times) > 300
    assert all(re.fullmatch(r"\d{2,}:[0-5]\d:[0-5]\d\.\d{3}", time) for time in times)


def test_frame_seventy_at_23_976_is_2_919_seconds() -> None:
    """70 x 1001 / 24000 s = 2.91958 s; its label 00:00:02:22 read as media time would be 2.91758 s."""
    timeline = small("Up.", rate="23.976")
    cue = timeline.cues[0]._replace(span=Span(70, 140))
    p = next(paragraphs(model_of(imsc_text(replace(timeline, cues=(cue,)), "en"))))
    assert p.get_begin() == Fraction(2919, 1000)


@pytest.mark.parametrize("rate", RATES)
def test_every_caption_starts_and_ends_on_its_own_frame(rate: str) -> None:
    """W3C IMSC 1.1, Synchronization: a time shows on the first frame that is not before it."""
    timeline = long_class(rate)
    assert len(timeline.cues) > 150
    shown = [
        tuple(ceil(time * RATES[rate]) for time in times_of(p)) for p in paragraphs(model_of(imsc_text(timeline, "en")))
    ]
    assert shown == [(cue.span.start_frame, cue.span.end_frame) for cue in timeline.cues]


def test_two_captions_that_touch_are_never_shown_together() -> None:
    """TTML's intervals are half-open: at the shared instant only the later one is there."""
    timeline = small("Up.")
    cues = tuple(timeline.cues[0]._replace(span=Span(n * 31, n * 31 + 31)) for n in range(20))
    document = model_of(imsc_text(replace(timeline, cues=cues), "en"))
    shown = [
        len([e for r in isd.iter_regions() for e in r.dfs_iterator() if isinstance(e, P)])
        for _, isd in ISD.generate_isd_sequence(document)
    ]
    assert shown == [1] * 20 + [0]


@pytest.mark.parametrize("size", SIZES)
def test_the_region_lies_in_the_safe_area_and_the_lower_third(size: str) -> None:
    """EBU R 95: 5 % in; BBC Subtitle Guidelines 10: 75 % of the width at 16:9, of the height at 9:16."""
    region = root_of(imsc_text(small("Up.", size), "en")).find(f".//{TT}region")
    assert region is not None
    left, top = percents(region.get(TTS + "origin"))
    width, height = percents(region.get(TTS + "extent"))
    tall = size == "1080x1920"
    assert left == 50 - width / 2
    assert width == (75 if size == "1920x1080" else 90)
    assert top > 200 / 3
    assert top + height == (87.5 if tall else 95)
    assert region.get(TTS + "displayAlign") == "after"


@pytest.mark.parametrize(("size", "least", "most"), [("1920x1080", 7, 8), ("1440x1080", 7, 8), ("1080x1920", 3.9, 4.5)])
def test_lines_are_as_high_as_published(size: str, least: float, most: float) -> None:
    """BBC Subtitle Guidelines 9.2.1, in percent of the picture's height; the height is said, not `normal`."""
    document = model_of(imsc_text(small("Up.", size), "en"))
    isd = ISD.from_model(document, Fraction(66, 5))
    p = next(element for region in isd.iter_regions() for element in region.dfs_iterator() if isinstance(element, P))
    line_height = p.get_style(StyleProperties.LineHeight)
    assert line_height.units.value == "rh"
    assert least <= line_height.value <= most


@pytest.mark.parametrize("size", SIZES)
def test_lines_fit_their_region_in_the_font_that_ships(size: str) -> None:
    """Noto Sans: no line of the demo, with half its size on both sides, is wider than the region."""
    font = TTFont(ROOT / "fonts" / "NotoSans-Regular.ttf")
    advances, glyphs, em = font["hmtx"], font.getBestCmap(), font["head"].unitsPerEm
    timeline = demo(size)
    root = root_of(imsc_text(timeline, "en"))
    style, region = root.find(f".//{TT}style"), root.find(f".//{TT}region")
    assert style is not None
    assert region is not None
    font_size_px = percents(style.get(TTS + "fontSize"))[0] / 100 * timeline.size.height_px / 15
    room_px = percents(region.get(TTS + "extent"))[0] / 100 * timeline.size.width_px
    lines = [text for span in root.iter(TT + "span") for text in span.itertext()]
    widest_em = max(sum(advances[glyphs[ord(sign)]][0] for sign in line) / em for line in lines)
    assert 0.7 * room_px < (widest_em + 1) * font_size_px <= room_px


def test_text_stands_on_a_box_of_its_own() -> None:
    """WCAG 1.4.3 whatever the footage: white on black, one box a line, without gaps between (BBC 9.2.4)."""
    text = imsc_text(small("Up."), "en")
    p = next(paragraphs(model_of(text)))
    span = next(iter(p))
    assert span.get_style(StyleProperties.BackgroundColor).components == (0, 0, 0, 255)
    body = p.parent().parent()
    assert body.get_style(StyleProperties.Color).components == (255, 255, 255, 255)
    assert body.get_style(StyleProperties.FillLineGap)
    assert body.get_style(StyleProperties.LinePadding).value > 0


@pytest.mark.parametrize(
    "words",
    [
        "Hips < knees & chest --> up",
        "<90° is enough, <b>really</b> ]]>",
        "&amp; &lt; R&B &nbsp;",
        'It\'s "quoted" and {loose}',
    ],
)
def test_text_is_never_markup(words: str) -> None:
    """Signs for less, ampersands, quotes and braces come back as they were said."""
    timeline = small("Up.")
    timeline = replace(timeline, cues=(timeline.cues[0]._replace(text=words),))
    assert [words_of(p) for p in paragraphs(model_of(imsc_text(timeline, "en")))] == [words]


def test_a_blank_line_in_the_plan_is_none_in_the_caption() -> None:
    """It is a space, as in every format."""
    text = imsc_text(small('"Breathe in\\n\\nand out"'), "en")
    assert [words_of(p) for p in paragraphs(model_of(text))] == ["Breathe in and out"]


def test_a_title_is_never_markup() -> None:
    """No entity is declared: the title is plain text."""
    text = imsc_text(small("Up.", title="R&B </tt> legs"), "en")
    title = root_of(text).find(".//{http://www.w3.org/ns/ttml#metadata}title")
    assert title is not None
    assert title.text == "R&B </tt> legs"
    assert "<!" not in text
    assert set(re.findall(r"&(\w+);", text)) == {"amp", "lt", "gt"}


def test_what_is_written_from_right_to_left_says_so() -> None:
    """TTML2 tts:direction on the paragraph, by its first strong letter (Unicode UAX 9, P2)."""
    timeline = small("Up.")
    cues = tuple(timeline.cues[0]._replace(text=text) for text in ("ارفع ذراعك.", "10 הרם", "10 up"))
    directions = [
        p.get_style(StyleProperties.Direction)
        for p in paragraphs(model_of(imsc_text(replace(timeline, cues=cues), "en")))
    ]
    assert directions == [DirectionType.rtl, DirectionType.rtl, None]


def test_only_the_language_asked_for() -> None:
    """Each file holds one language; one without cues is still a document."""
    timeline = small("Up.")
    two = replace(timeline, cues=(*timeline.cues, timeline.cues[0]._replace(language="es", text="Arriba.")))
    assert [words_of(p) for p in paragraphs(model_of(imsc_text(two, "es")))] == ["Arriba."]
    assert [p.get(XML + "id") for p in root_of(imsc_text(two, "es")).iter(TT + "p")] == ["c1"]
    assert list(paragraphs(model_of(imsc_text(two, "de")))) == []


def test_the_same_class_gives_the_same_bytes() -> None:
    """Attributes stand in one order; nothing of the day or the machine is in the file."""
    text = imsc_text(lay_out(read_plan(DEMO)).timeline, "en")
    assert text == imsc_text(lay_out(read_plan(DEMO)).timeline, "en")
    assert text.startswith('<?xml version="1.0" encoding="UTF-8"?>\n<tt ')
    assert text.endswith("</tt>\n")
