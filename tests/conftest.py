"""For every test: nothing is ever written to the user's own cache, and nothing hangs on how fast a machine is."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

from overlay.cli import places

settings.register_profile("untimed", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("untimed")

FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--autoplay-policy=no-user-gesture-required",
]


@pytest.fixture(autouse=True)
def _no_cache_of_the_user(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    """What asks for the cache folder, in this process or in one that it starts, is given another one."""
    folder: Path = tmp_path_factory.getbasetemp() / "cache"
    monkeypatch.setattr(places, "cache_folder", lambda: folder)
    monkeypatch.setenv("XDG_CACHE_HOME", str(folder))


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """Chromium without a screen or a network, one for all tests of a process. Skips where there is none."""
    playwright = pytest.importorskip("playwright.sync_api", reason="PyPI playwright is not installed")
    chromium = next(filter(None, map(shutil.which, ("chromium", "chromium-browser"))), None)
    if chromium is None:
        pytest.skip("no Chromium on this machine")
    with playwright.sync_playwright() as engine:
        browser = engine.chromium.launch(executable_path=chromium, args=FLAGS)
        yield browser
        browser.close()
