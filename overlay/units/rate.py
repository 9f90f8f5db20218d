"""Frame rates as exact fractions, and how their labels are counted.

SMPTE ST 12-1 labels the rates below; drop-frame counting exists at 30000/1001 and 60000/1001 only
(SMPTE ST 12-1 as restated by OpenTimelineIO and, for 29.97, by W3C TTML2 `ttp:dropMode`).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from fractions import Fraction


class Counting(Enum):
    """How labels count: `DROP` skips label numbers (never pictures), `NON_DROP` skips none."""

    DROP = "drop-frame"
    NON_DROP = "non-drop"


_SPELLINGS = {
    "23.976": Fraction(24000, 1001),
    "23.98": Fraction(24000, 1001),
    "24": Fraction(24),
    "25": Fraction(25),
    "29.97": Fraction(30000, 1001),
    "30": Fraction(30),
    "47.95": Fraction(48000, 1001),
    "47.952": Fraction(48000, 1001),
    "48": Fraction(48),
    "50": Fraction(50),
    "59.94": Fraction(60000, 1001),
    "60": Fraction(60),
}
RATE_NAMES = ("23.976", "24", "25", "29.97", "30", "47.952", "48", "50", "59.94", "60")


@dataclass(frozen=True)
class FrameRate:
    """Frames a second, exactly.

    >>> FrameRate.parse("29.97").value
    Fraction(30000, 1001)
    >>> FrameRate.parse("29.97").nominal, str(FrameRate.parse("25"))
    (30, '25/1')
    """

    value: Fraction

    @classmethod
    def parse(cls, text: str) -> FrameRate:
        """Read `29.97`, `30`, `25.0` or `30000/1001`.

        Raises ValueError for a rate that ST 12-1 does not label.
        """
        plain = text.strip().removesuffix("fps").strip()
        numerator, _, denominator = plain.partition("/")
        if denominator.isdecimal() and numerator.isdecimal() and int(denominator):
            value = Fraction(int(numerator), int(denominator))
        else:
            whole, _, decimals = plain.partition(".")
            decimals = decimals.rstrip("0")
            value = _SPELLINGS.get(f"{whole}.{decimals}" if decimals else whole, Fraction(0))
        if value not in _SPELLINGS.values():
            raise ValueError(f"{text} is not a frame rate that timecode can label")
        return cls(value)

    @property
    def nominal(self) -> int:
        """The whole number that labels count in: 30 for 29.97."""
        return -(-self.value.numerator // self.value.denominator)

    @property
    def can_drop(self) -> bool:
        """True at 29.97 and 59.94, the only rates with drop-frame labels."""
        return self.value in (Fraction(30000, 1001), Fraction(60000, 1001))

    def __str__(self) -> str:
        return f"{self.value.numerator}/{self.value.denominator}"
