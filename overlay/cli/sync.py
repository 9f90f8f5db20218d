"""`overlay sync`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from overlay.cli.messages import say
from overlay.errors import EXIT_DONE, EXIT_FINDINGS


def sync(
    plan: Annotated[
        Path, typer.Argument(metavar="PLAN", help="The plan, for example desk-break.yaml.", show_default=False)
    ],
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
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON object instead.")] = False,
) -> None:
    """Find the class in what was filmed, by its beeps.

    Says where the class is in each file and writes down which file has which block. A timecode counts from
    00:00:00:00 at the file's first picture; a time such as 1:30 will do.

    Example: overlay sync desk-break.yaml clip-0007.mp4 clip-0008.mp4
    """
    from overlay import pipeline
    from overlay.footage.report import answer_lines, answers_data

    synced = pipeline.sync(
        plan,
        footage,
        near=near,
        start=start,
        takes=takes,
        part=part,
        progress=lambda line: say(line, to_error=True),
    )
    if as_json:
        import json

        print(json.dumps(answers_data(synced.answers), ensure_ascii=True, indent=1))
    else:
        for answer in synced.answers:
            say("\n".join(answer_lines(answer, synced.timeline)))
    for remark in synced.remarks:
        say(remark, to_error=True)
    for finding in synced.findings:
        say(f"finding: {finding}", to_error=True)
    if synced.written is not None:
        say(f"Which file has which block stands in {synced.written}", to_error=as_json)
    else:
        say("No takes file was changed.", to_error=True)
    sys.exit(EXIT_FINDINGS if synced.findings else EXIT_DONE)
