"""What can only be noticed once words are set: names and cards that no type that can be read holds."""

from __future__ import annotations

from collections.abc import Iterator

from overlay.pictures.cards import set_full
from overlay.pictures.fonts import SHIPPED, Fonts
from overlay.pictures.previews import set_card
from overlay.pictures.scheme import class_scheme
from overlay.pictures.titles import set_title
from overlay.plan.advice import Finding, Weight
from overlay.plan.look import Look
from overlay.timeline.changes import CardState, PreviewState, card_changes, title_changes
from overlay.timeline.model import Timeline


def picture_findings(timeline: Timeline, look: Look, fonts: Fonts = SHIPPED) -> Iterator[Finding]:
    """Every title, preview and card that cannot show all its words, once each."""
    scheme, seen = class_scheme(timeline, look, fonts), set()
    if look.titles.show:
        for frame, state in title_changes(timeline):
            if state.name and state not in seen and set_title(state, scheme, timeline.phrases).is_cut:
                place = f"title at {timeline.frame_to_label(frame)}"
                text = f"“{_short(state.name)}” and what stands below it do not fit: shorten them"
                yield Finding("title-too-long", Weight.FINDING, place, text)
            seen.add(state)
    if not look.previews.show:
        return
    told: set[object] = set()
    for frame, card in card_changes(timeline):
        key = (card.name, card.shows) if isinstance(card, PreviewState) else card
        if card is None or key in told:
            continue
        told.add(key)
        if isinstance(card, CardState):
            if set_full(card, timeline, scheme).is_cut:
                text = "title, equipment and caution do not fit one picture: shorten them, or leave the card out"
                yield Finding("card-too-full", Weight.FINDING, f"card at {timeline.frame_to_label(frame)}", text)
        elif left_out := set_card(card, scheme, look, timeline.phrases).rows.left_out:
            text = f"the preview has no room for {left_out} of {len(card.shows)} exercises"
            place = f"preview at {timeline.frame_to_label(frame)}"
            yield Finding("card-too-full", Weight.FINDING, place, text, (("left_out", float(left_out)),))


def _short(text: str) -> str:
    return text if len(text) <= 60 else f"{text[:59]}…"
