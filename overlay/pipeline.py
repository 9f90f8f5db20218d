"""The whole job on one screen: read, lay out, check, write."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from overlay.errors import UsageError
from overlay.pictures.legible import bring, is_plain, refuse_missing, unprinted
from overlay.plan.advice import Finding, Weight, plan_advice
from overlay.plan.look_advice import look_advice
from overlay.plan.nearest import did_you_mean
from overlay.plan.read import session_of
from overlay.plan.session import Session
from overlay.plan.source import Source, parse_source, read_bytes
from overlay.timeline.check import check_class
from overlay.timeline.layout import Layout, lay_out
from overlay.timeline.model import Timeline

if TYPE_CHECKING:
    from overlay.folder.job import File, Output
    from overlay.folder.manifest import Entry, MadeFrom
    from overlay.footage.conform import Conformed
    from overlay.footage.proof import Proofed
    from overlay.page.serve import Page
    from overlay.pictures.fonts import Fonts
    from overlay.pictures.means import Means, Pool


class Built(NamedTuple):
    """What a build made: the folder, its files, those left from an earlier plan, those of its own that stood
    there already just so, the class, and what was noticed."""

    folder: Path
    entries: tuple[Entry, ...]
    outdated: tuple[Entry, ...]
    reused: tuple[Entry, ...]
    timeline: Timeline
    findings: tuple[Finding, ...]
    is_filmed: bool = True
    """Whether nothing in the footage is to be mended, where there are takes."""


class Proof(NamedTuple):
    """A class laid out, what was noticed, and, on demand, how loud its beeps are (`tones/track.py`)."""

    timeline: Timeline
    findings: tuple[Finding, ...]
    tone_levels: Callable[[], dict[str, Any]]


class _Read(NamedTuple):
    """A plan read and laid out, and what was noticed: the same whatever is to be made of it."""

    raw: bytes
    source: Source
    session: Session
    layout: Layout
    fonts: Fonts | None
    unprinted: frozenset[str]
    findings: tuple[Finding, ...]
    footage: Conformed | None
    is_filmed: bool


def _read(
    plan: Path, language: str | None = None, root: Path | None = None, *, draws: bool, takes: Path | None = None
) -> _Read:
    """Read a plan, lay it out and look it over. `fonts` is None where nothing but the tool's own need be opened.

    With a takes file the class stands where it was filmed; what it teaches is looked over as planned. Where its words
    are to be drawn, characters that no font has are refused.

    Raises PlanError, UsageError or MachineError.
    """
    raw = read_bytes(plan)
    source = parse_source(raw, str(plan))
    source.root = root
    session = session_of(source)
    if language is not None and language not in session.language:
        raise UsageError(f"The plan is not written in {language}.", remedy=did_you_mean(language, session.language))
    planned = layout = lay_out(session, language)
    footage: Conformed | None = None
    filmed: tuple[Finding, ...] = ()
    if takes is not None:
        from overlay.footage.filmed import conform_to, footage_findings

        footage = conform_to(planned.timeline, takes)
        layout = lay_out(session, language, footage.moved)
        filmed = footage_findings(layout.timeline, footage)
    timeline = layout.timeline
    noticed = check_class(session, planned._replace(findings=layout.findings))
    findings = (*plan_advice(session, source), *look_advice(session.look), *noticed, *filmed)
    fonts = None
    if not is_plain(session, timeline):
        from overlay.pictures.findings import picture_findings

        fonts = bring(source, session, timeline.language)
        if draws:
            refuse_missing(source, timeline, fonts)
        findings += tuple(picture_findings(timeline, session.look, fonts))
    left_out = unprinted(source, session, timeline.language)
    findings = (*findings, *left_out.values())
    is_filmed = all(finding.weight is not Weight.FINDING for finding in filmed)
    return _Read(raw, source, session, layout, fonts, frozenset(left_out), findings, footage, is_filmed)


def proof_read(plan: Path, root: Path | None = None) -> Proof:
    """Read a plan, lay it out, and say what was noticed. Writes nothing.

    No file that it names may stand outside of `root` (`plan/beside.py`). Raises PlanError, UsageError or
    MachineError as `build` does.
    """
    read = _read(plan, root=root, draws=True)
    timeline = read.layout.timeline

    def tone_levels() -> dict[str, Any]:
        from overlay.tones.track import level_report

        return level_report(timeline, read.session.tones).data()

    return Proof(timeline, read.findings, tone_levels)


def build(
    plan: Path,
    *,
    out: Path | None = None,
    only: Sequence[str] = (),
    language: str | None = None,
    takes: Path | None = None,
    plain_mov: bool = False,
    replace: bool = False,
    anew: bool = False,
    workers: int = 1,
    cache: Path | None = None,
    root: Path | None = None,
    pool: Pool | None = None,
    elsewhere: Mapping[str, Sequence[File]] | None = None,
    progress: Callable[[str], None] = lambda _: None,
    far: Callable[[float], None] = lambda _: None,
) -> Built:
    """Make every output of a plan, or those named in `only`; all of them appear, or none.

    Pictures and paper are made in `language`, one of the plan's, or in its main one. With a takes file
    everything is fitted to what was filmed. Up to `workers` processes code pictures, where that is worth
    it; `cache` is a folder in which coded pictures are remembered from build to build. Neither changes a
    byte of what is made. With more than one worker, a
    program of its own that calls this must do so below `if __name__ == "__main__":`, as `multiprocessing` asks.
    No file that the plan names may stand outside of `root` (`plan/beside.py`). `pool` is where the workers are, if they
    are no processes of this machine; files that were made `elsewhere` are put in place, by kind.
    `progress` is told the name of each output as it begins, `far` the share of the work that is done, 0 to 1.

    A file of an earlier build that the same inputs would make again is taken as it stands, unless `anew`.
    A file in the way that is not ours, or that was changed since we wrote it, stops the build with
    UsageError unless `replace`, before anything is made. Raises PlanError before anything is written,
    MachineError when the disk refuses.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     plan = Path(folder, "one.yaml")
    ...     _ = plan.write_text("overlay: 1\\ntitle: One\\nblocks: [{intervals: [{name: Squat}]}]", "utf-8")
    ...     built = build(plan, only=["captions"])
    >>> built.folder.name, [entry.path for entry in built.entries][1]
    ('one-assets', 'captions/en.srt')
    """
    from overlay.folder.catalog import chosen
    from overlay.folder.fill import fill
    from overlay.folder.job import Job
    from overlay.folder.media import take_pieces
    from overlay.folder.steps import Steps

    outputs = chosen(only)
    read = _read(plan, language, root, draws=any(output.draws for output in outputs), takes=takes)
    outputs = chosen(only, ["all"] if read.session.pictures.all_in_one else [])
    folder = out if out is not None else plan.parent / f"{plan.stem}-assets"
    footage = read.footage
    pieces = tuple(take_pieces(footage.filmed, read.layout.timeline, folder)) if footage else ()
    steps = Steps(outputs, read.layout.timeline, progress, far)
    with _means(workers, cache, outputs, steps.within, pool) as means:
        job = Job(
            read.session,
            read.layout,
            plain_mov,
            plan,
            read.fonts,
            read.unprinted,
            read.findings,
            means,
            moved=footage.moved if footage else None,
            takes=pieces,
            root=root,
        )
        made_from = _made_from(read, takes)
        filled = fill(folder, outputs, job, made_from, steps.begin, replace=replace, anew=anew, elsewhere=elsewhere)
    return Built(folder, *filled, read.layout.timeline, read.findings, read.is_filmed)


def _made_from(read: _Read, takes: Path | None = None) -> MadeFrom:
    """The sums of all that the class is written in."""
    from overlay.folder.manifest import MadeFrom, sha256_of

    shared = [sha256_of("\n".join(file.lines).encode("utf-8", "surrogatepass")) for file in read.source.shared_files]
    return MadeFrom(
        sha256_of(read.raw),
        sha256_of(read_bytes(takes)) if takes else None,
        sha256_of("".join(shared).encode("ascii")) if shared else None,
    )


def _means(
    workers: int,
    cache: Path | None,
    outputs: Sequence[Output],
    told: Callable[[float], None],
    pool: Pool | None,
) -> AbstractContextManager[Means | None]:
    """With what pictures are coded, where any are drawn."""
    if not any(output.draws for output in outputs):
        return nullcontext()
    from overlay.pictures.means import opened_means

    return opened_means(workers, cache, told, pool)


def rehearsal(plan: Path, root: Path | None = None) -> Page:
    """The rehearsal page of a plan as it is served; its version changes whenever the plan does, or a file that it
    shares with others up to `root` (`plan/beside.py`).

    Raises PlanError, UsageError or MachineError as `proof_read` does.
    """
    from overlay.folder.catalog import rehearsal_text
    from overlay.folder.job import Job
    from overlay.folder.manifest import sha256_of
    from overlay.page.serve import Page

    read = _read(plan, root=root, draws=False)
    version = sha256_of("".join(filter(None, _made_from(read))).encode("ascii"))
    job = Job(read.session, read.layout, plan=plan, fonts=read.fonts, findings=read.findings)
    return Page(rehearsal_text(job, version), version, tuple(Path(file.path) for file in read.source.shared_files))


class Watched(NamedTuple):
    """A film to proof-watch that was made, the class, and what was noticed."""

    film: Proofed
    timeline: Timeline
    findings: tuple[Finding, ...]
    is_filmed: bool


def proof(
    plan: Path,
    *,
    takes: Path | None = None,
    out: Path | None = None,
    full: bool = False,
    replace: bool = False,
    root: Path | None = None,
    far: Callable[[float], None] = lambda _: None,
) -> Watched:
    """Make a small film of a class to watch before the edit: the seconds around every beep, or all of it if `full`.

    No file that the plan names may stand outside of `root` (`plan/beside.py`).
    `far` is told the share of the film that is done, 0 to 1. A file in the way that is not a proof of ours stops it
    with UsageError unless `replace`. Raises PlanError, UsageError or MachineError as `build` does.
    """
    from overlay.footage.proof import refuse_others, write_proof

    film = out if out is not None else plan.with_name(f"{plan.stem}-proof.mp4")
    refuse_others(film, replace=replace)
    read = _read(plan, root=root, draws=True, takes=takes)
    made_of = read.session, read.layout.timeline, plan, read.footage, read.fonts
    written = write_proof(film, *made_of, full=full, far=far)
    return Watched(written, read.layout.timeline, read.findings, read.is_filmed)
