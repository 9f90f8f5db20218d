"""The versions of what shapes the output: the tool's own, and the libraries that lay out, draw, code and write.

Another version of any of them may give other bytes. So they are in the key of everything that is kept from
one build to the next.
"""

from __future__ import annotations

from importlib.metadata import version
from importlib.util import find_spec
from pathlib import Path

LIBRARIES = (
    "av",
    "fonttools",
    "imageio-ffmpeg",
    "numpy",
    "opentimelineio",
    "pillow",
    "pydub",
    "python-bidi",
    "srt",
    "typst",
    "uharfbuzz",
    "uniseg",
)
"""Libraries whose work is seen or heard in a file that a build writes, by their names on the package index."""


def versions() -> dict[str, str]:
    """The version of each, by name, `class-overlay` first; also those of the parts that wheels bring with them.

    Loads PyAV and Pillow. Raises importlib.metadata.PackageNotFoundError where the tool is not installed.

    >>> list(versions())[:2]
    ['class-overlay', 'av']
    """
    return {**_named(), **_asked_of_pyav(), **_freetype()}


def builds() -> tuple[tuple[str, str], ...]:
    """What tells one set of these from another, more exactly than their versions and without loading PyAV, where that
    came as a wheel: the names of the libraries in it hold a version or a sum of each, such as x264, which PyAV
    does not tell.
    """
    brought = {path.name: "" for path in _brought_by_pyav()} or _asked_of_pyav()
    return (*_named().items(), *sorted(brought.items()), *_freetype().items())


def _named() -> dict[str, str]:
    return {name: version(name) for name in ("class-overlay", *LIBRARIES)}


def _freetype() -> dict[str, str]:
    from PIL import features

    return {"freetype": str(features.version("freetype2"))}


def _asked_of_pyav() -> dict[str, str]:
    import av

    return {name: ".".join(map(str, numbers)) for name, numbers in sorted(av.library_versions.items())}


def _brought_by_pyav() -> list[Path]:
    """The libraries in PyAV's wheel (Linux and Windows beside it, macOS inside); none where it was built here."""
    found = find_spec("av")
    places = [Path(place) for place in (found and found.submodule_search_locations) or ()]
    folders = [folder for place in places for folder in (place.with_name("av.libs"), place / ".dylibs")]
    return [path for folder in folders if folder.is_dir() for path in folder.iterdir()]
