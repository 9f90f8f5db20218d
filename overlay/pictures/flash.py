"""Whether a layer flashes: the general and the red flash of WCAG 2.3.1, looked for in its pictures.

A flash is a pair of opposing changes of a tenth of the greatest relative luminance or more, the darker
picture below 0.80; a red flash a pair of opposing changes that involve a saturated red. More than three
in any second, over more than a quarter of any ten degrees of what is seen, are refused. As the size of
the screen is not known, that area is the share that the definition's 21,824 pixels have of its 1024 x 768.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterator
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from overlay.errors import UsageError
from overlay.pictures.composite import FLASH, States, compose_within, drawn_box, showings
from overlay.pictures.frames import Layer
from overlay.units.timecode import frame_to_label

MOST_FLASHES = 3
"""Flashes in any one second that may be."""
LEAST_AREA = 21_824 / (1024 * 768)
"""The share of the picture that must change for a flash to count."""
_LUMINANCE_STEP, _DARK = 0.1, 0.80
_RED_SHARE, _RED_STEP = 0.8, 20.0
_SMALLER = 8
_KEPT_BYTES, _BYTES_A_PIXEL = 48_000_000, 12
# Footage behind the pictures: a flash must not be seen over the darkest, the brightest or anything between.
_GROUNDS = (0.0, 0.5, 1.0)

Plane = NDArray[np.float32]


class Flashing(NamedTuple):
    """Where a layer flashes: the frame at which the fourth flash within a second is over, and the kind."""

    frame: int
    kind: str


def flashing(layer: Layer) -> Flashing | None:
    """The first place where a layer flashes more than three times in a second; None where it never does."""
    changes, start = [], 0
    for states, frames in showings(layer):
        changes.append((start, states))
        start += frames
    looked = _Looked(layer)
    for first, last in _crowded([frame for frame, _ in changes], layer):
        for ground in _GROUNDS:
            found = _in(changes[first:last], looked, ground)
            if found is not None:
                return found
    return None


def refuse_flashing(layer: Layer) -> None:
    """Raise UsageError where a layer flashes: it could harm somebody who watches."""
    found = flashing(layer)
    if found is not None:
        label = frame_to_label(layer.start_frame + found.frame, layer.rate, layer.counting)
        raise UsageError(
            f"The {layer.name} would flash at {label} more often than three times a second ({found.kind} flash).",
            remedy="Make the segments there longer, or choose colours that lie closer together.",
        )


def _crowded(frames: list[int], layer: Layer) -> Iterator[tuple[int, int]]:
    """The stretches in which changes come so close that a second could hold more than three flashes."""
    second, needed = -(-layer.rate.value // 1), 2 * MOST_FLASHES + 1
    first = last = None
    for number in range(needed, len(frames)):
        if frames[number] - frames[number - needed] > second:
            continue
        if last is not None and number - needed > last and first is not None:
            yield first, last + 1
            first = None
        first = number - needed if first is None else first
        last = number
    if first is not None and last is not None:
        yield first, last + 1


def _in(changes: list[tuple[int, States]], looked: _Looked, ground: float) -> Flashing | None:
    trackers = [_Tracker(_bright, looked.layer), _Tracker(_reddened, looked.layer)]
    for frame, states in changes:
        for tracker, plane in zip(trackers, looked.planes(states, ground), strict=True):
            if tracker.sees(frame, plane):
                return Flashing(frame, "general" if tracker is trackers[0] else "red")
    return None


class _Looked:
    """What was made of each state: it is drawn once, for all grounds and wherever it stands again."""

    def __init__(self, layer: Layer) -> None:
        self.layer = layer
        box = drawn_box(layer)
        kept = max(1, _KEPT_BYTES // (box.width_px * box.height_px * _BYTES_A_PIXEL // _SMALLER**2 + 1))
        self._box = box
        self.small = lru_cache(maxsize=kept)(self._small)
        self.planes = lru_cache(maxsize=kept)(self._planes)

    def _small(self, states: States) -> NDArray[np.uint8]:
        if states is FLASH:
            return np.full((1, 1, 4), 255, np.uint8)
        return np.asarray(compose_within(self.layer, states, self._box).reduce(_SMALLER))

    def _planes(self, states: States, ground: float) -> tuple[Plane, Plane]:
        """Relative luminance, and how red where red is saturated, of a state over a ground; smaller pictures do."""
        small = self.small(states).astype(np.float32) / np.float32(255)
        alpha = small[..., 3:]
        linear = _linear(small[..., :3] * alpha + ground * (1 - alpha))
        luminance = linear @ np.array([0.2126, 0.7152, 0.0722], np.float32)
        total = linear.sum(axis=2)
        is_red = (total > 0) & (linear[..., 0] / np.maximum(total, 1e-9) >= _RED_SHARE)
        redness = np.maximum(linear[..., 0] - linear[..., 1] - linear[..., 2], 0) * 320
        return luminance.astype(np.float32), np.where(is_red, redness, 0).astype(np.float32)


def _linear(color: Plane) -> Plane:
    return np.where(color <= 0.04045, color / 12.92, ((color + 0.055) / 1.055) ** 2.4).astype(np.float32)


def _bright(low: Plane, high: Plane) -> NDArray[np.bool_]:
    return (high - low >= _LUMINANCE_STEP) & (low < _DARK)


def _reddened(low: Plane, high: Plane) -> NDArray[np.bool_]:
    return high - low > _RED_STEP


class _Tracker:
    """Counts opposing changes, pixel by pixel: the extremes since each pixel last turned."""

    def __init__(self, is_change: Callable[[Plane, Plane], NDArray[np.bool_]], layer: Layer) -> None:
        self.is_change = is_change
        self.second_frames = -(-layer.rate.value // 1)
        self.picture_px = layer.size.width_px * layer.size.height_px / _SMALLER**2
        self.low: Plane | None = None
        self.turns: deque[tuple[int, NDArray[np.bool_]]] = deque()

    def sees(self, frame: int, plane: Plane) -> bool:
        """Take in what shows from a frame on; True where the fourth flash of a second is now over."""
        if self.low is None or self.low.shape != plane.shape:
            self.low, self.high, self.way = plane.copy(), plane.copy(), np.zeros(plane.shape, np.int8)
            return False
        rose = self.is_change(self.low, plane) & (self.way <= 0)
        fell = self.is_change(plane, self.high) & (self.way >= 0)
        turned = rose | fell
        self.way[rose], self.way[fell] = 1, -1
        self.low = np.where(turned, plane, np.minimum(self.low, plane))
        self.high = np.where(turned, plane, np.maximum(self.high, plane))
        if not turned.any():
            return False
        self.turns.append((frame, turned))
        while self.turns[0][0] < frame - self.second_frames:
            self.turns.popleft()
        count = np.sum([turn for _, turn in self.turns], axis=0)
        return bool((count > 2 * MOST_FLASHES).sum() / self.picture_px >= LEAST_AREA)
