"""`overlay --version`."""

from __future__ import annotations

from importlib.metadata import version

import pytest

from overlay.cli.app import run
from overlay.versions import LIBRARIES


def test_the_version_and_those_of_the_parts(capsys: pytest.CaptureFixture[str]) -> None:
    """The tool's own first, as the package says it, then a line for everything that shapes what is made."""
    assert run(["--version"]) == 0
    first, *lines = capsys.readouterr().out.splitlines()
    assert first == f"class-overlay {version('class-overlay')}"
    told = dict(line.split() for line in lines if line.startswith("  "))
    assert {name: version(name) for name in LIBRARIES}.items() <= told.items()
    assert {"libavcodec", "freetype", "Python"} <= told.keys()
