"""The shot list, read back by readers that we did not write."""

from __future__ import annotations

import io
import re
import shutil
import subprocess
from collections.abc import Callable, Iterator
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pikepdf
import pypdf
import pytest
from scipy import ndimage

from overlay.paper.shot_list import shot_list_pdf
from overlay.paper.shots import filming_order, shots_of
from overlay.plan.paper import PaperSettings, PaperSize
from overlay.plan.read import parse_plan
from overlay.plan.session import Session
from overlay.timeline.layout import Layout, lay_out
from overlay.words.phrases import phrases_of

Printed = Callable[..., str]
Drawn = Callable[[bytes, int], list[np.ndarray]]

LABEL = re.compile(r"\d\d:\d\d:\d\d[:;]\d\d")
LONG = (
    "overlay: 1\ntitle: Long\nblocks: [{rounds: 60, intervals: [{name: A, work: 9s, rest: 3s}, {name: B, work: 9s}]}]"
)
SHEETS = {PaperSize.A4: (595, 842), PaperSize.LETTER: (612, 792)}
"""Points: ISO 216 A4 is 210 x 297 mm, ANSI/ASME Y14.1 A (US Letter) is 8.5 x 11 in."""
HOSTILE = [
    "5*5 #2 [L] $x$ _a_ <b> @c `d` \\ =e",
    "\\frac12 \\textbf x % ~ ^ & |",
    "<script>alert(1)</script> &amp;",
    "#pagebreak() #import x // y /* z */",
    "x" * 190,
]


def plan(text: str) -> Session:
    return parse_plan(f"overlay: 1\ntitle: A\n{text}".encode(), "a.yaml")


def of(session: Session, **paper: Any) -> bytes:
    return shot_list_pdf(lay_out(session), session.paper.model_copy(update=paper), session.tones)


@pytest.mark.parametrize("which", ["demo", "hour"])
def test_rows_are_those_of_the_timeline(which: str, request: pytest.FixtureRequest, printed: Printed) -> None:
    """In both orders, row by row: the shot's number, then its first label and the one after its last frame."""
    session: Session = request.getfixturevalue(which)
    timeline = lay_out(session).timeline
    shots = shots_of(timeline, session.paper)
    text = printed(of(session), "-layout")
    playing, filming = text.split(timeline.phrases.paper["filming_order"] + "\n")
    filmed = [shot for _, group in filming_order(shots) for shot in group]
    for part, wanted in ((playing, shots), (filming, filmed)):
        rows = re.findall(r"^ {1,4}(\d+) {2,}", part, re.MULTILINE)
        assert [int(number) for number in rows] == [shot.number for shot in wanted]
    for shot in shots:
        first, last = shot.segments[0].span.start_frame, shot.segments[-1].span.end_frame
        labels = [timeline.frame_to_label(first), timeline.frame_to_label(last)]
        for part in (playing, filming):
            after = re.split(rf"^ {{1,4}}{shot.number} {{2,}}", part, flags=re.MULTILINE)[1]
            found = LABEL.findall(re.split(r"^ {1,4}\d+ {2,}", after, flags=re.MULTILINE)[0])
            assert found[0] == labels[0]
            assert shot.insert or labels[1] in found


@pytest.mark.parametrize("which", ["demo", "hour"])
def test_every_segment_is_told(which: str, request: pytest.FixtureRequest, printed: Printed) -> None:
    """Each label of the timeline stands with its length and name, in order, over all pages."""
    session: Session = request.getfixturevalue(which)
    timeline = lay_out(session).timeline
    playing = printed(of(session), "-layout").split(timeline.phrases.paper["filming_order"] + "\n")[0]
    parts = re.findall(rf"({LABEL.pattern}) +[\d:.]+s? +(\S+)", playing)
    of_several = [shot for shot in shots_of(timeline, session.paper) if not shot.insert and len(shot.segments) > 1]
    wanted = [
        (timeline.frame_to_label(segment.span.start_frame), segment.move.name if segment.move else None)
        for shot in of_several
        for segment in shot.segments
        if segment.kind.value == "work"
    ]
    told = dict(parts)
    assert len(wanted) > 8
    for label, name in wanted:
        assert name is not None
        assert name.startswith(told[label])


