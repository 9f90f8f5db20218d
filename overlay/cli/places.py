"""Where the tool keeps things of its own on this machine."""

from __future__ import annotations

from pathlib import Path


def cache_folder() -> Path:
    """Where the platform wants a user's caches, with a folder of our own in it."""
    from platformdirs import user_cache_path

    return user_cache_path("class-overlay", appauthor=False)
