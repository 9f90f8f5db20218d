"""The script, read back by readers that we did not write."""

from __future__ import annotations

import io
import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pikepdf
import pypdf
import pytest

from overlay.paper.script import script_pdf
from overlay.pipeline import build
from overlay.plan.paper import PaperSettings, PaperSize
from overlay.plan.read import parse_plan
from overlay.plan.session import Session
from overlay.timeline.changes import timer_changes
from overlay.timeline.layout import lay_out
from overlay.words.phrases import LANGUAGES, phrases_of

Printed = Callable[..., str]
SHEETS = {PaperSize.A4: (595, 842), PaperSize.LETTER: (612, 792)}


def plan(text: str) -> Session:
    return parse_plan(f"overlay: 1\ntitle: A\n{text}".encode(), "a.yaml")


def flat(text: str) -> str:
    return re.sub(r"\s+", "", text)


def words_of(pdf: bytes) -> str:
    return "\n".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages)


@pytest.mark.parametrize("which", ["demo", "hour"])
def test_everything_said_is_printed_in_order(which: str, request: pytest.FixtureRequest) -> None:
    """Each utterance of the layout, one after the other, beside the digit that the countdown then shows."""
    session: Session = request.getfixturevalue(which)
    layout = lay_out(session)
    timeline = layout.timeline
    shown = flat(words_of(script_pdf(layout)))
    digits = [(frame, state.seconds) for frame, state in timer_changes(timeline, 300, 300) if state]
    at = 0
    spoken = [words for words in layout.spoken if words.language == "en"]
    assert len(spoken) > 50
    for words in spoken:
        frame = timeline.time_to_frame(words.start)
        digit = next(seconds for first, seconds in reversed(digits) if first <= frame)
        at = shown.index(flat(f"{digit}{words.text}"), at) + 1


def test_labels_are_those_of_the_timeline(demo: Session, printed: Printed) -> None:
    """Each segment's first label once, in order (a head that goes on over a page may come again)."""
    timeline = lay_out(demo).timeline
    labels = re.findall(r"(\d\d:\d\d:\d\d;\d\d) +\S+s", printed(script_pdf(lay_out(demo)), "-layout"))
    wanted = [timeline.frame_to_label(segment.span.start_frame) for segment in timeline.segments]
    assert list(dict.fromkeys(labels)) == wanted


def test_beeps_stand_between_the_words(demo: Session, printed: Printed) -> None:
    """As many as the timeline has, each with the digit on which it sounds: 3 2 1 before a start."""
    timeline, paper = lay_out(demo).timeline, phrases_of("en").paper
    text = printed(script_pdf(lay_out(demo)), "-layout")
    ready = [beep for beep in timeline.beeps if beep.kind.value == "ready"]
    assert len(re.findall(rf"^ *3, 2, 1 +{paper['beep_ready']}", text, re.MULTILINE)) == len(ready) / 3
    for kind in ("start", "change", "stop"):
        beeps = [beep for beep in timeline.beeps if beep.kind.value == kind]
        rows = re.findall(rf"^ *(\d+) +{paper[f'beep_{kind}']}$", text, re.MULTILINE)
        assert len(rows) == len(beeps) > 0


def test_words_can_be_read_from_the_floor(demo: Session) -> None:
    """What the plan says is set in 17 pt; nothing on the page is smaller than 8 pt."""
    sizes: dict[float, int] = {}

    def note(text: str, _cm: object, matrix: list[float], _font: object, size: float) -> None:
        if text.strip():
            points = round(abs(size * matrix[3]), 1) or round(size, 1)
            sizes[points] = sizes.get(points, 0) + len(text)

    for page in pypdf.PdfReader(io.BytesIO(script_pdf(lay_out(demo)))).pages:
        page.extract_text(visitor_text=note)
    assert min(sizes) >= 8
    assert sizes[17.0] > 1500


