"""The picture of the class: read back as XML, and as drawn by two programs."""

from __future__ import annotations

import io
import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest
from PIL import Image

from overlay.paper.picture import WIDTH_PX, timeline_png, timeline_svg
from overlay.plan.read import parse_plan
from overlay.plan.session import Session
from overlay.timeline.layout import lay_out

SVG = "{http://www.w3.org/2000/svg}"


def plan(text: str) -> Session:
    return parse_plan(f"overlay: 1\ntitle: A\n{text}".encode(), "a.yaml")


def with_tip(svg: str) -> list[tuple[str, float, float, float]]:
    """Each stretch of the strip: its tooltip, x, y and width in px."""
    return [
        (
            str(rect.findtext(f"{SVG}title")),
            float(rect.attrib["x"]),
            float(rect.attrib["y"]),
            float(rect.attrib["width"]),
        )
        for rect in ET.fromstring(svg).iter(f"{SVG}rect")
        if rect.find(f"{SVG}title") is not None
    ]


def test_segments_are_to_scale(demo: Session) -> None:
    """Every segment in order; widths add up to time, wherever a row ends."""
    timeline = lay_out(demo).timeline
    told: dict[str, float] = {}
    for tip, _, _, width in with_tip(timeline_svg(lay_out(demo))):
        told[tip] = told.get(tip, 0) + width
    lengths: dict[str, float] = {}
    for segment in timeline.segments:
        name = segment.move.name if segment.move and segment.kind.value == "work" else ""
        if name:
            key = next(tip for tip in told if tip.startswith(f"{name}, "))
            lengths[key] = lengths.get(key, 0) + float(segment.duration)
    rows = -(-timeline.duration // 300)
    px_a_second = (1560 - 150) / float(timeline.duration / rows)
    for tip, seconds in lengths.items():
        assert told[tip] == pytest.approx(seconds * px_a_second, abs=12)


def test_sides_loads_and_beeps_are_there(demo: Session) -> None:
    """An arrow for each stretch on a side, a bar for each on the hands, a mark for each beep."""
    layout = lay_out(demo)
    root = ET.fromstring(timeline_svg(layout))
    starts = sum(beep.kind.value == "start" for beep in layout.timeline.beeps)
    ready = sum(beep.kind.value == "ready" for beep in layout.timeline.beeps)
    sided = sum(s.side is not None and s.kind.value == "work" for s in layout.timeline.segments)
    assert len(root.findall(f"{SVG}circle")) == ready + 1
    assert len(root.findall(f"{SVG}polygon")) == starts + 1 + sided
    words = [each.text for each in root.findall(f"{SVG}text")]
    assert words.count("left") == words.count("right") == 2
    assert {"Side", "Hands loaded", "Speech", "Beeps", "Legs, right"} <= set(words)


def test_an_overfull_stretch_is_seen() -> None:
    """A bar that rises over the line of full, hatched, with a mark; none where everything fits."""
    cue = "One two three four five six seven eight nine ten eleven twelve thirteen fourteen. " * 2
    over = timeline_svg(lay_out(plan(f"blocks: [{{intervals: [{{name: B, work: 10s, cues: ['{cue}']}}]}}]")))
    fits = timeline_svg(lay_out(plan("blocks: [{intervals: [{name: B, work: 10s, cues: [Up.]}]}]")))
    assert over.count("url(#over)") == over.count(">!<") == 1
    assert "url(#over)" not in fits
    assert ">!<" not in fits


def test_the_png_is_the_same_drawing(demo: Session) -> None:
    """Twice the pixels and a half, white ground, the strip black where the drawing says."""
    svg = timeline_svg(lay_out(demo))
    picture = Image.open(io.BytesIO(timeline_png(svg))).convert("L")
    height = int(re.findall(r'height="(\d+)"', svg)[0])
    assert picture.size == (WIDTH_PX * 3 // 2, height * 3 // 2)
    pixels = np.array(picture)
    assert pixels[0].min() == pixels[:, -1].min() == 255
    for tip, x, y, width in with_tip(svg):
        if tip.startswith("Shoulder rolls"):
            assert pixels[round((y + 17) * 1.5), round((x + width / 2) * 1.5)] < 40
            assert pixels[round((y + 17) * 1.5), round((x - 1) * 1.5)] > 128
    named = pixels[round((96 + 64) * 1.5) : round((96 + 78) * 1.5)]
    assert named.min() < 128, "the names are drawn"


def test_names_are_never_markup() -> None:
    """XML reads what the plan says; long names end in dots and stand in the tooltip in full."""
    name = "<b>R&B</b> \"5\" 'x' ]]> &amp; " + "y" * 100
    quoted = name.replace("'", "''")
    svg = timeline_svg(lay_out(plan(f"blocks: [{{intervals: [{{name: '{quoted}'}}]}}]")))
    assert any(tip.startswith(f"{name}, ") for tip, *_ in with_tip(svg))
    timeline_png(svg)


def test_a_long_class_goes_on_in_rows(hour: Session) -> None:
    """No row is longer than five minutes, and nothing is drawn outside."""
    svg = timeline_svg(lay_out(hour))
    stretches = with_tip(svg)
    assert len({y for _, _, y, _ in stretches}) >= 13
    assert all(x >= 149 and x + width <= 1561 for _, x, _, width in stretches)


def test_the_same_class_gives_the_same_bytes(demo: Session) -> None:
    """Drawing and picture."""
    one, other = timeline_svg(lay_out(demo)), timeline_svg(lay_out(demo))
    assert one == other
    assert timeline_png(one) == timeline_png(other)
