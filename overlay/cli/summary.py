"""What a build ends with: what to mend first, then what was made, where, and what to do next."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from overlay.cli.messages import say, typed
from overlay.plan.advice import Finding, Weight
from overlay.units.clock import format_duration

if TYPE_CHECKING:
    from overlay.filming import Synced
    from overlay.pipeline import Built, Watched

_ROOMS = {
    "captions": "what you say, as captions",
    "tones": "the beeps",
    "pictures": "countdown, titles and previews to lay over the footage",
    "paper": "to print: what to film, what to say",
    "handoff": "for the editor, and words for the page it is published on",
}


def show_built(built: Built, plan: Path, takes: Path | None = None, *, quiet: bool) -> None:
    """Findings on standard error, the rest on standard output. With `quiet` nothing but findings."""
    _show_findings(built.findings)
    if not quiet:
        say("\n".join(summary_lines(built, plan, takes)))


def finding_lines(findings: Sequence[Finding]) -> Iterator[str]:
    """What was noticed: findings first, remarks after them."""
    for weight in (Weight.FINDING, Weight.REMARK):
        for finding in findings:
            if finding.weight is weight:
                yield f"{weight.value}: {finding.place}: {finding.text}"


def summary_lines(built: Built, plan: Path, takes: Path | None = None) -> Iterator[str]:
    """What was made, where, and what to do next."""
    count, size_mb = len(built.entries), sum(entry.bytes for entry in built.entries) / 1e6
    length = format_duration(built.timeline.lasts)
    yield f"{built.timeline.title}, {length}: {count} {'file' if count == 1 else 'files'}, {size_mb:.1f} MB, in"
    yield f"  {built.folder}"
    paths = [entry.path for entry in built.entries]
    for room, number in Counter(path.split("/")[0] for path in paths if "/" in path).items():
        yield f"  {room + '/':10} {number:>4} {_ROOMS.get(room, '')}".rstrip()
    if built.reused:
        yield f"{len(built.reused)} of these stood there already just so and were left as they are."
    if built.outdated:
        yield f"From an earlier plan, not made anew: {', '.join(entry.path for entry in built.outdated)}"
    yield f"Next: {_next_step(built, plan, takes, set(paths))}"


def _next_step(built: Built, plan: Path, takes: Path | None, paths: set[str]) -> str:
    """The one thing to do now."""
    if any(finding.weight is Weight.FINDING for finding in built.findings):
        return f"mend what is told above in {plan.name}, then build again."
    if takes is not None:
        classed = built.folder / "handoff" / "class.otio"
        opened = f"open {classed} in your editor, or " if "handoff/class.otio" in paths else ""
        return f"{opened}drop these at the class's first frame in your edit."
    if "paper/shot-list.pdf" in paths:
        print_ = f"print {built.folder / 'paper' / 'shot-list.pdf'} and film."
        return f"{print_} Then: overlay sync {typed(plan)} CLIP"
    if any(path.startswith(("captions/", "tones/", "pictures/")) for path in paths):
        return "drop these at the class's first frame in your edit."
    return f"look at {built.folder / sorted(paths)[0]}."


def show_synced(synced: Synced, plan: Path, *, quiet: bool) -> None:
    """What is to be mended, then what was written and what to do next; all of it on standard error with `quiet`."""
    for finding in synced.findings:
        say(f"finding: {finding}", to_error=True)
    for remark in synced.remarks:
        say(f"remark: {remark}", to_error=True)
    sys.stderr.flush()
    if synced.written is None:
        say(
            "No takes file was changed. Next: mend what is told above, or give --part to take what there is.",
            to_error=True,
        )
    elif not quiet:
        say(f"Which file has which block stands in {synced.written}")
        say(f"Next: overlay build {typed(plan)} --takes {typed(synced.written)}")


def show_proof(watched: Watched, *, quiet: bool) -> None:
    """Findings on standard error, then the film, how much it shows, and what to look at in it."""
    _show_findings(watched.findings)
    if quiet:
        return
    film = watched.film
    length = format_duration(Fraction(film.frame_count // watched.timeline.rate.value))
    shown = "the whole class" if film.stretches == 1 else f"{film.stretches} stretches of the class"
    say(f"{length}, {shown}, in {film.path}")
    say("Next: watch it, and see that digits, words and beeps come together.")


def _show_findings(findings: Sequence[Finding]) -> None:
    for line in finding_lines(findings):
        say(line, to_error=True)
    sys.stderr.flush()
