"""`overlay rehearse`."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from overlay.cli.counts import whole_number
from overlay.cli.messages import error_lines, say
from overlay.cli.options import OnePlan, Root


def rehearse(
    plan: OnePlan,
    port: Annotated[
        int,
        typer.Option(
            parser=whole_number(0, 65535),
            metavar="PORT",
            help="The port of the page on this machine; 0 is any free one.",
        ),
    ] = 0,
    browser: Annotated[bool, typer.Option(help="Open the page in the browser.")] = True,
    root: Root = None,
) -> None:
    """Rehearse the class in a browser while you write the plan.

    The page shows itself anew whenever you save. Only this machine can see it. Ctrl-C ends it.

    Example: overlay rehearse desk-break.yaml
    """
    import webbrowser

    from overlay.page.serve import Showing, serve
    from overlay.pipeline import rehearsal

    def ready(address: str) -> None:
        say(f"The class plays at {address}. Ctrl-C ends it.")
        sys.stdout.flush()
        if browser:
            webbrowser.open(address)

    showing = Showing(lambda: rehearsal(plan, root), lambda error: "\n".join(error_lines(error)))
    serve(showing, plan, root, port=port, ready=ready)
