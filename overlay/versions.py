"""The versions of what shapes the output: the tool's own, and the libraries that lay out, draw, code and write.

Another version of any of them may give other bytes. So they are in the key of everything that is kept from
one build to the next.
"""

from __future__ import annotations

from importlib.metadata import version

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
    import av
    from PIL import features

    found = {name: version(name) for name in ("class-overlay", *LIBRARIES)}
    for name, numbers in sorted(av.library_versions.items()):
        found[name] = ".".join(map(str, numbers))
    found["freetype"] = str(features.version("freetype2"))
    return found
