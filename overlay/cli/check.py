"""`overlay check`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated, Any

import typer

from overlay.cli.options import AsJson, Plans, Root
from overlay.errors import EXIT_DONE, EXIT_FINDINGS


def check(
    plan: Plans,
    strict: Annotated[bool, typer.Option("--strict", help="End with 1 for remarks too.")] = False,
    as_json: AsJson = False,
    root: Root = None,
) -> None:
    """Proof-read a plan before you film it.

    Shows the class laid out, and what to mend: findings end with status 1, remarks may be meant.

    Example: overlay check desk-break.yaml
    """
    from overlay.cli.places import is_many

    if is_many(plan):
        sys.exit(_check_many(plan, strict=strict, as_json=as_json, root=root))
    from overlay.pipeline import proof_read
    from overlay.plan.advice import Weight

    timeline, findings, tone_levels = proof_read(plan[0], root)
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


def _check_many(named: list[Path], *, strict: bool, as_json: bool, root: Path | None) -> int:
    import os

    from overlay.cli.many import rows_as_json, show_rows, teller
    from overlay.cli.progress import shown_progress
    from overlay.series.classes import check_classes
    from overlay.series.plans import plans_in

    plans = plans_in(named)
    # In a log the findings of each class tell enough.
    with shown_progress(quiet=not sys.stderr.isatty()) as watch:
        told = teller(watch, len(plans))
        rows = check_classes(plans, root=root, workers=os.cpu_count() or 1, as_data=as_json, told=told)
    if not as_json:
        return show_rows(rows, strict=strict)
    print(rows_as_json(rows))
    return max(row.status(strict=strict) for row in rows)
