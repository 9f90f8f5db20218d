"""`overlay build`."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Annotated, Any

import typer

from overlay.cli.counts import whole_number
from overlay.cli.options import Plans, Quiet, Root
from overlay.errors import EXIT_FINDINGS, UsageError


def _outputs(typed: str) -> Iterator[str]:
    """What may be completed after --only, a comma list included."""
    from overlay.folder.catalog import CATALOG

    *before, last = typed.split(",")
    return (",".join([*before, name]) for name in CATALOG if name.startswith(last))


def build(
    plan: Plans,
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
            autocompletion=_outputs,
        ),
    ] = None,
    language: Annotated[
        str | None,
        typer.Option(metavar="TAG", help="Make pictures and paper in this language of the plan, else in its first."),
    ] = None,
    takes: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE",
            help="Fit everything to what was filmed: the takes that overlay sync wrote.",
            show_default=False,
        ),
    ] = None,
    plain_mov: Annotated[
        bool,
        typer.Option("--plain-mov", help="Write every frame in full, for a program that cannot read the small files."),
    ] = False,
    workers: Annotated[
        int | None,
        typer.Option(
            parser=whole_number(1, 64),
            metavar="COUNT",
            help="Draw pictures in so many processes at a time, 1 to 64; else one for each core of the machine.",
        ),
    ] = None,
    no_cache: Annotated[
        bool,
        typer.Option("--no-cache", help="Make every file anew and remember no picture in your cache folder."),
    ] = False,
    replace: Annotated[
        bool, typer.Option("--replace", help="Write over files in the folder that the tool did not write.")
    ] = False,
    root: Root = None,
    cluster: Annotated[
        str | None,
        typer.Option(
            metavar="ADDRESS",
            help="Build on the workers of a Dask scheduler, for example tcp://10.0.0.5:8786.",
            show_default=False,
        ),
    ] = None,
    quiet: Quiet = False,
) -> None:
    """Make everything the editor needs.

    It goes into one folder beside the plan; all of it appears, or nothing does. Of several plans each has its own
    folder, and one that cannot be made does not hold up the others.

    Example: overlay build desk-break.yaml
    """
    from overlay import pipeline
    from overlay.cli.places import cache_folder, is_many
    from overlay.cli.progress import shown_progress
    from overlay.cli.summary import show_built

    options: dict[str, Any] = {
        "only": only or (),
        "language": language,
        "plain_mov": plain_mov,
        "replace": replace,
        "anew": no_cache,
        "root": root,
    }
    workers = workers or os.cpu_count() or 1
    cache = None if no_cache else cache_folder()
    if is_many(plan) or cluster is not None:
        if takes is not None:
            raise UsageError("--takes is for one plan.", remedy="Build the class that was filmed by itself, here.")
        if cluster is None:
            options |= {"workers": workers, "cache": cache}
        else:
            from overlay.series.cluster import Cluster

            options["cluster"] = Cluster(cluster, None if no_cache else cache_folder)
        sys.exit(_build_many(plan, quiet=quiet, out=out, alone=not is_many(plan), **options))
    with shown_progress(quiet=quiet) as watch:
        built = pipeline.build(
            plan[0],
            out=out,
            takes=takes,
            workers=workers,
            cache=cache,
            **options,
            progress=lambda name: watch.step(f"Making {name}"),
            far=watch.far,
        )
    show_built(built, plan[0], takes, quiet=quiet)
    if not built.is_filmed:
        sys.exit(EXIT_FINDINGS)


def _build_many(named: list[Path], *, quiet: bool, **options: Any) -> int:
    from overlay.cli.many import show_rows, teller
    from overlay.cli.progress import shown_progress
    from overlay.series.classes import build_classes
    from overlay.series.plans import plans_in

    plans = plans_in(named)
    with shown_progress(quiet=quiet) as watch:
        rows = build_classes(plans, told=teller(watch, len(plans)), **options)
    return show_rows(rows, quiet=quiet)
