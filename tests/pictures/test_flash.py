"""Photosensitivity: WCAG 2.2, success criterion 2.3.1, and its definitions of general and red flash."""

from __future__ import annotations

from collections.abc import Hashable
from fractions import Fraction

import pytest
from PIL import Image

from overlay.errors import UsageError
from overlay.pictures.flash import LEAST_AREA, flashing, refuse_flashing
from overlay.pictures.frames import Layer, Part
from overlay.pictures.timer import timer_layer
from overlay.pictures.titles import titles_layer
from overlay.plan.read import parse_plan
from overlay.plan.theme import shipped_themes
from overlay.timeline.layout import lay_out
from overlay.units.raster import Box, Size
from overlay.units.rate import Counting, FrameRate

SIZE = Size(1024, 768)


def blinking(colors: list[str], every_frames: int, box: Box, count: int = 40) -> Layer:
    """A box that shows these colours in turn, at 30 frames a second, over 1024 x 768."""

    def draw(state: Hashable) -> Image.Image:
        return Image.new("RGBA", (box.width_px, box.height_px), str(state))

    changes = tuple((number * every_frames, colors[number % len(colors)]) for number in range(count))
    rate = FrameRate(Fraction(30))
    return Layer("lamp", SIZE, rate, Counting.NON_DROP, 0, count * every_frames, (Part(box, changes, draw),))


WHOLE = Box(0, 0, 1024, 768)
# WCAG: 341 x 256 pixels are ten degrees at 1024 x 768, and a quarter of that is 21,824.
QUARTER = Box(0, 0, 176, 128)
SMALL = Box(0, 0, 144, 128)


def test_the_area_is_that_of_the_definition() -> None:
    """A quarter of 341 x 256 pixels (WCAG 2.2, definition of general flash and red flash thresholds)."""
    assert pytest.approx(341 * 256 / 4, abs=1) == LEAST_AREA * 1024 * 768
    assert SMALL.width_px * SMALL.height_px < 21_824 < QUARTER.width_px * QUARTER.height_px


@pytest.mark.parametrize(
    ("colors", "every_frames", "box", "kind"),
    [
        # Black and white in turn: five flashes a second, then three, which may be.
        (["black", "white"], 3, WHOLE, "general"),
        (["black", "white"], 3, QUARTER, "general"),
        (["black", "white"], 5, WHOLE, None),
        # Too small an area.
        (["black", "white"], 3, SMALL, None),
        # Less than a tenth of the luminance; both pictures bright.
        (["#202020", "#303030"], 3, WHOLE, None),
        (["#F2F2F2", "#FFFFFF"], 3, WHOLE, None),
        # A saturated red that comes and goes in luminance steps below a tenth is a red flash still.
        (["#000000", "#980000"], 3, WHOLE, "red"),
        # A red in turn with a blue of the same luminance.
        (["#800000", "#0000FF"], 3, WHOLE, "red"),
        # One way only: no opposing changes.
        (["#000000", "#404040", "#808080", "#C0C0C0", "#FFFFFF", "#FFFFFF"] + ["#FFFFFF"] * 40, 3, WHOLE, None),
    ],
)
def test_what_flashes(colors: list[str], every_frames: int, box: Box, kind: str | None) -> None:
    """More than three flashes in a second over the area are found, and nothing less."""
    found = flashing(blinking(colors, every_frames, box))
    assert (found and found.kind) == kind


def test_a_flashing_layer_is_refused_with_its_place() -> None:
    """In words for an instructor, with the timecode."""
    with pytest.raises(UsageError, match="lamp would flash at 00:00:00:"):
        refuse_flashing(blinking(["black", "white"], 3, WHOLE))


@pytest.mark.parametrize("theme", shipped_themes())
@pytest.mark.parametrize("size", ["1920x1080", "1080x1920", "640x360"])
def test_no_shipped_theme_flashes(theme: str, size: str) -> None:
    """The layers of a quick class, one-second work and rest, in every theme."""
    rows = ", ".join(f"{{name: Move {n}, work: 1s, rest: 1s}}" for n in range(6))
    text = f"overlay: 1\ntitle: A\nlook: {theme}\nvideo: {{size: {size}}}\nblocks: [{{intervals: [{rows}]}}]"
    session = parse_plan(text.encode(), "a.yaml")
    timeline = lay_out(session).timeline
    for layer in (timer_layer(timeline, session.look), titles_layer(timeline, session.look)):
        assert flashing(layer) is None
