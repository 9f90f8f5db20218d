"""What was mistyped on the command line, in an instructor's words: what is wrong, and one thing to do."""

from __future__ import annotations

import re
from collections.abc import Sequence
from importlib import import_module
from typing import Any

from overlay.errors import UsageError
from overlay.plan.nearest import nearest_name

_WANTED = {
    "PLAN": "which plan",
    "PLAN...": "which plan",
    "FILE": "which file to write",
    "FOLDER": "which folder of plans",
    "FOOTAGE...": "which footage",
    "CUT": "which finished film",
}


def in_our_words(mistyped: Any, arguments: Sequence[str], commands: Sequence[str]) -> UsageError:
    """The same as an error of ours. `mistyped` is an exception of typer's; the name of its class tells what was wrong.

    A bare `overlay` is answered with the help, as an error without a remedy.
    """
    kind, message = type(mistyped).__name__, str(mistyped.format_message())
    command = next((argument for argument in arguments if argument in commands), None)
    if kind == "NoArgsIsHelpError":
        return UsageError(message)
    if command is None or not set(arguments[:1]) <= {command}:
        return _no_such_command(arguments[0], commands)
    overlay, example = f"overlay {command}", _example(command)
    options = [] if mistyped.ctx is None else mistyped.ctx.command.params
    if kind == "NoSuchOption":
        known = [name for option in options for name in option.opts if name.startswith("--")]
        near = nearest_name(mistyped.option_name, known)
        remedy = f"Did you mean {near}?" if near else f"See its options with: {overlay} --help"
        return UsageError(f"{overlay} has no option {mistyped.option_name}.", remedy=remedy)
    if kind == "MissingParameter":
        wanted = _WANTED.get(mistyped.param.metavar, f"the {mistyped.param.metavar}")
        return UsageError(f"{overlay} wants to know {wanted}.", remedy=example)
    if kind == "BadOptionUsage":
        stands_alone = any(argument.startswith(f"{mistyped.option_name}=") for argument in arguments)
        wrong = "stands alone: nothing comes after it" if stands_alone else "wants something after it"
        return UsageError(f"{mistyped.option_name} {wrong}.", remedy=f"See: {overlay} --help")
    if kind == "BadParameter" and mistyped.param is not None:
        option = mistyped.param
        return UsageError(f"{option.opts[0]}: {mistyped.message}.", remedy=f"{option.opts[0]}: {option.help}")
    extra = re.search(r"unexpected extra argument.*\((.*)\)", message)
    if extra:
        return UsageError(f"{overlay} does not know what to do with: {extra[1]}", remedy=example)
    return UsageError(message, remedy=example)


def _no_such_command(typed: str, commands: Sequence[str]) -> UsageError:
    near = nearest_name(typed, [*commands, "help", "--version", "--help"])
    remedy = f"Did you mean: overlay {near}" if near else "See what there is with: overlay --help"
    return UsageError(f"There is no {'option' if typed.startswith('-') else 'command'} {typed}.", remedy=remedy)


def _example(command: str) -> str:
    """The example of a command's own help."""
    text = getattr(import_module(f"overlay.cli.{command}"), command).__doc__ or ""
    shown = re.search(r"Example: (.*)", text)
    return f"For example: {shown[1]}" if shown else f"See: overlay {command} --help"
