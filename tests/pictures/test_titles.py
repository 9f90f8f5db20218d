"""The titles' pictures."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PIL import Image

from overlay.pictures.scheme import class_scheme
from overlay.pictures.timer import timer_layer
from overlay.pictures.titles import second_line, set_title, titles_layer
from overlay.plan.fields import Side
from overlay.plan.look import Look
from overlay.plan.read import parse_plan
from overlay.timeline.changes import TitleState, title_changes
from overlay.timeline.layout import lay_out
from overlay.timeline.model import SegmentKind, Timeline
from overlay.words.phrases import phrases_of

SIZES = ["1920x1080", "1080x1920", "1080x1080", "640x360", "1080x1350", "2560x1080"]
LONG = "Side-lying clamshell with a pause and a very slow return"


def a_class(size: str, name: str) -> Timeline:
    text = (
        f"overlay: 1\ntitle: A\nvideo: {{size: {size}}}\n"
        f"blocks: [{{side: left, rounds: 2, intervals: [{{name: {name}, rest: 11s}}, {{name: B, work: 3s}}]}}]"
    )
    return lay_out(parse_plan(text.encode(), "a.yaml")).timeline


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", ["Row", LONG])
def test_titles_stay_in_the_safe_area_and_off_the_timer(size: str, name: str) -> None:
    """EBU R 95, every state, short names and long ones; the two plates never touch."""
    timeline = a_class(size, name)
    safe = timeline.size.graphics_safe()
    timer = class_scheme(timeline, Look()).timer.plate
    (part,) = titles_layer(timeline, Look()).parts
    for state in {state for _, state in part.changes if state is not None}:
        picture = Image.new("L", (timeline.size.width_px, timeline.size.height_px))
        picture.paste(part.draw(state).getchannel("A"), (part.box.left, part.box.top))
        box = picture.getbbox()
        assert box is not None
        assert safe.left <= box[0] < box[2] <= safe.right
        assert safe.top <= box[1] < box[3] <= safe.bottom
        assert box[0] >= timer.right or box[1] >= timer.bottom


@pytest.mark.parametrize("size", SIZES)
def test_no_word_is_smaller_than_can_be_read(size: str) -> None:
    """1/24 of the short side is the least, for the longest names too, and all of the name is there."""
    timeline = a_class(size, LONG)
    scheme = class_scheme(timeline, Look())
    for _, state in title_changes(timeline):
        title = set_title(state, scheme, timeline.phrases)
        lines = title.lines
        assert not title.is_cut
        assert all(line.size_px >= timeline.size.short_side_px / 24 for line in lines)
        assert sum(line.height_px for line in lines) <= scheme.title.box.height_px
        if state.name == LONG:
            assert LONG in " ".join(line.text for line in lines)


def test_the_second_line() -> None:
    """Side and round; a side that the name says already is not said again."""
    state = TitleState(SegmentKind.WORK, "Row", Side.LEFT, 2, 3)
    assert second_line(state, phrases_of("en")) == "Left · Round 2 of 3"
    assert second_line(state, phrases_of("de")) == "Links · Runde 2 von 3"
    assert second_line(replace(state, name="Row, left"), phrases_of("en")) == "Round 2 of 3"


def test_the_timer_and_titles_are_layers_of_the_whole_class() -> None:
    """Both are as long as the class, start on its label and begin at frame 0."""
    timeline = a_class("640x360", "Row")
    for layer in (timer_layer(timeline, Look()), titles_layer(timeline, Look())):
        assert layer.frame_count == timeline.frame_count
        assert layer.parts[0].changes[0][0] == 0
