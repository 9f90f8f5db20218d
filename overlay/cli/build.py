"""`overlay build`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from overlay.cli.messages import say


def build(
    plan: Annotated[Path, typer.Argument(help="The plan, for example desk-break.yaml.", show_default=False)],
    out: Annotated[Path | None, typer.Option(help="The folder to write to.", show_default="PLAN-assets")] = None,
    only: Annotated[
        list[str] | None, typer.Option(help="Make this output only; give it several times for more.")
    ] = None,
    plain_mov: Annotated[
        bool,
        typer.Option("--plain-mov", help="Write every frame in full, for a program that cannot read the small files."),
    ] = False,
) -> None:
    """Make everything the editor needs, in one folder beside the plan.

    Example: overlay build desk-break.yaml
    """
    from overlay import pipeline

    built = pipeline.build(
        plan,
        out=out,
        only=only or (),
        plain_mov=plain_mov,
        progress=lambda name: say(f"Making {name}", to_error=True),
    )
    for finding in built.findings:
        say(f"{finding.weight.value}: {finding.place}: {finding.text}", to_error=True)
    size_mb = sum(entry.bytes for entry in built.entries) / 1e6
    say(f"{len(built.entries)} files, {size_mb:.1f} MB, in {built.folder}")
    say("Drop everything at the class's first frame. What it is: manifest.json. What to film: paper/shot-list.pdf.")
