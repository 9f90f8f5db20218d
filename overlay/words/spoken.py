"""Written text as it is said: numbers, units, times and abbreviations in words, and the pauses between."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

from overlay.words.counting import LANGUAGES, number_in_words

SHORT_PAUSE, LONG_PAUSE = ",", "."
"""How a pause inside a sentence and one between sentences stand among the words of `as_spoken`."""

# Signs, and how they are said in the languages of LANGUAGES, in their order. Plurals throughout: they take as long.
_SAID = {
    sign: dict(zip(LANGUAGES, words, strict=True))
    for signs, *words in (
        ("s sec secs seg sek", "seconds", "segundos", "secondes", "Sekunden", "segundos", "secondi"),
        ("min mins", "minutes", "minutos", "minutes", "Minuten", "minutos", "minuti"),
        ("h hr hrs std", "hours", "horas", "heures", "Stunden", "horas", "ore"),
        ("m", "meters", "metros", "mètres", "Meter", "metros", "metri"),
        ("cm", "centimeters", "centímetros", "centimètres", "Zentimeter", "centímetros", "centimetri"),
        ("km", "kilometers", "kilómetros", "kilomètres", "Kilometer", "quilómetros", "chilometri"),
        ("g", "grams", "gramos", "grammes", "Gramm", "gramas", "grammi"),
        ("kg kgs", "kilograms", "kilogramos", "kilogrammes", "Kilogramm", "quilogramas", "chilogrammi"),
        ("lb lbs", "pounds", "libras", "livres", "Pfund", "libras", "libbre"),
        ("ft", "feet", "pies", "pieds", "Fuß", "pés", "piedi"),
        ("x ×", "times", "veces", "fois", "mal", "vezes", "volte"),
        ("%", "percent", "por ciento", "pour cent", "Prozent", "por cento", "per cento"),
        ("°", "degrees", "grados", "degrés", "Grad", "graus", "gradi"),
        ("+", "plus", "más", "plus", "plus", "mais", "più"),
        ("-", "minus", "menos", "moins", "minus", "menos", "meno"),
        ("=", "equals", "igual a", "égale", "gleich", "igual a", "uguale"),
        ("&", "and", "y", "et", "und", "e", "e"),
        ("#", "number", "número", "numéro", "Nummer", "número", "numero"),
        ("½", "one half", "medio", "un demi", "einhalb", "meio", "mezzo"),
        ("⅓", "one third", "un tercio", "un tiers", "ein Drittel", "um terço", "un terzo"),
        ("⅔", "two thirds", "dos tercios", "deux tiers", "zwei Drittel", "dois terços", "due terzi"),
        ("¼", "one quarter", "un cuarto", "un quart", "ein Viertel", "um quarto", "un quarto"),
        ("¾", "three quarters", "tres cuartos", "trois quarts", "drei Viertel", "três quartos", "tre quarti"),
        ("etc", "et cetera", "etcétera", "et cetera", "et cetera", "etcétera", "eccetera"),
        ("vs", "versus", "versus", "versus", "versus", "versus", "versus"),
    )
    for sign in signs.split()
}
_POINT = dict(zip(LANGUAGES, ("point", "coma", "virgule", "Komma", "vírgula", "virgola"), strict=True))
_UP_TO = dict(zip(LANGUAGES, ("to", "a", "à", "bis", "a", "a"), strict=True))
_AND_A_HALF = dict(zip(LANGUAGES, ("and", "y", "et", "", "e", "e"), strict=True))
# Shortened words whose full stop does not end a sentence.
_SHORTENED = {
    "e.g.": "for example",
    "i.e.": "that is",
    "approx.": "approximately",
    "w/": "with",
    "aprox.": "aproximadamente",
    "z.b.": "zum Beispiel",
    "d.h.": "das heißt",
    "bzw.": "beziehungsweise",
    "ca.": "circa",
    "nr.": "Nummer",
}
_SPELLED = frozenset({"bpm", "rpm", "rpe", "rom"})
_SLASHED = {"1/2": "½", "1/3": "⅓", "2/3": "⅔", "1/4": "¼", "3/4": "¾"}
_ORDINALS = {
    "one": "first",
    "two": "second",
    "three": "third",
    "five": "fifth",
    "eight": "eighth",
    "nine": "ninth",
    "twelve": "twelfth",
}

# The escapes are the marks of Chinese and Japanese, and the minus sign.
_NO_WORD = r"\s\d.!?…,;:–—+=&#%×°½⅓⅔¼¾()\[\]<>«»“”„¿¡/_*\u2212\u3001\u3002\uff01\uff0c\uff1a\uff1b\uff1f\"-"
_PIECE = re.compile(
    rf"""(?P<shortened> {"|".join(re.escape(short) for short in _SHORTENED)} )
      | (?P<initials> (?:[^\W\d_]\.){{2,}} )
      | (?P<time> \d+ (?: :\d\d ){{1,2}} (?!\d) | \d+m\d\d?s )
      | (?P<slashed> {"|".join(_SLASHED)} ) (?!\d)
      | (?P<ordinal> \d+ ) (?:st|nd|rd|th) (?!\w)
      | (?P<number> \d+ (?:[.,]\d+)* )
      | (?P<stop> [.!?…\u3002\uff01\uff1f]+ )
      | (?P<comma> [,;:—\uff0c\u3001\uff1b\uff1a]+ )
      | (?P<dash> [-–\u2212] )
      | (?P<sign> [+=&#%×°½⅓⅔¼¾] )
      | (?P<word> [^{_NO_WORD}]+ )
    """,
    re.VERBOSE | re.IGNORECASE,
)


def as_spoken(text: str, language: str = "en") -> tuple[str, ...]:
    """The words that are said for a text, with `,` and `.` where a pause stands.

    Each run of characters without a space is read by itself, so that adding words never changes how
    the others are read. Signs and numbers are read in English, Spanish, French, German, Portuguese and
    Italian, and in any other language as in English.

    >>> as_spoken("Hold 30 s, then 2x on a 4-count.")
    ('Hold', 'thirty', 'seconds', ',', 'then', 'two', 'times', 'on', 'a', 'four', 'count', '.')
    >>> as_spoken("1:30 con 2½ kg", "es")
    ('uno', 'minutos', 'treinta', 'con', 'dos', 'y', 'medio', 'kilogramos')
    """
    known = language if language in LANGUAGES else "en"
    return tuple(word for token in text.split() for said in _read(token, known) for word in said.split())


def _read(token: str, language: str) -> Iterator[str]:
    before, end = "", 0
    for piece in _PIECE.finditer(token):
        kind = str(piece.lastgroup)
        found = piece[kind]
        after_number = before == "number" and piece.start() == end
        if kind == "dash":
            before_number = token[piece.end() : piece.end() + 1].isdecimal()
            yield _dash(found, token, after_number and before_number, before_number and not piece.start(), language)
        elif kind in ("sign", "slashed"):
            sign = _SLASHED.get(found, found)
            if after_number and sign in _SLASHED.values():
                yield _AND_A_HALF[language]
            yield _SAID[sign][language]
        else:
            yield _READERS[kind](found, language)
        before, end = kind, piece.end()


def _dash(dash: str, token: str, is_range: bool, is_minus: bool, language: str) -> str:
    if is_range:
        return _UP_TO[language]
    if is_minus:
        return _SAID["-"][language]
    return SHORT_PAUSE if dash == "–" or dash == token else ""


def _number(written: str, language: str) -> str:
    """`2.5`, `1,000`: the mark that groups thousands is left out, the other one is said."""
    grouping = "," if language == "en" else "."
    if re.fullmatch(rf"\d{{1,3}}(?:\{grouping}\d{{3}})+", written):
        written = written.replace(grouping, "")
    whole, *decimals = re.split("[.,]", written)
    said = [_whole(whole, language)]
    for digits in decimals:
        said += [_POINT[language], *(number_in_words(int(digit), language) for digit in digits)]
    return " ".join(said).replace("-", " ")


def _whole(digits: str, language: str) -> str:
    parts = [digits] if len(digits) < 7 else list(digits)
    return " ".join(number_in_words(int(part), language) for part in parts).replace("-", " ")


def _time(written: str, language: str) -> str:
    """`1:30` and `1m30s` are one minute thirty, `0:45` forty-five seconds, `1:00:30` one hour thirty seconds."""
    parts = re.split("[:m]", written.lower().rstrip("s"))
    said: list[str] = []
    for digits, unit in zip(parts, ("h", "min", "s")[-len(parts) :], strict=True):
        if digits.strip("0"):
            said += [_whole(digits, language), _SAID[unit][language]]
    if len(parts) == 2 and len(said) > 2:
        said.pop()
    return " ".join(said) or f"{number_in_words(0, language)} {_SAID['s'][language]}"


def _ordinal(digits: str, language: str) -> str:
    """`1st`, `22nd`: English only, elsewhere they are not written so."""
    *front, last = _whole(digits, language).split()
    last = _ORDINALS.get(last) or (last[:-1] + "ieth" if last.endswith("y") else last + "th")
    return " ".join([*front, last])


def _word(written: str, language: str) -> str:
    said = _SAID.get(written if len(written) == 1 else written.lower())
    if said:
        return said[language]
    is_spelled = written.isascii() and written.isupper() and 1 < len(written) < 6 and not set(written) & set("AEIOUY'")
    return " ".join(written) if is_spelled or written.lower() in _SPELLED else written


_READERS: dict[str, Callable[[str, str], str]] = {
    "shortened": lambda found, _: _SHORTENED[found.lower()],
    "initials": lambda found, _: found.replace(".", " "),
    "time": _time,
    "ordinal": _ordinal,
    "number": _number,
    "stop": lambda *_: LONG_PAUSE,
    "comma": lambda *_: SHORT_PAUSE,
    "word": _word,
}
