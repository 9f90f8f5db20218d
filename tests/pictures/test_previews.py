"""Preview cards, full cards and their stills."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from overlay.pictures.cards import previews_layer
from overlay.pictures.composite import compose
from overlay.pictures.scheme import class_scheme
from overlay.pictures.stills import png, stills_of
from overlay.plan.look import Look
from overlay.plan.read import parse_plan
from overlay.timeline.changes import CardState, PreviewState
from overlay.timeline.layout import lay_out
from overlay.timeline.model import Timeline


def a_class(size: str, count: int, more: str = "") -> Timeline:
    names = ", ".join(f"{{name: Exercise number {n}, work: {10 * (n + 1)}s}}" for n in range(count))
    block = f"{{name: Pull, side: right, rounds: 2, intervals: [{names}]}}"
    text = f"overlay: 1\ntitle: A\nvideo: {{size: {size}}}\nblocks: [{block}]\n{more}"
    return lay_out(parse_plan(text.encode(), "a.yaml")).timeline


@pytest.mark.parametrize("size", ["1920x1080", "1080x1920", "1080x1080", "640x360", "1080x1350", "2560x1080"])
@pytest.mark.parametrize("count", [1, 3, 6, 7, 8, 14])
def test_cards_stay_in_the_safe_area(size: str, count: int) -> None:
    """EBU R 95; straight alpha: clear in the corner, nothing past the plate; off timer and progress."""
    timeline = a_class(size, count)
    safe = timeline.size.graphics_safe()
    layer = previews_layer(timeline, Look())
    for still in stills_of(layer):
        card = still.picture()
        assert card.size == (timeline.size.width_px, timeline.size.height_px)
        box = card.getchannel("A").getbbox()
        assert box is not None
        assert safe.left <= box[0] < box[2] <= safe.right
        assert class_scheme(timeline, Look()).timer.plate.bottom < box[1] < box[3] <= safe.bottom


def test_each_exercise_is_lit_for_its_share() -> None:
    """Three exercises in ten seconds: each is lit for a third, first to last, then nothing shows."""
    timeline = a_class("1920x1080", 3)
    (part,) = previews_layer(timeline, Look()).parts
    lit = [(frame, state.lit if isinstance(state, PreviewState) else None) for frame, state in part.changes]
    assert lit == [(0, 0), (100, 1), (200, 2), (300, None)]


def test_strips_are_to_scale() -> None:
    """10 s, 20 s and 30 s of work are strips of 1 : 2 : 3."""
    timeline = a_class("1920x1080", 3)
    layer = previews_layer(timeline, Look())
    state = layer.parts[0].changes[0][1]
    assert isinstance(state, PreviewState)
    unlit = PreviewState(state.name, state.side, state.rounds, state.shows)
    card = np.asarray(compose(layer, (unlit,)).convert("RGB")).astype(int)
    orange = abs(card - np.array(Look().work.rgb)).sum(axis=2) < 12
    widths = orange.sum(axis=1)
    rows = [int(widths[start:end].max()) for start, end in _runs(widths > 50)]
    assert len(rows) == 3
    assert [row / rows[2] for row in rows] == pytest.approx([1 / 3, 2 / 3, 1], abs=0.01)


def _runs(inside: np.ndarray) -> list[tuple[int, int]]:
    edges = np.flatnonzero(np.diff(np.concatenate(([0], inside.astype(int), [0]))))
    return list(zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True))


@pytest.mark.parametrize("size", ["1920x1080", "1080x1920", "640x360"])
def test_full_cards_cover_the_picture(size: str) -> None:
    """Opaque to every edge, for the opening and the closing, where the plan asks for them and only there."""
    more = "opening: {length: 9s, card: true}\nclosing: {length: 9s}\n"
    layer = previews_layer(a_class(size, 2, more), Look())
    states = [state for _, state in layer.parts[0].changes]
    assert [isinstance(state, CardState) for state in states] == [True, False, False, False]
    card = compose(layer, (states[0],))
    assert card.getchannel("A").getextrema() == (255, 255)
    assert len(card.getcolors(maxcolors=1_000_000) or []) > 50


def test_stills_are_png_with_alpha_and_no_date() -> None:
    """One still a distinct card, readable, RGBA, the same bytes each time."""
    layer = previews_layer(a_class("640x360", 2), Look())
    stills = list(stills_of(layer))
    assert [still.frame for still in stills] == [0, 150]
    opened = Image.open(io.BytesIO(png(stills[0].picture())))
    assert opened.mode == "RGBA"
    assert opened.info == {}
    assert png(opened) == png(stills[0].picture())
