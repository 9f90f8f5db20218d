"""The versions that tell one make of the tool from another."""

from __future__ import annotations

import subprocess
import sys
import tomllib
from importlib.metadata import version
from pathlib import Path
from types import SimpleNamespace

import pytest
from packaging.requirements import Requirement

from overlay.versions import LIBRARIES, builds, versions

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


def test_builds_tell_what_a_wheel_brings_along(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Names of a wheel's files hold the versions that PyAV tells once it is loaded; another file is another build."""
    told = " ".join(" ".join(each) for each in builds())
    for name, number in versions().items():
        if name.startswith("lib"):
            assert name.removeprefix("lib") in told
            assert number in told or number.partition(".")[0] in told, "on Windows names hold the first number alone"
    package, beside = tmp_path / "av", tmp_path / "av.libs"
    package.mkdir()
    monkeypatch.setattr("overlay.versions.find_spec", lambda _: SimpleNamespace(submodule_search_locations=[package]))
    assert ("libavcodec", versions()["libavcodec"]) in builds(), "built here, PyAV is asked"
    beside.mkdir()
    (beside / "libx264-1.so.164").touch()
    one = builds()
    (beside / "libx264-1.so.164").rename(beside / "libx264-2.so.165")
    assert ("libx264-1.so.164", "") in one
    assert ("libx264-2.so.165", "") in builds()


def test_builds_do_not_load_pyav() -> None:
    """A rebuild that codes nothing would wait for it."""
    look = "import sys; from overlay.pictures.cache import tool_sum; tool_sum(); sys.exit('av' in sys.modules)"
    if not any(name.startswith("libavcodec-") for name, _ in builds()):
        pytest.skip("PyAV came without libraries of its own, so it is asked")
    assert subprocess.run([sys.executable, "-c", look], check=False).returncode == 0
