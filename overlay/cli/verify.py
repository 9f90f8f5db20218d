"""`overlay verify`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from overlay.cli.messages import say
from overlay.cli.options import AsJson, OnePlan, Quiet, Root
from overlay.errors import EXIT_DONE, EXIT_FINDINGS


def verify(
    plan: OnePlan,
    cut: Annotated[Path, typer.Argument(metavar="CUT", help="The edit as it was exported.", show_default=False)],
    takes: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE",
            help="The takes that everything was fitted to, if it was built with them.",
            show_default=False,
        ),
    ] = None,
    captions: Annotated[
        list[Path] | None,
        typer.Option(
            metavar="FILE", help="Captions that go with the cut: SubRip, WebVTT or TTML. May be given more than once."
        ),
    ] = None,
    at: Annotated[
        str | None,
        typer.Option(
            metavar="TIMECODE",
            help="The frame of the cut on which the class begins, else it is heard.",
            show_default=False,
        ),
    ] = None,
    root: Root = None,
    as_json: AsJson = False,
    quiet: Quiet = False,
) -> None:
    """Check the finished edit against the plan.

    Hears every beep and says how far it is from its frame, how loud the cut is, and whether the captions in it or
    beside it are those of the plan. Ends with 1 if something must be mended. A timecode counts from 00:00:00:00 at
    the cut's first picture; a time such as 0:12 will do.

    Example: overlay verify desk-break.yaml final.mp4 --captions final.en.srt
    """
    from overlay import filming
    from overlay.cli.progress import shown_progress
    from overlay.footage.verdict import finding_lines, verdict_data, verdict_lines
    from overlay.plan.advice import Weight

    with shown_progress(quiet=quiet) as watch:
        verdict, findings = filming.verify(
            plan, cut, takes=takes, captions=captions or (), at=at, root=root, progress=watch.step, far=watch.far
        )
    if as_json:
        import json

        print(json.dumps(verdict_data(verdict, findings), ensure_ascii=True, indent=1))
    else:
        for line in finding_lines(findings) if quiet else verdict_lines(verdict, findings):
            say(line)
    mend = any(found.weight is Weight.FINDING for found in findings)
    sys.exit(EXIT_FINDINGS if mend else EXIT_DONE)
