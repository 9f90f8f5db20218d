"""`overlay check`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from overlay.cli.messages import finding_line, say
from overlay.cli.proof_sheet import show_proof
from overlay.errors import EXIT_DONE, EXIT_FINDINGS


def check(
    plan: Annotated[Path, typer.Argument(help="The plan, for example desk-break.yaml.", show_default=False)],
) -> None:
    """Read a plan and show the class laid out, before anybody films it.

    Example: overlay check desk-break.yaml
    """
    from overlay.plan.read import read_plan
    from overlay.timeline.findings import Weight
    from overlay.timeline.layout import lay_out

    layout = lay_out(read_plan(plan))
    show_proof(layout.timeline)
    for finding in layout.findings:
        say(finding_line(finding))
    mend = any(finding.weight is Weight.FINDING for finding in layout.findings)
    sys.exit(EXIT_FINDINGS if mend else EXIT_DONE)
