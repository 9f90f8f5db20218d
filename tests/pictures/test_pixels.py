"""Colours and alpha as video carries them, against published figures and exact fractions."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from overlay.pictures.pixels import to_yuva

# Worked 8-bit BT.709 limited-range values (STANDARDS.md 6.6, recomputed there from Kr 0.2126, Kb 0.0722).
VECTORS = {
    (0, 0, 0): (16, 128, 128),
    (255, 255, 255): (235, 128, 128),
    (255, 0, 0): (63, 102, 240),
    (0, 255, 0): (173, 42, 26),
    (0, 0, 255): (32, 240, 118),
    (128, 128, 128): (126, 128, 128),
    (230, 159, 0): (156, 51, 166),
}
LEVEL = st.integers(0, 255)


def _pixel(red: int, green: int, blue: int, alpha: int) -> list[int]:
    return [int(plane[0, 0]) for plane in to_yuva(Image.new("RGBA", (1, 1), (red, green, blue, alpha)))]


@pytest.mark.parametrize(("rgb", "ycc"), VECTORS.items())
def test_published_colours(rgb: tuple[int, int, int], ycc: tuple[int, int, int]) -> None:
    """A 10-bit value is four times the 8-bit one, to within the 8-bit one's own rounding."""
    assert all(abs(ten - 4 * eight) <= 2 for ten, eight in zip(_pixel(*rgb, 255)[:3], ycc, strict=True))


@given(LEVEL, LEVEL, LEVEL, LEVEL)
def test_nearest_code_value(red: int, green: int, blue: int, alpha: int) -> None:
    """Every value is the nearest one to BT.709's own formula, worked in fractions."""
    r, g, b = (Fraction(level, 255) for level in (red, green, blue))
    luma = Fraction("0.2126") * r + Fraction("0.7152") * g + Fraction("0.0722") * b
    exact = (
        64 + 876 * luma,
        512 + 896 * (b - luma) / Fraction("1.8556"),
        512 + 896 * (r - luma) / Fraction("1.5748"),
        Fraction(alpha * 1023, 255),
    )
    pairs = zip(_pixel(red, green, blue, alpha), exact, strict=True)
    assert all(abs(got - want) <= Fraction(1, 2) for got, want in pairs)


def test_alpha_is_full_range_and_comes_back() -> None:
    """0 stays 0, 255 becomes 1023, and each of the 256 values comes back, rounded or cut to 8 bits."""
    ramp = np.zeros((1, 256, 4), np.uint8)
    ramp[..., 3] = np.arange(256)
    alpha = to_yuva(Image.fromarray(ramp))[3][0].astype(int)
    assert (alpha[0], alpha[255]) == (0, 1023)
    assert (np.rint(alpha * 255 / 1023) == np.arange(256)).all()
    assert (alpha >> 2 == np.arange(256)).all()


def test_planes_have_the_shape_of_the_picture() -> None:
    """Rows by columns, each pixel in its place."""
    picture = Image.new("RGBA", (6, 4))
    picture.putpixel((5, 3), (255, 255, 255, 255))
    y, _, _, alpha = to_yuva(picture)
    assert y.shape == alpha.shape == (4, 6)
    assert (y[3, 5], alpha[3, 5], alpha[3, 4], y[0, 0]) == (940, 1023, 0, 64)
