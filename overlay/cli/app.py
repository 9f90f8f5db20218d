"""The commands, put together."""

from __future__ import annotations

import typer

from overlay.cli import build, check, new, rehearse, schema, sync

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
app.command("rehearse")(rehearse.rehearse)
app.command("sync")(sync.sync)
app.command("schema")(schema.schema)
