"""The timer's pictures."""

from __future__ import annotations

from collections.abc import Hashable

import numpy as np
import pytest
from PIL import Image

from overlay.pictures.frames import Layer
from overlay.pictures.scheme import class_scheme
from overlay.pictures.text import Digits
from overlay.pictures.timer import timer_layer
from overlay.plan.look import BOLD, Look
from overlay.plan.read import parse_plan
from overlay.timeline.changes import TimerState
from overlay.timeline.layout import lay_out
from overlay.timeline.model import SegmentKind, Timeline
from overlay.units.color import BLACK, WHITE, Color, contrast_ratio

WORK = SegmentKind.WORK
SIZES = ["1920x1080", "1080x1920", "1080x1080", "640x360", "3840x2160", "1080x1350", "1440x1080", "2560x1080"]


def a_class(size: str = "1920x1080", work: str = "30s") -> Timeline:
    text = (
        f"overlay: 1\ntitle: A\nvideo: {{size: {size}}}\n"
        f"blocks: [{{intervals: [{{name: A, work: {work}, rest: 11s}}, {{name: B, work: 3s}}]}}]"
    )
    return lay_out(parse_plan(text.encode(), "a.yaml")).timeline


def whole(layer: Layer, state: Hashable) -> Image.Image:
    """The full picture of one state."""
    (part,) = layer.parts
    picture = Image.new("RGBA", (layer.size.width_px, layer.size.height_px))
    picture.paste(part.draw(state), (part.box.left, part.box.top))
    return picture


@pytest.mark.parametrize("size", SIZES)
def test_ink_stays_in_the_safe_area(size: str) -> None:
    """EBU R 95: graphics 5 % in from every edge, for every state of the class."""
    timeline = a_class(size)
    layer = timer_layer(timeline, Look())
    safe = timeline.size.graphics_safe()
    for state in {state for _, state in layer.parts[0].changes}:
        box = whole(layer, state).getchannel("A").getbbox()
        assert box is not None
        assert safe.left <= box[0] < box[2] <= safe.right
        assert safe.top <= box[1] < box[3] <= safe.bottom


@pytest.mark.parametrize("size", SIZES)
def test_digits_are_large_enough(size: str) -> None:
    """Digits at least 1/8 of the short side, other words at least 1/24."""
    timeline = a_class(size)
    scheme = class_scheme(timeline, Look())
    assert Digits("0", BOLD, scheme.timer.digits_size_px).height_px >= timeline.size.short_side_px / 8
    assert min(scheme.timer.text_px, scheme.name_px, scheme.least_px) >= timeline.size.short_side_px / 24


def test_digits_stand_in_fixed_cells() -> None:
    """11, 10, 9: the last digit's cell never moves, whatever stands beside it."""
    assert {Digits(text, BOLD, 200).width_px for text in ("11", "10", "88", "09")} == {Digits("00", BOLD, 200).width_px}
    mask = np.asarray(Digits("18", BOLD, 200).mask())
    other = np.asarray(Digits("88", BOLD, 200).mask())
    cell = mask.shape[1] // 2
    assert np.array_equal(mask[:, cell:], other[:, cell:])


def test_the_strip_shrinks_with_the_seconds() -> None:
    """The gauge is the segment's strip to scale: half of it at half-time."""
    layer = timer_layer(a_class(), Look())

    def orange(seconds: int) -> int:
        state = next(s for _, s in layer.parts[0].changes if s is not None and s.seconds == seconds and s.kind is WORK)
        picture = np.asarray(whole(layer, state).convert("RGB")).astype(int)
        return int((abs(picture - np.array(Look().work.rgb)).sum(axis=2) < 12).sum())

    assert orange(15) / orange(30) == pytest.approx(0.5, abs=0.02)
    assert orange(30) > orange(29) > orange(1) > 0


def test_kinds_differ_without_colour() -> None:
    """Filled, hollow, hatched: in grey, the strips of two kinds differ in a quarter of their pixels."""
    timeline = a_class()
    layer = timer_layer(timeline, Look())
    gauge = class_scheme(timeline, Look()).timer.gauge
    strips = {}
    for kind in SegmentKind:
        grey = whole(layer, TimerState(kind, 30, gauge.width_px)).convert("L")
        area = np.asarray(grey.crop((gauge.left, gauge.top, gauge.right, gauge.bottom))).astype(int)
        strips[kind] = area > (area.max() + area.min()) / 2
    kinds = [SegmentKind.WORK, SegmentKind.REST, SegmentKind.PREVIEW, SegmentKind.CLOSING]
    for number, one in enumerate(kinds):
        for other in kinds[number + 1 :]:
            assert (strips[one] != strips[other]).mean() > 0.2, (one, other)


@pytest.mark.parametrize("ground", [BLACK, WHITE])
def test_ink_is_read_on_its_plate_over_any_footage(ground: Color) -> None:
    """WCAG 2.2, 1.4.3: at least 4.5 : 1 over the darkest and the brightest picture."""
    look = Look()
    plate = look.plate.over(ground, look.opacity)
    for ink in (look.ink, look.work, look.rest, look.preview):
        assert contrast_ratio(ink, plate) >= 4.5


@pytest.mark.parametrize("ground", [0, 128, 255])
def test_no_fringe_over_any_ground(ground: int) -> None:
    """Straight alpha: laid over a ground, every edge lies between the plate's and the ground's colour."""
    layer = timer_layer(a_class(), Look())
    picture = np.asarray(whole(layer, TimerState(SegmentKind.REST, 7, 200))).astype(float)
    alpha = picture[..., 3:] / 255
    over = picture[..., :3] * alpha + ground * (1 - alpha)
    edge = (picture[..., 3] > 0) & (picture[..., 3] < 220)
    plate = np.array(Look().plate.rgb)
    assert edge.sum() > 20
    assert np.abs(picture[edge][:, :3] - plate).max() <= 2
    low, high = np.minimum(plate, ground) - 2, np.maximum(plate, ground) + 2
    assert ((over[edge] >= low) & (over[edge] <= high)).all()


def test_colour_runs_on_under_the_edge_and_ends() -> None:
    """For 8 px and more beyond the ink the plate's colour stands under alpha 0; further out black."""
    timeline = a_class()
    picture = np.asarray(whole(timer_layer(timeline, Look()), TimerState(SegmentKind.REST, 7, 200)))
    plate = class_scheme(timeline, Look()).timer.plate
    middle = (plate.top + plate.bottom) // 2
    assert tuple(picture[middle, plate.left - 8]) == (*Look().plate.rgb, 0)
    assert tuple(picture[middle, plate.left - 40]) == (0, 0, 0, 0)


def test_minutes_for_long_segments() -> None:
    """Two minutes of work count from 2:00, and the plate is wide enough for all of it."""
    timeline = a_class(work="2m")
    scheme = class_scheme(timeline, Look())
    assert scheme.timer.digits.width_px >= Digits("2:00", BOLD, scheme.timer.digits_size_px).width_px
