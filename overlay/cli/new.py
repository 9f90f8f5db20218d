"""`overlay new`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from overlay.cli.messages import say, typed


def new(
    file: Annotated[
        Path, typer.Argument(metavar="FILE", help="The file to write, for example my-class.yaml.", show_default=False)
    ],
) -> None:
    """Write a plan to start your own from.

    It is short and has remarks; a file that is there already is never written over.

    Example: overlay new my-class.yaml
    """
    from overlay.folder.write import write_new
    from overlay.plan.sample import sample_text

    write_new(file, sample_text())
    say(f"Wrote {file}. Change it to your class, then look at it with: overlay check {typed(file)}")
