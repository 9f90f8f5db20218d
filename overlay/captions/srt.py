"""SubRip captions. There is no published standard; the form is the one the `srt` library writes."""

from __future__ import annotations

from datetime import timedelta

import srt

from overlay.timeline.model import Timeline
from overlay.units.clock import frame_to_ms
from overlay.words.lines import break_lines, rules_for


def srt_text(timeline: Timeline, language: str) -> str:
    """The cues of one language as SubRip text: UTF-8, LF, numbered from 1, a blank line at the end.

    Times are whole milliseconds, floored from the frame (`units/clock.py`).
    """
    rules = rules_for(timeline.size)
    rows: list[srt.Subtitle] = []
    for cue in timeline.cues:
        if cue.language != language:
            continue
        lines = break_lines(cue.text, rules.characters_a_line, rules.lines) or (cue.text,)
        rows.append(
            srt.Subtitle(
                index=len(rows) + 1,
                start=timedelta(milliseconds=frame_to_ms(cue.span.start_frame, timeline.rate)),
                end=timedelta(milliseconds=frame_to_ms(cue.span.end_frame, timeline.rate)),
                content=_safe("\n".join(lines)),
            )
        )
    text: str = srt.compose(rows, reindex=False)
    return text


def _safe(text: str) -> str:
    """SubRip has no way to escape its arrow; a reader would take it for a time line."""
    return text.replace("-->", "→")
