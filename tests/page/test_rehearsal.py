"""The page as a file: what is in it, what may run in it, how heavy it is."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from collections.abc import Callable
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

from overlay.page.rehearsal import page_script, rehearsal_page, text_direction
from overlay.pipeline import rehearsal
from overlay.plan.look import Look
from overlay.plan.read import parse_plan
from overlay.timeline.layout import lay_out
from overlay.words.phrases import LANGUAGES, phrases_of

DEMO = Path(__file__).parents[2] / "demo" / "desk-break.yaml"
SMALL = "overlay: 1\ntitle: TITLE\nlanguage: en\nblocks: [{intervals: [{name: A}]}]\n"
HOSTILE = "</script><script>alert(1)</script></title><style>*</style><!-- $title &amp; ' \\\""


class Parts(HTMLParser):
    """What a general HTML parser finds: elements with their attributes, and the text of each script and style."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.texts: dict[str, list[str]] = {}
        self._inside = ""
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        self._inside = tag
        if tag in ("script", "style", "title"):
            self.texts.setdefault(tag, []).append("")

    def handle_data(self, data: str) -> None:
        if self._inside in self.texts:
            self.texts[self._inside][-1] += data

    def handle_endtag(self, tag: str) -> None:
        self._inside = ""

    def attribute(self, tag: str, name: str, **others: str) -> str:
        """An attribute of the first element of a kind that has others."""
        return next(
            str(attributes[name])
            for found, attributes in self.elements
            if found == tag and all(attributes.get(key.replace("_", "-")) == value for key, value in others.items())
        )


def page(plan: str, **options: Any) -> str:
    layout = lay_out(parse_plan(plan.encode("utf-8"), "a.yaml"))
    return rehearsal_page(layout, Look.model_construct(), {}, (), **options)


def policy_of(parts: Parts) -> dict[str, str]:
    policy = parts.attribute("meta", "content", http_equiv="Content-Security-Policy")
    return {name: value for name, _, value in (rule.strip().partition(" ") for rule in policy.split(";"))}


def sum_of(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode('utf-8')).digest()).decode()}'"


def test_the_policy_allows_the_pages_own_parts_and_no_network() -> None:
    """W3C CSP 3: everything is forbidden but the one style and the one script, by their sums, and data in the page."""
    parts = Parts(page(SMALL))
    style = parts.texts["style"][0]
    _data, script = parts.texts["script"]
    assert policy_of(parts) == {
        "default-src": "'none'",
        "script-src": sum_of(script),
        "style-src": sum_of(style),
        "font-src": "data:",
        "img-src": "data:",
        "base-uri": "'none'",
        "form-action": "'none'",
    }
    tags = [tag for tag, _ in parts.elements]
    assert (tags.count("script"), tags.count("style")) == (2, 1)
    assert not [name for _, attributes in parts.elements for name in attributes if name.startswith("on")]
    assert not [1 for _, attributes in parts.elements if "style" in attributes]


def test_only_a_served_page_listens() -> None:
    """With a version the page may talk to the server it came from; the built file has no such part at all."""
    served, built = page(SMALL, version="abc"), page(SMALL)
    assert policy_of(Parts(served))["connect-src"] == "'self'"
    assert "EventSource" in served
    assert "EventSource" not in built
    assert not re.search(r"fetch\(|XMLHttpRequest|WebSocket|sendBeacon|import\(", built)


def test_hostile_words_stay_words() -> None:
    """A general HTML parser finds the same elements as for a harmless title, and the title letter by letter."""
    harmless, hostile = Parts(page(SMALL)), Parts(page(SMALL.replace("TITLE", f'"{HOSTILE}"')))
    title = HOSTILE.replace('\\"', '"')
    assert [tag for tag, _ in hostile.elements] == [tag for tag, _ in harmless.elements]
    assert hostile.texts["title"][0].startswith(title)
    assert json.loads(hostile.texts["script"][0])["title"] == title


