"""Where captions and their lines break, by named sets of rules."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

from overlay.plan.outputs import CaptionSettings, RuleSet
from overlay.units.raster import Size


@dataclass(frozen=True)
class CaptionRules:
    """What a caption may measure. Times are exact seconds.

    Two captions less than `chained_under` apart touch instead, where the set says so; otherwise at
    least `gap_frames` lie between them.
    """

    characters_a_line: int = 37
    lines: int = 2
    characters_a_second: int = 17
    shortest: Fraction = Fraction(6, 5)
    longest: Fraction = Fraction(6)
    gap_frames: int = 2
    chained_under: Fraction = Fraction(0)


RULE_SETS = {
    RuleSet.STANDARD: CaptionRules(),
    RuleSet.BROADCAST: CaptionRules(gap_frames=0, chained_under=Fraction(1)),
    RuleSet.STREAMING: CaptionRules(characters_a_line=42, shortest=Fraction(5, 6), longest=Fraction(7)),
    RuleSet.TALL: CaptionRules(characters_a_line=25, lines=3),
}
"""The named sets, and where their figures come from.

`standard`: 37 characters and 2 lines (BBC Subtitle Guidelines v1.2.5, 3.1 and 3.3); 17 characters a
second and 2 frames between captions (Netflix Timed Text Style Guide, English template and timing); at
least 1.2 s (BBC 4.1: four words at 0.3 s); at most 6 s (DCMP Captioning Key, from memory).
`broadcast`: the same, but a gap is at least a second or none at all (BBC 4.5).
`streaming`: 42 characters, 5/6 s to 7 s a caption, 2 frames at any rate (Netflix).
`tall`: about 25 characters in a region of 90 % of the width, 3 lines (BBC 3.1 and 3.3 for 9:16).
"""


def rules_for(size: Size, settings: CaptionSettings) -> CaptionRules:
    """The rules of a class: the set that the plan names or the shape asks for, with the plan's own figures."""
    named = settings.rules or (RuleSet.TALL if size.is_tall else RuleSet.STANDARD)
    keys = settings.model_fields_set - {"srt", "rules"}
    own = {key: getattr(settings, key) for key in keys if getattr(settings, key) is not None}
    return replace(RULE_SETS[named], **own)


# Words that begin a phrase: a break before one keeps the phrase together, a break after one tears it
# (BBC Subtitle Guidelines 3.4, Netflix Timed Text Style Guide, general requirements 4).
_PHRASE_BEGINS = frozenset(
    """
    and but or so then because while when until if that which who before after with without for from into onto
    over under through at by in on to as of about around
    y o pero porque cuando mientras hasta si que quien antes después con sin para por desde en a de sobre entre
    et ou mais car quand pendant jusque qui avant après avec sans pour par dans sur sous vers de à chez
    und oder aber weil wenn während bis dass der die das vor nach mit ohne für von in auf über unter durch zu bei
    e ou mas porque quando enquanto até se que antes depois com sem para por desde em de sobre entre
    ma perché quando mentre fino se che prima dopo con senza per da in su di sopra tra
    """.split()
)
_NOT_LAST = frozenset(
    """
    a an the your my our his her its their this these two three four five no not very
    el la los las un una tu su mi este esta dos tres muy no
    le les un une ton ta tes votre vos ce cette deux trois très ne pas
    ein eine einen dein deine ihr ihre den dem zwei drei sehr nicht kein
    o os as um uma seu sua teu tua dois três muito não
    il lo gli uno tuo tua due molto non
    """.split()
)
_SENTENCE_ENDS, _CLAUSE_ENDS = (".", "!", "?", "…", "。", "！", "？"), (",", ";", ":", "、", "，")
# Thai and Lao, Burmese, Khmer, Chinese and Japanese.
_NO_SPACES = ((0x0E00, 0x0EFF), (0x1000, 0x109F), (0x1780, 0x17FF), (0x2E80, 0x9FFF), (0x20000, 0x3FFFF))
_WITHIN_PHRASE, _AT_PHRASE, _ELSEWHERE, _AT_CLAUSE, _AT_SENTENCE = 60, 15, 30, 5, 0
_LONE_WORD = 40


def break_penalty(before: str, after: str) -> int:
    """How bad it is to break between two words: 0 after a sentence, up to 60 inside a phrase."""
    before, after = before.strip(), after.strip()
    if before.endswith(_SENTENCE_ENDS):
        return _AT_SENTENCE
    if before.endswith(_CLAUSE_ENDS):
        return _AT_CLAUSE
    if before.lower() in _NOT_LAST or before.lower() in _PHRASE_BEGINS:
        return _WITHIN_PHRASE
    return _AT_PHRASE if after.lower() in _PHRASE_BEGINS else _ELSEWHERE


