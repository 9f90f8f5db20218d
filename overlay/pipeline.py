"""The whole job on one screen: read, lay out, check, write."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from overlay.errors import PlanError
from overlay.plan.advice import Finding, plan_advice
from overlay.plan.read import session_of
from overlay.plan.session import Session
from overlay.plan.source import Source, parse_source, read_bytes
from overlay.timeline.check import check_class
from overlay.timeline.layout import Layout, lay_out
from overlay.timeline.model import Timeline
from overlay.timeline.printed import printed_texts

if TYPE_CHECKING:
    from overlay.folder.manifest import Entry
    from overlay.page.serve import Page


class Built(NamedTuple):
    """What a build made: the folder, the files written this time and those left from an earlier plan,
    the class, and what was noticed."""

    folder: Path
    entries: tuple[Entry, ...]
    outdated: tuple[Entry, ...]
    timeline: Timeline
    findings: tuple[Finding, ...]


class Proof(NamedTuple):
    """A class laid out, what was noticed, and, on demand, how loud its beeps are (`tones/track.py`)."""

    timeline: Timeline
    findings: tuple[Finding, ...]
    tone_levels: Callable[[], dict[str, Any]]


def proof_read(plan: Path) -> Proof:
    """Read a plan, lay it out, and say what was noticed. Writes nothing.

    Raises PlanError, UsageError or MachineError as `build` does.
    """
    source = parse_source(read_bytes(plan), str(plan))
    session = session_of(source)
    layout = lay_out(session)
    if not _is_surely_drawn(layout.timeline):
        _can_be_drawn(source, layout.timeline)

    def tone_levels() -> dict[str, Any]:
        from overlay.tones.track import level_report

        return level_report(layout.timeline, session.tones).data()

    return Proof(layout.timeline, _noticed(source, session, layout), tone_levels)


def build(
    plan: Path,
    *,
    out: Path | None = None,
    only: Sequence[str] = (),
    plain_mov: bool = False,
    replace: bool = False,
    progress: Callable[[str], None] = lambda _: None,
) -> Built:
    """Make every output of a plan, or those named in `only`; all of them appear, or none.

    A file in the way that is not ours, or that was changed since we wrote it, stops the build with
    UsageError unless `replace`. Raises PlanError before anything is written, MachineError when the
    disk refuses.
    """
    from overlay.folder.catalog import Job, chosen
    from overlay.folder.fill import fill
    from overlay.folder.manifest import sha256_of

    outputs = chosen(only)
    raw = read_bytes(plan)
    source = parse_source(raw, str(plan))
    session = session_of(source)
    layout = lay_out(session)
    if any(output.draws for output in outputs):
        _can_be_drawn(source, layout.timeline)
    folder = out if out is not None else plan.parent / f"{plan.stem}-assets"
    job = Job(session, layout, plain_mov, _noticed(source, session, layout))
    filled = fill(folder, outputs, job, sha256_of(raw), progress, replace=replace)
    return Built(folder, *filled, layout.timeline, job.findings)


def rehearsal(plan: Path) -> Page:
    """The rehearsal page of a plan as it is served; its version changes whenever the plan does.

    Raises PlanError, UsageError or MachineError as `proof_read` does.
    """
    from overlay.folder.catalog import Job, rehearsal_text
    from overlay.folder.manifest import sha256_of
    from overlay.page.serve import Page

    raw = read_bytes(plan)
    source = parse_source(raw, str(plan))
    session = session_of(source)
    layout = lay_out(session)
    version = sha256_of(raw)
    return Page(rehearsal_text(Job(session, layout, findings=_noticed(source, session, layout)), version), version)


def _noticed(source: Source, session: Session, layout: Layout) -> tuple[Finding, ...]:
    return (*plan_advice(session, source), *check_class(session, layout))


def _is_surely_drawn(timeline: Timeline) -> bool:
    """Whether every character is one of Western Europe's, which the fonts have: then they need not be opened."""
    other = {text for text in printed_texts(timeline) if not text.isascii()}
    return all(ord(character) < 0x17F or character in "’“”…–—" for text in other for character in text)


def _can_be_drawn(source: Source, timeline: Timeline) -> None:
    """Find the characters that the fonts lack before anything is drawn, and where they are written."""
    from overlay.pictures.fonts import missing_characters

    missing = missing_characters(printed_texts(timeline))
    if missing:
        remedy = "Write it with other characters."
        mistakes = [
            source.mistake(source.find(c), f"the fonts have no character {c} (U+{ord(c):04X})", remedy) for c in missing
        ]
        raise PlanError(source.path, mistakes)
