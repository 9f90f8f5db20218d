"""The fonts that ship with the tool, and which characters they have."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache

from PIL import ImageFont

from overlay.errors import MachineError
from overlay.plan.look import BOLD, REGULAR, font_folder


@cache
def font(name: str, size_px: int) -> ImageFont.FreeTypeFont:
    """A font at a size in pixels. The layout engine is pinned, so that widths are the same everywhere."""
    path = font_folder() / name
    try:
        return ImageFont.truetype(str(path), size_px, layout_engine=ImageFont.Layout.BASIC)
    except OSError:
        raise MachineError(
            f"The font {path.name} is missing from the tool.", remedy="Install the tool again."
        ) from None


@cache
def _characters() -> frozenset[int]:
    from fontTools.ttLib import TTFont

    covered = None
    for name in (REGULAR, BOLD):
        with TTFont(font_folder() / name, lazy=True) as opened:
            here = frozenset(opened.getBestCmap())
        covered = here if covered is None else covered & here
    return covered or frozenset()


def missing_characters(texts: Iterable[str]) -> tuple[str, ...]:
    """The characters that the fonts do not have, in code-point order; nothing is drawn with these.

    >>> missing_characters(["Żuraw, Ñandú, ½"]), missing_characters(["深"])
    ((), ('深',))
    """
    used = {character for text in texts for character in text if not character.isspace()}
    return tuple(sorted(character for character in used if ord(character) not in _characters()))
