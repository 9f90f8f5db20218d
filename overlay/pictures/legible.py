"""Whether everything that a plan asks pictures and paper to show can be set: fonts, images, room.

Fonts and images are opened only where there is reason to look, so that proof-reading a plain class
loads neither.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from overlay.errors import PlanError
from overlay.plan.advice import Finding, Weight
from overlay.plan.look import Look
from overlay.plan.session import Session
from overlay.plan.source import Path_, Source
from overlay.plan.texts import texts_of
from overlay.timeline.model import Timeline
from overlay.timeline.printed import printed_texts

if TYPE_CHECKING:
    from overlay.pictures.fonts import Fonts

WIDEST_PLAIN_EM = 11.7
"""How wide a name, or what stands below it, may be to fit every picture in its least type."""
LONGEST_PLAIN = 99
"""Seconds of a segment that are counted in two digits."""
NARROW = frozenset(" .,:;!'-()0123456789abcdefghijklnopqrstuvxyz")
NARROW_EM, WIDE_EM = 0.68, 1.05
"""At most how wide these characters, and all others of Western Europe, are in the tool's bold font."""
MOST_PLAIN = 3
"""Exercises of that length that every preview has room for."""


def is_plain(session: Session, timeline: Timeline) -> bool:
    """Whether a class surely has nothing to look at: no fonts or images of its own, nothing but Western
    Europe's characters, the usual places, and names so short that no picture is too small for them."""
    # Made without the validator, which costs more than all that is looked at here.
    look, usual = session.look, Look.model_construct()
    places = (look.family, look.fonts, look.margin, look.timer, look.titles, look.previews, look.progress)
    if places != (None, (), usual.margin, usual.timer, usual.titles, usual.previews, usual.progress):
        return False
    if any(session.images()) or any(segment.card for segment in timeline.segments):
        return False
    return _is_western(printed_texts(timeline)) and _is_short(timeline)


def _is_short(timeline: Timeline) -> bool:
    texts = [timeline.title]
    for segment in timeline.segments:
        # A timer of minutes is wider, and leaves the title less.
        if len(segment.shows) > MOST_PLAIN or segment.duration > LONGEST_PLAIN:
            return False
        texts.append(segment.name or "")
        if segment.move is not None:
            texts += (segment.move.easier or "", ", ".join(segment.move.equipment))
    return max(map(widest_em, texts)) <= WIDEST_PLAIN_EM


def widest_em(text: str) -> float:
    """At most how wide a text is, told from its characters alone.

    >>> widest_em("Row"), widest_em("Make it smaller.")
    (2.78, 11.62)
    """
    narrow = sum(character in NARROW for character in text)
    return round(narrow * NARROW_EM + (len(text) - narrow) * WIDE_EM, 2)


def _is_western(texts: Iterable[str]) -> bool:
    other = {text for text in texts if not text.isascii()}
    return all(ord(character) < 0x17F or character in "’“”…–—" for text in other for character in text)


def bring(source: Source, session: Session, language: str) -> Fonts:
    """The fonts that the plan brings, in play with the tool's own; its images are looked at as well.

    Raises PlanError with the place of each file that cannot be used.
    """
    from overlay.pictures.fonts import fonts_named, fonts_of, usable_font
    from overlay.pictures.images import image_beside

    plan = Path(source.path)
    named: list[tuple[Path_, str, Callable[[Path, str, Path | None], object]]] = [
        *((("look", *way), name, usable_font) for way, name in fonts_named(session.look)),
        *((way, name, image_beside) for way, name in session.images()),
    ]
    mistakes = []
    for way, name, looked_at in named:
        try:
            looked_at(plan, name, source.root)
        except ValueError as error:
            mistakes.append(source.mistake_at(way, str(error)))
    if mistakes:
        raise PlanError(source.path, mistakes)
    return fonts_of(session.look, plan, language, source.root)


def refuse_missing(source: Source, timeline: Timeline, fonts: Fonts) -> None:
    """Raise PlanError with the place of each character that the fonts lack, before anything is drawn."""
    from overlay.pictures.fonts import missing_characters

    missing = missing_characters(printed_texts(timeline), fonts)
    if missing:
        remedy = "Write it with other characters, or name a font that has it under look: as fonts: [file.ttf]"
        raise PlanError(
            source.path,
            [source.mistake_at((), f"the fonts have no character {c} (U+{ord(c):04X})", remedy, at=c) for c in missing],
        )


def unprinted(source: Source, session: Session, drawn_in: str) -> dict[str, Finding]:
    """The other languages that the fonts lack characters of: everything but the script is made in them."""
    found: dict[str, Finding] = {}
    for language in session.language:
        if language == drawn_in:
            continue
        texts = [text.in_language(language, main=session.main_language) for _, text in texts_of(session)]
        if _is_western(texts):
            continue
        from overlay.pictures.fonts import missing_characters

        missing = missing_characters(texts, bring(source, session, language))
        if missing:
            text = f"no script is printed in {language}: the fonts have no character {missing[0]}"
            figures = (("missing_characters", float(len(missing))),)
            found[language] = Finding("script-left-out", Weight.FINDING, "plan", text, figures)
    return found
