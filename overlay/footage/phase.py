"""The line on which all beeps add up.

Nobody moves loudspeaker and camera during a stretch, so all beeps of a kind arrive alike: added up at the right
drift they grow, and everything else does not. No single beep needs to be heard for that, and the drift is sharp
to a small part of a millionth, where the peaks of drowned beeps would leave tens of them open.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from overlay.footage.alike import LAGS, Complex, Like, likes_of, spectrum_of
from overlay.footage.bands import BAND_RATE_HZ
from overlay.footage.evidence import Kind
from overlay.footage.fit import Expected, Floats, Line, Stretch
from overlay.footage.laid import likely, settled

MOST_DRIFT = 150e-6
LEAST_COHERENCE = 0.6
"""How much of the beeps' sound must add up for their phase to be believed. Beeps of any phase reach 0.2 to 0.4 by
chance, 24 of them up to 0.75; most recordings of the corpus in
tests/footage 0.75 and more, some under loud music of the same pitches less."""
_USUAL_DRIFT = 75e-6
_COARSE_SECONDS = 0.003
"""How far a beep moves at most between two drifts at which the sound is looked at anew."""
_FINE_TURNS = 0.08
"""Turns of a pitch between two drifts that are compared."""
_NEARLY, _MOST_NEARLY = 0.85, 8
"""Drifts that have so much of the best one's evidence are looked at closely, and how many at most."""
_ONE_DRIFT = 5e-6


def in_phase(beeps: Sequence[Expected], kinds: Mapping[str, Kind], stretches: Sequence[Stretch]) -> tuple[Line, ...]:
    """The line on which the beeps of each kind and stretch add up best, and those on which they nearly do so.

    None where they do not keep their phase. `stretches` is where the search puts each of them, within `REACH`.
    """
    likes = [like for kind in kinds.values() for like in likes_of(kind, beeps, stretches)]
    if not likes:
        return ()
    spectra = {name: spectrum_of(kind) for name, kind in kinds.items() if len(kind.matched)}
    places = [
        settled(likes, spectra, drift, lags)
        for drift in _highest(*_totals(likes))
        for lags in [_peaks(likes, drift, len(stretches))]
        if lags is not None
    ]
    if not places:
        return ()
    middles, times = (np.array(each) for each in zip(*stretches, strict=True))
    return tuple(
        Line(middles + place.lags / BAND_RATE_HZ - times * place.drift, place.drift, keeps_phase=True, score=score)
        for score, place in likely(likes, spectra, places)
    )


def added_up(beeps: Sequence[Expected], kinds: Mapping[str, Kind], stretches: Sequence[Stretch]) -> float:
    """How much the beeps add up to at the best drift: evidence for a place, in nats or somewhat more a count."""
    likes = [like for kind in kinds.values() for like in likes_of(kind, beeps, stretches)]
    return float(_totals(likes)[1].max()) if likes else 0.0


def _totals(likes: Sequence[Like]) -> tuple[Floats, Floats]:
    """All drifts that clocks have, and what the beeps add up to at each."""
    span = max(float(np.abs(like.from_middle).max()) for like in likes)
    coarse_step = _COARSE_SECONDS / max(span, 60.0)
    turn = 1 / (max(like.kind.band.pitch_hz for like in likes) * max(span, 60.0))
    count = int(np.ceil(coarse_step / (_FINE_TURNS * turn)))
    fine = (np.arange(count) - (count - 1) / 2) * coarse_step / count
    drifts, totals = [], []
    for coarse in np.arange(-MOST_DRIFT, MOST_DRIFT, coarse_step):
        powers = [(like, np.abs(like.sums(coarse, fine)) ** 2) for like in likes]
        drifts.append(coarse + fine)
        totals.append(_sum_of_stretches(powers).sum(axis=0) - (drifts[-1] / _USUAL_DRIFT) ** 2 / 2)
    return np.concatenate(drifts), np.concatenate(totals)


def _highest(drifts: Floats, totals: Floats) -> list[float]:
    """The drifts that nearly all speaks for: beeps at equal distances agree at several."""
    found: list[float] = []
    left = np.where(totals >= _NEARLY * totals.max(), totals, -np.inf)
    while len(found) < _MOST_NEARLY and np.isfinite(left).any():
        at = int(np.argmax(left))
        found.append(float(drifts[at]))
        left[np.abs(drifts - drifts[at]) < _ONE_DRIFT] = -np.inf
    return found


def _sum_of_stretches(powers: Sequence[tuple[Like, Floats]]) -> Floats:
    """For each stretch and drift, what all kinds (drifts, lags) give together at their best lag."""
    totals: dict[int, Floats] = {}
    for like, power in powers:
        totals[like.stretch] = totals[like.stretch] + power if like.stretch in totals else power
    return np.array([total.max(axis=1) for total in totals.values()])


def _coherence(sums: Sequence[tuple[Like, Complex]], drift: float) -> float:
    """How much of the power at the best lags has added up, of beeps that have others like them."""
    added = whole = 0.0
    for stretch in {like.stretch for like, _ in sums}:
        mine = [(like, total) for like, total in sums if like.stretch == stretch]
        at = int(np.argmax(np.sum([np.abs(total) ** 2 for _, total in mine], axis=0)))
        for like, total in mine:
            if len(like.trust) > 1:
                added += float(np.abs(total[at]) ** 2)
                whole += float(np.sum(like.trust * np.abs(like.sounds(drift)[:, at]) ** 2))
    return added / whole if whole else 0.0


def _peaks(likes: Sequence[Like], drift: float, count: int) -> Floats | None:
    """Where the sharp kinds of each stretch peak (values, by stretch); None where beeps do not add up."""
    sums = [(like, like.sums(drift, np.zeros(1))[0]) for like in likes]
    if _coherence(sums, drift) < LEAST_COHERENCE:
        return None
    powers = np.zeros((count, len(LAGS)))
    for like, total in sums:
        powers[like.stretch] += like.kind.sharpness * np.abs(total) ** 2
    return np.asarray(LAGS[powers.argmax(axis=1)], dtype=np.float64)
