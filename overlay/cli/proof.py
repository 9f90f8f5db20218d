"""`overlay proof`."""

from __future__ import annotations

import sys
from fractions import Fraction
from pathlib import Path
from typing import Annotated

import typer

from overlay.cli.messages import say
from overlay.errors import EXIT_DONE, EXIT_FINDINGS
from overlay.units.clock import format_duration


def proof(
    plan: Annotated[
        Path, typer.Argument(metavar="PLAN", help="The plan, for example desk-break.yaml.", show_default=False)
    ],
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
) -> None:
    """Make a small film to watch before the edit.

    Pictures, captions and beeps over the footage, or over a plain ground: the seconds around every beep,
    with timecode and frame below.

    Example: overlay proof desk-break.yaml --takes desk-break-takes.yaml
    """
    from overlay import pipeline

    say("Making the proof", to_error=True)
    watched = pipeline.proof(plan, takes=takes, out=out, full=full, replace=replace)
    for finding in watched.findings:
        say(f"{finding.weight.value}: {finding.place}: {finding.text}", to_error=True)
    film = watched.film
    length = format_duration(Fraction(film.frame_count // watched.timeline.rate.value))
    shown = "the whole class" if film.stretches == 1 else f"{film.stretches} stretches of the class"
    say(f"{length}, {shown}, in {film.path}")
    sys.exit(EXIT_DONE if watched.is_filmed else EXIT_FINDINGS)
