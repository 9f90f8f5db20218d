"""What is done for each class of many: built, or proof-read; and how it went, as little as the table needs."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from fractions import Fraction
from functools import partial
from pathlib import Path
from typing import Any, NamedTuple

from overlay import pipeline
from overlay.errors import EXIT_DONE, EXIT_FINDINGS, OverlayError
from overlay.plan.advice import Finding, Weight
from overlay.series.plans import class_folders
from overlay.series.spread import Ended, spread

CHECKED_A_PROCESS = 6
"""Proof-reading a class takes about as long as a tenth of starting a process for it."""


class Made(NamedTuple):
    """One class that was built, or only proof-read (no folder): its length in exact seconds, what was noticed, the
    files written and those left from an earlier plan. `data` is the class in figures where they are asked for."""

    title: str
    duration: Fraction
    findings: tuple[Finding, ...]
    folder: Path | None = None
    file_count: int = 0
    size_bytes: int = 0
    outdated: tuple[str, ...] = ()
    data: Mapping[str, Any] | None = None


class Row(NamedTuple):
    """A class and how it went: made, or what went wrong."""

    plan: Path
    made: Made | None
    error: OverlayError | None

    def status(self, *, strict: bool) -> int:
        """The exit status of a class that is proof-read; what is built may have findings."""
        if self.error is not None:
            return self.error.exit_status
        if self.made is None or self.made.folder is not None:
            return EXIT_DONE
        mend = any(strict or finding.weight is Weight.FINDING for finding in self.made.findings)
        return EXIT_FINDINGS if mend else EXIT_DONE


Told = Callable[[int, Row], None]
"""Is told of each class as it ends: how many have ended, and the class."""


def build_classes(
    plans: Sequence[Path],
    *,
    out: Path | None = None,
    alone: bool = False,
    workers: int = 1,
    told: Told = lambda _, __: None,
    cluster: Callable[..., Iterator[Ended]] | None = None,
    **options: Any,
) -> list[Row]:
    """Build each class as `pipeline.build` does with these options, `workers` at a time; all rows in order.

    `out` is the folder of all classes, or of the one that is named `alone`. Where classes are fewer than workers, each
    has its share of them. `cluster` is where else the work may be spread
    (`cluster.py`). Raises UsageError where two classes would share a folder.
    """
    folders = [out] if alone and out is not None else class_folders(plans, out)
    classes = list(zip(plans, folders, strict=True))
    if cluster is not None:
        return _rows(plans, cluster(classes, options), told)
    task = partial(build_class, workers=max(1, workers // len(plans)), **options)
    return _rows(plans, spread(task, classes, workers), told)


def check_classes(
    plans: Sequence[Path],
    *,
    root: Path | None = None,
    workers: int = 1,
    as_data: bool = False,
    told: Told = lambda _, __: None,
) -> list[Row]:
    """Proof-read each class; all rows in order."""
    task = partial(check_class, root=root, as_data=as_data)
    workers = min(workers, len(plans) // CHECKED_A_PROCESS)
    return _rows(plans, spread(task, [(plan,) for plan in plans], workers), told)


def build_class(plan: Path, folder: Path, **options: Any) -> Made:
    """Build one class into its folder. Raises as `pipeline.build` does."""
    built = pipeline.build(plan, out=folder, **options)
    timeline = built.timeline
    return Made(
        title=timeline.title,
        duration=timeline.duration - timeline.class_start,
        findings=built.findings,
        folder=built.folder,
        file_count=len(built.entries),
        size_bytes=sum(entry.bytes for entry in built.entries),
        outdated=tuple(entry.path for entry in built.outdated),
    )


def check_class(plan: Path, root: Path | None, *, as_data: bool) -> Made:
    """Proof-read one class. Raises as `pipeline.proof_read` does."""
    timeline, findings, tone_levels = pipeline.proof_read(plan, root)
    data = None
    if as_data:
        from overlay.timeline.summary import summary_data

        data = {**summary_data(timeline), "tones": tone_levels(), "findings": [one.data() for one in findings]}
    return Made(timeline.title, timeline.duration - timeline.class_start, findings, data=data)


def _rows(plans: Sequence[Path], ended: Iterator[Ended], told: Told) -> list[Row]:
    rows: dict[int, Row] = {}
    for end in ended:
        made = end.result if isinstance(end.result, Made) else None
        rows[end.number] = Row(plans[end.number], made, end.error)
        told(len(rows), rows[end.number])
    return [rows[number] for number in range(len(plans))]
