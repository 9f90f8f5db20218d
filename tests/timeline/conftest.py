"""Classes to lay out in the tests of this folder."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from overlay.plan.read import parse_plan
from overlay.timeline.layout import Layout, lay_out

LayOut = Callable[[str], Layout]


@pytest.fixture
def laid_out() -> LayOut:
    """Lays out a plan given as text."""
    return lambda text: lay_out(parse_plan(text.encode("utf-8"), "a.yaml"))
