"""`overlay build`."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Annotated, Any

import typer

from overlay.cli.messages import say


def build(
    plan: Annotated[
        list[Path],
        typer.Argument(
            metavar="PLAN...", help="The plan, for example desk-break.yaml; or several, or folders.", show_default=False
        ),
    ],
    out: Annotated[
        Path | None,
        typer.Option(
            metavar="FOLDER",
            help="The folder to write to, else PLAN-assets beside the plan; of several plans the folder for all these.",
        ),
    ] = None,
    only: Annotated[
        list[str] | None,
        typer.Option(
            metavar="NAMES",
            help="Make these only, with commas: timeline, captions, tones, timer, titles, previews, progress, stills, "
            "shot-list, script, strip, handoff, rehearsal; and two made only when named: all (every layer in one "
            "movie), sheet.",
        ),
    ] = None,
    language: Annotated[
        str | None,
        typer.Option(metavar="TAG", help="Make pictures and paper in this language of the plan, else in its first."),
    ] = None,
    plain_mov: Annotated[
        bool,
        typer.Option("--plain-mov", help="Write every frame in full, for a program that cannot read the small files."),
    ] = False,
    workers: Annotated[
        int | None,
        typer.Option(min=1, max=64, metavar="COUNT", help="Code pictures in so many processes, else one a core."),
    ] = None,
    no_cache: Annotated[
        bool,
        typer.Option("--no-cache", help="Draw every picture anew and remember none in your cache folder."),
    ] = False,
    replace: Annotated[
        bool, typer.Option("--replace", help="Write over files in the folder that the tool did not write.")
    ] = False,
    root: Annotated[
        Path | None,
        typer.Option(
            metavar="FOLDER",
            help="The folder of the series: plans share files up to it, else up to a series.yaml or .git.",
            show_default=False,
        ),
    ] = None,
) -> None:
    """Make everything the editor needs.

    It goes into one folder beside the plan; all of it appears, or nothing does. Of several plans each has its own
    folder, and one that cannot be made does not hold up the others.

    Example: overlay build desk-break.yaml
    """
    from overlay import pipeline
    from overlay.cli.places import cache_folder, is_many

    options: dict[str, Any] = {
        "only": only or (),
        "language": language,
        "plain_mov": plain_mov,
        "replace": replace,
        "root": root,
    }
    workers = workers or os.cpu_count() or 1
    cache = None if no_cache else cache_folder()
    if is_many(plan):
        from overlay.cli.many import show_rows, teller
        from overlay.series.classes import build_classes
        from overlay.series.plans import plans_in

        plans = plans_in(plan)
        rows = build_classes(plans, out=out, workers=workers, told=teller(len(plans)), cache=cache, **options)
        sys.exit(show_rows(rows))

    built = pipeline.build(
        plan[0],
        out=out,
        workers=workers,
        cache=cache,
        **options,
        progress=lambda name: say(f"Making {name}", to_error=True),
    )
    for finding in built.findings:
        say(f"{finding.weight.value}: {finding.place}: {finding.text}", to_error=True)
    count, size_mb = len(built.entries), sum(entry.bytes for entry in built.entries) / 1e6
    say(f"{count} {'file' if count == 1 else 'files'}, {size_mb:.1f} MB, in {built.folder}")
    paths = {entry.path for entry in built.entries}
    if any(path.startswith(("captions/", "tones/", "pictures/")) for path in paths):
        say("Drop captions, tones and pictures at the class's first frame.")
    if "paper/shot-list.pdf" in paths:
        say(f"What to film: {built.folder / 'paper' / 'shot-list.pdf'}")
    if built.outdated:
        say(f"From an earlier plan, not made anew: {', '.join(entry.path for entry in built.outdated)}")
