"""What tests of pictures share."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray


@pytest.fixture
def decoded() -> Callable[[Any], NDArray[np.float64]]:
    """From a decoded frame to R'G'B' and alpha on the 8-bit scale, unrounded: (rows, columns, 4), by the
    inverse of BT.709 in limited range."""

    def rgba(frame: Any) -> NDArray[np.float64]:
        planes = [
            np.frombuffer(memoryview(plane), "<u2").reshape(plane.height, -1)[:, : plane.width]
            for plane in frame.planes
        ]
        bits = frame.format.components[0].bits
        luma, blue, red, alpha = np.array(planes, np.float64) / 2 ** (bits - 8)
        luma, blue_difference, red_difference = (luma - 16) / 219, (blue - 128) / 224, (red - 128) / 224
        red, blue = luma + 1.5748 * red_difference, luma + 1.8556 * blue_difference
        green = (luma - 0.2126 * red - 0.0722 * blue) / 0.7152
        color = np.clip(np.stack([red, green, blue], -1) * 255, 0, 255)
        return np.concatenate([color, alpha[..., None] * 255 / (256 - 2.0 ** -(bits - 8))], -1)

    return rgba
