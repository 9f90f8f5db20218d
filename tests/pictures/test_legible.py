"""When a class need not be looked at: never where looking would find something."""

from __future__ import annotations

import pytest
from fontTools.ttLib import TTFont

from overlay.pictures.findings import picture_findings
from overlay.pictures.legible import MOST_PLAIN, NARROW, NARROW_EM, WIDE_EM, WIDEST_PLAIN_EM, is_plain
from overlay.plan.look import BOLD, font_folder
from overlay.plan.read import parse_plan
from overlay.plan.session import Session
from overlay.timeline.layout import lay_out
from overlay.timeline.model import Timeline

# Every shape, the smallest where that is another.
SIZES = ["640x360", "360x640", "1080x1080", "1080x1350", "1440x1080", "2560x1080"]
WIDEST = "W"
MOST_WIDE = int(WIDEST_PLAIN_EM / WIDE_EM)


def a_class(size: str, length: int, count: int, more: str = "") -> tuple[Session, Timeline]:
    name = WIDEST * length
    rows = ", ".join(
        f"{{name: {name}, easier: {name}, equipment: [{name[:-1]}{n}], work: 99s, rest: 9s}}" for n in range(count)
    )
    block = f"{{name: {name}, side: left, rounds: 2, intervals: [{rows}]}}"
    text = f"overlay: 1\ntitle: {name}\nvideo: {{size: {size}}}\nopening: {{length: 9s}}\nblocks: [{block}]\n{more}"
    session = parse_plan(text.encode(), "a.yaml")
    return session, lay_out(session).timeline


@pytest.mark.parametrize("size", SIZES)
def test_what_is_plain_fits(size: str) -> None:
    """The widest letter in names as long as may be, with side and round, the longest count and full previews."""
    session, timeline = a_class(size, MOST_WIDE, MOST_PLAIN)
    assert is_plain(session, timeline)
    assert list(picture_findings(timeline, session.look)) == []


@pytest.mark.parametrize(
    ("length", "count", "more"),
    [
        (MOST_WIDE + 1, 1, ""),
        (3, MOST_PLAIN + 1, ""),
        (3, 1, "closing: {length: 100s}"),
        (3, 1, "look: {margin: 8%}"),
        (3, 1, "look: {titles: {scale: 150%}}"),
        (3, 1, "look: {timer: {at: bottom-left}}"),
        (3, 1, "closing: {length: 5s, card: true}"),
        (3, 1, "words: {work: 深}"),
    ],
)
def test_what_is_not_plain_is_looked_at(length: int, count: int, more: str) -> None:
    """Anything longer, fuller, elsewhere or in other characters."""
    assert not is_plain(*a_class("1920x1080", length, count, more))


def test_colours_do_not_matter() -> None:
    """A theme of other colours alone takes no room."""
    assert is_plain(*a_class("1920x1080", 5, 2, "look: bright-room"))


def test_no_character_is_wider_than_is_thought() -> None:
    """fontTools, read from the bold font itself: every character of Western Europe, in ems."""
    with TTFont(font_folder() / BOLD, lazy=True) as font:
        names, advances, units = font.getBestCmap(), font["hmtx"], font["head"].unitsPerEm
        western = [*range(0x20, 0x7F), *range(0xA0, 0x17F), *map(ord, "’“”…–—")]
        widths = {chr(code): advances[names[code]][0] / units for code in western}
    assert {c for c, em in widths.items() if em > (NARROW_EM if c in NARROW else WIDE_EM)} == set()
    assert widths["W"] > 0.9
