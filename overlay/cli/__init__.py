"""The command line. Each command lives in a file of its own and decides nothing."""

from __future__ import annotations

import sys

import typer

from overlay.cli import build, check, new, schema
from overlay.cli.messages import show_error
from overlay.errors import EXIT_INTERRUPTED, OverlayError

app = typer.Typer(
    name="overlay",
    no_args_is_help=True,
    add_completion=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    help="From the plan of a follow-along class to everything its editor drops onto the footage.",
)
app.command("new")(new.new)
app.command("check")(check.check)
app.command("build")(build.build)
app.command("schema")(schema.schema)


def main() -> None:
    """Run the command line; the exit status says how it ended (`overlay/errors.py`)."""
    try:
        app()
    except OverlayError as error:
        show_error(error)
        sys.exit(error.exit_status)
    except KeyboardInterrupt:
        print("Stopped. Nothing was changed.", file=sys.stderr)
        sys.exit(EXIT_INTERRUPTED)
