"""Fonts and images that a plan brings, from the plan to its errors."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen
from PIL import Image

from overlay.errors import PlanError
from overlay.pipeline import build, proof_read
from overlay.plan.read import parse_plan
from overlay.timeline.layout import lay_out

PLAN = """overlay: 1
title: {title}
exercises:
  row: {{name: Row, image: {image}}}
blocks:
  - id: pull
    side: right
    intervals:
      - row
      - {{name: Hold, image: {other}, work: 10s}}
  - {{mirror: pull, id: pull-left}}
look:
  fonts:
    - {font}
"""


def hebrew_font(path: Path) -> None:
    """Boxes for the Hebrew letters alone."""
    names = {0x5D0 + number: f"letter{number}" for number in range(27)}
    pen = TTGlyphPen(None)
    pen.moveTo((50, 0))
    for point in ((50, 600), (450, 600), (450, 0)):
        pen.lineTo(point)
    pen.closePath()
    glyph = pen.glyph()
    order = [".notdef", *names.values()]
    builder = FontBuilder(1000, isTTF=True)
    builder.setupGlyphOrder(order)
    builder.setupCharacterMap(names)
    builder.setupGlyf(dict.fromkeys(order, glyph))
    builder.setupHorizontalMetrics(dict.fromkeys(order, (500, 50)))
    builder.setupHorizontalHeader(ascent=800, descent=-200)
    builder.setupNameTable({"familyName": "Boxes", "styleName": "Regular"})
    builder.setupOS2()
    builder.setupPost()
    builder.save(path)


def a_plan(folder: Path, *, title: str = "A", image: str = "a.png", other: str = "b.jpg", font: str = "h.ttf") -> Path:
    """A plan whose three files are there, whatever it names instead."""
    hebrew_font(folder / "h.ttf")
    Image.new("RGB", (8, 8), "red").save(folder / "a.png")
    Image.new("RGB", (8, 8), "blue").save(folder / "b.jpg")
    path = folder / "plan.yaml"
    path.write_text(PLAN.format(title=title, image=image, other=other, font=font), "utf-8")
    return path


def mistakes(plan: Path) -> list[tuple[int, int, str]]:
    with pytest.raises(PlanError) as caught:
        proof_read(plan)
    return [(mistake.line, mistake.column, mistake.message) for mistake in caught.value.mistakes]


def test_a_plan_with_all_its_files_checks(tmp_path: Path) -> None:
    """And its images are known where their exercises are done and shown, on both sides."""
    timeline = proof_read(a_plan(tmp_path)).timeline
    done = [segment.move.image for segment in timeline.segments if segment.move]
    assert done == ["a.png", "b.jpg"] * 2
    assert [shown.move.image for segment in timeline.segments for shown in segment.shows] == ["a.png", "b.jpg"] * 2


def test_each_file_that_cannot_be_used_is_told_with_its_place(tmp_path: Path) -> None:
    """All of them at once, in the order of the plan."""
    plan = a_plan(tmp_path, image="none.png", other="c.webp", font="c.ttf")
    (tmp_path / "c.webp").write_bytes(b"GIF89a")
    (tmp_path / "c.ttf").write_bytes(b"hello")
    assert mistakes(plan) == [
        (4, 27, "there is no file none.png beside the plan"),
        (10, 29, "c.webp is not a PNG, JPEG or WebP image: save it as one of these"),
        (14, 7, "c.ttf is not a TrueType or OpenType font: take a .ttf or .otf file"),
    ]


def test_nothing_is_built_from_a_broken_image(tmp_path: Path) -> None:
    """The build stops before the first file is written."""
    plan = a_plan(tmp_path)
    (tmp_path / "a.png").write_bytes((tmp_path / "a.png").read_bytes()[:40])
    with pytest.raises(PlanError, match=r"a\.png is broken"):
        build(plan, out=tmp_path / "made", only=["shot-list"])
    assert not (tmp_path / "made").exists()


def test_an_image_belongs_to_the_exercise_of_the_list() -> None:
    """As every other key that describes one."""
    plan = "overlay: 1\ntitle: A\nexercises: {row: {name: Row}}\nblocks: [{intervals: [{exercise: row, image: a.png}]}]"
    with pytest.raises(PlanError, match="image belongs to the exercise row"):
        parse_plan(plan.encode(), "a.yaml")


def test_characters_are_missing_only_where_no_font_has_them(tmp_path: Path) -> None:
    """The plan's font counts; what it lacks too is told with its place and a remedy."""
    assert proof_read(a_plan(tmp_path, title="שלום")).timeline.title == "שלום"
    plan = a_plan(tmp_path, title="深 שלום")
    assert mistakes(plan) == [(2, 8, "the fonts have no character 深 (U+6DF1)")]


def test_the_image_of_a_mirrored_block_is_told_once(tmp_path: Path) -> None:
    """The mirror repeats the exercise, not the mistake."""
    assert [line for line, _, _ in mistakes(a_plan(tmp_path, other="none.png"))] == [10]


def test_check_stays_light_without_files() -> None:
    """A plan that brings nothing has no font and no image opened: neither library is loaded."""
    plan = "overlay: 1\ntitle: A\nblocks: [{intervals: [{name: Größe}]}]"
    code = (
        "import sys, pathlib, tempfile\nfrom overlay.pipeline import proof_read\n"
        "with tempfile.TemporaryDirectory() as folder:\n"
        f"    path = pathlib.Path(folder, 'a.yaml')\n    path.write_text({plan!r}, encoding='utf-8')\n"
        "    proof_read(path)\nprint(' '.join(sys.modules))\n"
    )
    loaded = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.split()
    assert "overlay.pipeline" in loaded
    assert not {name.partition(".")[0] for name in loaded} & {"uharfbuzz", "bidi", "PIL", "fontTools", "uniseg"}


def test_the_timeline_of_a_written_image() -> None:
    """Carried as it is written; None where there is none."""
    plan = "overlay: 1\ntitle: A\nblocks: [{intervals: [{name: A, image: pictures/a.png}, {name: B}]}]"
    timeline = lay_out(parse_plan(plan.encode(), "a.yaml")).timeline
    assert [segment.move.image for segment in timeline.segments if segment.move] == ["pictures/a.png", None]


def test_a_plans_font_reaches_every_layer_and_the_sheet(tmp_path: Path) -> None:
    """A class built with a Hebrew font: no picture with words is the one that the tool's own fonts make."""
    from dataclasses import replace

    from overlay.folder.catalog import CATALOG
    from overlay.folder.job import Job
    from overlay.pictures.fonts import fonts_of
    from overlay.plan.read import read_plan

    path = a_plan(tmp_path, title="שלום")
    path.write_text(path.read_text("utf-8").replace("Row", "חתירה").replace("Hold", "החזקה"), "utf-8")
    path.write_text(path.read_text("utf-8") + "words: {work: עבודה}\n", "utf-8")
    session = read_plan(path)
    with_font = Job(session, lay_out(session), plan=path, fonts=fonts_of(session.look, path, "he"))
    without = replace(with_font, fonts=None)
    for name in ("timer", "titles", "previews", "sheet"):
        ours, others = (b"".join(next(CATALOG[name].make(job)).content) for job in (with_font, without))
        assert ours != others, name
