"""Contrast against the figures of WCAG 2.2."""

from __future__ import annotations

import pytest

from overlay.units.color import Color, contrast_ratio


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        ("#000000", "#FFFFFF", 21.0), ("#767676", "#FFFFFF", 4.542), ("#777777", "#FFFFFF", 4.478),
        ("#949494", "#FFFFFF", 3.034), ("#FF0000", "#FFFFFF", 3.998), ("#0000FF", "#FFFFFF", 8.592),
        ("#FFFF00", "#000000", 19.556),
    ],
)  # fmt: skip
def test_contrast(one: str, other: str, ratio: float) -> None:
    """Computed from the formula of WCAG 2.2 (relative luminance, contrast ratio)."""
    assert contrast_ratio(Color.parse(one), Color.parse(other)) == pytest.approx(ratio, abs=0.001)


@pytest.mark.parametrize("text", ["E69F00", "#E69F0", "#GG0000", "orange", ""])
def test_what_is_no_colour(text: str) -> None:
    """A colour is written one way."""
    with pytest.raises(ValueError, match="colour"):
        Color.parse(text)
