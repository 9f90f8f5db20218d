"""The tool's own words in each language, and what a plan puts in their place."""

from __future__ import annotations

from collections.abc import Mapping
from importlib import import_module
from typing import NamedTuple

from overlay.plan.fields import Side
from overlay.plan.session import Session
from overlay.plan.wording import SAID

LANGUAGES = ("en", "es", "fr", "de", "pt", "it")
"""The languages that the tool has words for: one table each in `words/languages/`."""
_SAID = frozenset({*SAID, "next_call", "last_call", "caution"})


class Phrases(NamedTuple):
    """What the tool itself says, shows or prints in one language.

    `next_call` and `last_call` are said aloud; `{next}` and `{seconds}` are put in. Neither is
    there in a language that the tool has no words for. `paper`, `page` and `notes` are the words of
    the printed sheets, of the rehearsal page and of the notes, by name, as their templates take them.
    """

    left: str
    right: str
    next_call: str | None
    last_call: str | None
    opening: str
    preview: str
    work: str
    rest: str
    closing: str
    leader: str
    next: str
    round: str
    rounds: str
    of: str
    easier: str
    needed: str
    caution: str
    paper: Mapping[str, str]
    page: Mapping[str, str]
    notes: Mapping[str, str]

    def side(self, side: Side) -> str:
        """The word for a side.

        >>> phrases_of("es").side(Side.LEFT)
        'izquierda'
        """
        return self.left if side is Side.LEFT else self.right


def phrases_of(language: str) -> Phrases:
    """The tool's own words in a language (`pt-BR` is served by `pt`).

    Where it has none they are English, and nothing is said aloud.

    >>> phrases_of("de-CH").rest, phrases_of("eu").rest, phrases_of("eu").next_call
    ('Pause', 'Rest', None)
    """
    known = language.partition("-")[0]
    table = import_module(f"overlay.words.languages.{known if known in LANGUAGES else LANGUAGES[0]}")
    phrases = Phrases(**table.SAID, paper=table.PAPER, page=table.PAGE, notes=table.NOTES)
    return phrases if known in LANGUAGES else phrases._replace(next_call=None, last_call=None)


def phrases_for(session: Session, language: str) -> Phrases:
    """The words for a class: what the plan writes in this language, and the tool's own for the rest."""
    calls = session.calls
    written = {**session.words, "next_call": calls.next, "last_call": calls.last, "caution": session.caution}
    own: dict[str, str | None] = {}
    for name, text in written.items():
        words = text.find(language, main=session.main_language) if text is not None else None
        if words is not None:
            own[name] = words
    for name, is_said in (("next_call", calls.says_next()), ("last_call", calls.says_last())):
        if not is_said:
            own[name] = None
    phrases = phrases_of(language)
    said = {name: text for name, text in own.items() if name in _SAID}
    tables = {
        table: {**words, **{name: own[name] for name in words if name in own}}
        for table, words in (("paper", phrases.paper), ("page", phrases.page), ("notes", phrases.notes))
    }
    return phrases._replace(**said, **tables) if own else phrases  # type: ignore[arg-type]  # only calls may be None
