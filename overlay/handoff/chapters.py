"""Chapters for publishing: as lines of text, and as metadata that FFmpeg puts into a finished file."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import NamedTuple

from overlay.timeline.chapters import chapters_of
from overlay.timeline.model import Timeline

SHORTEST_CHAPTER_SECONDS = 10
"""Where videos are published, a description's chapters begin at 0:00, rise, and last ten seconds at least
(general practice of hosted video)."""
_JOIN = " · "
# FFmpeg, doc/metadata.texi: `=`, `;`, `#`, `\\` and a line break are escaped with a backslash.
_SPECIAL = re.compile(r"[=;#\\\n]")


class ChapterLine(NamedTuple):
    """A chapter in whole seconds since the class began, and how long it is."""

    start_s: int
    length_s: int
    name: str


def chapter_lines(timeline: Timeline) -> tuple[ChapterLine, ...]:
    """The chapters that a description may list: short ones are joined to the one after them, the last to
    the one before it. Times are floored to whole seconds; a leader is cut off before a class is published,
    so that it does not count."""
    zero = timeline.class_start
    last_s = (timeline.duration - zero) // 1
    lines: list[ChapterLine] = []
    for chapter in chapters_of(timeline):
        start_s, end_s = max(chapter.start - zero, Fraction(0)) // 1, (chapter.end - zero) // 1
        line = ChapterLine(start_s, end_s - start_s, chapter.name)
        if lines and (lines[-1].length_s < SHORTEST_CHAPTER_SECONDS or _is_short_last(line, last_s)):
            before = lines.pop()
            line = ChapterLine(before.start_s, before.length_s + line.length_s, before.name + _JOIN + line.name)
        lines.append(line)
    return tuple(lines)


def _is_short_last(line: ChapterLine, last_s: int) -> bool:
    return line.start_s + line.length_s == last_s and line.length_s < SHORTEST_CHAPTER_SECONDS


def chapters_txt(timeline: Timeline) -> str:
    """The chapters a line, to be pasted under a published video and stored as UTF-8.

    0:00 Opening
    0:25 Wake up
    """
    return "".join(f"{_clock(line.start_s)} {line.name}\n" for line in chapter_lines(timeline))


def _clock(seconds: int) -> str:
    minutes, seconds = divmod(seconds, 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02}:{seconds:02}" if hours else f"{minutes}:{seconds:02}"


def ffmpeg_metadata(timeline: Timeline) -> str:
    """Title and chapters in FFmpeg's metadata format (doc/metadata.texi), to be stored as UTF-8.

    Times count in frames, exactly, from the first frame of the files. Put into a finished file by
    `ffmpeg -i cut.mp4 -i chapters.ffmetadata -map_chapters 1 -codec copy out.mp4`.
    """
    parts = [f";FFMETADATA1\ntitle={_escaped(timeline.title)}\n"]
    base = 1 / timeline.rate.value
    for chapter in chapters_of(timeline):
        parts.append(
            f"\n[CHAPTER]\nTIMEBASE={base.numerator}/{base.denominator}\nSTART={chapter.span.start_frame}\n"
            f"END={chapter.span.end_frame}\ntitle={_escaped(chapter.name)}\n"
        )
    return "".join(parts)


def _escaped(text: str) -> str:
    return _SPECIAL.sub(lambda match: "\\" + match[0], text)
