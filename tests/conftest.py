"""For every test: nothing is ever written to the user's own cache, and nothing hangs on how fast a machine is."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from overlay.cli import places

settings.register_profile("untimed", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("untimed")


@pytest.fixture(autouse=True)
def _no_cache_of_the_user(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    """What asks for the cache folder, in this process or in one that it starts, is given another one."""
    folder: Path = tmp_path_factory.getbasetemp() / "cache"
    monkeypatch.setattr(places, "cache_folder", lambda: folder)
    monkeypatch.setenv("XDG_CACHE_HOME", str(folder))
