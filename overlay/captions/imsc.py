"""IMSC 1.1 text profile (W3C TTML Profiles for Internet Media Subtitles and Captions 1.1)."""

from __future__ import annotations

from html import escape
from unicodedata import bidirectional

from overlay.captions.caption import Area, Caption, area_of, captions_of, clock_time
from overlay.timeline.model import Timeline
from overlay.units.color import BLACK, WHITE
from overlay.units.raster import Size
from overlay.units.rate import FrameRate

PROFILE = "http://www.w3.org/ns/ttml/profile/imsc1.1/text"
CELLS = (32, 15)
"""Columns and rows (TTML2's default): font sizes are in percent of a row, line padding in columns."""
LINE_HEIGHT_PERCENT = 120
HIGHEST_LINE_PERCENT = 8.0
"""Of the picture's height (BBC Subtitle Guidelines 9.2.1: 7 to 8 % for 16:9, 4:3 and 1:1)."""
CHARACTER_EM = 0.52
"""Room for a character, in font sizes: full lines of coaching text in a common sans serif take 0.47, wide ones 0.53."""
PADDING_EM = 0.5
"""Beside each line, in font sizes (BBC Subtitle Guidelines 9.2.4)."""

_DOCUMENT = """\
<?xml version="1.0" encoding="UTF-8"?>
<tt xmlns="http://www.w3.org/ns/ttml"
    xmlns:ttp="http://www.w3.org/ns/ttml#parameter"
    xmlns:tts="http://www.w3.org/ns/ttml#styling"
    xmlns:ttm="http://www.w3.org/ns/ttml#metadata"
    xmlns:itts="http://www.w3.org/ns/ttml/profile/imsc1#styling"
    xmlns:ebutts="urn:ebu:tt:style"
    xml:lang={language} ttp:contentProfiles="{profile}" ttp:timeBase="media"
    ttp:cellResolution="{columns} {rows}" {frame_rate}>
  <head>
    <metadata>
      <ttm:title>{title}</ttm:title>
    </metadata>
    <styling>
      <style xml:id="caption" tts:fontFamily="proportionalSansSerif" tts:fontSize="{font_size}%" \
tts:lineHeight="{line_height}%" tts:textAlign="center" tts:color="{ink}" \
ebutts:linePadding="{padding}c" itts:fillLineGap="true"/>
      <style xml:id="box" tts:backgroundColor="{ground}"/>
    </styling>
    <layout>
      <region xml:id="bottom" tts:origin="{left:g}% {top:g}%" tts:extent="{width:g}% {height:g}%" \
tts:displayAlign="after" tts:overflow="visible"/>
    </layout>
  </head>
  <body style="caption" region="bottom">
    <div>
{paragraphs}    </div>
  </body>
</tt>
"""


def imsc_text(timeline: Timeline, language: str) -> str:
    """The cues of one language as an IMSC 1.1 document, to be stored as UTF-8.

    Times are clock times with whole milliseconds, floored from the frame; they are never frame
    labels. The frame rate stands in the document for readers that map times to frames.
    """
    area = area_of(timeline.size)
    font_size = font_size_percent(timeline.size, area, timeline.rules.characters_a_line)
    padding = PADDING_EM * font_size / 100 * (timeline.size.height_px / CELLS[1]) / (timeline.size.width_px / CELLS[0])
    return _DOCUMENT.format(
        language=f'"{escape(language)}"',
        profile=PROFILE,
        columns=CELLS[0],
        rows=CELLS[1],
        frame_rate=_frame_rate(timeline.rate),
        title=escape(timeline.title_in(language), quote=False),
        font_size=font_size,
        line_height=LINE_HEIGHT_PERCENT,
        ink=WHITE,
        padding=f"{padding:.2f}",
        ground=BLACK,
        left=area.left,
        top=area.top,
        width=area.width,
        height=area.height,
        paragraphs="".join(_paragraph(caption) for caption in captions_of(timeline, language)),
    )


def font_size_percent(size: Size, area: Area, characters_a_line: int) -> int:
    """The font size, in percent of a cell's height, at which a full line fills the width of the area.

    It is bounded by the highest line. The result makes lines of 7 to 8 % of the height at 16:9 and
    4:3, and of 3.9 to 4.5 % at 9:16 (BBC Subtitle Guidelines 9.2.1).

    >>> font_size_percent(Size(1920, 1080), area_of(Size(1920, 1080)), 37)
    98
    """
    by_width_px = size.width_px * area.width / 100 / (characters_a_line * CHARACTER_EM + 2 * PADDING_EM)
    by_height_px = size.height_px * HIGHEST_LINE_PERCENT / LINE_HEIGHT_PERCENT
    return int(min(by_width_px, by_height_px) * CELLS[1] * 100 / size.height_px)


def _frame_rate(rate: FrameRate) -> str:
    plain = f'ttp:frameRate="{rate.nominal}"'
    multiplier = rate.value / rate.nominal
    if multiplier == 1:
        return plain
    return f'{plain} ttp:frameRateMultiplier="{multiplier.numerator} {multiplier.denominator}"'


def _paragraph(caption: Caption) -> str:
    direction = ' tts:direction="rtl"' if _runs_leftward("".join(caption.lines)) else ""
    times = f'begin="{clock_time(caption.start_ms)}" end="{clock_time(caption.end_ms)}"'
    lines = "<br/>".join(escape(line, quote=False) for line in caption.lines)
    return f'      <p xml:id="c{caption.number}" {times}{direction}><span style="box">{lines}</span></p>\n'


def _runs_leftward(text: str) -> bool:
    """True where the first letter with a direction runs from right to left (Unicode UAX 9, rule P2)."""
    return next((kind for kind in map(bidirectional, text) if kind in ("L", "R", "AL")), "L") != "L"
