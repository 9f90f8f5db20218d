"""SubRip captions. There is no published standard; the form is the one the `srt` library writes."""

from __future__ import annotations

from datetime import timedelta

import srt

from overlay.captions.caption import captions_of, without_arrow
from overlay.timeline.model import Timeline

BYTE_ORDER_MARK = "\ufeff"


def srt_text(timeline: Timeline, language: str, *, windows: bool = False) -> str:
    """The cues of one language as SubRip text, to be stored as UTF-8: numbered from 1, a blank line at the end.

    Times are whole milliseconds, floored from the frame (`units/clock.py`). Lines end in LF;
    `windows` makes that CR LF behind a byte-order mark, which older programs there want. SubRip
    has no way to escape: `<` and `&` stay as they are, and an arrow that a reader would take for a
    time line becomes a sign.
    """
    text: str = srt.compose(
        [
            srt.Subtitle(
                index=caption.number,
                start=timedelta(milliseconds=caption.start_ms),
                end=timedelta(milliseconds=caption.end_ms),
                content=without_arrow("\n".join(caption.lines)),
            )
            for caption in captions_of(timeline, language)
        ],
        reindex=False,
    )
    return BYTE_ORDER_MARK + text.replace("\n", "\r\n") if windows else text