def test_scripts_are_modules_put_together() -> None:
    """Each module of the room is in the page, no import is left, and nothing in them could end the script."""
    folder = Path(__file__).parents[2] / "overlay" / "page"
    script = page_script(is_live=True)
    assert not re.search(r"^\s*import\b", script, re.MULTILINE)
    for module in folder.glob("*.js"):
        own = re.sub(r"^import [^;]*;\n", "", module.read_text("utf-8"), flags=re.MULTILINE)
        assert own in script, module.name
        for names, source in re.findall(
            r"^import \{(.*?)\} from \"\./(.*?)\";$", module.read_text("utf-8"), re.MULTILINE
        ):
            exported = (folder / source).read_text("utf-8")
            assert all(
                re.search(rf"^export (class|function) {n.strip()}\b", exported, re.MULTILINE) for n in names.split(",")
            )
            assert script.index(exported.splitlines()[0]) < script.index(own.splitlines()[0])
    assert "</script" not in script
    assert "<!--" not in script


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_page_speaks_the_plans_language(language: str) -> None:
    """`lang` is the plan's, and every word of the page's table is in the page."""
    text = page(SMALL.replace("language: en", f"language: {language}"))
    parts = Parts(text)
    assert (parts.attribute("html", "lang"), parts.attribute("html", "dir")) == (language, "ltr")
    words = json.loads(parts.texts["script"][0])["words"]
    own = phrases_of(language)
    assert {name: words[name] for name in own.page} == dict(own.page)
    assert "$word" not in text


def test_slots_of_the_pages_words_are_kept_in_every_language() -> None:
    """Words with a slot have it in every language."""
    for language in LANGUAGES:
        words = phrases_of(language).page
        slots = {name: sorted(re.findall(r"{\w+}", word)) for name, word in words.items()}
        assert slots == {name: sorted(re.findall(r"{\w+}", word)) for name, word in phrases_of("en").page.items()}


@pytest.mark.parametrize(
    ("language", "direction"),
    # ISO 639 languages and ISO 15924 scripts that run from right to left: the CLDR's, from memory.
    [
        ("ar", "rtl"),
        ("he-IL", "rtl"),
        ("fa", "rtl"),
        ("ur-PK", "rtl"),
        ("az-Arab", "rtl"),
        ("ks-Deva", "ltr"),
        ("tr", "ltr"),
    ],
)
def test_direction(language: str, direction: str) -> None:
    """The page of a language from right to left says so."""
    assert text_direction(language) == direction
    assert Parts(page(SMALL.replace("language: en", f"language: {language}"))).attribute("html", "dir") == direction


def test_the_caution_stands_on_the_page() -> None:
    """The usual caution, and the plan's own instead of it."""
    assert "ask a doctor or a qualified instructor" in page(SMALL)
    assert "Mind &lt;yourself&gt;." in page(SMALL + "caution: Mind <yourself>.\n")


def test_the_same_class_gives_the_same_page() -> None:
    """Byte for byte."""
    assert rehearsal(DEMO) == rehearsal(DEMO)
    assert page(SMALL) == page(SMALL)


def test_an_hour_is_light(page_of: Callable[[str | Path], Path]) -> None:
    """Under 300 KB for an hour's class with words all along, in two languages."""
    cue = "{en: Press the floor away and keep the ribs down., es: Empuja el suelo y baja las costillas.}"
    easier = "{en: Half the depth., es: La mitad.}"
    interval = f"{{name: {{en: Split squat, es: Sentadilla}}, easier: {easier}, cues: [{cue}, {cue}, {cue}]}}"
    blocks = ", ".join(
        f"{{id: b{n}, side: right, rounds: 2, intervals: [{', '.join([interval] * 4)}]}}" for n in range(9)
    )
    plan = "overlay: 1\ntitle: {en: An hour, es: Una hora}\nlanguage: [en, es]\n"
    plan += f"timing: {{work: 36s, rest: 12s}}\nblocks: [{blocks}]\n"
    html = page_of(plan)
    data = json.loads(Parts(html.read_text("utf-8")).texts["script"][0])
    assert data["segments"][-1]["end_s"] > 3500
    assert len(data["lines"]) > 200
    assert html.stat().st_size < 300_000
