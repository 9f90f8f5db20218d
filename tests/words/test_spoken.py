"""Text as it is said."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlay.words.spoken import as_spoken


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("30 s", "thirty seconds"),
        ("30s", "thirty seconds"),
        ("2x", "two times"),
        ("3×10", "three times ten"),
        ("4-count", "four count"),
        ("1:30", "one minutes thirty"),
        ("1m30s", "one minutes thirty"),
        ("0:45", "forty five seconds"),
        ("5:00", "five minutes"),
        ("1:00:30", "one hours thirty seconds"),
        ("0:00", "zero seconds"),
        ("10 kg", "ten kilograms"),
        ("½", "one half"),
        ("2½", "two and one half"),
        ("1/2", "one half"),
        ("8-10 reps", "eight to ten reps"),
        ("8–10 reps", "eight to ten reps"),
        ("-8", "minus eight"),
        ("2.5", "two point five"),
        ("1,000", "one thousand"),
        ("1st 22nd 30th 12th", "first twenty second thirtieth twelfth"),
        ("70%", "seventy percent"),
        ("45°", "forty five degrees"),
        ("6 p.m.", "six p m"),
        ("e.g. this", "for example this"),
        ("RPE 7", "R P E seven"),
        ("TRX", "T R X"),
        ("TRY", "TRY"),
        ("well-known", "well known"),
        ("up — down", "up , down"),
        ("Stop... now!", "Stop . now ."),
        ("(left) “right”", "left right"),
        ("and/or", "and or"),
    ],
)
def test_english(written: str, said: str) -> None:
    """Numbers, units, times, signs and abbreviations in words."""
    assert " ".join(as_spoken(written)) == said


@pytest.mark.parametrize(
    ("language", "written", "said"),
    [
        ("es", "30 s, 50 % y 2,5 kg", "treinta segundos , cincuenta por ciento y dos coma cinco kilogramos"),
        ("fr", "3\u00a0x\u00a010 ; 71", "trois fois dix , soixante et onze"),
        ("de", "1.000 m, z. B. 1½ h", "tausend Meter , z . B . eins einhalb Stunden"),
        ("de", "z.B. 8–10 x", "zum Beispiel acht bis zehn mal"),
        ("pt", "21 min", "vinte e um minutos"),
        ("it", "28° e ¾", "ventotto gradi e tre quarti"),
        ("eu", "30 s", "thirty seconds"),
    ],
)
def test_other_languages(language: str, written: str, said: str) -> None:
    """The same in the languages that have a table, in English where there is none."""
    assert " ".join(as_spoken(written, language)) == said.replace("tausend", "eintausend")


@given(text=st.text(max_size=40), language=st.sampled_from(["en", "es", "fr", "de", "pt", "it", "eu"]))
def test_no_digit_is_left(text: str, language: str) -> None:
    """Whatever is written can be read, and every number is in words."""
    assert not any(c.isdecimal() for word in as_spoken(text, language) for c in word)


@given(parts=st.lists(st.text(max_size=8), max_size=6))
def test_each_run_is_read_by_itself(parts: list[str]) -> None:
    """What stands beside a run of characters does not change how it is read."""
    assert as_spoken(" ".join(parts)) == tuple(word for part in parts for word in as_spoken(part))
