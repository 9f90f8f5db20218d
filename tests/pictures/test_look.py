"""Every layer in every shape, theme and place: inside the safe area, off each other, read back right."""

from __future__ import annotations

import io
import random
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from overlay.pictures.cards import previews_layer
from overlay.pictures.composite import compose, showings
from overlay.pictures.findings import picture_findings
from overlay.pictures.frames import Layer
from overlay.pictures.movie import layer_movie
from overlay.pictures.progress import progress_layer
from overlay.pictures.scheme import class_scheme
from overlay.pictures.sheet import contact_sheet
from overlay.pictures.timer import timer_layer
from overlay.pictures.titles import titles_layer
from overlay.plan.look import Look
from overlay.plan.look_advice import look_advice
from overlay.plan.read import parse_plan
from overlay.plan.session import Session
from overlay.plan.theme import shipped_themes
from overlay.timeline.changes import countdown_changes
from overlay.timeline.layout import lay_out
from overlay.timeline.model import Timeline
from overlay.units.color import Color, contrast_ratio
from overlay.units.raster import Box

SHAPES = ["1920x1080", "1080x1920", "1080x1080", "1080x1350", "1440x1080", "2560x1080", "640x360", "360x640"]
PLACES = [
    "{}",
    "{timer: {at: bottom-right}, progress: {at: bottom}, previews: {at: right}}",
    "{timer: {at: top-right, scale: 130%}, titles: {at: bottom-left}, previews: {at: center}}",
    "{timer: {show: false}, progress: {show: false}, titles: {scale: 120%}}",
    "{theme: bright-room, margin: 8%, corner_radius: 4%}",
]


def a_class(size: str, look: str = "{}") -> tuple[Session, Timeline]:
    text = f"""\
overlay: 1
title: Ten quiet minutes
video: {{size: {size}, frame_rate: 25}}
look: {look}
opening: {{length: 6s}}
blocks:
  - {{id: a, name: "Legs, {{side}}", side: right, rounds: 2, preview: 6s, intervals: [
      {{name: Side-lying clamshell with a slow return, work: 21s, rest: 7s, easier: Keep both feet down.}},
      {{name: Row, work: 13s, equipment: [long band]}}]}}
  - {{mirror: a, id: b}}
closing: {{length: 5s}}
"""
    session = parse_plan(text.encode(), "a.yaml")
    return session, lay_out(session).timeline


def layers_of(session: Session, timeline: Timeline) -> dict[str, Layer]:
    look, view = session.look, session.view
    layers = {
        "timer": timer_layer(timeline, look),
        "titles": titles_layer(timeline, look, view),
        "previews": previews_layer(timeline, look, view),
        "progress": progress_layer(timeline, look),
    }
    return {name: layer for name, layer in layers.items() if getattr(look, name).show}


@pytest.mark.parametrize("size", SHAPES)
@pytest.mark.parametrize("look", PLACES)
def test_all_ink_lies_in_the_safe_area_and_no_layer_covers_another(size: str, look: str) -> None:
    """EBU R 95: 5 % in from every edge, in every distinct picture; what shows together never overlaps."""
    session, timeline = a_class(size, look)
    safe = timeline.size.graphics_safe()
    shown: dict[str, list[tuple[int, int, Box]]] = {}
    for name, layer in layers_of(session, timeline).items():
        boxes: dict[object, Box | None] = {}
        start = 0
        for states, frames in showings(layer):
            if states not in boxes:
                (part,) = layer.parts
                ink = part.draw(states[0]).getchannel("A").getbbox() if states[0] is not None else None
                left, top = part.box.left, part.box.top
                boxes[states] = Box(left + ink[0], top + ink[1], left + ink[2], top + ink[3]) if ink else None
            box = boxes[states]
            if box is not None:
                assert safe.left <= box.left < box.right <= safe.right, (name, states)
                assert safe.top <= box.top < box.bottom <= safe.bottom, (name, states)
                shown.setdefault(name, []).append((start, start + frames, box))
            start += frames
    names = list(shown)
    for number, one in enumerate(names):
        for other in names[number + 1 :]:
            for start, end, box in shown[one]:
                for its_start, its_end, its_box in shown[other]:
                    if start < its_end and its_start < end:
                        apart = (
                            box.right <= its_box.left
                            or its_box.right <= box.left
                            or box.bottom <= its_box.top
                            or its_box.bottom <= box.top
                        )
                        assert apart, (one, other, start)


@pytest.mark.parametrize("size", ["1920x1080", "1080x1920", "1080x1080"])
@pytest.mark.parametrize("ground", ["white", "black", "#808080", "noise"])
def test_composites_are_those_of_straight_alpha(
    size: str, ground: str, decoded: Callable[[Any], NDArray[np.float64]]
) -> None:
    """Decoded from the movie and laid over a ground in whole levels, each picture is within 2 levels of the
    drawn one laid over it in floating point (Porter and Duff's over, straight alpha)."""
    av = pytest.importorskip("av")
    session, timeline = a_class(size)
    generator = np.random.default_rng(1)
    shape = (timeline.size.height_px, timeline.size.width_px, 3)
    under = (
        generator.integers(0, 256, shape).astype(float)
        if ground == "noise"
        else np.full(shape, Image.new("RGB", (1, 1), ground).getpixel((0, 0)), float)
    )
    layer = titles_layer(timeline, session.look, session.view)
    wanted = dict[int, np.ndarray]()
    start = 0
    for states, frames in showings(layer):
        if len(wanted) < 3 and states[0] is not None:
            wanted[start] = np.asarray(compose(layer, states), float)
        start += frames
    data = io.BytesIO(b"".join(layer_movie(layer)))
    with av.open(data) as movie:
        for number, frame in enumerate(movie.decode(video=0)):
            if number > max(wanted):
                break
            if number not in wanted:
                continue
            ideal = _over(wanted[number], under)
            off = np.abs(_over(decoded(frame), under) - ideal).max(axis=2)[wanted[number][..., 3] > 0]
            assert off.max() <= 2


