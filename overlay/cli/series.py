"""`overlay series`."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Annotated

import typer

from overlay.cli.options import Quiet, Root
from overlay.errors import EXIT_DONE


def series(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="The folder of the plans.", show_default=False)],
    out: Annotated[
        Path | None,
        typer.Option(metavar="FOLDER", help="The folder to write both files to, else that of the plans."),
    ] = None,
    root: Root = None,
    sheets: Annotated[bool, typer.Option(help="Show the contact sheet of each class; drawing them takes time.")] = True,
    no_cache: Annotated[
        bool, typer.Option("--no-cache", help="Draw every picture anew and remember none in your cache folder.")
    ] = False,
    replace: Annotated[
        bool, typer.Option("--replace", help="Write over a series.html or series.csv that the tool did not write.")
    ] = False,
    quiet: Quiet = False,
) -> None:
    """See all classes of a folder side by side.

    Writes series.html and series.csv into it, or to --out: length, work on each side, equipment and findings of every
    class, which exercises come how often and when last, and what is said word for word again and again.

    Example: overlay series spring-classes
    """
    from overlay.cli.messages import error_lines, say
    from overlay.cli.places import cache_folder
    from overlay.cli.progress import shown_progress
    from overlay.series.overview import survey, write_overview

    with shown_progress(quiet=quiet) as watch:

        def told(ended: int, count: int, plan: Path) -> None:
            watch.step(f"{ended}/{count} {plan}")
            watch.far(ended / count)

        cache = None if no_cache else cache_folder()
        found = survey(folder, root, workers=os.cpu_count() or 1, cache=cache, sheets=sheets, told=told)
    for one in found:
        for line in error_lines(one.error) if one.error is not None else ():
            say(line, to_error=True)
    written = write_overview(folder, found, out=out, replace=replace)
    if not quiet:
        count = len(found)
        say(f"{count} {'class' if count == 1 else 'classes'}, in")
        say("\n".join(f"  {path}" for path in written))
    sys.exit(max((one.error.exit_status for one in found if one.error is not None), default=EXIT_DONE))
