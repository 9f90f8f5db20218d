"""Picture sizes and the areas of a picture that every screen shows."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

_SIZE = re.compile(r"(\d{1,5})\s*[xX×]\s*(\d{1,5})", re.ASCII)
SMALLEST_PX = (640, 360)
LARGEST_PX = (7680, 4320)


@dataclass(frozen=True)
class Box:
    """A rectangle in pixels; right and bottom are the first column and row outside.

    >>> Box(96, 54, 1824, 1026).width_px
    1728
    """

    left: int
    top: int
    right: int
    bottom: int

    @property
    def width_px(self) -> int:
        return self.right - self.left

    @property
    def height_px(self) -> int:
        return self.bottom - self.top


@dataclass(frozen=True)
class Size:
    """Width and height of a picture in pixels, both even.

    >>> Size.parse("1920x1080").short_side_px
    1080
    """

    width_px: int
    height_px: int

    @classmethod
    def parse(cls, text: str) -> Size:
        """Read `1920x1080`. Raises ValueError for odd, tiny or huge sizes."""
        match = _SIZE.fullmatch(text.strip())
        if match is None:
            raise ValueError(f"{text} is not a picture size: write it as 1920x1080")
        width_px, height_px = int(match[1]), int(match[2])
        if width_px % 2 or height_px % 2:
            raise ValueError(f"{text} has an odd side, which video cannot carry: make both even")
        long_px, short_px = max(width_px, height_px), min(width_px, height_px)
        if long_px < SMALLEST_PX[0] or short_px < SMALLEST_PX[1]:
            raise ValueError(f"{text} is too small to read: 640x360 (or 360x640) is the least")
        if long_px > LARGEST_PX[0] or short_px > LARGEST_PX[1]:
            raise ValueError(f"{text} is larger than 7680x4320 (or 4320x7680), the most that is made")
        return cls(width_px, height_px)

    @property
    def short_side_px(self) -> int:
        return min(self.width_px, self.height_px)

    @property
    def is_tall(self) -> bool:
        return self.height_px > self.width_px

    def safe(self, margin: float) -> Box:
        """The area inside a margin: a share of the width at both flanks, of the height above and below."""
        inset_x, inset_y = (math.ceil(side * margin - 1e-9) for side in (self.width_px, self.height_px))
        return Box(inset_x, inset_y, self.width_px - inset_x, self.height_px - inset_y)

    def graphics_safe(self) -> Box:
        """The area for text and graphics by EBU R 95: 5 % in from every edge.

        >>> Size(1920, 1080).graphics_safe()
        Box(left=96, top=54, right=1824, bottom=1026)
        """
        return self.safe(1 / 20)

    def __str__(self) -> str:
        return f"{self.width_px}x{self.height_px}"
