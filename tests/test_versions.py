"""The versions that tell one make of the tool from another."""

from __future__ import annotations

import tomllib
from importlib.metadata import version
from pathlib import Path

from packaging.requirements import Requirement

from overlay.versions import LIBRARIES, versions

# What is read, asked or served with, and shows in no file that a build writes.
NOT_SEEN = {
    "audioop-lts",
    "moviepy",
    "platformdirs",
    "pydantic",
    "rich",
    "ruamel-yaml",
    "starlette",
    "ttconv",
    "typer",
    "uvicorn",
    "watchfiles",
}


def test_every_library_is_told_or_known_not_to_be_seen() -> None:
    """A dependency more is one version more, unless somebody says that no file shows it."""
    project = tomllib.loads(Path("pyproject.toml").read_text("utf-8"))["project"]
    required = {Requirement(line).name.replace(".", "-") for line in project["dependencies"]}
    assert required == {*LIBRARIES, *NOT_SEEN}


def test_versions_are_those_that_are_installed() -> None:
    """As the package index's own records have them, and the parts that PyAV brings."""
    found = versions()
    assert found["pillow"] == version("pillow")
    assert {"libavcodec", "libswscale", "freetype"} <= found.keys()