@pytest.mark.parametrize("size", SHEETS)
def test_the_page_is_tagged_titled_and_brings_its_fonts(size: PaperSize, hour: Session) -> None:
    """Structure, title, language, sheet, and no font from the machine."""
    reader = pypdf.PdfReader(io.BytesIO(of(hour, size=size)))
    root = reader.root_object
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"] == "en"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert reader.metadata is not None
    assert reader.metadata.title == "An hour on the mat – Shot list"
    for page in reader.pages:
        assert tuple(round(float(side)) for side in page.mediabox[2:]) == SHEETS[size]
        for font in page["/Resources"]["/Font"].values():
            inner = font["/DescendantFonts"][0] if "/DescendantFonts" in font else font
            assert {"/FontFile", "/FontFile2", "/FontFile3"} & set(inner.get_object()["/FontDescriptor"])


@pytest.mark.skipif(shutil.which("pdffonts") is None, reason="needs pdffonts and pdfinfo (poppler-utils)")
def test_poppler_agrees(hour: Session, tmp_path: Path) -> None:
    """pdfinfo sees a tagged A4 file with its title; pdffonts finds every font embedded, subset and readable."""
    path = tmp_path / "shot-list.pdf"
    path.write_bytes(of(hour))
    info = subprocess.run(["pdfinfo", path], capture_output=True, check=True).stdout.decode("utf-8")
    assert re.search(r"^Title: +An hour on the mat – Shot list$", info, re.MULTILINE)
    assert re.search(r"^Tagged: +yes$", info, re.MULTILINE)
    assert "(A4)" in info
    fonts = subprocess.run(["pdffonts", path], capture_output=True, check=True).stdout.decode("utf-8").splitlines()[2:]
    assert len(fonts) >= 2
    for font in fonts:
        assert re.search(r" yes yes yes +\d+ +\d+$", font)


def elements(node: Any) -> Iterator[Any]:
    """Every element of a tagged PDF's structure (ISO 32000-1, 14.7.2), from the top."""
    if isinstance(node, pikepdf.Dictionary):
        if "/S" in node:
            yield node
        if "/K" in node:
            yield from elements(node.K)
    elif isinstance(node, pikepdf.Array):
        for each in node:
            yield from elements(each)


def test_the_structure_holds(hour: Session) -> None:
    """pikepdf (qpdf's library): sound syntax, and tables whose rows have one number of cells and named heads."""
    with pikepdf.open(io.BytesIO(of(hour))) as pdf:
        assert pdf.check_pdf_syntax() == []
        assert pdf.Root.Metadata.read_bytes().count(b"pdfuaid:part>1<") == 1
        found = list(elements(pdf.Root.StructTreeRoot))
        kinds = [str(each.S) for each in found]
        assert kinds.count("/Table") == 2
        assert kinds.count("/H1") == 2
        heads = [each for each in found if each.S == "/TH"]
        assert all("/A" in head for head in heads)
        count = 2 * len(shots_of(lay_out(hour).timeline, hour.paper))
        assert kinds.count("/TD") == count * 8 - _glued(found)


def _glued(found: list[Any]) -> int:
    """Cells that a cell above reaches over (RowSpan)."""
    spans = [dict(a) for each in found if each.S == "/TD" and "/A" in each for a in _list(each.A)]
    return sum(int(span["/RowSpan"]) - 1 for span in spans if "/RowSpan" in span)


def _list(value: Any) -> list[Any]:
    return list(value) if isinstance(value, pikepdf.Array) else [value]


@pytest.mark.parametrize("size", SHEETS)
def test_boxes_can_be_ticked(size: PaperSize, hour: Session, drawn: Drawn) -> None:
    """White squares of at least 4 mm inside, two a shot in each order and one a thing, on the drawn pages."""
    dots_an_inch = 254
    least = 4 * dots_an_inch / 25.4
    count = 0
    for page in drawn(of(hour, size=size), dots_an_inch):
        labels, _ = ndimage.label(page > 200)
        for box in ndimage.find_objects(labels):
            height, width = (side.stop - side.start for side in box)
            is_white = (page[box] > 200).mean() > 0.99
            if least <= height < 2 * least and abs(height - width) <= 2 and is_white:
                count += 1
    shots = shots_of(lay_out(hour).timeline, hour.paper)
    assert count == 2 * 2 * len(shots) + len({thing for shot in shots for thing, _ in shot.equipment})


