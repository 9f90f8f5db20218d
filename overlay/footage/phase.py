"""The line on which all beeps add up.

Nobody moves loudspeaker and camera during a stretch, so all beeps of a kind arrive alike: added up at the right
drift they grow, and everything else does not. No single beep needs to be heard for that, and the drift is sharp
to a small part of a millionth, where the peaks of drowned beeps would leave tens of them open.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from overlay.footage.bands import BAND_RATE_HZ, Envelope
from overlay.footage.evidence import Kind
from overlay.footage.fit import REACH, Expected, Floats, Line, Stretch

MOST_DRIFT = 150e-6
LEAST_COHERENCE = 0.6
"""How much of the beeps' sound must add up for their phase to be believed. Beeps of any phase reach 0.2 to 0.4 by
chance, 24 of them up to 0.75; most recordings of the corpus in
tests/footage 0.75 and more, some under loud music of the same pitches less."""
_USUAL_DRIFT = 75e-6
_ROOM = 0.1
"""Power, against the kind's own, by which a beep differs from its like: none is trusted more than that."""
_COARSE_SECONDS = 0.003
"""How far a beep moves at most between two drifts at which the sound is looked at anew."""
_FINE_TURNS = 0.08
"""Turns of a pitch between two drifts that are compared."""
_NEARLY, _MOST_NEARLY = 0.85, 8
"""Drifts that have so much of the best one's evidence are looked at closely, and how many at most."""
_ONE_DRIFT = 5e-6
_REACH = round(REACH * BAND_RATE_HZ)
_LAGS = np.arange(-_REACH, _REACH + 1)
_SHIFTS = np.arange(-8, 8.01, 0.02)
"""Values by which two stretches may be off against each other, once each is placed by itself: 16 ms."""
_SHAPE = np.arange(-60, 120)
_SHAPE_WINDOW = (-60, -40, 99, 119), (0, 1, 1, 0)
_BINS = 1024
_REACHES = 0.01
"""Power, against its largest, from which a kind's spectrum tells more than it disturbs."""
_STILL = 0.8
"""How much of the likeness of two stretches must keep its phase, if nobody moved loudspeaker or camera."""

Complex = NDArray[np.complex128]


@dataclass(frozen=True, eq=False)
class _Like:
    """Beeps of one kind in one stretch: they should be alike. `trust` is one over the power of what disturbs each."""

    kind: Kind
    stretch: int
    expected: Floats
    """Seconds on the band's clock without drift."""
    from_middle: Floats
    """Seconds since the stretch's own time."""
    trust: Floats

    def sounds(self, values: Envelope, drift: float, lags: NDArray[np.int_] = _LAGS) -> Complex:
        """Values of the band or of the filter (beeps, lags) if the clock drifts so, their phases those of the sound."""
        at = self.expected + self.from_middle * drift
        whole = np.floor(at * BAND_RATE_HZ).astype(int)
        part = (at * BAND_RATE_HZ - whole)[:, None]
        index = whole[:, None] + lags
        is_inside = (index >= 0) & (index + 1 < len(values))
        index = np.clip(index, 0, len(values) - 2)
        answers = values[index] * (1 - part) + values[index + 1] * part
        turned = np.exp(2j * np.pi * self.kind.band.pitch_hz * at)[:, None]
        return np.asarray(answers * is_inside * turned, dtype=np.complex128)

    def sums(self, drift: float, more: Floats) -> Complex:
        """The sum of all beeps (drifts, lags) at drifts a little more than this one, in roots of nats."""
        turns = np.exp(2j * np.pi * self.kind.band.pitch_hz * np.outer(more, self.from_middle))
        return np.asarray(
            turns @ (self.sounds(self.kind.matched, drift) * self.trust[:, None]) / np.sqrt(self.trust.sum())
        )


def in_phase(beeps: Sequence[Expected], kinds: Mapping[str, Kind], stretches: Sequence[Stretch]) -> Line | None:
    """The line on which the beeps of each kind and stretch add up best; None where they do not keep their phase.

    `stretches` is where the search puts each of them, within `REACH`.
    """
    likes = [like for kind in kinds.values() for like in _likes_of(kind, beeps, stretches)]
    if not likes:
        return None
    drifts, totals = _totals(likes)
    answers = [
        (total * stillness, line)
        for drift, total in _highest(drifts, totals)
        for line, stillness in [_placed(likes, drift, stretches)]
        if line is not None
    ]
    return max(answers, key=lambda answer: answer[0])[1] if answers else None


def added_up(beeps: Sequence[Expected], kinds: Mapping[str, Kind], stretches: Sequence[Stretch]) -> float:
    """How much the beeps add up to at the best drift: evidence for a place, in nats or somewhat more a count."""
    likes = [like for kind in kinds.values() for like in _likes_of(kind, beeps, stretches)]
    return float(_totals(likes)[1].max()) if likes else 0.0


def _totals(likes: Sequence[_Like]) -> tuple[Floats, Floats]:
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


def _highest(drifts: Floats, totals: Floats) -> list[tuple[float, float]]:
    """The drifts that nearly all speaks for: beeps at equal distances agree at several (drift, total)."""
    found: list[tuple[float, float]] = []
    left = np.where(totals >= _NEARLY * totals.max(), totals, -np.inf)
    while len(found) < _MOST_NEARLY and np.isfinite(left).any():
        at = int(np.argmax(left))
        found.append((float(drifts[at]), float(totals[at])))
        left[np.abs(drifts - drifts[at]) < _ONE_DRIFT] = -np.inf
    return found


