"""Where the tool keeps things of its own on this machine, and which places a command line names."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path


def cache_folder() -> Path:
    """Where the platform wants a user's caches, with a folder of our own in it."""
    from platformdirs import user_cache_path

    return user_cache_path("class-overlay", appauthor=False)


def is_many(plans: Sequence[Path]) -> bool:
    """Whether several plans, or a folder of them, are named."""
    return len(plans) > 1 or plans[0].is_dir()
