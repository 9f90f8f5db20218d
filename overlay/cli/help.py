"""The help of a command, laid out for people: what it wants, an example, its options."""

from __future__ import annotations

from typing import Any

from typer.core import TyperCommand


class Command(TyperCommand):
    """A command whose help names what it wants as we write it, without the types of a program."""

    def format_usage(self, ctx: Any, formatter: Any) -> None:
        wanted = " ".join(str(parameter.metavar) for parameter in self._arguments())
        formatter.write_usage(ctx.command_path, f"{wanted} [OPTIONS]".lstrip())

    def format_options(self, ctx: Any, formatter: Any) -> None:
        rows = [(str(parameter.metavar), str(parameter.help)) for parameter in self._arguments()]
        if rows:
            with formatter.section("What it wants"):
                formatter.write_dl(rows)
        options = [record for parameter in self.get_params(ctx) if (record := _record(parameter, ctx))]
        with formatter.section("Options"):
            formatter.write_dl(options)

    def _arguments(self) -> list[Any]:
        return [parameter for parameter in self.params if parameter.param_type_name == "argument"]


def _record(parameter: Any, ctx: Any) -> tuple[str, str] | None:
    record: tuple[str, str] | None = parameter.get_help_record(ctx)
    return record if parameter.param_type_name == "option" else None
