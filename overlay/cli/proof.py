"""`overlay proof`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from overlay.cli.options import OnePlan, Quiet, Root
from overlay.errors import EXIT_DONE, EXIT_FINDINGS


def proof(
    plan: OnePlan,
    takes: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Over the footage: the takes that overlay sync wrote.", show_default=False),
    ] = None,
    full: Annotated[bool, typer.Option("--full", help="The whole class, not the seconds around its beeps.")] = False,
    out: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE", help="The film to write, else PLAN-proof.mp4 beside the plan.", show_default=False
        ),
    ] = None,
    replace: Annotated[
        bool, typer.Option("--replace", help="Write over a file that is no proof of the tool's.")
    ] = False,
    root: Root = None,
    quiet: Quiet = False,
) -> None:
    """Make a small film to watch before the edit.

    Pictures, captions and beeps over the footage, or over a plain ground: the seconds around every beep,
    with timecode and frame below.

    Example: overlay proof desk-break.yaml --takes desk-break-takes.yaml
    """
    from overlay import pipeline
    from overlay.cli.progress import shown_progress
    from overlay.cli.summary import show_proof

    with shown_progress(quiet=quiet) as watch:
        watch.step("Making the proof")
        watched = pipeline.proof(plan, takes=takes, out=out, full=full, replace=replace, root=root, far=watch.far)
    show_proof(watched, quiet=quiet)
    sys.exit(EXIT_DONE if watched.is_filmed else EXIT_FINDINGS)
