"""`series.html` and `series.csv`: what they say of a series, and that nothing of a plan is more than words in them."""

from __future__ import annotations

import csv
import io
import shutil
import subprocess
import sys
from collections.abc import Callable
from fractions import Fraction
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

from overlay.errors import UsageError
from overlay.series.overview import survey, write_overview
from overlay.series.survey import exercises_of, repeated_lines
from overlay.series.table import COLUMNS

HOSTILE = """\
overlay: 1
title: "</title><script>alert(1)</script> $figures &amp; 'q' <!--"
exercises: {evil: {name: "=HYPERLINK(1)<img src=x onerror=alert(2)>", hands: free, equipment: ["<b>", "+1"]}}
blocks: [{name: "</dl>", intervals: [{exercise: evil, cues: ["@Say <i>this</i> again.", Same words.]}]}]
"""
FIRST = """\
overlay: 1
title: One
timing: {work: 30s, preview: 10s}
exercises: {row: {name: Band row, hands: free, equipment: [band]}, hold: {name: Hold, hands: free}}
blocks:
  - {id: a, side: right, rounds: 2, intervals: [{exercise: row, cues: [Stand tall.]}, hold]}
  - {mirror: a, id: b}
  - {intervals: [{name: Wall hold, work: 45s, cues: [Only here.]}]}
"""
SECOND = """\
overlay: 1
title: Two
timing: {work: 20s, preview: 10s}
exercises: {row: {name: Band row, hands: free, equipment: [band]}}
blocks: [{intervals: [{exercise: row, cues: [stand  TALL.]}, {name: Press, cues: [Breathe.]}]}]
"""
SIZES = {"phone": (390, 844), "narrow": (320, 568), "laptop": (1440, 900)}


class Tags(HTMLParser):
    """The elements of a page with their attributes, by a general parser."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))


def overview(folder: Path, **plans: str) -> Path:
    """A folder with these plans and their overview."""
    folder.mkdir(exist_ok=True)
    for name, text in plans.items():
        (folder / f"{name}.yaml").write_text(text, "utf-8")
    write_overview(folder, survey(folder, sheets=False))
    return folder


def rows(folder: Path) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO((folder / "series.csv").read_text("utf-8"), newline="")))


def test_the_figures_of_a_series(tmp_path: Path) -> None:
    """Reckoned by hand: work a side, how often an exercise comes and when last, what is said in both classes."""
    folder = overview(tmp_path / "s", first=FIRST, second=SECOND)
    found = survey(folder, sheets=False)
    facts = [one.facts for one in found if one.facts]
    # Right: two rounds of two times 30 s; the same on the left; 45 s of both.
    assert [(side.value, work) for side, work in facts[0].work_by_side] == [("left", 120), ("right", 120)]
    assert (facts[0].work, facts[1].work) == (285, 40)
    exercises = {one.name: one for one in exercises_of(facts)}
    assert exercises["Band row"][1:] == ((0, 1), 5, Fraction(140))
    assert exercises["Hold"][1:] == ((0,), 4, Fraction(120))
    assert exercises["Wall hold"][1:] == ((0,), 1, Fraction(45))
    assert [one.name for one in repeated_lines(facts)] == ["Stand tall."]
    table = rows(folder)
    assert [(row["what"], row["name"], row["last"]) for row in table][:3] == [
        ("class", "One", ""),
        ("class", "Two", ""),
        ("exercise", "Band row", "second.yaml"),
    ]
    assert (table[0]["right_s"], table[0]["left_s"], table[0]["equipment"]) == ("120", "120", "band")
    page = (folder / "series.html").read_text("utf-8")
    assert "4:45 (right 2:00, left 2:00, both 45s)" in page
    assert "in 2 of 2, 5 times, 2:20 of work" in page


def test_nothing_of_a_plan_is_more_than_words(tmp_path: Path) -> None:
    """The same elements as for a harmless plan; the policy forbids all but the page's own style; no formula."""
    harmless = HOSTILE.replace("<", "(").replace(">", ")")
    pages = []
    for name, text in (("a", HOSTILE), ("b", harmless)):
        folder = overview(tmp_path / name, one=text, two=text, three=text)
        pages.append(Tags((folder / "series.html").read_text("utf-8")))
    tags = [[tag for tag, _ in page.found] for page in pages]
    assert tags[0] == tags[1]
    assert "script" not in tags[0]
    attributes = [name for _, found in pages[0].found for name in found]
    assert not [name for name in attributes if name.startswith("on") or name == "style"]
    policy = next(str(found["content"]) for _, found in pages[0].found if found.get("http-equiv"))
    assert policy.startswith("default-src 'none'; style-src 'sha256-")
    assert "script-src" not in policy
    text = (tmp_path / "a" / "series.html").read_text("utf-8")
    assert "&lt;script&gt;alert(1)" in text
    for row in rows(tmp_path / "a"):
        for cell in row.values():
            # OWASP, CSV Injection: no cell begins with one of these.
            assert not cell.startswith(("=", "+", "-", "@", "\t"))


