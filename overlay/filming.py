"""After the shoot: the class found in what was filmed, and the finished edit held against it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from overlay.errors import UsageError
from overlay.plan.advice import Finding
from overlay.plan.read import read_plan
from overlay.timeline.layout import lay_out
from overlay.timeline.model import Timeline

if TYPE_CHECKING:
    from overlay.footage.listen import Answer
    from overlay.footage.verify import Verdict


class Synced(NamedTuple):
    """What footage said: an answer a file, what is wrong and what is worth knowing, and the takes file if one
    was written."""

    timeline: Timeline
    answers: list[Answer]
    findings: tuple[str, ...]
    remarks: tuple[str, ...]
    written: Path | None


def sync(
    plan: Path,
    footage: Sequence[Path],
    *,
    near: str | None = None,
    start: str | None = None,
    takes: Path | None = None,
    part: bool = False,
    root: Path | None = None,
    progress: Callable[[str], None] = lambda _: None,
    far: Callable[[float], None] = lambda _: None,
) -> Synced:
    """Find the class in footage and write its takes, unless blocks are missing that no take has (then only if `part`).

    `near` and `start` are timecodes or times of a file, counted from its first picture. No file that the plan names may
    stand outside of `root` (`plan/beside.py`). `progress` is told of each
    file as it begins, `far` the share of the footage that is heard, 0 to 1. Raises PlanError, UsageError,
    or MachineError for footage that cannot be read; nothing is written then.
    """
    from overlay.footage.cover import cover, hear_all, place_in_file, placed_by_hand
    from overlay.footage.pattern import blocks_of
    from overlay.footage.takes import read_takes, write_takes

    session = read_plan(plan, root)
    timeline = lay_out(session).timeline
    path = takes if takes is not None else plan.with_name(f"{plan.stem}-takes.yaml")
    blocks = blocks_of(timeline)
    known = read_takes(path, blocks) if path.exists() else {}
    if start is not None:
        if len(footage) > 1 or near is not None:
            raise UsageError("--start is for one file, and without --near.", remedy="Name one file at a time.")
        first_start = place_in_file(start, timeline)
        progress(f"Reading {footage[0].name}")
        answers = [placed_by_hand(timeline, footage[0], first_start, far)]
    else:
        about = None if near is None else place_in_file(near, timeline)
        answers = hear_all(timeline, session.tones, footage, near=about, progress=progress, far=far)
    covered = cover(timeline, answers, known)
    written = None
    if covered.takes and (part or not covered.findings):
        write_takes(path, covered.takes, blocks)
        written = path
    return Synced(timeline, answers, covered.findings, covered.remarks, written)


def verify(
    plan: Path,
    cut: Path,
    *,
    takes: Path | None = None,
    captions: Sequence[Path] = (),
    at: str | None = None,
    root: Path | None = None,
    progress: Callable[[str], None] = lambda _: None,
    far: Callable[[float], None] = lambda _: None,
) -> tuple[Verdict, tuple[Finding, ...]]:
    """Check a finished edit, and files of captions that go with it, against the plan, or the plan fitted to its takes.

    `at` is a timecode or time of the cut on which the class begins, counted from its first picture. `progress` is told
    what begins, `far` the share of the work that is done, 0 to 1. Raises PlanError, UsageError, or MachineError for a
    cut or captions that cannot be read, and for a cut without sound.
    """
    from overlay.footage.cover import place_in_file
    from overlay.footage.faults import findings_of
    from overlay.footage.filmed import conform_to
    from overlay.footage.verify import verify as verdict_of

    session = read_plan(plan, root)
    timeline = lay_out(session).timeline
    if takes is not None:
        timeline = lay_out(session, moved=conform_to(timeline, takes).moved).timeline
    begins = None if at is None else place_in_file(at, timeline)
    progress(f"Listening to {cut.name}")
    verdict = verdict_of(timeline, session.tones, cut, captions, at=begins, far=far)
    return verdict, findings_of(verdict, has_takes=takes is not None)
