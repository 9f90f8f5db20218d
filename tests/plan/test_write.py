"""Plans written as text again."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlay.plan.read import parse_plan, read_plan
from overlay.plan.sample import sample_text
from overlay.plan.write import plan_text

DEMO = Path(__file__).parents[2] / "demo" / "desk-break.yaml"

words = st.text(st.characters(categories=["L", "N", "P", "S", "Zs"]), min_size=1, max_size=20).filter(
    lambda text: text.strip() and not set("{}") & set(text) and "\u200b" not in text
)
texts = st.one_of(words, st.fixed_dictionaries({"en": words, "es": words}))
durations = st.one_of(
    st.integers(1, 90).map(lambda n: f"{n}s"),
    st.tuples(st.integers(0, 5), st.integers(1, 59)).map(lambda pair: f"{pair[0]}:{pair[1]:02}"),
    st.decimals("0.1", "60", places=3).map(lambda value: f"{value}s"),
)
cues = st.lists(
    st.one_of(
        texts,
        st.fixed_dictionaries({"say": texts}, optional={"at": st.integers(-20, 20).map(lambda n: f"{n}s")}),
    ),
    max_size=3,
)
described = st.fixed_dictionaries(
    {"name": texts},
    optional={
        "hands": st.sampled_from(["loaded", "free"]),
        "position": texts,
        "equipment": st.lists(texts, max_size=2),
        "easier": texts,
        "watch": texts,
    },
)
keys = st.text("abcdefgh-", min_size=1, max_size=6)


@st.composite
def plans(draw: st.DrawFn) -> dict[str, Any]:
    """Any valid plan: exercises by name and on the spot, sides, rounds, mirrors, two languages."""
    exercises = draw(st.dictionaries(keys, described, max_size=3))
    listed = [st.sampled_from(sorted(exercises)).map(lambda key: {"exercise": key})] if exercises else []
    interval = st.tuples(
        st.one_of(described, *listed),
        st.fixed_dictionaries({}, optional={"work": durations, "rest": durations, "cues": cues}),
    ).map(lambda pair: {**pair[0], **pair[1]})
    blocks = []
    for number in range(draw(st.integers(1, 3))):
        block = draw(
            st.fixed_dictionaries(
                {"intervals": st.lists(interval, min_size=1, max_size=3)},
                optional={
                    "name": texts,
                    "side": st.sampled_from(["left", "right"]),
                    "rounds": st.integers(1, 3).map(str),
                    "preview": durations,
                    "rest_cues": st.lists(texts, max_size=2),
                    "after": durations,
                },
            )
        )
        block["id"] = f"b{number}"
        blocks.append(block)
        if "side" in block and draw(st.booleans()):
            blocks.append({"mirror": block["id"], "id": f"m{number}"})
    plan = {"overlay": "1", "title": draw(texts), "language": ["en", "es"], "blocks": blocks}
    if exercises:
        plan["exercises"] = exercises
    if draw(st.booleans()):
        plan["opening"] = {"length": draw(durations), "cues": draw(st.lists(texts, max_size=2))}
    return plan


@settings(max_examples=150)
@given(plans())
def test_any_plan_survives_write_and_read(plan: dict[str, Any]) -> None:
    """Write, read, write: the second text is the first."""
    written = json.dumps(plan, ensure_ascii=False)  # JSON is YAML
    first = plan_text(parse_plan(written.encode("utf-8"), "a.yaml"))
    session = parse_plan(first.encode("utf-8"), "a.yaml")
    assert plan_text(session) == first
    assert session.title.in_language("en", main="en")


@pytest.mark.parametrize("text", [DEMO.read_text("utf-8"), sample_text()], ids=["demo", "sample"])
def test_a_written_plan_is_the_same_class(text: str) -> None:
    """Mirrors are written out; the class that is laid out stays the same."""
    from overlay.timeline.data import timeline_data
    from overlay.timeline.layout import lay_out

    session = parse_plan(text.encode("utf-8"), "a.yaml")
    again = parse_plan(plan_text(session).encode("utf-8"), "a.yaml")
    assert timeline_data(lay_out(again).timeline) == timeline_data(lay_out(session).timeline)


def test_reading_from_disk_is_reading_the_bytes() -> None:
    """`read_plan` adds nothing to `parse_plan`."""
    assert read_plan(DEMO) == parse_plan(DEMO.read_bytes(), str(DEMO))
