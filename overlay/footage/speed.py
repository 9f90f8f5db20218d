"""A cut that runs at another speed than the class: what is left where one frame rate is taken for another.

An editor that takes pictures of 25 a second for 24 plays them 4 % slower, and the sound with them: lower by as much,
or kept at its pitch. A thousandth (30 for 29.97) is not heard by anybody, and puts a beep a frame off in half a minute.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from fractions import Fraction

import numpy as np

from overlay.footage.bands import BAND_RATE_HZ, Band, bands_of, template_of
from overlay.footage.beeps import HeardBeep
from overlay.footage.evidence import kind_of, presence
from overlay.footage.listen import Listening, locate
from overlay.footage.search import PieceOfClass
from overlay.footage.sound import Footage
from overlay.plan.outputs import ToneSettings
from overlay.timeline.model import Timeline
from overlay.tones.beep import POP_HZ
from overlay.tones.track import voices_of

BARELY = (Fraction(1000, 1001), Fraction(1001, 1000))
"""Speeds, against the plan's, at which a pitch stays what it is: 30 frames a second taken for 29.97, and back."""
CLEARLY = (Fraction(24, 25), Fraction(25, 24), Fraction(960, 1001), Fraction(1001, 960))
"""Speeds at which pitches change: 25 frames a second taken for 24 or 23.976, and back."""
_LEAST_TREND = 2e-4
"""Seconds a second that no clock is off by."""
_MOST_LEFT = 0.005
"""Seconds by which beeps usually stray from an even trend at most."""
_LEAST_BEEPS, _MOST_BEEPS = 6, 1000
"""From so many a trend is told; of more, so many all over the class tell the same, and every two are compared."""
_MEASURED = 1e-4
"""By how much a speed may be off by measuring alone."""


def speed_by_trend(beeps: Sequence[HeardBeep]) -> Fraction:
    """The speed of a cut in which all beeps are near their places: 1 where their errors do not grow evenly."""
    heard = [(beep.expected.time, beep.error_ms / 1000) for beep in beeps if beep.error_ms is not None]
    if len(heard) < _LEAST_BEEPS:
        return Fraction(1)
    some = heard[:: -(-len(heard) // _MOST_BEEPS)]
    times, errors = (np.array(each) for each in zip(*some, strict=True))
    # The middle of all slopes between two beeps: a long beep whose pitch is off is heard anywhere (Theil and Sen).
    later, here = np.triu_indices(len(times), 1)
    apart = times[later] != times[here]
    slopes = (errors[later] - errors[here])[apart] / (times[later] - times[here])[apart]
    slope = float(np.median(slopes)) if len(slopes) else 0.0
    left = errors - slope * times
    if abs(slope) < _LEAST_TREND or float(np.median(np.abs(left - np.median(left)))) > _MOST_LEFT:
        return Fraction(1)
    return _usual(1 / (1 + slope))


def speed_of(timeline: Timeline, settings: ToneSettings, listening: Listening, heard: int) -> Fraction:
    """The speed at which the class is found in a cut where it is not found at its own: 1 where it is at none.

    `heard` counts the beeps that are heard at the plan's speed: another one must let many more be heard.
    Raises MachineError as `Footage` does.
    """
    count = sum(len(piece.beeps) for piece in listening.pieces)

    def fitting(candidates: Iterable[tuple[Fraction, Listening]]) -> Fraction | None:
        best, at = heard + count // 10, None
        for speed, there in candidates:
            answer = locate(replace(there, pieces=_stretched(there.pieces, speed)))
            if answer.is_found and answer.tally.heard > best:
                best, at = answer.tally.heard, speed
        return at

    kept = fitting((speed, listening) for speed in (*BARELY, *CLEARLY))
    return kept or fitting(_at_other_pitches(timeline, settings, listening)) or Fraction(1)


def _at_other_pitches(
    timeline: Timeline, settings: ToneSettings, listening: Listening
) -> Iterable[tuple[Fraction, Listening]]:
    """The cut, read once more, listened to for beeps as they sound at each speed."""
    voices = voices_of(timeline, settings, timeline.sample_rate_hz)
    pitches = {name: POP_HZ if name == "pop" else settings.sound(name).pitch for name in voices}
    wanted = {(name, speed): round(pitch * speed) for name, pitch in pitches.items() for speed in CLEARLY}
    facts = listening.facts
    bands: dict[int, Band] = {}
    with Footage(listening.path) as footage:
        if footage.sample_rate_hz:
            bands = bands_of(footage.pieces(), footage.sample_rate_hz, wanted.values())
        rate_hz = footage.sample_rate_hz
    for speed in CLEARLY:
        kinds = {}
        for name, voice in voices.items():
            band = bands[wanted[name, speed]]
            template = template_of(voice.samples, round(timeline.sample_rate_hz * speed), band.pitch_hz)
            kinds[name] = kind_of(name, band, template, presence(band, facts.sounding, rate_hz))
        start = next(iter(kinds.values())).band.first / BAND_RATE_HZ
        yield speed, replace(listening, kinds=kinds, start=start)


def _stretched(pieces: Sequence[PieceOfClass], speed: Fraction) -> tuple[PieceOfClass, ...]:
    """The class's beeps as they lie in a cut of that speed."""
    longer = float(1 / speed)
    return tuple(
        replace(
            piece,
            beeps=tuple(beep._replace(time=beep.time * longer) for beep in piece.beeps),
            may_move_back=piece.may_move_back * longer,
        )
        for piece in pieces
    )


def _usual(speed: float) -> Fraction:
    """The usual speed that is meant, or the one that was measured, to a hundred-thousandth."""
    near = min(BARELY, key=lambda usual: abs(usual - speed))
    return near if abs(near - speed) < _MEASURED else Fraction(round(speed * 100_000), 100_000)
