"""Picture sizes and their safe areas."""

from __future__ import annotations

import pytest

from overlay.units.raster import Box, Size


@pytest.mark.parametrize(
    ("text", "box"),
    [
        ("1920x1080", Box(96, 54, 1824, 1026)),
        ("3840x2160", Box(192, 108, 3648, 2052)),
        ("1280x720", Box(64, 36, 1216, 684)),
    ],
)
def test_graphics_safe(text: str, box: Box) -> None:
    """EBU R 95: 5 % in from each edge; the pixel figures are computed from it."""
    assert Size.parse(text).graphics_safe() == box


@pytest.mark.parametrize("text", ["1921x1080", "1920x1081", "320x180", "20000x1000", "1920", "1920x", "9x16", "-2x4"])
def test_sizes_that_cannot_be(text: str) -> None:
    """Odd, tiny, huge and unreadable sizes are refused."""
    with pytest.raises(ValueError, match=text):
        Size.parse(text)
