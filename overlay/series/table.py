"""A series as one table for a spreadsheet: its classes, its exercises, and what is said again and again."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from fractions import Fraction

from overlay.handoff.markers import as_text
from overlay.plan.advice import Weight
from overlay.plan.fields import Side
from overlay.series.survey import Facts, exercises_of, repeated_lines

COLUMNS = (
    "what",
    "name",
    "plan",
    "length_s",
    "work_s",
    "right_s",
    "left_s",
    "equipment",
    "findings",
    "remarks",
    "classes",
    "times",
    "last",
)


def series_csv(names: Sequence[str], classes: Sequence[Facts | None]) -> str:
    """The series as comma-separated values (RFC 4180), to be stored as UTF-8.

    `what` is class, exercise or line. A class that could not be read has its plan's name alone. `last` is the plan of
    the last class that has it. What a spreadsheet could take for a formula has an apostrophe before it.
    """
    out = io.StringIO()
    table = csv.DictWriter(out, COLUMNS, restval="")
    table.writeheader()
    for name, facts in zip(names, classes, strict=True):
        row: dict[str, object] = {"what": "class", "plan": as_text(name)}
        if facts is not None:
            sides = dict(facts.work_by_side)
            findings = sum(finding.weight is Weight.FINDING for finding in facts.findings)
            row |= {
                "name": as_text(facts.title),
                "length_s": _seconds(facts.duration),
                "work_s": _seconds(facts.work),
                "right_s": _seconds(sides[Side.RIGHT]),
                "left_s": _seconds(sides[Side.LEFT]),
                "equipment": as_text(", ".join(facts.equipment)),
                "findings": findings,
                "remarks": len(facts.findings) - findings,
            }
        table.writerow(row)
    for what, found in (("exercise", exercises_of(classes)), ("line", repeated_lines(classes))):
        for one in found:
            last = as_text(names[one.classes[-1]])
            row = {"what": what, "name": as_text(one.name), "classes": len(one.classes), "last": last}
            if what == "exercise":
                row |= {"times": one.times, "work_s": _seconds(one.work)}
            table.writerow(row)
    return out.getvalue()


def _seconds(time: Fraction) -> str:
    """Exact to the millisecond, without zeros that say nothing.

    >>> _seconds(Fraction(5, 2)), _seconds(Fraction(40))
    ('2.5', '40')
    """
    return f"{float(time):.3f}".rstrip("0").rstrip(".")
