"""Preview cards."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from overlay.pictures.previews import preview_card, preview_segments
from overlay.pictures.stills import png, preview_stills
from overlay.pictures.timer import class_scheme
from overlay.plan.look import Look
from overlay.plan.read import parse_plan
from overlay.timeline.layout import lay_out
from overlay.timeline.model import Timeline


def a_class(size: str, count: int) -> Timeline:
    names = ", ".join(f"{{name: Exercise number {n}, work: {10 * (n + 1)}s}}" for n in range(count))
    block = f"{{name: Pull, side: right, rounds: 2, intervals: [{names}]}}"
    text = f"overlay: 1\ntitle: A\nvideo: {{size: {size}}}\nblocks: [{block}]"
    return lay_out(parse_plan(text.encode(), "a.yaml")).timeline


@pytest.mark.parametrize("size", ["1920x1080", "1080x1920", "1080x1080", "640x360", "1080x1350"])
@pytest.mark.parametrize("count", [1, 3, 6, 7, 8, 14])
def test_cards_stay_in_the_safe_area(size: str, count: int) -> None:
    """EBU R 95; straight alpha: clear in the corner, nothing past the plate."""
    timeline = a_class(size, count)
    safe = timeline.size.graphics_safe()
    (segment,) = preview_segments(timeline)
    card = preview_card(segment, timeline, Look())
    assert card.size == (timeline.size.width_px, timeline.size.height_px)
    box = card.getchannel("A").getbbox()
    assert box is not None
    assert safe.left <= box[0] < box[2] <= safe.right
    assert class_scheme(timeline).timer.bottom < box[1] < box[3] <= safe.bottom


def test_strips_are_to_scale() -> None:
    """10 s, 20 s and 30 s of work are strips of 1 : 2 : 3."""
    timeline = a_class("1920x1080", 3)
    card = np.asarray(preview_card(preview_segments(timeline)[0], timeline, Look()).convert("RGB")).astype(int)
    orange = abs(card - np.array(Look().work.rgb)).sum(axis=2) < 12
    widths = orange.sum(axis=1)
    rows = [int(widths[start:end].max()) for start, end in _runs(widths > 50)]
    assert len(rows) == 3
    assert [row / rows[2] for row in rows] == pytest.approx([1 / 3, 2 / 3, 1], abs=0.01)


def _runs(inside: np.ndarray) -> list[tuple[int, int]]:
    edges = np.flatnonzero(np.diff(np.concatenate(([0], inside.astype(int), [0]))))
    return list(zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True))


def test_stills_are_png_with_alpha_and_no_date() -> None:
    """One still a block, readable, RGBA, the same bytes each time."""
    timeline = a_class("640x360", 2)
    stills = preview_stills(timeline, Look())
    assert list(stills) == ["block-1"]
    opened = Image.open(io.BytesIO(stills["block-1"]))
    assert opened.mode == "RGBA"
    assert opened.info == {}
    assert stills == preview_stills(timeline, Look())
    assert png(opened) == stills["block-1"]