def test_the_budget_is_the_layouts(printed: Printed) -> None:
    """The seconds that the words need and have; too many words are told with their count."""
    full = "One two three four five six seven eight nine ten eleven twelve thirteen fourteen. "
    session = plan(f"blocks: [{{intervals: [{{name: B, work: 10s, cues: ['{full * 2}', Breathe.]}}]}}]")
    layout = lay_out(session)
    text = printed(script_pdf(layout), "-layout")
    over = [budget for budget in layout.budgets if budget.words_over]
    assert len(over) == 1
    for budget in layout.budgets:
        if budget.needs:
            assert f"words: {round(float(budget.needs))} of {round(float(budget.has))} s" in text
    assert f"words too many: about {over[0].words_over}" in text


def test_the_second_round_marks_what_is_new(printed: Printed) -> None:
    """Words that the first round did not say, and no others; nothing of the tool's own."""
    cues = "cues: [{round: 1, say: Slow and tall.}, {round: 2, say: Heavier now.}, Breathe.]"
    text = printed(script_pdf(lay_out(plan(f"blocks: [{{rounds: 2, intervals: [{{name: B, {cues}}}]}}]"))), "-layout")
    marked = re.findall(rf"^ *\d+ +(.+?) +{phrases_of('en').paper['changed']}", text, re.MULTILINE)
    assert marked == ["Heavier now."]


def test_side_words_are_emphasised(demo: Session, printed: Printed) -> None:
    """Bold, in blocks that have a side; `right now` is no side."""
    text = "blocks: [{side: left, intervals: [{name: B, cues: ['Lift the {side} heel right now.']}]}]"
    bold: list[str] = []

    def note(text: str, _cm: object, _matrix: object, font: dict[str, str] | None, _size: float) -> None:
        if font and "Bold" in font["/BaseFont"]:
            bold.append(text.strip())

    for page in pypdf.PdfReader(io.BytesIO(script_pdf(lay_out(plan(text))))).pages:
        page.extract_text(visitor_text=note)
    said = " ".join(bold)
    assert "left" in said
    assert "right" not in said


@pytest.mark.parametrize("size", SHEETS)
def test_the_page_is_tagged_titled_and_brings_its_fonts(size: PaperSize, hour: Session) -> None:
    """Structure, title, sheet, embedded fonts; sound by pikepdf (qpdf's library)."""
    pdf = script_pdf(lay_out(hour), PaperSettings(size=size))
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    assert reader.root_object["/MarkInfo"]["/Marked"]
    assert reader.metadata is not None
    assert reader.metadata.title == "An hour on the mat – Script"
    for number, page in enumerate(reader.pages, start=1):
        assert tuple(round(float(side)) for side in page.mediabox[2:]) == SHEETS[size]
        assert f"Page {number} of {len(reader.pages)}" in re.sub(r"\s+", " ", page.extract_text())
        for font in page["/Resources"]["/Font"].values():
            inner = font["/DescendantFonts"][0] if "/DescendantFonts" in font else font
            assert {"/FontFile", "/FontFile2", "/FontFile3"} & set(inner.get_object()["/FontDescriptor"])
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        assert opened.check_pdf_syntax() == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_language_prints(language: str) -> None:
    """Heads in the language, no slot left open."""
    text = words_of(script_pdf(lay_out(plan(f"language: {language}\nblocks: [{{intervals: [{{name: B}}]}}]"))))
    assert flat(phrases_of(language).paper["seconds_left"]) in flat(text)
    assert "{" not in text


def test_one_script_a_language(tmp_path: Path) -> None:
    """The main language is script.pdf, each further one has its own file; one that cannot be set is told."""
    path = tmp_path / "a.yaml"
    name = "{en: Row, es: Remo, zh: 划船}"
    head = "overlay: 1\ntitle: {en: A, es: Una, zh: B}\nlanguage: [en, es, zh]"
    path.write_text(f"{head}\nblocks: [{{intervals: [{{name: {name}}}]}}]", encoding="utf-8")
    built = build(path, only=["script"])
    assert {each.name for each in (built.folder / "paper").iterdir()} == {"script.pdf", "script-es.pdf"}
    spanish = pypdf.PdfReader(built.folder / "paper" / "script-es.pdf")
    assert spanish.root_object["/Lang"] == "es"
    text = "".join(page.extract_text() for page in spanish.pages)
    assert "Remo" in text
    assert "Row" not in text
    assert [finding.name for finding in built.findings] == ["script-left-out"]


