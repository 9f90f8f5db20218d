"""Colours and how well one is read on another (WCAG 2.2, 1.4.3)."""

from __future__ import annotations

import re
from dataclasses import dataclass

_HEX = re.compile(r"#([0-9a-fA-F]{2})([0-9a-fA-F]{2})([0-9a-fA-F]{2})", re.ASCII)


@dataclass(frozen=True)
class Color:
    """An opaque sRGB colour, 0 to 255 a channel.

    >>> Color.parse("#E69F00")
    Color(red=230, green=159, blue=0)
    """

    red: int
    green: int
    blue: int

    @classmethod
    def parse(cls, text: str) -> Color:
        """Read `#E69F00`. Raises ValueError for anything else."""
        match = _HEX.fullmatch(text.strip())
        if match is None:
            raise ValueError(f"{text} is not a colour: write it as #E69F00")
        return cls(*(int(part, 16) for part in match.groups()))

    @property
    def rgb(self) -> tuple[int, int, int]:
        return self.red, self.green, self.blue

    def over(self, ground: Color, opacity: float) -> Color:
        """This colour laid over another with an opacity of 0 to 1."""
        mixed = (round(top * opacity + below * (1 - opacity)) for top, below in zip(self.rgb, ground.rgb, strict=True))
        return Color(*mixed)

    @property
    def luminance(self) -> float:
        """Relative luminance, 0 to 1 (WCAG 2.2 glossary)."""
        linear = [s / 12.92 if s <= 0.04045 else ((s + 0.055) / 1.055) ** 2.4 for s in (c / 255 for c in self.rgb)]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    def __str__(self) -> str:
        return f"#{self.red:02X}{self.green:02X}{self.blue:02X}"


def contrast_ratio(one: Color, other: Color) -> float:
    """Contrast from 1 to 21 (WCAG 2.2 glossary).

    >>> round(contrast_ratio(Color(0, 0, 0), Color(255, 255, 255)), 1)
    21.0
    """
    darker, lighter = sorted((one.luminance, other.luminance))
    return (lighter + 0.05) / (darker + 0.05)


BLACK = Color(0, 0, 0)
WHITE = Color(255, 255, 255)
