"""The commands, put together."""

from __future__ import annotations

from collections.abc import Sequence
from importlib import import_module
from typing import Annotated, cast

import typer

from overlay.cli.help import Command

COMMANDS = ("new", "check", "rehearse", "build", "sync", "proof", "verify", "series", "schema")
"""In the order in which a class needs them. Each stands in the module of its name, as a function of its name."""

_PATH = """\b
A class from start to end:
  overlay new my-class.yaml                                a plan to start from
  overlay check my-class.yaml                              proof-read it
  overlay build my-class.yaml                              all, paper too
  overlay sync my-class.yaml clip.mp4                      find it in clips
  overlay build my-class.yaml --takes my-class-takes.yaml  fit it to the film
  overlay proof my-class.yaml --takes my-class-takes.yaml  watch it first
  overlay verify my-class.yaml cut.mp4                     check the edit

Help on one command: overlay help build"""


def app_for(arguments: Sequence[str]) -> typer.Typer:
    """The command line. What names a command first needs that one alone, and nothing is loaded for the others."""
    app = typer.Typer(
        name="overlay",
        no_args_is_help=True,
        add_completion=True,
        pretty_exceptions_enable=False,
        rich_markup_mode=None,
        context_settings={"help_option_names": ["-h", "--help"]},
    )

    @app.callback(
        help="From the plan of a follow-along class to everything its editor drops onto the footage.", epilog=_PATH
    )
    def overlay(
        version: Annotated[
            bool,
            typer.Option("--version", help="Show the version, and those of the parts that shape what is made."),
        ] = False,
    ) -> None:
        """A callback, so that a single command keeps its name."""

    for name in arguments[:1] if arguments and arguments[0] in COMMANDS else COMMANDS:
        app.command(name, cls=Command)(getattr(import_module(f"overlay.cli.{name}"), name))
    return app


def run(arguments: Sequence[str]) -> int:
    """Run the command line and give its exit status.

    Raises UsageError where it is mistyped, what a command raises, and SystemExit where a command ends by itself.
    """
    if arguments[:1] == ["--version"]:
        from overlay.cli.about import version_lines

        print("\n".join(version_lines()))
        return 0
    if arguments[:1] == ["help"]:
        arguments = [*arguments[1:2], "--help"]
    # The base of all that the command line's library says of what was typed.
    mistypings = cast(type[Exception], typer.BadParameter.__base__)
    try:
        ended = app_for(arguments)(args=list(arguments), prog_name="overlay", standalone_mode=False)
    except mistypings as mistyped:
        from overlay.cli.mistyped import in_our_words

        raise in_our_words(mistyped, arguments, COMMANDS) from None
    return ended if isinstance(ended, int) else 0
