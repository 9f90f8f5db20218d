"""WebVTT (W3C): captions, and the chapters of the class."""

from __future__ import annotations

from html import escape

from overlay.captions.caption import area_of, captions_of, clock_time, without_arrow
from overlay.timeline.chapters import chapters_of
from overlay.timeline.model import Timeline
from overlay.units.clock import frame_to_ms

LINE_HEIGHT_PERCENT = 6.9
"""Of the picture's height: readers set text at 5 % of it (WebVTT, section 7.4) in a font of their own, and lines are as
high as that makes them: 1.362 times in Noto Sans, one of the highest for Latin (its `hhea` table)."""


def webvtt_text(timeline: Timeline, language: str) -> str:
    """The cues of one language as WebVTT, to be stored as UTF-8. The form of one cue:

        1
        00:00:13.113 --> 00:00:14.314 line:88.1% position:50% size:75% align:center
        Lead with the elbow

    The identifier counts from 1. Times are whole milliseconds, floored from the frame.
    """
    area = area_of(timeline.size)
    across = f"position:50% size:{area.width:g}% align:center"
    blocks = [_head(timeline, language)]
    for caption in captions_of(timeline, language):
        # `line` is the top of the first line: not every browser knows the form that gives the bottom of the last.
        top = area.bottom - LINE_HEIGHT_PERCENT * len(caption.lines)
        settings = f" line:{top:g}% {across}"
        blocks.append(_cue(caption.number, caption.start_ms, caption.end_ms, settings, "\n".join(caption.lines)))
    return "\n".join(blocks)


def chapters_text(timeline: Timeline) -> str:
    """Opening, every block and closing as WebVTT chapters, to be stored as UTF-8.

    Each ends where the next begins; names are plain text in the timeline's language.
    """
    blocks = [_head(timeline, timeline.language)]
    for number, chapter in enumerate(chapters_of(timeline), start=1):
        start_ms = frame_to_ms(chapter.span.start_frame, timeline.rate)
        end_ms = frame_to_ms(chapter.span.end_frame, timeline.rate)
        blocks.append(_cue(number, start_ms, end_ms, "", chapter.name))
    return "\n".join(blocks)


def _head(timeline: Timeline, language: str) -> str:
    return f"WEBVTT\n\nNOTE\n{without_arrow(timeline.title_in(language))}\nLanguage: {language}\n"


def _cue(number: int, start_ms: int, end_ms: int, settings: str, text: str) -> str:
    # With `>` escaped too, no text can hold the arrow of a time line.
    return f"{number}\n{clock_time(start_ms)} --> {clock_time(end_ms)}{settings}\n{escape(text, quote=False)}\n"
