"""The whole job on one screen: read, lay out, check, write."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from overlay.errors import PlanError, UsageError
from overlay.plan.advice import Finding, Weight, plan_advice
from overlay.plan.look_advice import look_advice
from overlay.plan.nearest import did_you_mean
from overlay.plan.read import session_of
from overlay.plan.session import Session
from overlay.plan.source import Path_, Source, parse_source, read_bytes
from overlay.plan.texts import texts_of
from overlay.timeline.check import check_class
from overlay.timeline.layout import Layout, lay_out
from overlay.timeline.model import Timeline
from overlay.timeline.printed import printed_texts

if TYPE_CHECKING:
    from overlay.folder.job import Output
    from overlay.folder.manifest import Entry
    from overlay.footage.listen import Answer
    from overlay.page.serve import Page
    from overlay.pictures.fonts import Fonts
    from overlay.pictures.means import Means


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
    fonts = None
    if not (_is_surely_drawn(session, layout.timeline) and _surely_fits(session, layout.timeline)):
        fonts = _brought(source, session)
        _can_be_drawn(source, layout.timeline, fonts)

    def tone_levels() -> dict[str, Any]:
        from overlay.tones.track import level_report

        return level_report(layout.timeline, session.tones).data()

    findings = (*_noticed(source, session, layout, fonts), *_unprinted(source, session, session.main_language).values())
    return Proof(layout.timeline, findings, tone_levels)


def build(
    plan: Path,
    *,
    out: Path | None = None,
    only: Sequence[str] = (),
    language: str | None = None,
    plain_mov: bool = False,
    replace: bool = False,
    workers: int = 1,
    cache: Path | None = None,
    progress: Callable[[str], None] = lambda _: None,
) -> Built:
    """Make every output of a plan, or those named in `only`; all of them appear, or none.

    Pictures and paper are made in `language`, one of the plan's, or in its main one. Up to `workers`
    processes code pictures, where that is worth it; `cache` is a folder in which coded pictures are
    remembered from build to build. Neither changes a byte of what is made. With more than one worker, a
    program of its own that calls this must do so below `if __name__ == "__main__":`, as `multiprocessing` asks.

    A file in the way that is not ours, or that was changed since we wrote it, stops the build with
    UsageError unless `replace`. Raises PlanError before anything is written, MachineError when the
    disk refuses.
    """
    from overlay.folder.catalog import chosen
    from overlay.folder.fill import fill
    from overlay.folder.job import Job
    from overlay.folder.manifest import sha256_of

    chosen(only)
    raw = read_bytes(plan)
    source = parse_source(raw, str(plan))
    session = session_of(source)
    if language is not None and language not in session.language:
        raise UsageError(f"The plan is not written in {language}.", remedy=did_you_mean(language, session.language))
    layout = lay_out(session, language)
    outputs = chosen(only, ["all"] if session.pictures.all_in_one else [])
    fonts = None
    if any(output.draws for output in outputs):
        fonts = _brought(source, session, language)
        _can_be_drawn(source, layout.timeline, fonts)
    folder = out if out is not None else plan.parent / f"{plan.stem}-assets"
    unprinted = _unprinted(source, session, layout.timeline.language)
    findings = (*_noticed(source, session, layout, fonts), *unprinted.values())
    with _means(workers, cache, outputs) as means:
        job = Job(session, layout, plain_mov, plan, fonts, frozenset(unprinted), findings, means)
        filled = fill(folder, outputs, job, sha256_of(raw), progress, replace=replace)
    return Built(folder, *filled, layout.timeline, findings)


def _means(workers: int, cache: Path | None, outputs: Sequence[Output]) -> AbstractContextManager[Means | None]:
    """With what pictures are coded, where any are drawn."""
    if not any(output.draws for output in outputs):
        return nullcontext()
    from overlay.pictures.means import opened_means

    return opened_means(workers, cache)


def rehearsal(plan: Path) -> Page:
    """The rehearsal page of a plan as it is served; its version changes whenever the plan does.

    Raises PlanError, UsageError or MachineError as `proof_read` does.
    """
    from overlay.folder.catalog import rehearsal_text
    from overlay.folder.job import Job
    from overlay.folder.manifest import sha256_of
    from overlay.page.serve import Page

    raw = read_bytes(plan)
    source = parse_source(raw, str(plan))
    session = session_of(source)
    layout = lay_out(session)
    version = sha256_of(raw)
    findings = (*_noticed(source, session, layout, None), *_unprinted(source, session, session.main_language).values())
    return Page(rehearsal_text(Job(session, layout, plan=plan, findings=findings), version), version)


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
    progress: Callable[[str], None] = lambda _: None,
) -> Synced:
    """Find the class in footage and write its takes, unless blocks are missing that no take has (then only if `part`).

    `near` and `start` are timecodes or times of a file, counted from its first picture. Raises PlanError, UsageError,
    or MachineError for footage that cannot be read; nothing is written then.
    """
    from overlay.footage.cover import cover, hear_all, place_in_file, placed_by_hand
    from overlay.footage.pattern import blocks_of
    from overlay.footage.takes import read_takes, write_takes

    session = session_of(parse_source(read_bytes(plan), str(plan)))
    timeline = lay_out(session).timeline
    path = takes if takes is not None else plan.with_name(f"{plan.stem}-takes.yaml")
    blocks = blocks_of(timeline)
    known = read_takes(path, blocks) if path.exists() else {}
    if start is not None:
        if len(footage) > 1 or near is not None:
            raise UsageError("--start is for one file, and without --near.", remedy="Name one file at a time.")
        answers = [placed_by_hand(timeline, footage[0], place_in_file(start, timeline))]
    else:
        about = None if near is None else place_in_file(near, timeline)
        answers = hear_all(timeline, session.tones, footage, near=about, progress=progress)
    covered = cover(timeline, answers, known)
    written = None
    if covered.takes and (part or not covered.findings):
        write_takes(path, covered.takes, blocks)
        written = path
    return Synced(timeline, answers, covered.findings, covered.remarks, written)


def _noticed(source: Source, session: Session, layout: Layout, fonts: Fonts | None) -> tuple[Finding, ...]:
    """What is to be told; of pictures only where their words were looked at with these fonts."""
    noticed = (*plan_advice(session, source), *look_advice(session.look), *check_class(session, layout))
    if fonts is None:
        return noticed
    from overlay.pictures.findings import picture_findings

    return (*noticed, *picture_findings(layout.timeline, session.look, fonts))


def _surely_fits(session: Session, timeline: Timeline) -> bool:
    """Whether no name is so long, no block so full and no layer so large that it might not fit its picture:
    then nothing need be set in type to know."""
    look = session.look
    if max(look.timer.scale, look.titles.scale, look.previews.scale) > 1 or len(timeline.title) > 60:
        return False
    if any(part is not None and part.card for part in (session.opening, session.closing)):
        return False
    moves = [move for segment in timeline.segments for move in (segment.move,) if move is not None]
    names = (segment.name or "" for segment in timeline.segments)
    told = (len(move.easier or "") + len(", ".join(move.equipment)) for move in moves)
    shown = (len(segment.shows) for segment in timeline.segments)
    return max(map(len, names)) <= 40 and max(told, default=0) <= 90 and max(shown) <= 5


def _is_surely_drawn(session: Session, timeline: Timeline) -> bool:
    """Whether nothing but Western Europe's characters is drawn, and in the tool's own fonts, which have them:
    then they need not be opened."""
    if session.look.family is not None or session.look.fonts or any(session.images()):
        return False
    return _is_western(printed_texts(timeline))


def _is_western(texts: Iterable[str]) -> bool:
    other = {text for text in texts if not text.isascii()}
    return all(ord(character) < 0x17F or character in "’“”…–—" for text in other for character in text)


def _unprinted(source: Source, session: Session, drawn_in: str) -> dict[str, Finding]:
    """The other languages that the fonts lack characters of: everything but the script is made in them."""
    found: dict[str, Finding] = {}
    for language in session.language:
        texts = [text.in_language(language, main=session.main_language) for _, text in texts_of(session)]
        if language == drawn_in or _is_western(texts):
            continue
        from overlay.pictures.fonts import missing_characters

        missing = missing_characters(texts, _brought(source, session, language))
        if missing:
            text = f"no script is printed in {language}: the fonts have no character {missing[0]}"
            figures = (("missing_characters", float(len(missing))),)
            found[language] = Finding("script-left-out", Weight.FINDING, "plan", text, figures)
    return found


def _brought(source: Source, session: Session, language: str | None = None) -> Fonts:
    """The fonts that the plan brings, in play with the tool's own; its images are looked at as well.

    Raises PlanError with the place of each file that cannot be used.
    """
    from overlay.pictures.fonts import fonts_named, fonts_of, usable_font
    from overlay.pictures.images import image_beside

    plan = Path(source.path)
    named: list[tuple[Path_, str, Callable[[Path, str], object]]] = [
        *((("look", *way), name, usable_font) for way, name in fonts_named(session.look)),
        *((way, name, image_beside) for way, name in session.images()),
    ]
    mistakes = []
    for way, name, looked_at in named:
        try:
            looked_at(plan, name)
        except ValueError as error:
            mistakes.append(source.mistake(source.place_of(way)[0], str(error)))
    if mistakes:
        raise PlanError(source.path, mistakes)
    return fonts_of(session.look, plan, language or session.main_language)


def _can_be_drawn(source: Source, timeline: Timeline, fonts: Fonts) -> None:
    """Find the characters that the fonts lack before anything is drawn, and where they are written."""
    from overlay.pictures.fonts import missing_characters

    missing = missing_characters(printed_texts(timeline), fonts)
    if missing:
        remedy = "Write it with other characters, or name a font that has it under look: as fonts: [file.ttf]"
        mistakes = [
            source.mistake(source.find(c), f"the fonts have no character {c} (U+{ord(c):04X})", remedy) for c in missing
        ]
        raise PlanError(source.path, mistakes)
