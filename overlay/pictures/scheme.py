"""Where everything stands on a picture, for its shape and size."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from overlay.pictures.canvas import BLEED_PX
from overlay.pictures.text import Digits, Line
from overlay.plan.look import BOLD
from overlay.units.raster import Box, Size

LEAST_TEXT = 24
"""No text is smaller than this part of the short side (DESIGN: read from two metres away)."""
LEAST_DIGITS = 8
"""No countdown digit is lower than this part of the short side."""


@dataclass(frozen=True)
class Scheme:
    """Places in pixels. `timer` and `title` are plates; `digits` and `gauge` stand on the first.

    On a wide picture the title stands beside the timer, on a tall one below it.
    """

    size: Size
    timer: Box
    digits: Box
    kind_top_px: int
    gauge: Box
    title: Box
    digits_size_px: int
    text_px: int
    name_px: int
    least_px: int
    pad_px: int
    radius_px: int

    def scaled(self, px: int) -> int:
        """A length given for a picture of 1080 lines, on this one."""
        return _scaled(self.size, px)


def _scaled(size: Size, px: int) -> int:
    return max(1, round(px * size.short_side_px / 1080))


def scheme_for(size: Size, labels: Iterable[str], kind_words: Iterable[str]) -> Scheme:
    """The places for a picture size, wide enough for every countdown label and word of the class."""
    safe = size.graphics_safe()
    pad, gap = _scaled(size, 24), _scaled(size, 32)
    digits_size = -(-size.short_side_px // LEAST_DIGITS)
    while Digits("0", BOLD, digits_size).height_px < size.short_side_px / LEAST_DIGITS * 1.06:
        digits_size += 1
    digits_height = Digits("0", BOLD, digits_size).height_px
    digits_width = max(Digits(label, BOLD, digits_size).width_px for label in labels)
    text_px = _scaled(size, 56)
    kind_width = max(Line(word, BOLD, text_px).width_px for word in kind_words)
    gauge_width = max(kind_width, _scaled(size, 380))
    left, top = safe.left, safe.top
    digits = Box(left + pad, top + pad, left + pad + digits_width, top + pad + digits_height)
    gauge_left = digits.right + gap
    gauge_height = _scaled(size, 44)
    gauge = Box(gauge_left, digits.bottom - gauge_height, gauge_left + gauge_width, digits.bottom)
    timer = Box(left, top, min(gauge.right + pad, safe.right), digits.bottom + pad)
    between = _scaled(size, 12)
    if size.is_tall or timer.width_px > safe.width_px * 0.55:
        title = Box(
            left,
            timer.bottom + between,
            safe.right,
            min(safe.bottom, timer.bottom + between + timer.height_px * 8 // 5),
        )
    else:
        title = Box(timer.right + between, top, safe.right, top + timer.height_px * 8 // 5)
    kind_line = Line("X", BOLD, text_px)
    return Scheme(
        size=size,
        timer=timer,
        digits=digits,
        kind_top_px=digits.top - round(kind_line.height_px * 0.2),
        gauge=gauge,
        title=title,
        digits_size_px=digits_size,
        text_px=text_px,
        name_px=_scaled(size, 76),
        least_px=-(-size.short_side_px // LEAST_TEXT),
        pad_px=pad,
        radius_px=_scaled(size, 14),
    )


def around(plate: Box, size: Size) -> Box:
    """A plate's box with the room that its colour runs on in, inside the picture."""
    return Box(
        max(0, plate.left - BLEED_PX),
        max(0, plate.top - BLEED_PX),
        min(size.width_px, plate.right + BLEED_PX),
        min(size.height_px, plate.bottom + BLEED_PX),
    )


def within(box: Box, frame: Box) -> Box:
    """A box of the picture in the coordinates of a part that begins at `frame`'s corner."""
    return Box(box.left - frame.left, box.top - frame.top, box.right - frame.left, box.bottom - frame.top)
