"""The plan's `tones:`, as a person writes it: every value is text."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
from pydantic import ValidationError

from overlay.plan.outputs import Sounds, ToneSettings, note_to_hz


def mistake(tones: Any) -> tuple[tuple[int | str, ...], str]:
    """Where and what, of the one mistake in a plan's tones."""
    with pytest.raises(ValidationError) as caught:
        ToneSettings.model_validate(tones)
    [error] = caught.value.errors()
    return error["loc"], error["msg"]


def test_left_out_is_the_default() -> None:
    """As DESIGN.md, section 7: three pips before a start, -6 dBTP, 48 kHz, nothing extra."""
    tones = ToneSettings.model_validate({})
    assert (tones.ready_count, tones.ready_before) == (3, frozenset({"start"}))
    assert (tones.loudness, tones.ceiling, tones.sample_rate) == (-18, -6, 48000)
    assert not any((tones.half, tones.last, tones.finish))
    assert not any((tones.stems, tones.listening_copy, tones.duck, tones.leader))


def test_everything_that_can_be_written() -> None:
    """All of it as text; a sound keeps its own kind's default for what is left out."""
    tones = ToneSettings.model_validate(
        {
            "ready_count": "5",
            "ready_before": ["start", "stop"],
            "half": "true",
            "loudness": "\N{MINUS SIGN}20.5 LUFS",
            "ceiling": "-3 dBTP",
            "sample_rate": "44100",
            "leader": "true",
            "sounds": {
                "stop": {
                    "count": "2",
                    "spacing": "1s",
                    "pitch": "Bb4",
                    "partials": ["1", "0.5"],
                    "fade": "0.03",
                    "loudness": "-16",
                },
                "change": {"pitch": "750 Hz"},
            },
        }
    )
    assert (tones.ready_count, tones.ready_before, tones.half, tones.leader) == (
        5,
        frozenset({"start", "stop"}),
        True,
        True,
    )
    assert (tones.loudness, tones.ceiling, tones.sample_rate) == (-20.5, -3, 44100)
    stop = tones.sound("stop")
    assert (stop.count, stop.spacing, stop.length, stop.fade) == (2, Fraction(1), Fraction(9, 10), Fraction(3, 100))
    assert (stop.partials, stop.loudness) == ((1, 0.5), -16)
    assert stop.pitch == pytest.approx(466.16, abs=0.01)
    assert (tones.sound("change").pitch, tones.sound("change").count) == (750, 2)
    assert ToneSettings.model_validate({"ready_before": "change"}).ready_before == {"change"}


@pytest.mark.parametrize(
    ("note", "pitch_hz"),
    # ISO 16 tuning in equal temperament; the middle C and the top C of a piano, from memory.
    [("A4", 440), ("a5", 880), ("C4", 261.63), ("C8", 4186.01), ("Bb3", 233.08), ("A#3", 233.08), ("E♭5", 622.25)],
)
def test_notes(note: str, pitch_hz: float) -> None:
    """Names in scientific pitch notation, sharps and flats either way."""
    assert note_to_hz(note) == pytest.approx(pitch_hz, abs=0.005)


@pytest.mark.parametrize(
    ("tones", "place", "words"),
    [
        ({"ready_count": "three"}, ("ready_count",), "three is not a whole number"),
        ({"ready_count": "11"}, ("ready_count",), "out of range: 0 to 10"),
        ({"ready_before": "never"}, ("ready_before",), "write start, change or stop"),
        ({"ready_before": ["start", "halt"]}, ("ready_before",), "halt is not known here"),
        ({"half": "yes"}, ("half",), "yes is neither true nor false"),
        ({"loudness": "loud"}, ("loudness",), "loud is not a level"),
        ({"loudness": "0"}, ("loudness",), "out of range: -40 to -8 LUFS"),
        ({"loudness": "nan"}, ("loudness",), "nan is not a level"),
        ({"loudness": {"en": "-18"}}, ("loudness",), "expected a level"),
        ({"ceiling": "0"}, ("ceiling",), "out of range: -30 to -1 dBTP"),
        ({"ceiling": "-6 LUFS"}, ("ceiling",), "not a level"),
        ({"sample_rate": "22050"}, ("sample_rate",), "use 48000, 44100 or 96000"),
        ({"sounds": "loud"}, ("sounds",), ""),
        ({"sounds": {"stop": {"pitch": "H5"}}}, ("sounds", "stop", "pitch"), "H5 is not a pitch"),
        ({"sounds": {"stop": {"pitch": "A1"}}}, ("sounds", "stop", "pitch"), "A1 is 55 Hz"),
        ({"sounds": {"stop": {"pitch": "inf"}}}, ("sounds", "stop", "pitch"), "inf is not a pitch"),
        ({"sounds": {"stop": {"length": "0"}}}, ("sounds", "stop", "length"), "out of range: 0.02s to 5s"),
        ({"sounds": {"stop": {"length": "-1s"}}}, ("sounds", "stop", "length"), "negative"),
        ({"sounds": {"stop": {"fade": "0.001"}}}, ("sounds", "stop", "fade"), "out of range: 0.01s to 0.5s"),
        ({"sounds": {"stop": {"partials": ["1", "1.5"]}}}, ("sounds", "stop", "partials"), "1.5 is not a level"),
        ({"sounds": {"stop": {"partials": ["0", "1"]}}}, ("sounds", "stop", "partials"), "cannot be 0"),
        ({"sounds": {"stop": {"partials": []}}}, ("sounds", "stop", "partials"), "1 to 8 levels"),
        ({"sounds": {"stop": {"length": "0.025"}}}, ("sounds", "stop"), "no room for a fade of 0.015s"),
        ({"sounds": {"start": {"count": "2"}}}, ("sounds", "start"), "runs beeps of 0.35s into each other"),
        ({"sounds": {"stop": {"count": "8", "spacing": "1"}}}, ("sounds", "stop"), "lasts 7.9s: 5s is the most"),
    ],
)
def test_mistakes_are_told_in_plain_words(tones: Any, place: tuple[str, ...], words: str) -> None:
    """Each at its own place in the plan."""
    found, message = mistake(tones)
    assert found == place
    assert words in message


@pytest.mark.parametrize(("tones", "place"), [({"volume": "3"}, "volume"), ({"sounds": {"pop": {}}}, "pop")])
def test_unknown_keys_are_mistakes(tones: Any, place: str) -> None:
    """The sync mark has no sound of its own to set: it is what it is by custom."""
    assert mistake(tones)[0][-1] == place
    with pytest.raises(KeyError):
        ToneSettings().sound("pop")


def test_own_beeps_pass_the_rules_for_written_ones() -> None:
    """Defaults are not checked by pydantic: each kind's is taken through the checks here."""
    for kind in Sounds.model_fields:
        sound = ToneSettings().sound(kind)
        assert type(sound).model_validate(dict(sound)) == sound
        assert 500 <= sound.pitch <= 1500
