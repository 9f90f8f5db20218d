"""A proof's pictures: every layer and the captions in one, each distinct one drawn once; and the running label."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Hashable, Sequence
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from overlay.captions.caption import area_of, captions_of
from overlay.captions.imsc import CELLS, LINE_HEIGHT_PERCENT, PADDING_EM, font_size_percent
from overlay.footage.ground import Rgb
from overlay.footage.moments import Moments
from overlay.pictures.canvas import Canvas
from overlay.pictures.fonts import SHIPPED, Fonts
from overlay.pictures.frames import Layer
from overlay.pictures.text import Digits, Line
from overlay.plan.look import BOLD, REGULAR
from overlay.timeline.model import Timeline
from overlay.units.color import BLACK, WHITE, Color
from overlay.units.raster import Box, Size

Alpha = NDArray[np.float32]
"""How far a picture covers what is below: height × width, 0 to 1."""
LABEL_INK, LABEL_GROUND, LABEL_EDGE = Color(214, 218, 220), Color(18, 20, 22), Color(104, 112, 116)
HEARD_GROUND = Color(250, 220, 90)


class Laid(NamedTuple):
    """A picture and how far it covers."""

    colors: Rgb
    alpha: Alpha


class Burnt:
    """Everything that lies over the ground, at a frame of the class.

    Pictures of parts and whole ones are kept for as long as they are likely to show again.
    """

    def __init__(self, timeline: Timeline, layers: Sequence[Layer], fonts: Fonts = SHIPPED) -> None:
        self.size = timeline.size
        self._captions = _Captions(timeline, fonts)
        self._flash_frame = timeline.flash_frame
        self._parts = [part for layer in layers for part in layer.parts]
        self._changes = [([frame for frame, _ in part.changes], part.changes) for part in self._parts]
        self._drawn = lru_cache(maxsize=4 * len(self._parts) + 8)(self._draw)
        self._whole = lru_cache(maxsize=8)(self._compose)

    def at(self, frame: int) -> Laid:
        """What is shown on a frame of the class."""
        if frame == self._flash_frame:
            return self._white
        states = tuple(changes[bisect_right(frames, frame) - 1][1] for frames, changes in self._changes)
        return self._whole(states, self._captions.number_at(frame))

    @property
    def _white(self) -> Laid:
        shape = self.size.height_px, self.size.width_px
        return Laid(np.full((*shape, 3), 255, dtype=np.uint8), np.ones(shape, dtype=np.float32))

    def _draw(self, part: int, state: Hashable) -> Image.Image:
        return self._parts[part].draw(state)

    def _compose(self, states: tuple[Hashable, ...], caption: int | None) -> Laid:
        picture = Image.new("RGBA", (self.size.width_px, self.size.height_px))
        for number, state in enumerate(states):
            if state is not None:
                box = self._parts[number].box
                picture.alpha_composite(self._drawn(number, state), (box.left, box.top))
        if caption is not None:
            drawn, at = self._captions.picture(caption)
            picture.alpha_composite(drawn, at)
        pixels = np.asarray(picture)
        # The half keeps a level that is multiplied out again and cut from falling by one.
        alpha = np.where(pixels[..., 3] > 0, (pixels[..., 3] + np.float32(0.5)) / 255, 0).clip(0, 1)
        return Laid(np.ascontiguousarray(pixels[..., :3]), alpha.astype(np.float32))


class _Captions:
    """The captions of the timeline's own language, as the caption files place them."""

    def __init__(self, timeline: Timeline, fonts: Fonts) -> None:
        size, area = timeline.size, area_of(timeline.size)
        self.lines = [caption.lines for caption in captions_of(timeline, timeline.language)]
        self.spans = [cue.span for cue in timeline.cues if cue.language == timeline.language]
        self._starts = [span.start_frame for span in self.spans]
        percent = font_size_percent(size, area, timeline.rules.characters_a_line)
        self._font_px = max(8, round(percent * size.height_px / CELLS[1] / 100))
        self._fonts = fonts
        self._bottom_px = round(size.height_px * area.bottom / 100)
        self._width_px = size.width_px
        self.picture = lru_cache(maxsize=4)(self._picture)

    def number_at(self, frame: int) -> int | None:
        number = bisect_right(self._starts, frame) - 1
        return number if number >= 0 and frame in self.spans[number] else None

    def _picture(self, number: int) -> tuple[Image.Image, tuple[int, int]]:
        lines = [self._line(text) for text in self.lines[number]]
        pad = round(PADDING_EM * self._font_px)
        row = max(round(self._font_px * LINE_HEIGHT_PERCENT / 100), *(line.height_px for line in lines))
        width = min(max(line.width_px for line in lines) + 2 * pad, self._width_px)
        canvas = Canvas(width, row * len(lines))
        for place, line in enumerate(lines):
            ground = Box((width - line.width_px) // 2 - pad, place * row, 0, (place + 1) * row)
            ground = Box(max(ground.left, 0), ground.top, min(width - ground.left, width), ground.bottom)
            canvas.fill(ground, 0, BLACK)
            canvas.text(ground.left + pad, ground.top + (row - line.height_px) // 2, line, WHITE)
        return canvas.picture, ((self._width_px - width) // 2, self._bottom_px - row * len(lines))

    def _line(self, text: str) -> Line:
        """A line of a caption, smaller where it would not fit the picture."""
        line = Line(text, REGULAR, self._font_px, self._fonts)
        most = self._width_px - 2 * round(PADDING_EM * self._font_px)
        if line.width_px <= most:
            return line
        return Line(text, REGULAR, max(6, self._font_px * most // line.width_px), self._fonts)


class Label:
    """The strip at a proof's lower edge: timecode, frame, and the beep that is near. It lies in the margin, where no
    layer of the class stands."""

    def __init__(self, moments: Moments, size: Size) -> None:
        self.moments, self.timeline = moments, moments.timeline
        self.height_px = max(12, round(size.short_side_px / 20))
        self.width_px = size.width_px
        self._font_px = round(self.height_px * 0.72)
        self._text = lru_cache(maxsize=64)(self._words)

    def at(self, class_frame: int) -> Rgb:
        """The strip on a frame of the class."""
        picture = Image.new("RGB", (self.width_px, self.height_px), LABEL_GROUND.rgb)
        picture.paste(LABEL_EDGE.rgb, (0, 0, self.width_px, 1))
        gap, near = self.height_px // 2, self.moments.near(class_frame)
        left = gap
        for text in (self.timeline.frame_to_label(class_frame), f"frame {class_frame}"):
            shown = self._numbers(text)
            picture.paste(shown, (left, 1))
            left += shown.width + 2 * gap
        if near is not None:
            shown = self._text(*near)
            picture.paste(shown, (self.width_px - shown.width, 1))
        return np.asarray(picture)

    def _numbers(self, text: str) -> Image.Image:
        """A text whose digits stand in cells, put together of pictures of its characters."""
        parts = [self._text(character, bare=True) for character in text]
        picture = Image.new("RGB", (sum(part.width for part in parts), self.height_px), LABEL_GROUND.rgb)
        left = 0
        for part in parts:
            picture.paste(part, (left, 0))
            left += part.width
        return picture

    def _words(self, text: str, is_heard: bool = False, *, bare: bool = False) -> Image.Image:
        kind = Digits if bare and text.isdigit() else Line
        line = kind(text, BOLD if is_heard else REGULAR, self._font_px)
        base = Line("0", REGULAR, self._font_px)
        pad = 0 if bare else self.height_px // 2
        width = line.width_px if text.strip() else self._font_px // 3
        canvas = Canvas(width + 2 * pad, self.height_px)
        ground = HEARD_GROUND if is_heard else LABEL_GROUND
        canvas.picture.paste((*ground.rgb, 255), (0, 0, canvas.picture.width, self.height_px))
        top = (self.height_px - base.height_px) // 2 + base.ascent_px - line.ascent_px
        canvas.text(pad, top, line, LABEL_GROUND if is_heard else LABEL_INK)
        return canvas.picture.convert("RGB")
