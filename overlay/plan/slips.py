"""What most likely slipped where a file cannot be read as YAML at all.

The reader's own words mean nothing to an instructor, and it often notices a slip a line late. Here
its complaint is traced back to the line that caused it.
"""

from __future__ import annotations

import re
from typing import Any

QUOTES = "Put quotes round the text."
_KEY_OR_ROW = "Write a key as key: value, and begin each line of a list with a dash and a space."
_BULLET = re.compile(r"\s*(?:[•–—*]|-(?=[^\s-])|\d+[.)])")

Slip = tuple[tuple[int, int], str, str]
"""Line and column from 1, what is wrong, what would be right."""


def slip_of(error: Any, lines: list[str]) -> Slip:
    """The slip behind an error of the YAML reader, in a file of these lines."""
    problem = str(error.problem or error.context or "")
    place, context = _at(error.problem_mark), _at(error.context_mark)
    written = _line(lines, place[0])
    indent = written[: len(written) - len(written.lstrip())]
    if "\t" in indent or "'\\t'" in problem:
        column = indent.find("\t") + 1 if "\t" in indent else place[1]
        return (place[0], column), "a tab stands here", "Use spaces only."
    if "could not find expected ':'" in problem:
        return _no_key(context or place, lines)
    if "mapping values are not allowed" in problem:
        return _no_mapping(place, lines)
    if "cannot start any token" in problem:
        return place, f"a text cannot begin with {written[place[1] - 1 : place[1]]}", QUOTES
    if "end of stream" in problem and context:
        return context, "a quote is opened here and never closed", "Close the quote."
    if problem.startswith("expected ',' or"):
        return place, "this does not fit into the brackets or braces", "Close them, or put quotes round the text."
    if "'<scalar>'" in problem:
        if written[: place[1] - 1].rstrip().endswith(("]", "}")):
            return place, "something stands behind a closing bracket or brace", QUOTES
        return place, "something stands behind a closing quote", "Double a quote inside quotes, or use the other kind."
    if problem.startswith(("expected <block end>", "did not find expected")):
        return place, "this is not lined up with the lines above it", "Give it the indent of the lines it belongs to."
    return place, "this cannot be read as a plan", QUOTES


def _no_key(place: tuple[int, int], lines: list[str]) -> Slip:
    """A line that is neither a key nor a row of a list; the reader names where it begins."""
    written = _line(lines, place[0])
    if _BULLET.match(written):
        return place, "this line of the list has no dash and space of its own", "Begin it with a dash and a space."
    return place, "this is neither a key with a colon nor a line with a dash", _KEY_OR_ROW


def _no_mapping(place: tuple[int, int], lines: list[str]) -> Slip:
    """A colon where none may stand: in a text, or because the line above lacks its own."""
    before = place[0] - 1
    while before > 0 and not _line(lines, before).strip():
        before -= 1
    above, here = _line(lines, before), _line(lines, place[0])
    stripped = above.strip()
    if stripped and not stripped.startswith(("-", "#", "[", "{", '"', "'")):
        same_indent = len(above) - len(above.lstrip()) == len(here) - len(here.lstrip())
        if same_indent and not re.search(r":(?:\s|$)", above):
            return (before, len(above) - len(above.lstrip()) + 1), "this key has no colon and space", _KEY_OR_ROW
    if re.match(r"\s*(?:- )?[\w-]+:(?:\s|$)", here) and here[: place[1]].count(":") <= 1:
        return place, "this line is indented further than the one above it", "Give both the same indent."
    return place, "a colon stands inside a text", QUOTES


def _at(mark: Any) -> tuple[int, int]:
    return (mark.line + 1, mark.column + 1) if mark is not None else (1, 1)


def _line(lines: list[str], number: int) -> str:
    return lines[number - 1] if 0 < number <= len(lines) else ""
