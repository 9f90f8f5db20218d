"""Plans that slipped: characters dropped, doubled, swapped, lines moved. Never a traceback."""

from __future__ import annotations

import os
import random

from overlay.errors import Mistake, PlanError
from overlay.plan.advice import plan_advice
from overlay.plan.read import session_of
from overlay.plan.source import parse_source
from overlay.timeline.check import check_class
from overlay.timeline.layout import lay_out

RUNS = int(os.environ.get("OVERLAY_MANGLED_PLANS", "2000"))
PLAN = """\
overlay: 1
title: "A class: short"
language: [en, es]
timing: {work: 40s, rest: 1:30}
exercises:
  row: {name: {en: Row, es: Remo}, hands: loaded, equipment: [long band]}
opening: {length: 8s, cues: [Hello.]}
blocks:
  - id: one
    name: Pull, {side}
    side: right
    rounds: 2
    intervals:
      - exercise: row
        work: 20s
        cues:
          - Sit tall.
          - {at: -8s, say: "Two more, {side}."}
          - {round: 2, say: Same again.}
      - {name: Hold, work: 9s}
    rest_cues: ['Don''t stop.']
  - {mirror: one, id: two}
calls: {last: none}
"""
SLIPS = list("{}[]:,#&*!|>'\"%@`-\t \n~?")


def mangled(random_: random.Random) -> str:
    """The plan with one to four slips of a hand."""
    text = PLAN
    for _ in range(random_.randint(1, 4)):
        lines = text.splitlines(keepends=True)
        at = random_.randrange(len(text)) if text else 0
        match random_.randrange(6):
            case 0:
                text = text[:at] + text[at + 1 :]
            case 1:
                text = text[:at] + text[at : at + 1] * 2 + text[at + 1 :]
            case 2:
                text = text[:at] + text[at + 1 : at + 2] + text[at : at + 1] + text[at + 2 :]
            case 3:
                text = text[:at] + random_.choice(SLIPS) + text[at + 1 :]
            case 4 if len(lines) > 1:
                line = lines.pop(random_.randrange(len(lines)))
                lines.insert(random_.randrange(len(lines) + 1), line)
                text = "".join(lines)
            case _:
                text = text[:at] + random_.choice(SLIPS) + text[at:]
    return text


def test_mangled_plans_read_or_are_refused() -> None:
    """Each ends in a class that is checked, or in mistakes that have a place and a message."""
    random_ = random.Random(20)
    refused = 0
    for _ in range(RUNS):
        text = mangled(random_)
        mistakes = read_and_check(text)
        refused += bool(mistakes)
        for mistake in mistakes:
            assert mistake.message
            assert 0 <= mistake.line <= text.count("\n") + 2, (text, mistake)
    assert 0.3 * RUNS < refused < RUNS


def read_and_check(text: str) -> tuple[Mistake, ...]:
    """What is wrong with a plan; nothing for a class that could be laid out and checked."""
    try:
        source = parse_source(text.encode("utf-8"), "a.yaml")
        session = session_of(source)
    except PlanError as error:
        return error.mistakes
    plan_advice(session, source)
    check_class(session, lay_out(session))
    return ()
