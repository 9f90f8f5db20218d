"""Where captions and their lines break.

Figures of the default rules: at most 37 characters a line and 2 lines (BBC Subtitle Guidelines 3.1
and 3.3), on tall pictures 25 characters and 3 lines (the same, for 9:16); 17 characters a second
and 2 frames between captions (Netflix Timed Text Style Guide: English Template, Timing); at least
1.2 s (BBC 4.1: four words at 0.3 s); at most 6 s (DCMP Captioning Key, from memory).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from overlay.units.raster import Size


@dataclass(frozen=True)
class CaptionRules:
    """What a caption may measure. Times are exact seconds."""

    characters_a_line: int = 37
    lines: int = 2
    characters_a_second: int = 17
    shortest: Fraction = Fraction(6, 5)
    longest: Fraction = Fraction(6)
    gap_frames: int = 2


def rules_for(size: Size) -> CaptionRules:
    """The default rules for a picture's shape."""
    return CaptionRules(characters_a_line=25, lines=3) if size.is_tall else CaptionRules()


# Breaking before these words keeps a phrase together (BBC 3.4, Netflix general requirements 4).
_GOOD_BEFORE = frozenset(
    [
        "and",
        "but",
        "or",
        "so",
        "then",
        "because",
        "while",
        "when",
        "until",
        "if",
        "that",
        "which",
        "who",
        "before",
        "after",
        "with",
        "without",
        "for",
        "from",
        "into",
        "onto",
        "over",
        "under",
        "through",
        "at",
        "by",
        "in",
        "on",
        "to",
        "as",
    ]
)
_BAD_AFTER = frozenset(
    [
        "a",
        "an",
        "the",
        "your",
        "my",
        "our",
        "his",
        "her",
        "its",
        "their",
        "this",
        "that",
        "two",
        "three",
        "four",
        "five",
        "no",
        "not",
        "very",
    ]
)


def break_penalty(before: str, after: str) -> int:
    """How bad it is to break between two words: 0 after a sentence, up to 60 inside a phrase."""
    if before.endswith((".", "!", "?", "…")):
        return 0
    if before.endswith((",", ";", ":")):
        return 5
    plain = before.lower()
    if plain in _BAD_AFTER or plain in _GOOD_BEFORE:
        return 60
    return 15 if after.lower() in _GOOD_BEFORE else 30


def break_lines(text: str, characters: int, lines: int) -> tuple[str, ...] | None:
    """The text in at most `lines` lines of at most `characters`, or None where it does not fit.

    Of all ways the one with the fewest lines, breaks at sense, and lines of near lengths.

    >>> break_lines("Lead with the elbow and keep the wrist quiet.", 37, 2)
    ('Lead with the elbow', 'and keep the wrist quiet.')
    """
    words = text.split()
    for count in range(1, lines + 1):
        best = _broken(tuple(words), characters, count)
        if best is not None:
            return best[1]
    return None


def _broken(words: tuple[str, ...], characters: int, count: int) -> tuple[int, tuple[str, ...]] | None:
    even = len(" ".join(words)) / count

    @cache
    def best(first: int, left: int) -> tuple[int, tuple[str, ...]] | None:
        if left == 1:
            line = " ".join(words[first:])
            return (_unevenness(line, even), (line,)) if len(line) <= characters else None
        found = None
        for end in range(first + 1, len(words) - left + 2):
            line = " ".join(words[first:end])
            if len(line) > characters:
                break
            rest = best(end, left - 1)
            if rest is None:
                continue
            cost = rest[0] + _unevenness(line, even) + break_penalty(words[end - 1], words[end])
            if found is None or cost <= found[0]:
                found = (cost, (line, *rest[1]))
        return found

    return best(0, count) if len(words) >= count else None


def _unevenness(line: str, even: float) -> int:
    return round((len(line) - even) ** 2 / 8)


def split_captions(text: str, rules: CaptionRules, most_characters: int) -> tuple[str, ...]:
    """The text as captions that each fit the rules, broken at sentence, clause, then phrase.

    `most_characters` bounds one caption by how long it may stand. A single word that is too long
    for a line stays whole: text is never lost to fit a rule.

    >>> split_captions("Sit tall. Now pull the band to your ribs and hold it there for two.", CaptionRules(), 50)
    ('Sit tall. Now pull the band to your ribs', 'and hold it there for two.')
    """
    words = text.split()
    room = min(most_characters, rules.characters_a_line * rules.lines)
    if len(text) <= room and break_lines(text, rules.characters_a_line, rules.lines):
        return (text,)
    costs: list[float] = [0.0] + [float("inf")] * len(words)
    came_from = [0] * (len(words) + 1)
    for end in range(1, len(words) + 1):
        for start in range(end - 1, -1, -1):
            part = " ".join(words[start:end])
            fits = len(part) <= room and break_lines(part, rules.characters_a_line, rules.lines) is not None
            if not fits and start < end - 1:
                break
            penalty = break_penalty(words[end - 1], words[end]) if end < len(words) else 0
            short = max(0, 20 - len(part))
            cost = costs[start] + 40 + penalty + short
            if cost < costs[end]:
                costs[end], came_from[end] = cost, start
    parts: list[str] = []
    end = len(words)
    while end:
        parts.append(" ".join(words[came_from[end] : end]))
        end = came_from[end]
    return tuple(reversed(parts))


_SPACES = re.compile(r"\s+")


def one_line(text: str) -> str:
    """The text with every run of white space made one space."""
    return _SPACES.sub(" ", text).strip()
