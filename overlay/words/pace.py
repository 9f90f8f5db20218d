"""How long a text takes to say.

The plan's `pace` is what an instructor counts in a recording: the words said in a minute of talking, pauses at
punctuation counted. The silence that lies between cues is not talking. A text is not given that rate word by word:
its syllables and consonants are weighed, and `pace` is the rate at which an ordinary stretch of coaching goes by. What
is ordinary was measured on sentences of coaching in each language (`tests/words/coaching`): in English 1.20 syllables
a word, so that the default of 150 words makes 180 syllables a minute. Speakers of US English average about 150 words a
minute (National Center for Voice and Speech); lectures run at 140 words and 190 syllables (Tauroza and Allison 1990,
Applied Linguistics 11, from memory). An instructor who talks through a class says about 145 over the whole of it,
pauses counted, and 90 to 200 in a stretch (common practice, no source).
"""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

from overlay.words.spoken import LONG_PAUSE, SHORT_PAUSE, as_spoken
from overlay.words.syllables import consonants, syllables

# Weights in half syllables, chosen so that durations rank as those of a speech synthesizer (espeak-ng) do:
# syllables alone rank English badly, where `stretch` and `a` are one each.
_SYLLABLE = 2
_CONSONANT = 1
_PAUSES = {SHORT_PAUSE: 6, LONG_PAUSE: 8}
_DRAWN_OUT_END = 2

# What 100 words of the coaching sentences weigh, pauses counted.
_ORDINARY = {"en": 589, "es": 707, "fr": 616, "de": 704, "pt": 703, "it": 743}
_ORDINARY_ELSEWHERE = 690


@lru_cache(maxsize=1 << 14)
def time_to_say(text: str, pace: int, language: str = "en") -> Fraction:
    """Exact seconds that a person needs for `text` at `pace` words a minute, pauses inside included.

    Words that are added, wherever, never make it shorter. A text without words takes no time. `pace` is at
    least 1; of `language` (`pt-BR`) the part before the hyphen counts.

    >>> round(float(time_to_say("Sit tall before you pull.", 150)), 2)
    1.56
    >>> time_to_say("Hold 30 s.", 150) == time_to_say("Hold thirty seconds.", 150)
    True
    """
    main = language.partition("-")[0]
    total = pause = 0
    for token in text.split():
        before, weight, after = _weigh(token, main)
        if weight:
            total += weight + (max(pause, before) if total else 0)
            pause = after
        else:
            pause = max(pause, after)
    if not total:
        return Fraction(0)
    return Fraction(100 * 60 * (total + _DRAWN_OUT_END), pace * _ORDINARY.get(main, _ORDINARY_ELSEWHERE))


@lru_cache(maxsize=1 << 16)
def _weigh(token: str, language: str) -> tuple[int, int, int]:
    """Of characters without a space: the pause before them, their weight, the pause after them."""
    before = weight = pause = 0
    for word in as_spoken(token, language):
        if word in _PAUSES:
            pause = max(pause, _PAUSES[word])
        elif count := syllables(word, language):
            if weight:
                weight += pause
            else:
                before = pause
            weight += _SYLLABLE * count + _CONSONANT * consonants(word, language)
            pause = 0
    return before, weight, pause
