"""Arguments and options that several commands share, each worded once."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

OnePlan = Annotated[
    Path, typer.Argument(metavar="PLAN", help="The plan, for example desk-break.yaml.", show_default=False)
]
Plans = Annotated[
    list[Path],
    typer.Argument(
        metavar="PLAN...", help="The plan, for example desk-break.yaml; or several, or folders.", show_default=False
    ),
]
Root = Annotated[
    Path | None,
    typer.Option(
        metavar="FOLDER",
        help="The folder of the series: plans share files up to it, else up to a series.yaml or .git.",
        show_default=False,
    ),
]
AsJson = Annotated[bool, typer.Option("--json", help="Print one JSON object instead.")]
Quiet = Annotated[bool, typer.Option("--quiet", "-q", help="Say nothing but what is to be mended or went wrong.")]
