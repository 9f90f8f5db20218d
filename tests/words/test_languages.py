"""The tool's own words: the same in every language, and what a plan may put in their place."""

from __future__ import annotations

import re

import pytest

from overlay.errors import PlanError
from overlay.plan.read import parse_plan
from overlay.plan.wording import NOTES, PAGE, PAPER, SLOTS
from overlay.timeline.layout import lay_out
from overlay.words.phrases import LANGUAGES, phrases_of

SLOT = re.compile(r"{(\w+)}")
PLAN = "overlay: 1\ntitle: A\nblocks: [{intervals: [{name: B}]}]\n"


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_table_has_the_same_words_and_slots(language: str) -> None:
    """Each name once, each word with the slots that the tool fills, and no other brace."""
    phrases = phrases_of(language)
    for table, names in ((phrases.paper, PAPER), (phrases.notes, NOTES), (phrases.page, PAGE)):
        assert set(table) == set(names)
        for name, word in table.items():
            assert set(SLOT.findall(word)) == SLOTS.get(name, frozenset()), name
            assert not re.search("[{}]", SLOT.sub("", word)), name
            assert word.strip() == word != ""


def test_a_plan_puts_words_with_slots_its_own_way() -> None:
    """In the slots that the word has; any other is a mistake with its place."""
    session = parse_plan(f'{PLAN}words: {{page_of: "{{page}}/{{pages}}"}}'.encode(), "a.yaml")
    assert lay_out(session).timeline.phrases.paper["page_of"] == "{page}/{pages}"
    with pytest.raises(PlanError, match=r"a\.yaml:4:.*{paper} stands for nothing here"):
        parse_plan(f'{PLAN}words: {{page_of: "{{paper}}"}}'.encode(), "a.yaml")
