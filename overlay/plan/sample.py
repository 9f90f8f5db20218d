"""The plan that a new class starts from."""

from __future__ import annotations

from importlib import resources


def sample_text() -> str:
    """A short plan with remarks; it reads, checks clean and builds."""
    return (resources.files(__package__) / "sample.yaml").read_text("utf-8")
