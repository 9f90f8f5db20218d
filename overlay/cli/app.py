"""The commands, put together."""

from __future__ import annotations

from collections.abc import Sequence
from importlib import import_module

import typer

COMMANDS = ("new", "check", "build", "rehearse", "sync", "proof", "schema")
"""Each stands in the module of its name, as a function of its name."""


def app_for(arguments: Sequence[str]) -> typer.Typer:
    """The command line. What names a command first needs that one alone, and nothing is loaded for the others."""
    app = typer.Typer(
        name="overlay",
        no_args_is_help=True,
        add_completion=True,
        pretty_exceptions_enable=False,
        rich_markup_mode=None,
    )

    @app.callback(help="From the plan of a follow-along class to everything its editor drops onto the footage.")
    def overlay() -> None:
        """A callback, so that a single command keeps its name."""

    for name in arguments[:1] if arguments and arguments[0] in COMMANDS else COMMANDS:
        app.command(name)(getattr(import_module(f"overlay.cli.{name}"), name))
    return app
