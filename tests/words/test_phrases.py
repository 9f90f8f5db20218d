"""The tool's words, and a plan's own instead of them."""

from __future__ import annotations

import pytest

from overlay.errors import PlanError
from overlay.plan.read import parse_plan
from overlay.plan.wording import NOTES, PAGE, PAPER, SAID
from overlay.timeline.layout import lay_out
from overlay.timeline.model import Move, Timeline
from overlay.words.phrases import LANGUAGES, Phrases, phrases_of

# What is left and right in the six languages: any dictionary.
SIDES = {
    "en": ("left", "right"),
    "es": ("izquierda", "derecha"),
    "fr": ("gauche", "droite"),
    "de": ("links", "rechts"),
    "pt": ("esquerda", "direita"),
    "it": ("sinistra", "destra"),
}
EVERYWHERE = """\
overlay: 1
title: A
language: LANGUAGE
exercises:
  row:
    name: "Row {side}"
    setup: "setup {side} {other_side}"
    easier: "easier {side}"
    harder: "harder {other_side}"
    watch: "watch {side}"
    camera: "camera {side}"
    position: "position {other_side}"
    equipment: ["strap {side}"]
blocks:
  - id: one
    name: "Block {side}"
    side: right
    preview_cues: ["see {side}"]
    intervals: [{exercise: row, cues: ["now {other_side}"]}]
    rest_cues: ["rest {side}"]
  - {mirror: one, id: two}
closing: {length: 5s}
"""


def laid_out(text: str) -> Timeline:
    return lay_out(parse_plan(text.encode("utf-8"), "a.yaml")).timeline


def moves(timeline: Timeline) -> dict[str | None, Move]:
    return {segment.block: segment.move for segment in timeline.segments if segment.move}


@pytest.mark.parametrize("language", SIDES)
def test_side_words_in_every_field_and_language(language: str) -> None:
    """On the right and mirrored on the left, every text of a block and its exercises follows."""
    left, right = SIDES[language]
    timeline = laid_out(EVERYWHERE.replace("LANGUAGE", language))
    for block, side, other in (("one", right, left), ("two", left, right)):
        move = moves(timeline)[block]
        assert move.name == f"Row {side}"
        assert move.setup == f"setup {side} {other}"
        assert (move.easier, move.harder, move.watch) == (f"easier {side}", f"harder {other}", f"watch {side}")
        assert (move.camera, move.position, move.equipment) == (
            f"camera {side}",
            f"position {other}",
            (f"strap {side}",),
        )
        assert {segment.block_name for segment in timeline.segments if segment.block == block} == {f"Block {side}"}
        said = [cue.text for cue in timeline.cues if cue.block == block and cue.kind.value == "cue"]
        rest = [f"rest {side}"] if block == "one" else []
        assert said == [f"see {side}", f"now {other}", *rest]


def test_a_plan_gives_its_own_side_words() -> None:
    """As its grammar asks, a language each; what is not given stays."""
    own = "words: {left: {es: izquierdo}, right: {es: derecho}, rest: {en: Breathe}}\n"
    timeline = laid_out(EVERYWHERE.replace("LANGUAGE", "es") + own)
    assert moves(timeline)["one"].name == "Row derecho"
    assert moves(timeline)["two"].name == "Row izquierdo"
    assert timeline.phrases.rest == "Descanso"
    assert laid_out(EVERYWHERE.replace("LANGUAGE", "en") + own).phrases.rest == "Breathe"


def test_a_language_of_the_plans_own() -> None:
    """Where the tool has no words, the plan's are used, and nothing is called out in English."""
    text = EVERYWHERE.replace("LANGUAGE", "eu") + "words: {left: ezker, right: eskuin, work: Lana}\n"
    timeline = laid_out(text)
    assert moves(timeline)["one"].name == "Row eskuin"
    assert timeline.phrases.work == "Lana"
    assert all(cue.kind.value == "cue" for cue in timeline.cues)


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_language_has_every_word(language: str) -> None:
    """No word is missing or empty in any table, and the calls have their slots."""
    words = phrases_of(language)
    assert all(getattr(words, name) for name in SAID)
    assert "{next}" in (words.next_call or "")
    assert "{seconds}" in (words.last_call or "")
    assert (words.left, words.right) == SIDES[language]
    # Each caution tells to stop and to ask somebody who is trained for it.
    assert len(words.caution) > 200
    for table, names in (("paper", PAPER), ("page", PAGE), ("notes", NOTES)):
        assert set(getattr(words, table)) == set(names)
        assert all(getattr(words, table).values())


def test_what_a_plan_may_put_its_own_way_is_what_the_tool_says() -> None:
    """The plan's `words:` has every name of the tool's table, calls and caution aside."""
    assert {*SAID, "next_call", "last_call", "caution", "paper", "page", "notes"} == set(Phrases._fields)


def test_a_plan_puts_printed_words_differently() -> None:
    """The words of paper, page and notes follow the plan as those of the pictures do; a wrong name is found."""
    assert (
        laid_out(EVERYWHERE.replace("LANGUAGE", "en") + "words: {heading: Shots}\n").phrases.paper["heading"] == "Shots"
    )
    with pytest.raises(PlanError) as caught:
        laid_out(EVERYWHERE.replace("LANGUAGE", "en") + "words: {headding: Shots}\n")
    assert "headding" in caught.value.mistakes[0].message
    assert caught.value.mistakes[0].remedy == "Did you mean heading?"
