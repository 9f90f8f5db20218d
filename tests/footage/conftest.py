"""The makers of recordings, for all tests of footage."""

from __future__ import annotations

import runpy
from pathlib import Path
from types import SimpleNamespace

import pytest


@pytest.fixture(scope="session")
def corpus() -> SimpleNamespace:
    """Classes, and recordings of them by number (`corpus.py`); `corpus.recordings` makes sounds and files."""
    return SimpleNamespace(**runpy.run_path(str(Path(__file__).with_name("corpus.py"))))
