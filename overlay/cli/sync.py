"""`overlay sync`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from overlay.cli.messages import say
from overlay.cli.options import AsJson, OnePlan, Quiet, Root
from overlay.errors import EXIT_DONE, EXIT_FINDINGS


def sync(
    plan: OnePlan,
    footage: Annotated[
        list[Path],
        typer.Argument(metavar="FOOTAGE...", help="What was filmed, in the order of filming.", show_default=False),
    ],
    near: Annotated[
        str | None,
        typer.Option(
            metavar="TIMECODE",
            help="About where the class's first frame falls in the first file, within 20 s.",
            show_default=False,
        ),
    ] = None,
    start: Annotated[
        str | None,
        typer.Option(
            metavar="TIMECODE",
            help="No beeps on the set: the frame of one file on which the first work starts.",
            show_default=False,
        ),
    ] = None,
    takes: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="The takes file, else PLAN-takes.yaml beside the plan.", show_default=False),
    ] = None,
    part: Annotated[
        bool, typer.Option("--part", help="Write the takes even if blocks of the class are missing.")
    ] = False,
    root: Root = None,
    as_json: AsJson = False,
    quiet: Quiet = False,
) -> None:
    """Find the class in what was filmed, by its beeps.

    Says where the class is in each file and writes down which file has which block. A timecode counts from
    00:00:00:00 at the file's first picture; a time such as 1:30 will do.

    Example: overlay sync desk-break.yaml clip-0007.mp4 clip-0008.mp4
    """
    from overlay import filming
    from overlay.cli.progress import shown_progress
    from overlay.cli.summary import show_synced
    from overlay.footage.report import answer_lines, answers_data

    with shown_progress(quiet=quiet) as watch:
        synced = filming.sync(
            plan,
            footage,
            near=near,
            start=start,
            takes=takes,
            part=part,
            root=root,
            progress=watch.step,
            far=watch.far,
        )
    if as_json:
        import json

        print(json.dumps(answers_data(synced.answers), ensure_ascii=True, indent=1))
    elif not quiet:
        for answer in synced.answers:
            say("\n".join(answer_lines(answer, synced.timeline)))
    show_synced(synced, plan, quiet=quiet or as_json)
    sys.exit(EXIT_FINDINGS if synced.findings else EXIT_DONE)
