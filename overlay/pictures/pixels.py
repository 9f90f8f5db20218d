"""From the RGBA that we draw to the YUVA that is coded, exact to the nearest code value.

BT.709 matrix (ITU-R BT.709-6: Kr 0.2126, Kg 0.7152, Kb 0.0722), 10 bits, limited range: Y 64 to 940,
Cb and Cr 64 to 960 round 512. sRGB-coded values are taken as R'G'B', as video does. Alpha is linear
and full range, 0 to 1023, straight.

Integers throughout, so that every machine makes the same picture, whatever its vector unit.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PIL import Image

Plane = NDArray[np.uint16]
Small = NDArray[np.uint8]

_ALPHA = np.array([(2 * 1023 * alpha + 255) // 510 for alpha in range(256)], np.uint16)


def to_yuva(picture: Image.Image) -> tuple[Plane, Plane, Plane, Plane]:
    """Y, Cb, Cr and alpha of an RGBA picture, each of shape (rows, columns), 10-bit code values.

    >>> [int(plane[0, 0]) for plane in to_yuva(Image.new("RGBA", (1, 1), (255, 255, 255, 255)))]
    [940, 512, 512, 1023]
    """
    rgba = np.asarray(picture)
    red, green, blue = (rgba[..., channel].astype(np.int32) for channel in range(3))
    # Ten-thousandths of 8-bit Y'. The fractions below are 876/255, 896/(1.8556 * 255) and
    # 896/(1.5748 * 255) over 10,000 in lowest terms, which keeps every product inside 32 bits.
    luma = 2126 * red + 7152 * green + 722 * blue
    y = _divided(73 * luma, 212_500, 64)
    cb = _divided(224 * (10_000 * blue - luma), 1_182_945, 512)
    cr = _divided(224 * (10_000 * red - luma), 1_003_935, 512)
    return y, cb, cr, _ALPHA.take(rgba[..., 3])


def _divided(numerator: NDArray[np.int32], denominator: int, offset: int) -> Plane:
    """`offset` + numerator / denominator, halves up."""
    numerator += offset * denominator + denominator // 2
    numerator //= denominator
    return numerator.astype(np.uint16)


def to_yuv420(picture: Image.Image) -> tuple[Small, Small, Small, Small]:
    """Y, Cb, Cr and alpha in 8 bits, Cb and Cr of every 2 x 2 pixels together, in their middle.

    The sides of the picture are even.

    >>> [plane.shape for plane in to_yuv420(Image.new("RGBA", (4, 2)))]
    [(2, 4), (1, 2), (1, 2), (2, 4)]
    """
    y, cb, cr, _ = to_yuva(picture)
    rows, columns = y.shape
    halves = (plane.reshape(rows // 2, 2, columns // 2, 2).sum(axis=(1, 3), dtype=np.uint32) for plane in (cb, cr))
    small_cb, small_cr = ((total + 8 >> 4).astype(np.uint8) for total in halves)
    return (y + 2 >> 2).astype(np.uint8), small_cb, small_cr, np.asarray(picture)[..., 3]
