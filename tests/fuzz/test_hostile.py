"""Texts that are code, markup, formulas, paths or a format of somebody's: they come out as text, and whole."""

from __future__ import annotations

import csv
import io
import json
import re
import runpy
import subprocess
import sys
import unicodedata
import xml.etree.ElementTree as ET
from html.parser import HTMLParser
from pathlib import Path
from types import SimpleNamespace

import pytest
import srt
import webvtt

from overlay.folder.names import file_name
from overlay.pipeline import build

plans = SimpleNamespace(**runpy.run_path(str(Path(__file__).with_name("plans.py"))))
TEXTS: list[str] = [text for text in plans.HOSTILE if text not in ("null", "~")]
HEAD = {"overlay": "1", "video": {"size": "640x360", "frame_rate": "25"}, "timing": {"work": "30s", "preview": "6s"}}
TTML = "{http://www.w3.org/ns/ttml}"


def plan_of(texts: list[str]) -> str:
    """Every text as a title, a name, and a cue."""
    blocks = [
        {"id": f"b{number}", "name": text, "intervals": [{"name": text, "setup": text, "cues": [text]}]}
        for number, text in enumerate(texts)
    ]
    return json.dumps({**HEAD, "title": texts[0], "caution": texts[1], "blocks": blocks}, ensure_ascii=False)


@pytest.fixture(scope="module")
def made() -> dict[str, str]:
    """Every text output of a class that is full of them."""
    texts: dict[str, str] | None = plans.written_by(plan_of(TEXTS).encode("utf-8"), page=True)
    assert texts
    return texts


def squeezed(text: str) -> str:
    # An arrow of two dashes would be read as the line of times (overlay/captions/caption.py).
    return re.sub(r"\s+", "", unicodedata.normalize("NFC", text)).replace("-->", "→")


def test_captions_hold_every_word(made: dict[str, str]) -> None:
    """Read back by srt, webvtt-py and ElementTree: as many captions as cues, and every cue's words."""
    cues = [cue["text"] for cue in json.loads(made["timeline.json"])["cues"]]
    root = ET.fromstring(made["en.ttml"])
    ttml = ["".join(p.itertext()) for p in root.iter(f"{TTML}p")]
    for found in (
        [each.content for each in srt.parse(made["en.srt"])],
        [re.sub(r"&(lt|gt|amp|lrm|rlm|nbsp);", _entity, each.text) for each in webvtt.from_string(made["en.vtt"])],
        ttml,
    ):
        assert len(found) == len(cues)
        said = squeezed("".join(found))
        assert [text for text in TEXTS if squeezed(text) not in said and len(text) < 37] == []


def _entity(match: re.Match[str]) -> str:
    return {"lt": "<", "gt": ">", "amp": "&"}.get(match[1], "")


class Tags(HTMLParser):
    """The elements of a page, and their attributes that do something."""

    def __init__(self) -> None:
        super().__init__()
        self.scripts, self.active = 0, list[str]()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.scripts += tag == "script"
        self.active += [f"{tag} {name}" for name, _ in attrs if name.startswith("on")]
        self.active += [tag] if tag in ("img", "iframe", "object", "embed", "base") else []


def test_the_page_holds_no_element_of_a_plan(made: dict[str, str]) -> None:
    """As many scripts as the page of a harmless class, nothing else that acts."""
    counts = []
    harmless = plans.written_by(plan_of(["Row", "Press"]).encode(), page=True)
    for page in (made["rehearsal.html"], harmless["rehearsal.html"]):
        tags = Tags()
        tags.feed(page)
        counts.append((tags.scripts, tags.active))
    assert counts[0] == counts[1]
    assert counts[0][1] == []


def test_a_spreadsheet_reads_no_formula(made: dict[str, str]) -> None:
    """No cell begins with what a spreadsheet would work out (OWASP, CSV Injection), and none is lost."""
    rows = list(csv.reader(io.StringIO(made["markers.csv"])))
    assert len({len(row) for row in rows}) == 1
    assert [cell for row in rows for cell in row if cell.startswith(("=", "+", "-", "@", "\t", "\r"))] == []


def test_other_programs_files_keep_their_form(made: dict[str, str]) -> None:
    """OTIO is JSON, an edit list has one head, chapters count as the blocks do, and no text has a control character."""
    assert json.loads(made["class.otio"])["OTIO_SCHEMA"].startswith("Timeline.")
    for name, text in made.items():
        if name.endswith(".edl"):
            lines = text.splitlines()
            assert sum(line.startswith("TITLE:") for line in lines) == 1
            assert sum(line.startswith("FCM:") for line in lines) == 1
            assert all(re.match(r"TITLE:|FCM:|\d+ |\*|M2|$", line) for line in lines)
        assert [c for c in text if ord(c) < 32 and c not in "\n\r\t"] == [], name
        assert not {"\x7f", "\x9b", "\u202e"} & set(text), name
    assert made["chapters.ffmetadata"].count("[CHAPTER]\n") == made["chapters.vtt"].count(" --> ")


@pytest.mark.parametrize("text", TEXTS)
def test_names_of_files_lead_nowhere(text: str) -> None:
    """Plain letters only: no folder, no drive, no name that Windows keeps for itself."""
    assert re.fullmatch(r"[a-z0-9-]{1,70}", file_name(text))