@pytest.mark.parametrize("size", SHEETS)
def test_nothing_leaves_the_sheet(size: PaperSize, hour: Session, drawn: Drawn) -> None:
    """The outer 8 mm of every page are white, with the strip and its marks inside."""
    for session in (hour, plan(f"blocks: [{{intervals: [{{name: '{HOSTILE[-1]}', camera: '{HOSTILE[-1]}'}}]}}]")):
        for page in drawn(of(session, size=size), 100):
            edge = round(8 * 100 / 25.4)
            assert page[edge:-edge, edge:-edge].min() < 64
            framed = page.copy()
            framed[edge:-edge, edge:-edge] = 255
            assert framed.min() == 255


def test_heads_and_pages_are_on_every_page(hour: Session) -> None:
    """Running head, page x of y, and the table's heads again."""
    paper = phrases_of("en").paper
    reader = pypdf.PdfReader(io.BytesIO(of(hour)))
    assert len(reader.pages) > 4
    for number, page in enumerate(reader.pages, start=1):
        text = re.sub(r"\s+", " ", page.extract_text())
        assert "An hour on the mat" in text
        assert f"Page {number} of {len(reader.pages)}" in text
        assert paper["filmed"] in text
        assert paper["keep"] in text


def test_no_row_of_a_block_is_alone(hour: Session, printed: Printed) -> None:
    """Every head of a block has at least two of its rows on its page, where the block has two."""
    text = printed(of(hour), "-layout")
    for page in text.split("\f")[:-1]:
        below = re.split(r"^ *(?:Block \d|Set-up \d)", page, flags=re.MULTILINE)[1:]
        for block in below:
            assert len(re.findall(r"^ {1,4}\d+ {2,}", block, re.MULTILINE)) >= 2


def test_the_page_marks_its_part_of_the_class(hour: Session, drawn: Drawn) -> None:
    """Under the strip, the pages in playing order mark one stretch each; together they mark it all."""
    dots_an_inch = 200
    marked = []
    for page in drawn(of(hour), dots_an_inch):
        head = page[: round(28 / 25.4 * dots_an_inch)] < 128
        row = next(y for y in range(len(head) - 1, 0, -1) if head[y].sum() > 20)
        marked.append(np.flatnonzero(head[row - 2]))
    left, right = round(13 / 25.4 * dots_an_inch), round(197 / 25.4 * dots_an_inch)
    assert abs(marked[0][0] - left) <= 2
    ends = [columns[-1] for columns in marked]
    first_of_filming = next(n for n in range(1, len(marked)) if marked[n][0] - left <= 2)
    for before, after in pairwise(marked[:first_of_filming]):
        assert after[0] < before[-1] + 12
        assert after[0] > before[0]
    assert abs(max(ends[:first_of_filming]) - right) <= 3


def test_cover_figures(demo: Session, printed: Printed) -> None:
    """Length, settings, work a side, set-ups saved, and things with counts."""
    text = re.sub(r"\s+", " ", printed(of(demo), "-layout", "-l", "1"))
    for wanted in (
        "11:58",
        "1920 × 1080 · 29.97 fps · drop-frame · 01:00:00;00",
        "48 kHz, 24 bit, stereo, -18 LUFS, peaks at most -6 dBTP",
        "left 1:00 · right 1:00 · both 5:30",
        "6 in filming order, 10 in playing order: 4 saved",
        "1 × chair 1 × desk 1 × long band",
    ):
        assert wanted in text
    assert " ".join(phrases_of("en").caution.split()[:6]) in text


def test_two_of_a_thing_are_counted(hour: Session, printed: Printed) -> None:
    """What an exercise needs twice, and what the plan counts itself."""
    assert "2 × dumbbell" in printed(of(hour), "-l", "1")
    text = printed(of(plan("blocks: [{intervals: [{name: B, equipment: 2 kettlebells}]}]")))
    assert "1 × 2" not in text
    assert "2 kettlebells" in text


def test_an_empty_caution_prints_nothing() -> None:
    """The plan's own caution is printed in its place."""
    blocks = "blocks: [{intervals: [{name: B}]}]"
    usual, none, own = (
        pypdf.PdfReader(io.BytesIO(of(plan(blocks + more)))).pages[0].extract_text()
        for more in ("", '\ncaution: ""', "\ncaution: Mind your head.")
    )
    assert "Stop if you feel" in usual
    assert "Stop if you feel" not in none + own
    assert "Mind your head." in own


