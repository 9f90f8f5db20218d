"""The shot list, read back by readers that we did not write."""

from __future__ import annotations

import io
import re
import shutil
import subprocess
from pathlib import Path

import pypdf
import pytest

from overlay.paper.shot_list import shot_list_pdf
from overlay.plan.read import parse_plan, read_plan
from overlay.timeline.layout import Layout, lay_out
from overlay.words.phrases import phrases_of

DEMO = Path(__file__).parents[2] / "demo" / "desk-break.yaml"
CAUTION = phrases_of("en").caution
LABEL = re.compile(r"\d\d:\d\d:\d\d[:;]\d\d")
LONG = (
    "overlay: 1\ntitle: Long\nblocks: [{rounds: 60, intervals: [{name: A, work: 9s, rest: 3s}, {name: B, work: 9s}]}]"
)


ONE_SIDED = "blocks: [{side: right, intervals: [{name: B, position: de pie}]}]"


def long_class() -> Layout:
    return lay_out(parse_plan(LONG.encode(), "a.yaml"))


def text_of(pdf: bytes) -> str:
    return "\n".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages)


@pytest.mark.parametrize("layout", [lay_out(read_plan(DEMO)), long_class()], ids=["demo", "long"])
def test_a_row_for_every_segment(layout: Layout) -> None:
    """Every label once, in order, over all pages: no row is lost where a page ends."""
    timeline = layout.timeline
    wanted = [timeline.frame_to_label(segment.span.start_frame) for segment in timeline.segments]
    assert LABEL.findall(text_of(shot_list_pdf(layout))) == wanted


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="needs pdftotext (poppler-utils)")
def test_pdftotext_sees_every_row(tmp_path: Path) -> None:
    """Poppler's pdftotext finds the same rows, names and the caution."""
    layout = lay_out(read_plan(DEMO))
    timeline = layout.timeline
    path = tmp_path / "shot-list.pdf"
    path.write_bytes(shot_list_pdf(layout))
    text = subprocess.run(["pdftotext", "-layout", path, "-"], capture_output=True, check=True).stdout.decode("utf-8")
    assert LABEL.findall(text) == [timeline.frame_to_label(segment.span.start_frame) for segment in timeline.segments]
    assert " ".join(CAUTION.split()[:6]) in text
    for segment in timeline.segments:
        if segment.move:
            assert segment.move.name.split()[0] in text


def test_the_page_is_tagged_titled_and_brings_its_fonts() -> None:
    """Structure, title, language, A4, and no font from the machine."""
    reader = pypdf.PdfReader(io.BytesIO(shot_list_pdf(long_class())))
    root = reader.root_object
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"] == "en"
    assert reader.metadata is not None
    assert reader.metadata.title == "Long – Shot list"
    assert [round(float(side)) for side in reader.pages[0].mediabox[2:]] == [595, 842]
    fonts = [font.get_object() for page in reader.pages for font in page["/Resources"]["/Font"].values()]
    assert fonts
    for font in fonts:
        inner = font["/DescendantFonts"][0].get_object() if "/DescendantFonts" in font else font
        assert {"/FontFile", "/FontFile2", "/FontFile3"} & set(inner["/FontDescriptor"])


def test_names_are_never_markup() -> None:
    """What typst would read as markup prints as itself."""
    name = "5*5 #2 [L] $x$ _a_ <b> @c `d` \\ =e"
    text = f"overlay: 1\ntitle: A\nblocks: [{{intervals: [{{name: '{name}'}}]}}]"
    layout = lay_out(parse_plan(text.encode(), "a.yaml"))
    printed = re.sub(r"\s+", "", text_of(shot_list_pdf(layout)))
    assert name.replace(" ", "") in printed


def test_the_same_class_gives_the_same_bytes() -> None:
    """No date, no random name."""
    assert shot_list_pdf(long_class()) == shot_list_pdf(long_class())


@pytest.mark.parametrize("language", ["pt-BR", "en-US", "zh-Hant-TW", "de-CH", "es"])
def test_regional_languages(language: str) -> None:
    """A tag of BCP 47 with a region or a script sets the page; the tool's words are those of the language."""
    text = f"overlay: 1\ntitle: A\nlanguage: {language}\n{ONE_SIDED}"
    pdf = shot_list_pdf(lay_out(parse_plan(text.encode(), "a.yaml")))
    root = pypdf.PdfReader(io.BytesIO(pdf)).root_object
    assert str(root["/Lang"]).lower().startswith(language[:2])


@pytest.mark.parametrize("language", ["en", "es", "fr", "de", "pt", "it"])
def test_columns_never_run_into_each_other(language: str) -> None:
    """Side words of every language beside a long position: each cell is a line of its own."""
    text = f"overlay: 1\ntitle: A\nlanguage: {language}\n{ONE_SIDED}"
    layout = lay_out(parse_plan(text.encode(), "a.yaml"))
    if shutil.which("pdftotext") is None:
        pytest.skip("needs pdftotext (poppler-utils)")
    shown = subprocess.run(
        ["pdftotext", "-layout", "-", "-"], input=shot_list_pdf(layout), capture_output=True, check=True
    ).stdout.decode("utf-8")
    assert re.search(rf"{layout.timeline.phrases.right}\s+de pie", shown)
    assert layout.timeline.phrases.paper["heading"] in shown
