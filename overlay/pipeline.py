"""The whole job on one screen: read, lay out, check, write."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from overlay.errors import PlanError, UsageError
from overlay.folder.catalog import ALWAYS, CATALOG, File, Job, Output
from overlay.folder.manifest import MANIFEST, Entry, kept_entries, manifest_text
from overlay.folder.write import Writing
from overlay.plan.advice import Finding, plan_advice
from overlay.plan.nearest import nearest_name
from overlay.plan.read import session_of
from overlay.plan.source import Source, parse_source, read_bytes
from overlay.timeline.check import check_class
from overlay.timeline.layout import Layout, lay_out
from overlay.timeline.model import Timeline

Progress = Callable[[str], None]


@dataclass(frozen=True)
class Built:
    """What a build made: the folder, the files written this time, the class, and what was noticed."""

    folder: Path
    entries: tuple[Entry, ...]
    timeline: Timeline
    findings: tuple[Finding, ...]


def proof_read(plan: Path) -> tuple[Timeline, tuple[Finding, ...]]:
    """Read a plan, lay it out, and say what was noticed. Writes nothing.

    Raises PlanError, UsageError or MachineError as `build` does.
    """
    source = parse_source(read_bytes(plan), str(plan))
    session = session_of(source)
    layout = lay_out(session)
    return layout.timeline, (*plan_advice(session, source), *check_class(session, layout))


def build(
    plan: Path,
    *,
    out: Path | None = None,
    only: Sequence[str] = (),
    plain_mov: bool = False,
    progress: Progress = lambda _: None,
) -> Built:
    """Make every output of a plan, or those named in `only`; all of them appear, or none.

    Raises PlanError or UsageError before anything is written, MachineError when the disk refuses.
    """
    outputs = _chosen(only)
    raw = read_bytes(plan)
    source = parse_source(raw, str(plan))
    session = session_of(source)
    layout = lay_out(session)
    job = Job(session, layout.timeline, plain_mov)
    if any(output.draws for output in outputs):
        _can_be_drawn(source, layout)
    folder = out if out is not None else plan.parent / f"{plan.stem}-assets"
    plan_sha256 = hashlib.sha256(raw).hexdigest()
    entries: list[Entry] = []
    with Writing(folder) as writing:
        for output in outputs:
            progress(output.name)
            entries += [writing.write(file, output.kind, plan_sha256) for file in output.make(job)]
        every = [*entries, *kept_entries(folder, entries)]
        text = manifest_text(layout.timeline, plan_sha256, every)
        writing.write(File(MANIFEST, [text.encode("utf-8")]), "manifest", plan_sha256)
        writing.finish()
    findings = (*plan_advice(session, source), *check_class(session, layout))
    return Built(folder, tuple(entries), layout.timeline, findings)


def _chosen(only: Sequence[str]) -> list[Output]:
    for name in only:
        if name not in CATALOG:
            near = nearest_name(name, list(CATALOG))
            remedy = f"Did you mean {near}?" if near else f"Known are: {', '.join(CATALOG)}."
            raise UsageError(f"There is no output {name}.", remedy=remedy)
    return [row for row in CATALOG.values() if not only or row.name in only or row.name == ALWAYS]


def _can_be_drawn(source: Source, layout: Layout) -> None:
    """Find the characters that the fonts lack before anything is drawn, and where they are written."""
    from overlay.pictures.fonts import missing_characters

    timeline = layout.timeline
    texts = [
        timeline.title,
        *filter(None, vars(timeline.phrases).values()),
        *(cue.text for cue in timeline.cues if cue.language == timeline.language),
    ]
    for segment in timeline.segments:
        texts += [segment.block_name or ""]
        if segment.move is not None:
            move = segment.move
            texts += [move.name, move.position or "", move.camera or "", move.easier or "", *move.equipment]
    missing = missing_characters(texts)
    if not missing:
        return
    mistakes = []
    for character in missing:
        found = ((line, text.find(character)) for line, text in enumerate(source.lines) if character in text)
        line, column = next(found, (-1, -1))
        message = f"the fonts have no character {character} (U+{ord(character):04X})"
        mistakes.append(source.mistake((line + 1, column + 1), message, "Write it with other characters."))
    raise PlanError(source.path, mistakes)