def _likes_of(kind: Kind, beeps: Sequence[Expected], stretches: Sequence[Stretch]) -> list[_Like]:
    mine = [beep for beep in beeps if beep.kind == kind.name]
    if not mine or not len(kind.matched):
        return []
    expected = np.array([stretches[beep.stretch].offset + beep.time for beep in mine])
    near = np.clip(np.round(expected * BAND_RATE_HZ).astype(int)[:, None] + 2 * _LAGS, 0, len(kind.matched) - 1)
    power = np.abs(kind.matched[near]).astype(np.float64) ** 2
    # The filter lets through of all else as much as it does where no beep is.
    part = float(np.median(kind.purity)) / np.log(2)
    others = part * (power / np.maximum(kind.purity[near], 1e-9)).min(axis=1)
    usual = float(np.median(others)) + _ROOM * float(np.median(power.max(axis=1))) + 1e-30
    likes = []
    for number, stretch in enumerate(stretches):
        rows = [row for row, beep in enumerate(mine) if beep.stretch == number]
        if rows:
            since = np.array([mine[row].time - stretch.time for row in rows])
            likes.append(_Like(kind, number, expected[rows], since, 1 / (others[rows] + usual)))
    return likes


def _sum_of_stretches(powers: Sequence[tuple[_Like, Floats]]) -> Floats:
    """For each stretch and drift, what all kinds (drifts, lags) give together at their best lag."""
    totals: dict[int, Floats] = {}
    for like, power in powers:
        totals[like.stretch] = totals[like.stretch] + power if like.stretch in totals else power
    return np.array([total.max(axis=1) for total in totals.values()])


def _coherence(sums: Sequence[tuple[_Like, Complex]], drift: float) -> float:
    """How much of the power at the best lags has added up, of beeps that have others like them."""
    added = whole = 0.0
    for stretch in {like.stretch for like, _ in sums}:
        mine = [(like, total) for like, total in sums if like.stretch == stretch]
        at = int(np.argmax(np.sum([np.abs(total) ** 2 for _, total in mine], axis=0)))
        for like, total in mine:
            if len(like.trust) > 1:
                added += float(np.abs(total[at]) ** 2)
                whole += float(np.sum(like.trust * np.abs(like.sounds(like.kind.matched, drift)[:, at]) ** 2))
    return added / whole if whole else 0.0


def _placed(likes: Sequence[_Like], drift: float, stretches: Sequence[Stretch]) -> tuple[Line | None, float]:
    """Each stretch where its sharp kinds peak, then all of them against the clearest: one room, one shape of sound.

    Also how much of their likeness keeps its phase. No line where beeps do not add up.
    """
    sums = [(like, like.sums(drift, np.zeros(1))[0]) for like in likes]
    if _coherence(sums, drift) < LEAST_COHERENCE:
        return None, 0.0
    powers = np.zeros((len(stretches), len(_LAGS)))
    for like, total in sums:
        powers[like.stretch] += like.kind.sharpness * np.abs(total) ** 2
    lags = _LAGS[powers.argmax(axis=1)].astype(np.float64)
    clearest = int(np.argmax(powers.max(axis=1)))
    spectra = [
        {like.kind.name: _spectrum(like, drift, int(lags[number])) for like in likes if like.stretch == number}
        for number in range(len(stretches))
    ]
    still = [1.0]
    pitches = {like.kind.name: like.kind.band.pitch_hz for like in likes}
    for number, mine in enumerate(spectra):
        shared = sorted(mine.keys() & spectra[clearest].keys())
        if number != clearest and shared:
            crossed = np.array([np.conj(spectra[clearest][name]) * mine[name] for name in shared])
            turns = np.array([pitches[name] for name in shared]) / BAND_RATE_HZ
            shift, stillness = _shift(crossed, turns, lags[number] - lags[clearest])
            lags[number] += shift
            still.append(stillness)
    offsets = [
        stretch.offset + lag / BAND_RATE_HZ - stretch.time * drift for stretch, lag in zip(stretches, lags, strict=True)
    ]
    return Line(np.array(offsets), drift, keeps_phase=True), float(np.mean(still))


def _spectrum(like: _Like, drift: float, lag: int) -> Complex:
    """What beeps of a kind have in common, room and all, as far as the kind's own spectrum reaches."""
    window = np.interp(_SHAPE, *_SHAPE_WINDOW)
    own = np.abs(np.fft.fft(like.kind.template, _BINS)) ** 2
    common = np.sum(like.sounds(like.kind.band.values, drift, lag + _SHAPE) * like.trust[:, None], axis=0)
    weight = own / (own + _REACHES * own.max())
    return np.asarray(np.fft.fft(common * window, _BINS) * np.sqrt(weight) / np.sqrt(like.trust.sum()))


def _shift(crossed: Complex, turns: Floats, apart: float) -> tuple[float, float]:
    """Values by which a stretch lies behind another: cross spectra (kinds, bins), turns of each pitch in a value.

    Their phase tells it to hundredths of a value if nobody moved anything during the pause: how much of it does,
    is the second figure.
    """
    frequencies = np.fft.fftfreq(_BINS)
    used = np.abs(crossed).sum(axis=0) > 1e-6 * np.abs(crossed).sum()
    likeness = crossed[:, used] @ np.exp(2j * np.pi * np.outer(frequencies[used], _SHIFTS))
    whole = np.abs(likeness).sum(axis=0)
    turned = np.real(likeness * np.exp(2j * np.pi * np.outer(turns, apart + _SHIFTS))).sum(axis=0)
    stillness = float(turned.max() / whole.max())
    return float(_SHIFTS[int(np.argmax(turned if stillness > _STILL else whole))]), stillness
