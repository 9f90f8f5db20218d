"""What is said of a mistyped command line: what is wrong, and one thing to do."""

from __future__ import annotations

import pytest

from overlay.cli.app import COMMANDS, run
from overlay.errors import UsageError


@pytest.mark.parametrize(
    ("typed", "message", "remedy"),
    [
        ("bulid plan.yaml", "There is no command bulid.", "Did you mean: overlay build"),
        ("frobnicate", "There is no command frobnicate.", "overlay --help"),
        ("--versoin", "There is no option --versoin.", "Did you mean: overlay --version"),
        ("check plan.yaml --strct", "overlay check has no option --strct.", "Did you mean --strict?"),
        ("check plan.yaml --zzz", "overlay check has no option --zzz.", "overlay check --help"),
        ("check", "wants to know which plan.", "For example: overlay check desk-break.yaml"),
        ("new", "wants to know which file to write.", "For example: overlay new"),
        ("sync plan.yaml", "wants to know which footage.", "For example: overlay sync"),
        ("rehearse a.yaml b.yaml", "does not know what to do with: b.yaml", "For example: overlay rehearse"),
        ("build a.yaml --workers many", "--workers: many is not a whole number from 1 to 64.", "--workers: "),
        ("build a.yaml --workers 65", "65 is not a whole number from 1 to 64", "--workers: "),
        ("rehearse a.yaml --port -1", "-1 is not a whole number", "--port: "),
        ("build a.yaml --out", "--out wants something after it.", "overlay build --help"),
        ("build a.yaml --plain-mov=yes", "--plain-mov stands alone", "overlay build --help"),
    ],
)
def test_what_is_said(typed: str, message: str, remedy: str) -> None:
    """One sentence of what is wrong, and the nearest name or an example."""
    with pytest.raises(UsageError) as told:
        run(typed.split())
    assert message in told.value.message
    assert remedy in (told.value.remedy or "")
    assert told.value.exit_status == 2


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_has_help_with_an_example(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    """`help`, `-h` and `--help` say the same: an example that begins with the command, no type of a program."""
    shown = []
    for arguments in (["help", command], [command, "-h"], [command, "--help"]):
        assert run(arguments) == 0
        shown.append(capsys.readouterr().out)
    assert shown[0] == shown[1] == shown[2]
    assert f"Example: overlay {command}" in shown[0]
    assert not [sign for sign in ("<", "{", "list[", "INTEGER", "TEXT", "[required]") if sign in shown[0]]


def test_the_help_of_all_shows_the_way(capsys: pytest.CaptureFixture[str]) -> None:
    """Every command in a line, and a class from start to end."""
    assert run(["help"]) == 0
    shown = capsys.readouterr().out
    for command in COMMANDS:
        assert f"  {command} " in shown
    assert "overlay new my-class.yaml" in shown


def test_nothing_typed_is_answered_with_the_help() -> None:
    """As somebody does who has just found the tool."""
    with pytest.raises(UsageError, match="Usage: overlay"):
        run([])
