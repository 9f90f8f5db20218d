"""What one class adds to the picture of its series, and what the classes together say."""

from __future__ import annotations

import io
from collections import Counter, defaultdict
from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

from overlay import pipeline
from overlay.plan.advice import Finding
from overlay.plan.fields import Side
from overlay.timeline.model import CueKind, SegmentKind, Timeline
from overlay.timeline.summary import summarize

SHEET_PX, SHEET_QUALITY = 1280, 60
"""Width of a contact sheet on the page, and how well WebP keeps it: every word can be read, at about 100 kB."""
MOST_LINES = 100
"""Lines said word for word that are listed."""


class Use(NamedTuple):
    """An exercise in one class: what it is known by there, how often it comes and how long it is worked, in exact
    seconds."""

    key: str
    name: str
    times: int
    work: Fraction


class Facts(NamedTuple):
    """One class: lengths in exact seconds, `spans` of what there is to do as (kind, start, end), the lines that its
    instructor says, and its contact sheet as WebP (empty where none is asked for)."""

    title: str
    language: str
    duration: Fraction
    work: Fraction
    work_by_side: tuple[tuple[Side, Fraction], ...]
    equipment: tuple[str, ...]
    spans: tuple[tuple[SegmentKind, Fraction, Fraction], ...]
    uses: tuple[Use, ...]
    lines: tuple[str, ...]
    findings: tuple[Finding, ...]
    sheet: bytes = b""


class Common(NamedTuple):
    """What several classes have: an exercise or a line, and the numbers of the classes in which it is, in order."""

    name: str
    classes: tuple[int, ...]
    times: int
    work: Fraction = Fraction(0)


def survey_class(plan: Path, root: Path | None, cache: Path | None, *, sheet: bool = True) -> Facts:
    """Lay a class out and gather what there is to say of it. Raises as `pipeline.proof_read` does."""
    proof = pipeline.proof_read(plan, root)
    timeline = proof.timeline
    summary = summarize(timeline)
    return Facts(
        title=timeline.title,
        language=timeline.language,
        duration=summary.duration,
        work=summary.work,
        work_by_side=tuple(summary.work_by_side.items()),
        equipment=summary.equipment,
        spans=tuple(
            (segment.kind, segment.start - timeline.class_start, segment.end - timeline.class_start)
            for segment in timeline.segments
            if segment.kind is not SegmentKind.LEADER
        ),
        uses=tuple(_uses(timeline)),
        lines=tuple(_lines(timeline)),
        findings=proof.findings,
        sheet=_sheet(plan, root, cache) if sheet else b"",
    )


def _uses(timeline: Timeline) -> list[Use]:
    found: dict[str, Use] = {}
    for segment in timeline.segments:
        if segment.kind is SegmentKind.WORK and segment.move is not None:
            key = " ".join((segment.move.exercise or segment.move.name).casefold().replace("-", " ").split())
            before = found.get(key, Use(key, segment.move.name, 0, Fraction(0)))
            found[key] = before._replace(times=before.times + 1, work=before.work + segment.duration)
    return list(found.values())


def _lines(timeline: Timeline) -> list[str]:
    """Each line of the plan as it stands in captions, once."""
    said = (cue for cue in timeline.cues if cue.kind is CueKind.CUE and cue.language == timeline.language)
    return list(dict.fromkeys(cue.text for cue in said))


def _sheet(plan: Path, root: Path | None, cache: Path | None) -> bytes:
    """The contact sheet, small enough for sixty on a page; remembered, since drawing it takes seconds."""
    from overlay.pictures.means import opened_means
    from overlay.series.parcel import parcel_of

    with opened_means(1, cache) as means:
        return means.remembered(("series sheet", SHEET_PX, parcel_of(plan, root)), lambda: _drawn_sheet(plan, root))


def _drawn_sheet(plan: Path, root: Path | None) -> bytes:
    from PIL import Image

    with TemporaryDirectory(prefix="class-overlay-") as folder:
        pipeline.build(plan, out=Path(folder, "made"), only=["sheet"], root=root)
        with Image.open(Path(folder, "made", "pictures", "sheet.png")) as whole:
            small = whole.convert("RGB").resize(
                (SHEET_PX, round(whole.height * SHEET_PX / whole.width)), reducing_gap=3
            )
    written = io.BytesIO()
    small.save(written, "WEBP", quality=SHEET_QUALITY, method=4)
    return written.getvalue()


def exercises_of(classes: Sequence[Facts | None]) -> list[Common]:
    """Every exercise of a series, those in most classes first; what a class has that could not be read is unknown."""
    found: dict[str, list[tuple[int, Use]]] = defaultdict(list)
    for number, facts in enumerate(classes):
        for use in facts.uses if facts else ():
            found[use.key].append((number, use))
    common = [
        Common(
            Counter(use.name for _, use in uses).most_common(1)[0][0],
            tuple(number for number, _ in uses),
            sum(use.times for _, use in uses),
            sum((use.work for _, use in uses), Fraction(0)),
        )
        for uses in found.values()
    ]
    return sorted(common, key=lambda one: (-len(one.classes), one.name.casefold()))


def repeated_lines(classes: Sequence[Facts | None]) -> list[Common]:
    """The lines said word for word in three classes or more, or in both of two; those in most classes first.

    Capitals and blanks make no other line.
    """
    found: dict[str, dict[int, str]] = defaultdict(dict)
    for number, facts in enumerate(classes):
        for line in facts.lines if facts else ():
            found[" ".join(line.casefold().split())].setdefault(number, line)
    least = max(2, min(3, sum(facts is not None for facts in classes)))
    many = [Common(next(iter(said.values())), tuple(said), len(said)) for said in found.values() if len(said) >= least]
    return sorted(many, key=lambda one: (-len(one.classes), one.name.casefold()))[:MOST_LINES]
