"""`series.html` and `series.csv`: every class of a folder looked at, and the two files put in place."""

from __future__ import annotations

import os
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import NamedTuple

from overlay.errors import OverlayError, PlanError, UsageError
from overlay.folder.write import write_over
from overlay.series.page import GENERATOR, Listed, series_page
from overlay.series.plans import plans_in
from overlay.series.spread import spread
from overlay.series.survey import Facts, survey_class
from overlay.series.table import COLUMNS, series_csv

PAGE, TABLE = "series.html", "series.csv"


class Looked(NamedTuple):
    """A plan, and what its class adds or why it cannot be read."""

    plan: Path
    facts: Facts | None
    error: OverlayError | None


def survey(
    folder: Path,
    root: Path | None = None,
    *,
    workers: int = 1,
    cache: Path | None = None,
    sheets: bool = True,
    told: Callable[[int, int, Path], None] = lambda *_: None,
) -> list[Looked]:
    """Look at every class of a folder, in order; tells of each as it ends: how many have, of how many, and its plan.

    Raises UsageError where there is no such folder or no plan in it.
    """
    if not folder.is_dir():
        raise UsageError(f"There is no folder {folder}.", remedy="Name the folder that the plans are in.")
    plans = plans_in([folder])
    found: dict[int, Looked] = {}
    task = partial(survey_class, root=root, cache=cache, sheet=sheets)
    for ended in spread(task, [(plan,) for plan in plans], workers):
        plan = plans[ended.number]
        facts = ended.result if isinstance(ended.result, Facts) else None
        found[ended.number] = Looked(plan, facts, ended.error)
        told(len(found), len(plans), plan)
    return [found[number] for number in range(len(plans))]


def write_overview(
    folder: Path, found: list[Looked], *, out: Path | None = None, replace: bool = False
) -> tuple[Path, Path]:
    """Write both files into the folder of the plans, or into the folder `out`, which is made if it is not there.

    Raises UsageError where one of that name is there that is not ours (unless `replace`), MachineError where the disk
    refuses.
    """
    into = out if out is not None else folder
    page, table = into / PAGE, into / TABLE
    others = [path.name for path, sign in ((page, GENERATOR), (table, ",".join(COLUMNS))) if not _is_ours(path, sign)]
    if others and not replace:
        raise UsageError(
            f"In {into} these files were not written by the tool: {', '.join(others)}.",
            remedy="Move them away, or write over them with --replace.",
        )
    names = [one.plan.relative_to(folder).as_posix() for one in found]
    rows = zip(names, found, strict=True)
    listed = [Listed(name, one.facts, _in_short(one.error) if one.error else ()) for name, one in rows]
    write_over(page, series_page(folder.resolve().name, listed))
    write_over(table, series_csv(names, [one.facts for one in found]))
    return page, table


def _in_short(error: OverlayError) -> tuple[str, ...]:
    """What is wrong by line and column; no folder of this machine is named on the page."""
    if isinstance(error, PlanError):
        return tuple(
            f"{Path(mistake.path).name + ' ' if mistake.path else ''}line {mistake.line}: {mistake.message}"
            for mistake in error.mistakes
        )
    return ("It could not be laid out on the machine that made this page.",)


def _is_ours(path: Path, sign: str) -> bool:
    """Whether a file may be written over: it is ours by the sign near its beginning, or not there."""
    try:
        with path.open("rb") as file:
            return sign.encode("utf-8") in file.read(4096)
    except OSError:
        return not os.path.lexists(path)