@pytest.mark.parametrize("name", HOSTILE)
def test_names_are_never_markup(name: str) -> None:
    """What typst, TeX or HTML would read as markup prints as itself, wherever a name may stand."""
    keys = ("name", "position", "camera", "setup")
    move = ", ".join(f"{key}: '{name}'" for key in keys)
    text = f"blocks: [{{id: '{name}', intervals: [{{{move}, equipment: ['{name}']}}]}}]"
    shown = "".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(of(plan(text)))).pages)
    assert re.sub(r"\s+", "", shown).count(re.sub(r"\s+", "", name)) >= 8


@pytest.mark.parametrize("size", SHEETS)
def test_very_long_notes_lose_nothing(size: PaperSize) -> None:
    """Notes of 900 words and words of 3,000 letters go on over as many pages as they need."""
    words = [f"w{number}" for number in range(900)]
    letters = "".join(chr(ord("a") + number % 26) for number in range(3000))
    text = f"blocks: [{{intervals: [{{name: A, setup: '{' '.join(words)}', camera: '{letters}'}}, {{name: B}}]}}]"
    reader = pypdf.PdfReader(io.BytesIO(of(plan(text), size=size)))
    shown = " ".join(page.extract_text() for page in reader.pages)
    assert set(words) <= set(shown.split())
    in_a_row = "".join(re.findall(r"[a-z]{3,}", re.sub(r"w\d+", "", shown)))
    assert sum(letters[n : n + 20] in in_a_row for n in range(0, 2980, 20)) > 100


def test_a_long_caution_has_its_own_page() -> None:
    """A page without a shot, and what stands on it whole."""
    words = " ".join(f"c{number}" for number in range(900))
    reader = pypdf.PdfReader(io.BytesIO(of(plan(f"blocks: [{{intervals: [{{name: B}}]}}]\ncaution: {words}"))))
    assert set(words.split()) <= set(" ".join(page.extract_text() for page in reader.pages).split())


@pytest.mark.parametrize(("word", "shown"), [("💪", "U+1F4AA"), ("ارفع", "U+0627"), ("深", "U+6DF1")])
def test_what_cannot_be_printed_is_refused_by_place(word: str, shown: str, tmp_path: Path) -> None:
    """Emoji and scripts that the fonts lack: the character and the line, and nothing is written."""
    from overlay.errors import PlanError
    from overlay.pipeline import build

    path = tmp_path / "a.yaml"
    path.write_text(f"overlay: 1\ntitle: A\nblocks:\n  - intervals: [{{name: B, setup: {word}}}]\n", "utf-8")
    with pytest.raises(PlanError, match=rf"a\.yaml:4:.*{re.escape(shown)}"):
        build(path, only=["shot-list"])
    assert not (tmp_path / "a-assets").exists()


def test_the_same_class_gives_the_same_bytes(demo: Session) -> None:
    """No date, no random name."""
    assert of(demo) == of(demo)


@pytest.mark.parametrize("language", ["pt-BR", "en-US", "zh-Hant-TW", "de-CH", "es"])
def test_regional_languages(language: str) -> None:
    """A tag of BCP 47 with a region or a script sets the page; the tool's words are those of the language."""
    pdf = of(plan(f"language: {language}\nblocks: [{{side: right, intervals: [{{name: B, position: de pie}}]}}]"))
    root = pypdf.PdfReader(io.BytesIO(pdf)).root_object
    assert str(root["/Lang"]).lower().startswith(language[:2])


@pytest.mark.parametrize("language", ["en", "es", "fr", "de", "pt", "it"])
def test_every_language_prints(language: str, printed: Printed) -> None:
    """Side words beside a long position, each cell by itself, and no slot of a phrase left open."""
    layout: Layout = lay_out(
        plan(f"language: {language}\nblocks: [{{side: right, intervals: [{{name: B, position: de pie}}]}}]")
    )
    text = printed(shot_list_pdf(layout), "-layout")
    assert re.search(rf"{layout.timeline.phrases.right}\s+de pie", text)
    assert layout.timeline.phrases.paper["heading"] in text
    assert "{" not in text


def test_settings_of_the_plan_reach_the_page(printed: Printed) -> None:
    """`paper:` sets the sheet, the length of an insert and its handles."""
    session = plan("paper: {size: letter, insert: 6s, handles: 1s}\nblocks: [{intervals: [{name: B}]}]")
    assert session.paper == PaperSettings(size=PaperSize.LETTER, insert=Fraction(6), handles=Fraction(1))
    text = printed(of(session), "-layout")
    assert re.search(r"2 +6s", text)
    assert "handles 1s" in text