def test_the_same_series_gives_the_same_bytes(tmp_path: Path) -> None:
    """In another place, with other workers, again."""
    first = overview(tmp_path / "x" / "s", first=FIRST, second=SECOND) if (tmp_path / "x").mkdir() is None else None
    assert first is not None
    (tmp_path / "y").mkdir()
    second = tmp_path / "y" / "s"
    shutil.copytree(first, second)
    write_overview(second, survey(second, sheets=False, workers=2))
    for name in ("series.html", "series.csv"):
        assert (first / name).read_bytes() == (second / name).read_bytes()


def test_a_file_of_somebody_else_is_not_written_over(tmp_path: Path) -> None:
    """Named, both stay as they were; ours are written anew."""
    folder = overview(tmp_path / "s", first=FIRST)
    write_overview(folder, survey(folder, sheets=False))
    before = (folder / "series.html").read_bytes()
    (folder / "series.csv").write_bytes(b"mine")
    with pytest.raises(UsageError, match=r"series\.csv"):
        write_overview(folder, [])
    assert (folder / "series.csv").read_bytes() == b"mine"
    assert (folder / "series.html").read_bytes() == before


def test_from_the_command_line(tmp_path: Path) -> None:
    """A plan that cannot be read is on the page, by line and without a folder of this machine; the status says so."""
    (tmp_path / "a.yaml").write_text(SECOND + "video: {size: 640x360}\n", "utf-8")
    (tmp_path / "b.yaml").write_text("overlay: 1\ntitle: B\nblocks: [{intervals: [nope]}]\n", "utf-8")
    command = [sys.executable, "-m", "overlay", "series", str(tmp_path), "--no-cache"]
    done = subprocess.run(command, capture_output=True, text=True, encoding="utf-8", check=False)
    assert done.returncode == 2
    assert "b.yaml:3:23: there is no exercise nope" in done.stderr
    assert "2 classes" in done.stdout
    page = (tmp_path / "series.html").read_text("utf-8")
    assert "line 3: there is no exercise nope" in page
    assert str(tmp_path) not in page
    assert page.count('src="data:image/webp;base64,') == 1
    assert (tmp_path / "series.csv").read_text("utf-8").splitlines()[0] == ",".join(COLUMNS)


@pytest.mark.parametrize("count", [2, 20])
def test_in_a_browser(browser: Any, series: Callable[..., list[Path]], count: int) -> None:
    """axe-core finds nothing to mend, nothing runs out of the page, nothing is asked of the network, at any size."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-core is not installed")
    folder = series(count)[0].parent
    (folder / "hostile.yaml").write_text(HOSTILE, "utf-8")
    (folder / "broken.yaml").write_text("overlay: 1\ntitle: B\nblocks: [{intervals: [nope]}]\n", "utf-8")
    write_overview(folder, survey(folder, sheets=False))
    for name, (width, height) in SIZES.items():
        for light in ("light", "dark") if name == "laptop" else ("light",):
            context = browser.new_context(
                viewport={"width": width, "height": height}, color_scheme=light, bypass_csp=name == "laptop"
            )
            page = context.new_page()
            troubles: list[str] = []
            page.on("console", lambda message: troubles.append(message.text))  # noqa: B023
            page.on("request", lambda request: troubles.append(request.url))  # noqa: B023
            page.goto((folder / "series.html").as_uri())
            page.evaluate("document.querySelectorAll('details').forEach(each => each.open = true)")
            assert page.evaluate("document.documentElement.scrollWidth") <= width
            if name == "laptop":
                found = axe.Axe().run(page).response["violations"]
                assert [(rule["id"], rule["nodes"][0]["target"]) for rule in found] == []
            assert [url for url in troubles if not url.startswith(("file:", "data:"))] == []
            context.close()
