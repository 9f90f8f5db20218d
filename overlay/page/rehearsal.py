"""The rehearsal page as one HTML file: template, style and scripts put together with the class's data.

Nothing of a plan is markup: words in the template are escaped, and the class stands in a block of JSON
whose `<` are written as escapes. The page's Content-Security-Policy names its own style and script by
their sums and forbids everything else, so that not even a fault of ours could load or send anything.
"""

from __future__ import annotations

import base64
import hashlib
import json
import re
from collections.abc import Callable, Mapping, Sequence
from html import escape
from importlib import resources
from string import Template
from typing import Any

from overlay.page.data import class_data
from overlay.page.faces import face_rules
from overlay.plan.advice import Finding
from overlay.plan.look import Look
from overlay.timeline.layout import Layout

_SCRIPTS = ("clock.js", "beeps.js", "player.js", "store.js", "strip.js", "now.js", "list.js", "main.js")
"""The ES modules of this room, each after those that it imports from."""
_LIVE_SCRIPT = "live.js"
_RIGHT_TO_LEFT = frozenset({"ar", "arc", "ckb", "dv", "fa", "he", "ks", "ps", "sd", "ug", "ur", "yi"})
_RIGHT_TO_LEFT_SCRIPTS = frozenset({"Adlm", "Arab", "Hebr", "Nkoo", "Rohg", "Syrc", "Thaa"})
_IMPORT = re.compile(r"^import [^;]*;\n", re.MULTILINE)


def rehearsal_page(
    layout: Layout,
    look: Look,
    sounds: Mapping[str, Mapping[str, Any]],
    findings: Sequence[Finding],
    *,
    version: str | None = None,
    faces: Callable[[str], str] = face_rules,
) -> str:
    """The page of a class. The same class gives the same text.

    `sounds` are the figures of each kind of beep (`tones/track.py`, `beep_figures`). With a `version`
    the page listens to the server that it came from, and to nothing else; without, to nothing at all.
    `faces` is `face_rules`, or what remembers its answers.
    """
    timeline = layout.timeline
    phrases = timeline.phrases
    data = class_data(layout, sounds, findings, version=version)
    style = _colors(look) + faces(_texts(data)) + _part("rehearsal.css")
    script = page_script(is_live=version is not None)
    words = {**phrases.page, "next": phrases.next, "easier": phrases.easier, "needed": phrases.needed}
    return Template(_part("rehearsal.html")).substitute(
        {f"word_{name}": escape(word) for name, word in words.items()},
        language=escape(timeline.language),
        direction=text_direction(timeline.language),
        title=escape(timeline.title),
        caution=escape(phrases.caution),
        policy=escape(_policy(style, script, is_live=version is not None)),
        style=style,
        script=script,
        data=_json_in_html(data),
    )


def page_script(*, is_live: bool = False) -> str:
    """The page's modules as one: each is plain ES, and what one imports from another stands above it."""
    names = (*_SCRIPTS, _LIVE_SCRIPT) if is_live else _SCRIPTS
    return "\n" + "\n".join(_IMPORT.sub("", _part(name)) for name in names)


def text_direction(language: str) -> str:
    """`rtl` for a language that is written from right to left (BCP 47 tag), else `ltr`.

    >>> text_direction("he"), text_direction("uz-Arab"), text_direction("en-GB")
    ('rtl', 'rtl', 'ltr')
    """
    first, *others = language.split("-")
    scripts = {part.title() for part in others if len(part) == 4 and part.isalpha()}
    runs_left = bool(scripts & _RIGHT_TO_LEFT_SCRIPTS) if scripts else first in _RIGHT_TO_LEFT
    return "rtl" if runs_left else "ltr"


def _part(name: str) -> str:
    return (resources.files(__package__) / name).read_text("utf-8")


def _colors(look: Look) -> str:
    """The class's colours; text is never set in them, so that a plan cannot make it unreadable."""
    return f":root{{--work:{look.work};--rest:{look.rest};--preview:{look.preview}}}\n"


def _texts(data: Mapping[str, Any]) -> str:
    return json.dumps([data[part] for part in ("title", "words", "moves", "segments", "lines")], ensure_ascii=False)


def _json_in_html(data: Mapping[str, Any]) -> str:
    """JSON that can stand in a script element: no `<` ends it (HTML, 4.12.1.3)."""
    return json.dumps(data, ensure_ascii=False, separators=(",", ":")).replace("<", "\\u003c")


def _policy(style: str, script: str, *, is_live: bool) -> str:
    """A Content-Security-Policy (W3C CSP 3). Fonts and the icon stand in the page as data."""
    rules = {
        "default-src": "'none'",
        "script-src": _sum(script),
        "style-src": _sum(style),
        "font-src": "data:",
        "img-src": "data:",
        "base-uri": "'none'",
        "form-action": "'none'",
    }
    if is_live:
        rules["connect-src"] = "'self'"
    return "; ".join(f"{name} {value}" for name, value in rules.items())


def _sum(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode('utf-8')).digest()).decode('ascii')}'"
