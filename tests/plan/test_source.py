"""Places in a plan file."""

from __future__ import annotations

from overlay.plan.source import parse_source


def test_places_count_from_one() -> None:
    """Every value and every key has its line and column."""
    source = parse_source(b"a: 1\nb:\n  - x\n  - {c: y}\n", "a.yaml")
    assert source.content == {"a": "1", "b": ["x", {"c": "y"}]}
    assert source.values[("b", 1, "c")] == (4, 9)
    assert source.keys[("b", 1, "c")] == (4, 6)
    assert source.place_of(("b", 1, "none"))[0] == (4, 5)


def test_a_changed_copy_leaves_the_anchor_alone() -> None:
    """An alias is a copy: nothing is shared."""
    content = parse_source(b"a: &s {work: '40'}\nb: *s\n", "a.yaml").content
    content["b"]["work"] = "45"
    assert content["a"]["work"] == "40"
