"""`overlay check`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated, Any

import typer

from overlay.errors import EXIT_DONE, EXIT_FINDINGS


def check(
    plan: Annotated[
        Path, typer.Argument(metavar="PLAN", help="The plan, for example desk-break.yaml.", show_default=False)
    ],
    strict: Annotated[bool, typer.Option("--strict", help="End with 1 for remarks too.")] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON object instead.")] = False,
) -> None:
    """Proof-read a plan before you film it.

    Shows the class laid out, and what to mend: findings end with status 1, remarks may be meant.

    Example: overlay check desk-break.yaml
    """
    from overlay.pipeline import proof_read
    from overlay.plan.advice import Weight

    timeline, findings, tone_levels = proof_read(plan)
    if as_json:
        import json

        from overlay.timeline.summary import summary_data

        data: dict[str, Any] = {
            **summary_data(timeline),
            "tones": tone_levels(),
            "findings": [finding.data() for finding in findings],
        }
        print(json.dumps(data, ensure_ascii=True, indent=1))
    else:
        from overlay.cli.proof_sheet import ProofSheet

        print("\n".join(ProofSheet.for_terminal().lines(timeline, findings)))
    mend = any(strict or finding.weight is Weight.FINDING for finding in findings)
    sys.exit(EXIT_FINDINGS if mend else EXIT_DONE)