def test_paper_and_pictures_print_them_as_they_are(tmp_path: Path) -> None:
    """pypdf finds code as text in the script; nothing is run and nothing leaves the folder."""
    from pypdf import PdfReader

    texts = [text for text in TEXTS if text.isascii()]
    plan = tmp_path / "a.yaml"
    plan.write_text(plan_of(texts), encoding="utf-8")
    built = build(plan, only=["script", "shot-list"])
    printed = squeezed("".join(page.extract_text() for page in PdfReader(built.folder / "paper" / "script.pdf").pages))
    for text in ("#set page(width: 1pt)", "*bold* _it_ $x$ @ref <label>", "<script>alert(1)</script>"):
        assert squeezed(text) in printed
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a-assets", "a.yaml"]


NAMES = [
    "a b 'c' \"d\" %20%s.yaml",
    "💪🏽 שיעור.yaml",
    "-leading.yaml",
    f"{'x' * 200}.yaml",
    "aux.yaml",
    "a;$(touch x).yaml",
]


@pytest.mark.skipif(sys.platform == "win32", reason="Windows does not take all of these names")
@pytest.mark.parametrize("name", NAMES)
def test_plans_of_any_name(name: str, tmp_path: Path) -> None:
    """A plan's folder stands beside it whatever it is called; by a relative path, and through a link."""
    folder = tmp_path / "of the 'plan' %d"
    folder.mkdir()
    (folder / name).write_text(plan_of(["Row", "Press"]), encoding="utf-8")
    (tmp_path / "link").symlink_to(folder)
    built = build(tmp_path / "link" / name, only=["captions", "shot-list"])
    assert built.folder.resolve() == (folder / f"{name.removesuffix('.yaml')}-assets").resolve()
    assert sorted(path.name for path in folder.iterdir()) == sorted([name, built.folder.name])
    paths = [path.relative_to(built.folder).as_posix() for path in built.folder.rglob("*")]
    assert [path for path in paths if not re.fullmatch(r"[a-zA-Z0-9./-]{1,100}", path)] == []


def test_the_terminal_shows_no_escape_of_a_plan(tmp_path: Path) -> None:
    """A plan that moves the cursor or sets the window's title is refused, and shown without doing so."""
    plan = tmp_path / "a.yaml"
    for text in plans.UNPRINTABLE[:8]:
        plan.write_text(plan_of([text, text]), encoding="utf-8")
        command = [sys.executable, "-m", "overlay", "check", str(plan)]
        ended = subprocess.run(command, capture_output=True, text=True, encoding="utf-8")
        assert "Traceback" not in ended.stderr
        assert not {"\x1b", "\x9b", "\x07", "\x08", "\u202e"} & set(ended.stdout + ended.stderr), repr(text)


def test_a_class_out_of_all_measure(tmp_path: Path) -> None:
    """Too long, too many, too large: each is refused by the name of its limit."""
    many = [{"id": f"b{n}", "rounds": "20", "intervals": [{"name": "Row"}, {"name": "B"}]} for n in range(300)]
    long = [{"intervals": [{"name": "B", "work": "25h"}]}]
    refused = {
        "the most": {**HEAD, "title": "A", "blocks": many},
        "is the most here": {**HEAD, "title": "x" * 5000, "blocks": [{"intervals": [{"name": "Row"}]}]},
        "the longest class that is made": {**HEAD, "title": "A", "blocks": long},
    }
    for words, plan in refused.items():
        with pytest.raises(plans.PlanError, match=words):
            plans.session_of(plans.parse_source(json.dumps(plan).encode(), "a.yaml"))


def test_every_text_has_a_limit(tmp_path: Path) -> None:
    """A text of 5,001 letters is refused where it stands, by the limit's number, in every place that takes one."""
    long, notes = "x" * 5001, ("name", "setup", "easier", "harder", "watch", "camera", "position", "equipment")
    block: dict[str, object] = {"id": "b", "side": "right", "intervals": [{"name": "Row"}]}
    wrong: list[dict[str, object]] = [
        {"title": long}, {"title": {"en": long}}, {"caution": long}, {"calls": {"next": long}},
        {"calls": {"last": long}}, {"words": {"left": long}}, {"exercises": {"x" * 300: {"name": "Row"}}},
        {"opening": {"length": "9s", "cues": [long]}}, {"closing": {"length": "9s", "cues": [long]}},
        *({"exercises": {"row": {"name": "Row", note: long}}} for note in notes),
        *({"blocks": [{**block, key: long}]} for key in ("id", "name")),
        *({"blocks": [{**block, key: [long]}]} for key in ("preview_cues", "rest_cues")),
        *({"blocks": [{**block, "intervals": [{"name": "Row", note: long}]}]} for note in notes),
        *({"blocks": [{**block, "intervals": [{"name": "Row", "cues": [cue]}]}]} for cue in (long, {"say": long})),
    ]  # fmt: skip
    for keys in wrong:
        plan = {"overlay": "1", "title": "A", "blocks": [block], **keys}
        with pytest.raises(plans.PlanError) as refused:
            plans.session_of(plans.parse_source(json.dumps(plan).encode(), "a.yaml"))
        told = [mistake.message for mistake in refused.value.mistakes]
        assert [message for message in told if "is the most here" in message], (list(keys), told)
