"""The JSON Schema, judged by the PyPI library `jsonschema`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from ruamel.yaml import YAML

from overlay.plan.sample import sample_text
from overlay.plan.schema import plan_schema

DEMOS = sorted((Path(__file__).parents[2] / "demo").glob("*.yaml"))
SMALL = """\
overlay: 1
title: A
language: en
timing: {work: 40, rest: 1:30, preview: 0:45}
exercises: {row: {name: Row, hands: loaded, equipment: band}}
calls: none
blocks:
  - {id: one, side: right, rounds: 2, intervals: [row, row 45s, {name: 12, work: 40s, cues: Go}], rest_cues: Rest}
  - {mirror: one, preview: 5}
"""


def yaml(text: str) -> Any:
    """What a YAML 1.2 text editor sees."""
    return YAML(typ="safe", pure=True).load(text)


@pytest.fixture(scope="module")
def validator() -> Draft202012Validator:
    return Draft202012Validator(plan_schema())


def test_it_is_a_schema() -> None:
    """Valid by its own meta-schema, draft 2020-12."""
    Draft202012Validator.check_schema(plan_schema())


@pytest.mark.parametrize(
    "text",
    [*(path.read_text("utf-8") for path in DEMOS), sample_text(), SMALL],
    ids=[*(path.name for path in DEMOS), "sample", "small"],
)
def test_good_plans_pass(validator: Draft202012Validator, text: str) -> None:
    """The demos, the plan of `overlay new`, and short forms of every kind."""
    assert [error.message for error in validator.iter_errors(yaml(text))] == []


@pytest.mark.parametrize(
    ("right", "wrong"),
    [
        ("title: A\n", ""),
        ("title: A", "title: [A]"),
        ("overlay: 1", "overlay: 2"),
        ("side: right", "sied: right"),
        ("side: right", "side: up"),
        ("rounds: 2", "rounds: 0"),
        ("rounds: 2", "rounds: two"),
        ("work: 40,", "work: -1,"),
        ("work: 40,", "work: soon,"),
        ("hands: loaded", "hands: full"),
        ("calls: none", "calls: never"),
        ("language: en", "language: English"),
        ("intervals: [row, row 45s, {name: 12, work: 40s, cues: Go}]", "intervals: []"),
        ("intervals: [row, row 45s, {name: 12, work: 40s, cues: Go}]", "intervals: row"),
        ("{name: Row, hands: loaded, equipment: band}", "{hands: loaded}"),
    ],
)
def test_wrong_plans_fail(validator: Draft202012Validator, right: str, wrong: str) -> None:
    """What can be seen without knowing the class is seen."""
    assert right in SMALL
    assert not validator.is_valid(yaml(SMALL.replace(right, wrong)))


def test_nothing_is_ever_null() -> None:
    """A key without a value is a mistake in a plan, and in the schema."""
    assert '"null"' not in str(plan_schema()).replace("'", '"')