def cells(text: str) -> int:
    """How many characters a text counts for: wide ones as two, marks upon another as none.

    >>> cells("Hold"), cells("深呼吸"), cells("e\u0301")
    (4, 6, 1)
    """
    if text.isascii():
        return len(text)
    return sum(
        0 if unicodedata.combining(character) else 2 if unicodedata.east_asian_width(character) in "WF" else 1
        for character in text
    )


def units_of(text: str) -> tuple[str, ...]:
    """The text in pieces between which it may break: words, or where a script has no spaces its own.

    >>> units_of("Sit tall."), len(units_of("深呼吸"))
    (('Sit ', 'tall.'), 3)
    """
    if text.isascii() or not any(low <= ord(character) <= high for character in text for low, high in _NO_SPACES):
        words = text.split()
        return (*(f"{word} " for word in words[:-1]), *words[-1:])
    # Unicode Standard Annex 14, for Thai, Chinese, Japanese and whatever else comes without spaces.
    from uniseg.linebreak import line_break_units

    return tuple(line_break_units(text))


def break_lines(text: str, characters: int, lines: int) -> tuple[str, ...] | None:
    """The text in at most `lines` lines of at most `characters`, or None where it does not fit.

    Of all ways the one with the fewest lines, breaks at sense, lines of near lengths rather with
    the longer one below, and no lone short word.

    >>> break_lines("Lead with the elbow and keep the wrist quiet.", 37, 2)
    ('Lead with the elbow', 'and keep the wrist quiet.')
    """
    if cells(text) <= characters:
        return (text,)
    return _broken(units_of(text), characters, lines)


@lru_cache(maxsize=4096)
def _broken(units: tuple[str, ...], characters: int, lines: int) -> tuple[str, ...] | None:
    for count in range(2, lines + 1):
        best = _best_lines(units, characters, count)
        if best is not None:
            return best
    return None


def _best_lines(units: tuple[str, ...], characters: int, count: int) -> tuple[str, ...] | None:
    """The cheapest way into exactly `count` lines, by dynamic programming over all breaks."""
    even = sum(map(cells, units)) / count
    # For each number of lines, the cheapest way to set the units up to an index: cost, where its last line begins.
    table: list[dict[int, tuple[float, int]]] = [{0: (0.0, 0)}]
    for line in range(count):
        row: dict[int, tuple[float, int]] = {}
        for start, (cost, _) in table[line].items():
            for end in range(start + 1, len(units) + 1):
                text = "".join(units[start:end]).rstrip()
                if cells(text) > characters:
                    break
                if (end == len(units)) != (line == count - 1):
                    continue
                price = cost + _line_cost(text, even, is_last=end == len(units))
                if end < len(units):
                    price += break_penalty(units[end - 1], units[end])
                if end not in row or price < row[end][0]:
                    row[end] = (price, start)
        table.append(row)
    if len(units) not in table[count]:
        return None
    found: list[str] = []
    end = len(units)
    for line in range(count, 0, -1):
        start = table[line][end][1]
        found.append("".join(units[start:end]).rstrip())
        end = start
    return tuple(reversed(found))


def _line_cost(text: str, even: float, *, is_last: bool) -> float:
    off = cells(text) - even
    # A line above that is longer than the one below weighs a little more than the other way round.
    weight = 1.0 if is_last or off < 0 else 1.2
    lone = _LONE_WORD if " " not in text and cells(text) < 8 else 0
    return weight * off * off / 8 + lone


def split_captions(text: str, rules: CaptionRules, most_characters: int) -> tuple[str, ...]:
    """The text as captions that each fit the rules, broken at sentence, clause, then phrase.

    `most_characters` bounds one caption by how long it may stand. A single word that is too long
    for a line stays whole: text is never lost to fit a rule.

    >>> split_captions("Sit tall. Now pull the band to your ribs and hold it there for two.", CaptionRules(), 50)
    ('Sit tall. Now pull the band to your ribs', 'and hold it there for two.')
    """
    room = min(most_characters, rules.characters_a_line * rules.lines)
    if cells(text) <= room and break_lines(text, rules.characters_a_line, rules.lines):
        return (text,)
    units = units_of(text)
    costs: list[float] = [0.0] + [float("inf")] * len(units)
    came_from = [0] * (len(units) + 1)
    for end in range(1, len(units) + 1):
        for start in range(end - 1, -1, -1):
            part = "".join(units[start:end]).rstrip()
            fits = cells(part) <= room and break_lines(part, rules.characters_a_line, rules.lines) is not None
            if not fits and start < end - 1:
                break
            cost = costs[start] + 40 + max(0, 20 - cells(part))
            cost += break_penalty(units[end - 1], units[end]) if end < len(units) else 0
            if cost < costs[end]:
                costs[end], came_from[end] = cost, start
    parts: list[str] = []
    end = len(units)
    while end:
        parts.append("".join(units[came_from[end] : end]).rstrip())
        end = came_from[end]
    return tuple(reversed(parts))
