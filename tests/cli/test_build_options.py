"""What `overlay build` hands on."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from overlay import pipeline
from overlay.cli import places
from overlay.cli.app import app_for


class HandedError(Exception):
    """Ends a build before it begins."""


@pytest.mark.parametrize(
    ("options", "workers", "remembers"),
    [([], None, True), (["--no-cache"], None, False), (["--workers", "3"], 3, True)],
)
def test_cache_and_workers(
    options: list[str], workers: int | None, remembers: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A process a core and the platform's cache folder, unless it is asked for otherwise."""
    handed: dict[str, Any] = {}

    def build(plan: Path, **rest: Any) -> None:
        handed.update(rest)
        raise HandedError

    monkeypatch.setattr(pipeline, "build", build)
    monkeypatch.setattr("os.cpu_count", lambda: 5)
    assert isinstance(CliRunner().invoke(app_for(["build"]), ["build", "plan.yaml", *options]).exception, HandedError)
    assert handed["workers"] == (workers or 5)
    assert handed["cache"] == (places.cache_folder() if remembers else None)


def test_no_worker_is_no_answer() -> None:
    """At least one process codes."""
    assert CliRunner().invoke(app_for(["build"]), ["build", "plan.yaml", "--workers", "0"]).exit_code == 2
