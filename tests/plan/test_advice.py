"""What is noticed in a plan alone."""

from __future__ import annotations

from overlay.plan.advice import Finding, plan_advice
from overlay.plan.read import session_of
from overlay.plan.source import parse_source

PLAN = """\
overlay: 1
title: {en: A class, es: Una clase}
language: [en, es]
exercises:
  row:
    name: {en: Seated row, es: Remo}
    easier: Slower
  press: {name: {en: Press, es: Empuje}}
blocks:
  - id: one
    side: right
    intervals:
      - exercise: row
        cues:
          - Pull
          - {en: Hold, es: Aguanta}
          - {at: 5s, say: {en: Two more}}
  - {mirror: one, id: two, name: {en: Other side}}
"""


def advice(text: str) -> dict[str, Finding]:
    source = parse_source(text.encode("utf-8"), "a.yaml")
    return {finding.name: finding for finding in plan_advice(session_of(source), source)}


def test_a_missing_translation_names_every_place() -> None:
    """Bare words, maps without the language, and what a mirror adds; not what it takes over."""
    finding = advice(PLAN)["missing-translation"]
    assert finding.lines == (7, 15, 17, 18)
    assert "not written in es: lines 7, 15, 17, 18" in finding.text
    assert dict(finding.figures) == {"missing_texts": 4.0}


def test_one_language_misses_nothing() -> None:
    """Bare words are in the plan's language."""
    assert "missing-translation" not in advice("overlay: 1\ntitle: A\nblocks: [{intervals: [{name: B}]}]")


def test_an_unused_exercise_is_a_remark() -> None:
    """It is named with its line."""
    finding = advice(PLAN)["unused-exercise"]
    assert (finding.place, finding.lines, finding.weight.value) == ("exercise press", (8,), "remark")


def test_nearly_the_same_name_is_a_remark() -> None:
    """A slip of a letter is noticed; another number or another word is meant."""
    exercises = "exercises:\n  row-one: {name: Seated band row}\n  b: {name: NAME}\n"
    text = f"overlay: 1\ntitle: A\n{exercises}blocks: [{{intervals: [row-one, b]}}]"
    assert "near-names" in advice(text.replace("NAME", "Seated band rows"))
    assert "near-names" in advice(text.replace("NAME", "seated Band row"))
    for other in ("Seated leg press", "Band row", "Rest"):
        assert "near-names" not in advice(text.replace("NAME", other))
    assert "near-names" not in advice(text.replace("NAME", "Lunge 2").replace("Seated band row", "Lunge 1"))


def test_an_empty_caution_is_a_finding() -> None:
    """With its line; a caution of the plan's own, or none at all, is not, and neither misses a translation."""
    text = "overlay: 1\ntitle: A\nblocks: [{intervals: [{name: B}]}]\n"
    for empty in ('caution: ""', "caution:", "caution: ' '"):
        finding = advice(text + empty)["no-caution"]
        assert (finding.weight.value, finding.lines) == ("finding", (4,))
    assert not advice(text)
    assert not advice(text + "caution: Mind your head.")
    named = "{en: A, es: B}"
    head = f"overlay: 1\ntitle: {named}\nlanguage: [en, es]\ncaution: ''\n"
    in_two = advice(f"{head}blocks: [{{intervals: [{{name: {named}}}]}}]")
    assert list(in_two) == ["no-caution"]
