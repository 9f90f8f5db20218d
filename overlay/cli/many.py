"""Many classes at once: each told as it ends, one table at the end, and the status of the worst."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from fractions import Fraction

from overlay.cli.messages import error_lines, say
from overlay.cli.progress import Watch
from overlay.errors import EXIT_PLAN, PlanError
from overlay.plan.advice import Weight
from overlay.series.classes import Row
from overlay.units.clock import format_duration

_HEADINGS = ("Length", "Findings", "Remarks", "Files", "MB")
_WIDEST_NAME = 48


def teller(watch: Watch, count: int) -> Callable[[int, Row], None]:
    """Tells a watch of each class as it ends."""

    def told(ended: int, row: Row) -> None:
        what = "done" if row.error is None else "not done"
        watch.step(f"{ended}/{count} {row.plan}: {what}")
        watch.far(ended / count)

    return told


def show_rows(rows: Sequence[Row], *, strict: bool = False, quiet: bool = False) -> int:
    """Say what was noticed in each class and what went wrong, on standard error, then, unless `quiet`, the table.
    Gives the exit status of the worst class."""
    for row in rows:
        for line in _noticed(row):
            say(line, to_error=True)
    if not quiet:
        say("\n".join(table_lines(rows)))
    return max(row.status(strict=strict) for row in rows)


def rows_as_json(rows: Sequence[Row]) -> str:
    """All classes as one JSON object: the figures of each, or its errors."""
    classes = []
    for row in rows:
        data = dict(row.made.data or {}) if row.made is not None else {}
        errors = [] if row.error is None else list(error_lines(row.error))
        classes.append({"plan": str(row.plan), **data, "errors": errors})
    return json.dumps({"classes": classes}, ensure_ascii=True, indent=1)


def table_lines(rows: Sequence[Row]) -> list[str]:
    """A row a class: length, what was noticed, what was written. Columns that nothing has are left out."""
    cells = [_cells(row) for row in rows]
    columns = [column for column in range(len(_HEADINGS)) if any(row[column] for row in cells)]
    names = [_shortened(str(row.plan)) for row in rows]
    name_width = max(map(len, ("Class", *names)))
    widths = [max(len(_HEADINGS[column]), *(len(row[column]) for row in cells)) for column in columns]

    def line(name: str, row: Sequence[str], end: str = "") -> str:
        shown = "".join(f"  {row[column]:>{width}}" for column, width in zip(columns, widths, strict=True))
        return f"{name:{name_width}}{shown}  {end}".rstrip()

    lines = [line("Class", _HEADINGS)]
    for name, row, cell in zip(names, rows, cells, strict=True):
        lines.append(line(name, cell, "" if row.error is None else _in_short(row)))
    return [*lines, _sum(rows)]


def _cells(row: Row) -> tuple[str, ...]:
    made = row.made
    if made is None:
        return ("",) * len(_HEADINGS)
    findings = sum(finding.weight is Weight.FINDING for finding in made.findings)
    remarks = len(made.findings) - findings
    counts = tuple(str(count) if count else "" for count in (findings, remarks, made.file_count))
    return (format_duration(made.duration), *counts, f"{made.size_bytes / 1e6:.1f}" if made.size_bytes else "")


def _in_short(row: Row) -> str:
    assert row.error is not None
    if isinstance(row.error, PlanError):
        count = len(row.error.mistakes)
        return f"not done: {count} {'mistake' if count == 1 else 'mistakes'} in the plan"
    return "not done: the plan cannot be used" if row.error.exit_status == EXIT_PLAN else "not done: the machine failed"


def _sum(rows: Sequence[Row]) -> str:
    done = [row.made for row in rows if row.made is not None]
    files, size_mb = sum(made.file_count for made in done), sum(made.size_bytes for made in done) / 1e6
    parts = [f"{len(done)} of {len(rows)} classes", format_duration(sum((made.duration for made in done), Fraction(0)))]
    if files:
        parts.append(f"{files} files, {size_mb:.1f} MB")
    return ", ".join(parts)


def _noticed(row: Row) -> list[str]:
    if row.error is not None:
        lines = list(error_lines(row.error))
        if not isinstance(row.error, PlanError) and str(row.plan) not in lines[0]:
            lines[0] = f"{row.plan}: {lines[0]}"
        return lines
    assert row.made is not None
    lines = [f"{row.plan}: {each.weight.value}: {each.place}: {each.text}" for each in row.made.findings]
    if row.made.outdated:
        lines.append(f"{row.plan}: from an earlier plan, not made anew: {', '.join(row.made.outdated)}")
    return lines


def _shortened(name: str) -> str:
    return name if len(name) <= _WIDEST_NAME else f"…{name[1 - _WIDEST_NAME :]}"
