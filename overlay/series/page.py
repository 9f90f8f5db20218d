"""A series on one page: an HTML file without script, which loads nothing.

Words are escaped wherever they stand. The page's Content-Security-Policy names its one style by its sum and forbids
everything else but the fonts and pictures that stand in the page as data.
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterator, Sequence
from fractions import Fraction
from html import escape
from importlib import resources
from string import Template
from typing import NamedTuple

from overlay.page.faces import face_rules
from overlay.page.rehearsal import text_direction
from overlay.plan.advice import Weight
from overlay.plan.fields import Side
from overlay.series.survey import Common, Facts, exercises_of, repeated_lines
from overlay.timeline.model import SegmentKind
from overlay.units.clock import format_duration

GENERATOR = '<meta name="generator" content="class-overlay series">'
"""What tells a page of ours from somebody else's."""


class Listed(NamedTuple):
    """A class of the page: its plan's name below the folder, and what is known of it or why it cannot be read."""

    name: str
    facts: Facts | None
    errors: tuple[str, ...] = ()


def series_page(title: str, classes: Sequence[Listed]) -> str:
    """The page of a series. The same classes give the same text."""
    facts = [one.facts for one in classes]
    known = [one for one in facts if one is not None]
    longest = max((one.duration for one in known), default=Fraction(1))
    exercises, lines = exercises_of(facts), repeated_lines(facts)
    body = {
        "figures": "".join(_figures(known, len(classes))),
        "classes": "".join(_class(number, one, longest) for number, one in enumerate(classes, 1)),
        "exercises": "".join(_common(one, classes, _exercise_words(one, len(classes))) for one in exercises),
        "lines": "".join(_common(one, classes, _line_words(one, len(classes))) for one in lines)
        or "<li>No line is said word for word in several classes.</li>",
    }
    style = face_rules("".join(body.values()) + title) + _part("series.css")
    return Template(_part("series.html")).substitute(
        body, generator=GENERATOR, title=escape(title), style=style, policy=escape(_policy(style))
    )


def _policy(style: str) -> str:
    """A Content-Security-Policy (W3C CSP 3)."""
    digest = base64.b64encode(hashlib.sha256(style.encode("utf-8")).digest()).decode("ascii")
    rules = ("default-src 'none'", f"style-src 'sha256-{digest}'", "font-src data:", "img-src data:")
    return "; ".join((*rules, "base-uri 'none'", "form-action 'none'"))


def _part(name: str) -> str:
    return (resources.files(__package__) / name).read_text("utf-8")


def _figures(known: Sequence[Facts], count: int) -> Iterator[str]:
    work = sum((one.work for one in known), Fraction(0))
    yield _figure("Classes", str(count))
    yield _figure("Length together", format_duration(sum((one.duration for one in known), Fraction(0))))
    yield _figure("Work", format_duration(work))
    for side, word in ((Side.RIGHT, "Right"), (Side.LEFT, "Left")):
        yield _figure(word, format_duration(sum((dict(one.work_by_side)[side] for one in known), Fraction(0))))
    mend = sum(any(finding.weight is Weight.FINDING for finding in one.findings) for one in known)
    yield _figure("With findings", str(mend))


def _figure(word: str, value: str) -> str:
    return f"<div><dt>{word}</dt><dd>{value}</dd></div>"


def _class(number: int, one: Listed, longest: Fraction) -> str:
    front = f'<article id="class-{number}"><p class="number">{number}</p>'
    plan = f'<p class="plan"><bdi>{escape(one.name)}</bdi></p>'
    if one.facts is None:
        said = "".join(f"<li><bdi>{escape(line)}</bdi></li>" for line in one.errors)
        return f'{front}<h3>Cannot be read</h3>{plan}<ul class="findings">{said}</ul></article>\n'
    facts = one.facts
    language = f'lang="{escape(facts.language)}" dir="{text_direction(facts.language)}"'
    sides = dict(facts.work_by_side)
    both = facts.work - sum(sides.values(), Fraction(0))
    parts = [("right", sides[Side.RIGHT]), ("left", sides[Side.LEFT]), ("both", both)]
    work = ", ".join(f"{word} {format_duration(time)}" for word, time in parts if time)
    gear = ", ".join(f"<bdi>{escape(thing)}</bdi>" for thing in facts.equipment) or "none"
    return (
        f"{front}<h3 {language}>{escape(facts.title)}</h3>{plan}"
        f'<p class="length">{format_duration(facts.duration)}</p>{_strip(facts, longest)}'
        f"<dl><div><dt>Work</dt><dd>{format_duration(facts.work)}{f' ({work})' if work else ''}</dd></div>"
        f"<div><dt>Equipment</dt><dd>{gear}</dd></div>{_findings(facts)}</dl>{_sheet(facts, number)}</article>\n"
    )


