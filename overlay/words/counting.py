"""Whole numbers in words, to know how long they take to say: English, Spanish, French, German, Portuguese, Italian.

Own tables and not a library: the one that does this (`num2words`) brings fifty languages, a licence of another kind
and 20 ms of loading to every check of a plan. It is what the tests compare with.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class _Names:
    small: tuple[str, ...]
    tens: tuple[str, ...]
    hundreds: tuple[str, ...]
    thousand: str
    join_ten: Callable[[str, str], str]
    join_hundred: str


def _names(
    small: str,
    tens: str,
    hundreds: str,
    thousand: str,
    join_ten: Callable[[str, str], str],
    join_hundred: str = " ",
) -> _Names:
    return _Names(
        tuple(small.split()),
        tuple(tens.split()),
        tuple(name.strip() for name in hundreds.split(",")),
        thousand,
        join_ten,
        join_hundred,
    )


def _italian(ten: str, unit: str) -> str:
    return ten[:-1] + unit if unit in ("uno", "otto") else ten + unit


def _german(ten: str, unit: str) -> str:
    return f"{'ein' if unit == 'eins' else unit}und{ten}"


_TABLES = {
    "en": _names(
        "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen "
        "seventeen eighteen nineteen",
        "twenty thirty forty fifty sixty seventy eighty ninety",
        "one hundred, two hundred, three hundred, four hundred, five hundred, six hundred, seven hundred, "
        "eight hundred, nine hundred",
        "thousand",
        "{}-{}".format,
        " and ",
    ),
    "es": _names(
        "cero uno dos tres cuatro cinco seis siete ocho nueve diez once doce trece catorce quince dieciséis diecisiete "
        "dieciocho diecinueve veinte veintiuno veintidós veintitrés veinticuatro veinticinco veintiséis veintisiete "
        "veintiocho veintinueve",
        "veinte treinta cuarenta cincuenta sesenta setenta ochenta noventa",
        "ciento, doscientos, trescientos, cuatrocientos, quinientos, seiscientos, setecientos, "
        "ochocientos, novecientos",
        "mil",
        "{} y {}".format,
    ),
    "fr": _names(
        "zéro un deux trois quatre cinq six sept huit neuf dix onze douze treize quatorze quinze seize dix-sept "
        "dix-huit dix-neuf",
        "vingt trente quarante cinquante soixante soixante quatre-vingt quatre-vingt",
        "cent, deux cent, trois cent, quatre cent, cinq cent, six cent, sept cent, huit cent, neuf cent",
        "mille",
        lambda ten, unit: f"{ten} et {unit}" if unit in ("un", "onze") and "-" not in ten else f"{ten}-{unit}",
    ),
    "de": _names(
        "null eins zwei drei vier fünf sechs sieben acht neun zehn elf zwölf dreizehn vierzehn fünfzehn sechzehn "
        "siebzehn achtzehn neunzehn",
        "zwanzig dreißig vierzig fünfzig sechzig siebzig achtzig neunzig",
        "einhundert, zweihundert, dreihundert, vierhundert, fünfhundert, sechshundert, siebenhundert, achthundert, "
        "neunhundert",
        "tausend",
        _german,
        "",
    ),
    "pt": _names(
        "zero um dois três quatro cinco seis sete oito nove dez onze doze treze catorze quinze dezasseis dezassete "
        "dezoito dezanove",
        "vinte trinta quarenta cinquenta sessenta setenta oitenta noventa",
        "cento, duzentos, trezentos, quatrocentos, quinhentos, seiscentos, setecentos, oitocentos, novecentos",
        "mil",
        "{} e {}".format,
        " e ",
    ),
    "it": _names(
        "zero uno due tre quattro cinque sei sette otto nove dieci undici dodici tredici quattordici quindici sedici "
        "diciassette diciotto diciannove",
        "venti trenta quaranta cinquanta sessanta settanta ottanta novanta",
        "cento, duecento, trecento, quattrocento, cinquecento, seicento, settecento, ottocento, novecento",
        "mila",
        _italian,
        "",
    ),
}

_ROUND_HUNDRED = {"es": "cien", "pt": "cem"}
_ROUND_THOUSAND = {"en": "one thousand", "de": "eintausend", "it": "mille"}
LANGUAGES = tuple(_TABLES)


def number_in_words(number: int, language: str) -> str:
    """A whole number from 0 up as it is said; from a million on digit by digit, in other languages as in English.

    >>> number_in_words(45, "en"), number_in_words(71, "fr"), number_in_words(128, "de")
    ('forty-five', 'soixante et onze', 'einhundertachtundzwanzig')
    """
    names = _TABLES.get(language, _TABLES["en"])
    if number >= 1_000_000:
        return " ".join(names.small[int(digit)] for digit in str(number))
    thousands, rest = divmod(number, 1000)
    if not thousands:
        return _below_thousand(rest, names, language)
    if thousands == 1:
        said = _ROUND_THOUSAND.get(language, names.thousand)
    else:
        gap = "" if language in ("de", "it") else " "
        said = _below_thousand(thousands, names, language) + gap + names.thousand
    if not rest:
        return said
    join = names.join_hundred if rest < 100 or (language == "pt" and rest % 100 == 0) else ""
    return said + (join or " ") + _below_thousand(rest, names, language)


def _below_thousand(number: int, names: _Names, language: str) -> str:
    hundreds, rest = divmod(number, 100)
    if not hundreds:
        return _below_hundred(rest, names)
    if not rest:
        return _ROUND_HUNDRED.get(language, names.hundreds[0]) if hundreds == 1 else names.hundreds[hundreds - 1]
    said = names.hundreds[hundreds - 1] + names.join_hundred + _below_hundred(rest, names)
    return said.replace("oott", "ott")


def _below_hundred(number: int, names: _Names) -> str:
    if number < len(names.small):
        return names.small[number]
    ten, unit = divmod(number, 10)
    name = names.tens[ten - 2]
    # French goes on counting to nineteen from sixty and from eighty.
    if ten > 2 and name == names.tens[ten - 3]:
        unit += 10
    return names.join_ten(name, names.small[unit]) if unit else name