def test_names_are_never_markup() -> None:
    """What is said prints as itself: typst, TeX, HTML."""
    said = "5*5 #2 [L] $x$ _a_ <b> @c `d` \\ =e"
    text = words_of(script_pdf(lay_out(plan(f"blocks: [{{intervals: [{{name: '{said}', cues: ['{said}']}}]}}]"))))
    assert flat(text).count(flat(said)) >= 2


def test_a_very_long_cue_loses_nothing() -> None:
    """The longest cue that a plan may hold, and notes of 5,000 letters, go on over pages."""
    cue = " ".join(f"w{number}" for number in range(199))
    note = " ".join(f"n{number}" for number in range(900))
    text = words_of(
        script_pdf(
            lay_out(plan(f"blocks: [{{intervals: [{{name: B, work: 99s, watch: '{note}', cues: ['{cue}']}}]}}]"))
        )
    )
    assert set(cue.split()) | set(note.split()) <= set(text.split())


def test_a_class_without_words_prints(hour: Session) -> None:
    """Beeps alone, and stretches with nothing in them."""
    session = plan("calls: none\ntones: {ready_count: 0}\nopening: {length: 5s}\nblocks: [{intervals: [{name: B}]}]")
    assert "Opening" in words_of(script_pdf(lay_out(session)))


def test_the_same_class_gives_the_same_bytes(demo: Session) -> None:
    """No date, no random name."""
    assert script_pdf(lay_out(demo)) == script_pdf(lay_out(demo))


DEJAVU = Path("/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf")


@pytest.mark.skipif(not DEJAVU.exists(), reason="needs Debian's DejaVu fonts")
def test_words_from_the_right_are_set_with_the_plans_fonts(tmp_path: Path) -> None:
    """A Hebrew and an Arabic script with a font of the plan: embedded, in the language, each word there."""
    shutil.copy(DEJAVU, tmp_path / "more.ttf")
    path = tmp_path / "a.yaml"
    names, said = "{he: חתירה, ar: تجديف}", "{he: משכו לאחור, ar: اسحب}"
    head = f"overlay: 1\ntitle: {names}\nlanguage: [he, ar]\nlook: {{fonts: [more.ttf]}}\n"
    path.write_text(f"{head}blocks: [{{intervals: [{{name: {names}, cues: [{said}]}}]}}]", encoding="utf-8")
    built = build(path, only=["script", "shot-list", "strip"])
    assert not [finding for finding in built.findings if finding.name == "script-left-out"]
    for name, words in (("script", ("חתירה", "משכו")), ("script-ar", ("تجديف", "اسحب")), ("shot-list", ("חתירה",))):
        reader = pypdf.PdfReader(built.folder / "paper" / f"{name}.pdf")
        fonts = {str(font["/BaseFont"]) for page in reader.pages for font in page["/Resources"]["/Font"].values()}
        assert any("DejaVu" in font for font in fonts)
        text = "".join(page.extract_text() for page in reader.pages)
        for word in words:
            assert word in text or word[::-1] in text


def test_the_language_of_a_build_comes_first(tmp_path: Path) -> None:
    """`build(language=…)`: its script is script.pdf, and the other one has its language in its name."""
    path = tmp_path / "a.yaml"
    head = "overlay: 1\ntitle: {en: A, es: Una}\nlanguage: [en, es]\n"
    path.write_text(f"{head}blocks: [{{intervals: [{{name: {{en: Row, es: Remo}}}}]}}]", encoding="utf-8")
    folder = build(path, only=["script"], language="es").folder / "paper"
    assert {each.name for each in folder.iterdir()} == {"script.pdf", "script-en.pdf"}
    assert "Remo" in words_of((folder / "script.pdf").read_bytes())