def _over(picture: np.ndarray, under: np.ndarray) -> np.ndarray:
    alpha = picture[..., 3:] / 255
    return picture[..., :3] * alpha + under * (1 - alpha)


@pytest.mark.skipif(shutil.which("tesseract") is None, reason="tesseract is not installed")
@pytest.mark.parametrize("size", ["1920x1080", "1080x1920", "1080x1080"])
@pytest.mark.parametrize("theme", shipped_themes())
def test_a_reader_of_print_reads_the_seconds(size: str, theme: str, tmp_path: Path) -> None:
    """tesseract, an independent program, reads the timeline's seconds at 40 random frames."""
    session, timeline = a_class(size, theme)
    layer = timer_layer(timeline, session.look)
    seconds = {frame: state.seconds for frame, state in countdown_changes(timeline) if state}
    digits = class_scheme(timeline, session.look).timer.digits
    frames = sorted(random.Random(7).sample(range(timeline.frame_count), 40))
    shown = [states for states, count in showings(layer) for _ in range(count)]
    pages = []
    for frame in frames:
        over = Image.alpha_composite(
            Image.new("RGBA", (timeline.size.width_px, timeline.size.height_px), "grey"), compose(layer, shown[frame])
        )
        pages.append(_page(over.crop((digits.left, digits.top, digits.right, digits.bottom))))
    sheet = Image.new("L", (pages[0].width, sum(page.height for page in pages)), 255)
    for number, page in enumerate(pages):
        sheet.paste(page, (0, number * page.height))
    sheet.save(tmp_path / "digits.png")
    command = ["tesseract", str(tmp_path / "digits.png"), "-", "--psm", "6", "-c", "tessedit_char_whitelist=0123456789"]
    read = subprocess.run(command, capture_output=True, text=True, check=True).stdout.split()
    assert read == [str(seconds[max(at for at in seconds if at <= frame)]) for frame in frames]


def _page(picture: Image.Image) -> Image.Image:
    """Digits as black on white with room round them, as print has them."""
    grey = picture.convert("L")
    corner = grey.getpixel((0, 0))
    assert isinstance(corner, (int, float))
    dark = grey.point([255 if abs(value - corner) < 90 else 0 for value in range(256)])
    page = Image.new("L", (dark.width + 120, dark.height + 80), 255)
    page.paste(dark, (60, 40))
    return page.resize((page.width * 64 // dark.height, page.height * 64 // dark.height))


def test_contrast_is_wcags() -> None:
    """Worked figures of WCAG 2.2 (STANDARDS 6.2), and the library wcag-contrast-ratio for 500 pairs of colours."""
    library = pytest.importorskip("wcag_contrast_ratio")
    assert contrast_ratio(Color.parse("#777777"), Color.parse("#FFFFFF")) == pytest.approx(4.48, abs=0.005)
    assert contrast_ratio(Color.parse("#767676"), Color.parse("#FFFFFF")) == pytest.approx(4.54, abs=0.005)
    generator = random.Random(3)
    for _ in range(500):
        one, other = (Color(*(generator.randrange(256) for _ in range(3))) for _ in range(2))
        theirs = library.rgb(*(tuple(channel / 255 for channel in color.rgb) for color in (one, other)))
        # The library has the older threshold of 0.03928, which differs by less than this for 8-bit colours.
        assert contrast_ratio(one, other) == pytest.approx(theirs, rel=1e-3)


@pytest.mark.parametrize("theme", shipped_themes())
def test_shipped_themes_have_nothing_to_mend(theme: str) -> None:
    """Contrast and type of every theme that ships, and of the default."""
    session, _ = a_class("1920x1080", theme)
    assert list(look_advice(session.look)) == []
    assert list(look_advice(Look())) == []


def test_a_theme_that_falls_short_is_told_with_figures() -> None:
    """Grey words, a pale strip, small titles."""
    session, _ = a_class("1920x1080", '{ink: "#667788", rest: "#22303E", titles: {scale: 75%}}')
    found = {finding.name: finding for finding in look_advice(session.look)}
    assert set(found) == {"low-contrast", "small-type"}
    assert dict(found["small-type"].figures)["part_of_short_side"] == pytest.approx(1 / 32)
    assert all(dict(f.figures)["contrast"] < 4.5 for f in look_advice(session.look) if f.name == "low-contrast")


def test_what_does_not_fit_is_a_finding() -> None:
    """A name of 200 letters in a small picture, and a block of 30 exercises."""
    name = " ".join(["Very slow side-lying clamshell"] * 6)
    rows = ", ".join(f"{{name: Exercise number {n} with a name}}" for n in range(30))
    text = (
        f"overlay: 1\ntitle: A\nvideo: {{size: 640x360}}\nblocks: [{{name: B, intervals: [{{name: {name}}}, {rows}]}}]"
    )
    session = parse_plan(text.encode(), "a.yaml")
    names = {finding.name for finding in picture_findings(lay_out(session).timeline, session.look)}
    assert names == {"title-too-long", "card-too-full"}


def test_the_contact_sheet_shows_every_still() -> None:
    """One page, as many pictures as there are distinct titles and previews; the same bytes each time."""
    session, timeline = a_class("640x360")
    layers = [titles_layer(timeline, session.look), previews_layer(timeline, session.look)]
    sheet = contact_sheet(timeline, layers)
    assert sheet == contact_sheet(timeline, layers)
    assert sheet[:8] == b"\x89PNG\r\n\x1a\n"
