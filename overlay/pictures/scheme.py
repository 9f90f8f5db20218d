"""Where everything stands on a picture, for its shape and size and for the look of the class."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from overlay.pictures.canvas import BLEED_PX
from overlay.pictures.fonts import SHIPPED, Fonts
from overlay.pictures.text import Digits, Line
from overlay.plan.look import BOLD, Corner, Edge, Look
from overlay.timeline.changes import countdown_changes
from overlay.timeline.model import SegmentKind, Timeline
from overlay.units.raster import Box, Size
from overlay.words.phrases import Phrases

LEAST_TEXT = 24
"""No text is smaller than this part of the short side (DESIGN: read from two metres away)."""
LEAST_DIGITS = 8
"""No countdown digit is lower than this part of the short side."""
# A narrower place beside the timer breaks names of two words: then the title stands below.
_LEAST_BESIDE = 0.65
# A title may be this much higher than the timer beside it.
_TITLE_GROWS = (8, 5)


@dataclass(frozen=True)
class TimerPlaces:
    """The timer's plate, and what stands on it. All in pixels of the picture."""

    plate: Box
    digits: Box
    gauge: Box
    kind_top_px: int
    digits_size_px: int
    text_px: int


@dataclass(frozen=True)
class Room:
    """Where a plate may grow: from the corner `at`, at most as large as `box`."""

    box: Box
    at: Corner

    def plate(self, width_px: int, height_px: int) -> Box:
        """A plate of this size in the room's corner."""
        box = self.box
        left = box.left if self.at.is_left else box.right - width_px
        top = box.top if self.at.is_top else box.bottom - height_px
        return Box(left, top, left + width_px, top + height_px)


@dataclass(frozen=True)
class Scheme:
    """The places of one class. `progress` is a plate, `title` and `preview` are rooms for one.

    On a wide picture the title stands beside the timer, on a tall one below it; what is above
    becomes below where the look puts the timer at the bottom. A layer that is switched off leaves
    its room to the others.
    """

    size: Size
    safe: Box
    timer: TimerPlaces
    title: Room
    progress: Box
    pad_px: int
    radius_px: int
    name_px: int
    under_px: int
    least_px: int
    fonts: Fonts = SHIPPED
    """What words are set with."""

    def scaled(self, px: int) -> int:
        """A length given for a picture of 1080 lines, on this one."""
        return _scaled(self.size, px)

    def preview_room(self, title: Box | None) -> Box:
        """What is free for a preview, from flank to flank, when the title's plate stands there."""
        gap = self.scaled(18)
        top, bottom = self.safe.top, self.safe.bottom
        for plate in (self.progress, self.timer.plate, title):
            if plate is None or plate.width_px == 0:
                continue
            if plate.top + plate.bottom < self.size.height_px:
                top = max(top, plate.bottom + gap)
            else:
                bottom = min(bottom, plate.top - gap)
        return Box(self.safe.left, top, self.safe.right, bottom)


def _scaled(size: Size, px: float) -> int:
    return max(1, round(px * size.short_side_px / 1080))


def kind_word(kind: SegmentKind, phrases: Phrases) -> str:
    """The word for a kind of segment."""
    return str(getattr(phrases, kind.value))


def countdown_label(seconds: int) -> str:
    """What the digits say: seconds up to 99, minutes and seconds from there on.

    >>> countdown_label(7), countdown_label(99), countdown_label(100)
    ('7', '99', '1:40')
    """
    return str(seconds) if seconds < 100 else f"{seconds // 60}:{seconds % 60:02}"


def class_scheme(timeline: Timeline, look: Look, fonts: Fonts = SHIPPED) -> Scheme:
    """The places for a class: wide enough for its longest countdown and for the words of every kind."""
    seconds = {state.seconds for _, state in countdown_changes(timeline) if state is not None}
    labels = {"00", *(_widest(countdown_label(each)) for each in seconds)}
    words = [kind_word(kind, timeline.phrases) for kind in SegmentKind]
    return scheme_for(timeline.size, look, labels, words, fonts)


def _widest(label: str) -> str:
    return "".join("0" if character.isdigit() else character for character in label)


