"""What is written for people: nothing missing, nothing left open, one page."""

from __future__ import annotations

from pathlib import Path

import pytest

from overlay.handoff.chapters import chapters_txt
from overlay.handoff.notes import WIDTH, description_text, editor_notes
from overlay.plan.read import parse_plan, read_plan
from overlay.plan.session import Session
from overlay.timeline.layout import lay_out
from overlay.words.phrases import LANGUAGES, phrases_of

DEMO = Path(__file__).parents[2] / "demo" / "desk-break.yaml"
LAYERS = ["timer", "titles", "previews", "progress"]
LINES_A_PAGE = 60
"""Lines of a page of plain text, common practice, no source."""


def of(session: Session) -> str:
    return editor_notes(lay_out(session).timeline, session.tones, LAYERS)


def plan(text: str) -> Session:
    return parse_plan(f"overlay: 1\ntitle: A\nblocks: [{{intervals: [{{name: B}}]}}]\n{text}".encode(), "a.yaml")


def test_the_description_tells_the_class() -> None:
    """Title, length, work, what is needed, blocks with times, and the caution."""
    timeline = lay_out(read_plan(DEMO)).timeline
    text = description_text(timeline)
    for wanted in (
        timeline.title,
        "11:58",
        "6 blocks",
        "7:30 of work",
        "chair, desk, long band",
        chapters_txt(timeline),
        timeline.phrases.caution,
    ):
        assert wanted in text


def test_the_plans_own_caution_or_none() -> None:
    """What the plan writes instead, and nothing where it is empty."""
    assert description_text(lay_out(plan("caution: Mind your head.")).timeline).endswith("\n\nMind your head.\n")
    assert "Stop if you feel" not in description_text(lay_out(plan('caution: ""')).timeline)


def test_the_notes_tell_what_an_editor_asks() -> None:
    """Size, rate, labels, straight alpha, how loud, the sync pop or none, what to do and what to check."""
    text = " ".join(of(read_plan(DEMO)).split())
    for wanted in (
        "1920 × 1080, 29.97 fps, drop-frame",
        "01:00:00;00",
        "21518 frames",
        "straight alpha",
        "-18 LUFS",
        "-6 dBTP",
        "There is no sync pop",
        "overlay build PLAN --plain-mov",
        "overlay verify PLAN CUT",
        *(f"pictures/{layer}.mov" for layer in LAYERS),
    ):
        assert wanted in text


def test_a_leader_is_told_with_its_label() -> None:
    """The pop stands two seconds before class zero: with three seconds of leader, at one second."""
    text = " ".join(of(plan("tones: {leader: true}")).split())
    assert "at 00:00:01:00 a tone of one frame" in text
    assert "the class begins at 00:00:03:00" in text
    assert "no sync pop" not in text


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("more", ["", "tones: {leader: true}\n"])
def test_every_language_fits_one_page(language: str, more: str) -> None:
    """No slot left open, no line too wide, at most a page."""
    text = of(plan(f"language: {language}\n{more}"))
    described = description_text(lay_out(plan(f"language: {language}\n{more}")).timeline)
    assert "{" not in text + described
    assert max(map(len, text.splitlines())) <= WIDTH
    assert len(text.splitlines()) <= LINES_A_PAGE
    assert phrases_of(language).notes["notes_files"] in text
