"""What people read, with the eyes of a tired instructor: no word of programmers, no code, one thing to do."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import overlay

PACKAGE = Path(overlay.__file__).parent
PROGRAMMERS = re.compile(
    r"\b(?:schema|validat\w+|float\w*|integer\w*|boolean\w*|traceback|exception\w*|null|tuple|dict|iterable|"
    r"parse\w*|syntax|regex|token\w*|stdin|stdout|stderr|argument\w*|parameter\w*|boolean|enum|serializ\w+|"
    r"encoding|decode\w*|bytes?|UTF-8 decode|errno|invalid|unexpected|expression|mapping|scalar|node|string|str|int)\b",
    re.IGNORECASE,
)
TELLS = {"UsageError", "MachineError", "OverlayError", "Mistake", "mistake", "mistake_at", "Finding", "finding", "say"}
FINE = {
    # JSON Schema is the name of an open standard, for whoever sets up a text editor.
    "JSON Schema",
}
ROOMS = [path for path in sorted(PACKAGE.rglob("*.py")) if "languages" not in path.parts]


def words_of(call: ast.Call) -> Iterator[str]:
    """The words written in a call: its texts, with what is put into them left out."""
    for value in (
        *call.args,
        *(keyword.value for keyword in call.keywords if keyword.arg in ("remedy", "help", "text")),
    ):
        for node in ast.walk(value):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                yield node.value


def told(path: Path) -> Iterator[tuple[int, str]]:
    """What a module tells people: words of errors, mistakes and findings, of help, and of refused values of a plan."""
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if not isinstance(node, ast.Call):
            continue
        name = getattr(node.func, "id", getattr(node.func, "attr", ""))
        is_help = name in ("Option", "Argument")
        is_refused = name == "ValueError" and path.parent.name == "plan"
        if name in TELLS or is_help or is_refused:
            yield from ((node.lineno, text) for text in words_of(node))


@pytest.mark.parametrize("path", ROOMS, ids=lambda path: path.relative_to(PACKAGE).as_posix())
def test_no_word_of_programmers(path: Path) -> None:
    """In nothing that a module tells."""
    wrong = []
    for line, text in told(path):
        plain = text
        for fine in FINE:
            plain = plain.replace(fine, "")
        wrong += [(line, found, text) for found in PROGRAMMERS.findall(plain)]
    assert wrong == []


def test_the_search_finds_what_is_told() -> None:
    """It sees messages, and would see a wrong one."""
    assert sum(len(list(told(path))) for path in ROOMS) > 300
    assert PROGRAMMERS.findall("The value is not a valid integer: validation error") == ["integer", "validation"]


@pytest.mark.parametrize(
    "plan",
    [
        b"overlay: 1\ntitle: A\nblocks: 5\n",
        b"overlay: 1\ntitle: A\nblocks: [5]\n",
        b"overlay: one\ntitle: A\nblocks: [{intervals: [{name: B}]}]\n",
        b"overlay: 1\ntitle: A\npace: {a: b}\nblocks: [{intervals: [{name: B}]}]\n",
        b"overlay: 1\ntitle: [A]\nblocks: [{intervals: [{name: B, work: soon}]}]\n",
        b"overlay: 1\ntitle: A\nvideo: 1080p\nblocks: [{intervals: [{name: B}]}]\n",
        b"overlay: 1\ntitle: A\nvideo: {size: big, frame_rate: fast}\nblocks: [{intervals: [{name: B}]}]\n",
        b"overlay: 1\ntitle: A\ntones: {half: maybe, loudness: loud}\nblocks: [{intervals: [{name: B}]}]\n",
        b"overlay: 1\ntitle: A\nlook: {work: orange}\nblocks: [{rounds: many, intervals: [{name: B}]}]\n",
        b"overlay: 1\ntitle: A\nblocks: [{intervals: [{name: B, cues: [{at: x, say: y}]}]}]\n",
        b"title: A\n",
        b"overlay: 1\n\ttitle: A\n",
        b"overlay: 1\ntitle: 'A\n",
        b"overlay: 1\ntitle: A\nblocks: [{intervals: [{name: B}]\n",
        b"overlay: 1\ntitle: A: b\n",
        b"overlay: 1\ntitle: &x *y\n",
        b"[1, 2]",
        b"\xff\xfe\x00",
        b"{}",
    ],
)
def test_what_is_said_of_a_wrong_plan(tmp_path: Path, plan: bytes) -> None:
    """Whatever is wrong with it, in words that an instructor has, each with its line."""
    path = tmp_path / "a.yaml"
    path.write_bytes(plan)
    with pytest.raises(overlay.PlanError) as error:
        overlay.read_plan(path)
    for mistake in error.value.mistakes:
        text = f"{mistake.message}. {mistake.remedy or ''}"
        assert not PROGRAMMERS.findall(text.replace(str(path), "")), text
        assert len(mistake.message) < 200, text