def scheme_for(
    size: Size, look: Look, labels: Iterable[str], kind_words: Iterable[str], fonts: Fonts = SHIPPED
) -> Scheme:
    """The places for a picture size and a look."""
    safe = size.safe(look.margin)
    between, pad = _scaled(size, 12), _scaled(size, 24)
    progress = _progress(size, safe, look)
    # What the progress strip leaves free.
    free = safe
    if progress.width_px:
        at_top = look.progress.at is Edge.TOP
        free = Box(safe.left, progress.bottom + between, safe.right, safe.bottom) if at_top else free
        free = free if at_top else Box(safe.left, safe.top, safe.right, progress.top - between)
    timer = _timer(size, free, look, labels, kind_words, fonts)
    scale = look.titles.scale
    return Scheme(
        size=size,
        safe=safe,
        timer=timer,
        title=_title(size, free, look, timer.plate, between),
        progress=progress,
        pad_px=pad,
        radius_px=round(look.corner_radius * size.short_side_px),
        name_px=_scaled(size, 76 * scale),
        under_px=_scaled(size, 56 * scale),
        least_px=-(-round(size.short_side_px * min(1.0, scale)) // LEAST_TEXT),
        fonts=fonts,
    )


def _progress(size: Size, safe: Box, look: Look) -> Box:
    if not look.progress.show:
        return Box(safe.left, safe.top, safe.left, safe.top)
    height = _scaled(size, 36 * look.progress.scale)
    if look.progress.at is Edge.TOP:
        return Box(safe.left, safe.top, safe.right, safe.top + height)
    return Box(safe.left, safe.bottom - height, safe.right, safe.bottom)


def _timer(
    size: Size, free: Box, look: Look, labels: Iterable[str], kind_words: Iterable[str], fonts: Fonts
) -> TimerPlaces:
    scale = look.timer.scale
    pad, gap = _scaled(size, 24 * scale), _scaled(size, 32 * scale)
    least = size.short_side_px * scale / LEAST_DIGITS
    digits_size = int(least)
    while Digits("0", BOLD, digits_size, fonts).height_px < least * 1.06:
        digits_size += 1
    digits_height = Digits("0", BOLD, digits_size, fonts).height_px
    digits_width = max(Digits(label, BOLD, digits_size, fonts).width_px for label in labels)
    text_px = _scaled(size, 56 * scale)
    gauge_width = max(max(Line(word, BOLD, text_px, fonts).width_px for word in kind_words), _scaled(size, 380 * scale))
    width = min(2 * pad + digits_width + gap + gauge_width, free.width_px)
    height = 2 * pad + digits_height
    if not look.timer.show:
        width = height = 0
    plate = Room(free, look.timer.at).plate(width, height)
    digits = Box(plate.left + pad, plate.top + pad, plate.left + pad + digits_width, plate.top + pad + digits_height)
    gauge_height = _scaled(size, 44 * scale)
    gauge = Box(digits.right + gap, digits.bottom - gauge_height, plate.right - pad, digits.bottom)
    return TimerPlaces(
        plate=plate,
        digits=digits,
        gauge=gauge,
        kind_top_px=digits.top - round(Line("X", BOLD, text_px, fonts).height_px * 0.2),
        digits_size_px=digits_size,
        text_px=text_px,
    )


def _title(size: Size, free: Box, look: Look, timer: Box, between: int) -> Room:
    """Beside the timer in its row, below it where the row is too short, or in a corner of its own."""
    at, apart = look.titles.at or look.timer.at, look.titles.at not in (None, look.timer.at)
    height = (timer.height_px or _scaled(size, 190)) * _TITLE_GROWS[0] // _TITLE_GROWS[1]
    width = free.width_px
    if not timer.width_px or (apart and at.is_top != look.timer.at.is_top):
        return _room(free, at, width, height)
    beside = free.width_px - timer.width_px - between
    if not size.is_tall and beside >= size.short_side_px * _LEAST_BESIDE:
        if apart:
            return _room(free, at, beside, height)
        left = timer.right + between if at.is_left else free.left
        row = Box(left, free.top, left + beside, free.bottom)
        return _room(row, at, beside, height)
    below = (
        Box(free.left, timer.bottom + between, free.right, free.bottom)
        if look.timer.at.is_top
        else Box(free.left, free.top, free.right, timer.top - between)
    )
    return _room(below, at, width, height)


def _room(within: Box, at: Corner, width_px: int, height_px: int) -> Room:
    return Room(Room(within, at).plate(min(width_px, within.width_px), min(height_px, within.height_px)), at)


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