def _strip(facts: Facts, longest: Fraction) -> str:
    """The class to scale, beside the longest one."""
    cells = "".join(
        f'<rect class="{kind.value}" x="{_percent(start, longest)}" width="{_percent(end - start, longest)}" '
        f'y="{5 if kind in _LINES else 1}" height="{4 if kind in _LINES else 14}"/>'
        for kind, start, end in facts.spans
    )
    words = f"The class to scale: {format_duration(facts.work)} of work in {format_duration(facts.duration)}"
    return f'<svg class="strip" role="img" aria-label="{words}">{cells}</svg>'


_LINES = (SegmentKind.OPENING, SegmentKind.CLOSING)


def _percent(part: Fraction, whole: Fraction) -> str:
    return f"{float(100 * part / whole):.3f}".rstrip("0").rstrip(".") + "%"


def _findings(facts: Facts) -> str:
    if not facts.findings:
        return "<div><dt>Findings</dt><dd>none</dd></div>"
    rows = "".join(
        f'<li class="{each.weight.value}">{each.weight.value}: <bdi>{escape(each.place)}</bdi>: '
        f"<bdi>{escape(each.text)}</bdi></li>"
        for each in sorted(facts.findings, key=lambda each: each.weight is not Weight.FINDING)
    )
    findings = sum(each.weight is Weight.FINDING for each in facts.findings)
    counts = (_count(findings, "finding"), _count(len(facts.findings) - findings, "remark"))
    words = ", ".join(filter(None, counts))
    return (
        f"<div><dt>Findings</dt><dd><details><summary>{words}</summary>"
        f'<ul class="findings">{rows}</ul></details></dd></div>'
    )


def _count(count: int, word: str) -> str:
    return f"{count} {word if count == 1 else f'{word}s'}" if count else ""


def _sheet(facts: Facts, number: int) -> str:
    if not facts.sheet:
        return ""
    data = base64.b64encode(facts.sheet).decode("ascii")
    words = f"Every title and preview of class {number}, {facts.title}"
    return (
        f'<details class="sheet"><summary>Contact sheet<span class="unseen"> of class {number}</span></summary>'
        f'<img alt="{escape(words)}" src="data:image/webp;base64,{data}"></details>'
    )


def _common(one: Common, classes: Sequence[Listed], words: str) -> str:
    """An exercise or a line: its name, how often and when last, and the series as a strip with its classes filled."""
    has, count = set(one.classes), len(classes)
    cells = "".join(
        f'<rect class="{"work" if number in has else "without"}" x="{_percent(Fraction(number), Fraction(count))}" '
        f'width="{_percent(Fraction(4, 5), Fraction(count))}" y="{1 if number in has else 7}" '
        f'height="{14 if number in has else 2}"/>'
        for number in range(count)
    )
    last = one.classes[-1]
    facts = classes[last].facts
    title = escape(facts.title) if facts else ""
    unseen = '<span class="unseen">'
    return (
        f'<li><p class="name"><bdi>{escape(one.name)}</bdi></p><p class="often">{words}, last in '
        f'<a href="#class-{last + 1}">{unseen}class </span>{last + 1}{unseen}, {title}</span></a></p>'
        f'<svg class="strip" role="img" aria-label="In the classes {_numbers(one.classes)}">{cells}</svg></li>\n'
    )


def _exercise_words(one: Common, count: int) -> str:
    times = "once" if one.times == 1 else f"{one.times} times"
    return f"in {len(one.classes)} of {count}, {times}, {format_duration(one.work)} of work"


def _line_words(one: Common, count: int) -> str:
    return f"in {len(one.classes)} of {count}"


def _numbers(numbers: Sequence[int]) -> str:
    """Numbers from 0 as people write them from 1, runs drawn together.

    >>> _numbers([0, 1, 2, 5])
    '1 to 3, 6'
    """
    runs: list[list[int]] = []
    for number in numbers:
        if runs and runs[-1][-1] == number - 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    ends = ((run[0] + 1, run[-1] + 1) for run in runs)
    return ", ".join(str(first) if first == last else f"{first} to {last}" for first, last in ends)
