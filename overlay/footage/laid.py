"""The shape that all beeps of a kind have in common, room and all, and how well it explains each of them.

The pitches of beeps stand in small ratios (3 : 4 : 6 as they are set), so whatever is told from their phase repeats
after a period of the pitch that they share: 4.5 ms. Stretches between two pauses may be off against each other by
whole periods, and where all beeps stand at equal distances the clock may be off by whole periods over the distance.
What tells these places apart are the beeps' edges, and they are faint. So the places are compared by all that is
heard: the beeps of every stretch are laid over each other, their mean is the shape that nobody knows beforehand,
and what is left of each beep without it is what the music and the speech are. Where least is left, it is.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from overlay.footage.alike import Complex, Like, Spectrum
from overlay.footage.bands import BAND_RATE_HZ
from overlay.footage.fit import Floats

_COARSE = np.arange(-8, 8.01, 0.25)
"""Values by which two stretches may be off against each other, once each is placed by itself: 16 ms."""
_SHIFTS = np.arange(-8, 8, 0.004)
"""The same, so fine that a pitch turns by a fiftieth at most: a whole period more or less hardly matters more."""
_STILL = 0.8
"""How much of the likeness of two stretches must keep its phase, if nobody moved loudspeaker or camera."""
_ROUNDS = 3
_MOST_PLACES = 5
"""Places of a stretch that are compared by what is left of its beeps."""
_BETTER = 0.5
"""Nats by which another place must be better."""
_SAME = 0.5
"""Values within which two places are one."""
_NEARLY, _MOST_LIKELY = 40.0, 8
"""Nats within which places are told of beside the best, and how many at most."""
_ROOM = 0.02
"""Power, against the usual, by which a beep may differ from its like without any noise."""
_USUAL_VALUES = 10.0
"""So many independent values of a beep's own noise weigh as much as what is usual."""
_HEARD_ODDS = 9.0
_ENOUGH = 3
"""Beeps of a kind from which one may be told to be missing."""


class Place(NamedTuple):
    """Where all stretches lie at one drift of the clock: `lags` are values, by stretch.

    `apart` are the stretches whose beeps sound otherwise, because somebody moved loudspeaker or camera before them.
    """

    drift: float
    lags: Floats
    apart: NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class _Laid:
    """The beeps of one kind, laid over each other at one drift. `trust` is one over each beep's noise against the
    usual one, `heard` how likely it is that it sounded at all."""

    spectrum: Spectrum
    rows: Complex
    stretch: NDArray[np.int_]
    from_middle: Floats
    trust: Floats
    heard: Floats
    whole: Floats

    def sums(self, count: int) -> tuple[Complex, Floats]:
        """For each stretch the sum of its beeps, and what they weigh."""
        weights = self.trust * self.heard
        member = (self.stretch == np.arange(count)[:, None]) * weights
        return member @ self.rows, member.sum(axis=1)

    def prior(self, common: Complex, weight: float) -> Floats:
        """Power of the shape against noise, by bin: the kind's own spectrum, as loud as it is heard."""
        signal = self.spectrum.own / self.spectrum.noise
        share = signal / signal.sum()
        loud = float(np.sum(np.abs(common) ** 2 * share)) / weight**2 - 1 / weight
        return np.asarray(2 * max(loud, 1e-12) * signal / float(np.sum(signal * share)))


def settled(likes: Sequence[Like], spectra: Mapping[str, Spectrum], drift: float, lags: Floats) -> Place:
    """Where each stretch lies at a drift if all beeps are laid over each other: near `lags` (values, by stretch)."""
    count = len(lags)
    laid = _laid(likes, spectra, drift, lags)
    shifts = np.zeros(count)
    apart = np.zeros(count, dtype=bool)
    weights = np.sum([each.sums(count)[1] * _loudness(each, count) for each in laid], axis=0)
    order = [int(number) for number in np.argsort(-weights, kind="stable") if weights[number] > 0]
    for round_ in range(_ROUNDS):
        for place, number in enumerate(order):
            others = order[:place] if round_ == 0 else [other for other in order if other != number]
            others = [other for other in others if not apart[other]]
            if others and not (apart[number] and round_):
                likeness = _likeness(laid, shifts, number, others)
                shifts[number], apart[number] = likeness.best, not likeness.is_still
        laid = [_weighed(each, shifts, apart) for each in laid]
    best = _score(laid)
    while True:
        tried = [
            (_score(there), number, shift, there)
            for number in order
            if not apart[number]
            for shift in _likeness(laid, shifts, number, [o for o in order if o != number and not apart[o]]).others
            for moved in [np.where(np.arange(count) == number, shift, shifts)]
            for there in [[_weighed(_weighed(each, moved, apart), moved, apart) for each in laid]]
        ]
        better = max(tried, key=lambda trial: trial[0], default=None)
        if better is None or better[0] <= best + _BETTER:
            return Place(drift, lags + shifts, apart)
        best, laid = better[0], better[3]
        shifts[better[1]] = better[2]


def likely(
    likes: Sequence[Like], spectra: Mapping[str, Spectrum], places: Sequence[Place]
) -> list[tuple[float, Place]]:
    """The place that explains the beeps best, with its log-likelihood, and those that do so nearly as well.

    All are looked at through the same windows: other windows hold other noise.
    """
    mean = _mean_place(likes, places[0])
    scored = [_scored(likes, spectra, place, mean) for place in places]
    _, best, laid = max(scored, key=lambda each: each[0])
    around = [
        best._replace(lags=np.where(np.arange(len(best.lags)) == number, best.lags + shift, best.lags))
        for number in range(len(best.lags))
        if not best.apart[number]
        for shift in _likeness(
            laid,
            np.zeros(len(best.lags)),
            number,
            [n for n in range(len(best.lags)) if n != number and not best.apart[n]],
        ).others
        if abs(shift) > _SAME
    ]
    scored += [_scored(likes, spectra, place, mean) for place in around]
    scored.sort(key=lambda each: -each[0])
    return [(score, place) for score, place, _ in scored if score > scored[0][0] - _NEARLY][:_MOST_LIKELY]


def _scored(
    likes: Sequence[Like], spectra: Mapping[str, Spectrum], place: Place, mean: float
) -> tuple[float, Place, list[_Laid]]:
    """A place and the best one near it."""
    found = []
    there = place._replace(lags=place.lags + mean - _mean_place(likes, place))
    for _ in range(_ROUNDS):
        laid = _laid(likes, spectra, there.drift, there.lags)
        for _ in range(_ROUNDS):
            laid = [_weighed(each, np.zeros(len(there.lags)), there.apart) for each in laid]
        found.append((_score(laid), there, laid))
        there = _nearer(laid, there)
    return max(found, key=lambda each: each[0])


def _nearer(laid: Sequence[_Laid], place: Place) -> Place:
    """The place that each beep's own distance from its like speaks for.

    One step of Newton's method on the likeness of each beep to the shape, then weighted least squares.
    """
    count = len(place.lags)
    square, right = np.zeros((count + 1, count + 1)), np.zeros(count + 1)
    for each in laid:
        rows, shapes = _shapes(each, np.zeros(count), place.apart)
        turning = 2 * np.pi * (each.spectrum.turns + each.spectrum.kind.band.pitch_hz / BAND_RATE_HZ)
        product = np.conj(shapes) * rows * (each.trust * each.heard)[:, None]
        bend = np.maximum(np.real(product) @ turning**2, 0)
        design = np.column_stack([each.stretch[:, None] == np.arange(count), each.from_middle * BAND_RATE_HZ])
        square += design.T @ (design * bend[:, None])
        right += design.T @ (-np.imag(product) @ turning)
    answer = np.linalg.lstsq(square, right, rcond=None)[0]
    return place._replace(drift=place.drift + float(answer[-1]), lags=place.lags + answer[:-1])


def _mean_place(likes: Sequence[Like], place: Place) -> float:
    drift = place.drift * BAND_RATE_HZ
    return float(np.concatenate([place.lags[like.stretch] + like.from_middle * drift for like in likes]).mean())


def _laid(likes: Sequence[Like], spectra: Mapping[str, Spectrum], drift: float, lags: Floats) -> list[_Laid]:
    laid = []
    for name, spectrum in spectra.items():
        mine = [like for like in likes if like.kind.name == name]
        if mine:
            rows = np.concatenate([spectrum.of(like, drift, float(lags[like.stretch])) for like in mine])
            stretch = np.concatenate([np.full(len(like.expected), like.stretch) for like in mine])
            since = np.concatenate([like.from_middle for like in mine])
            trust = np.concatenate([like.trust for like in mine])
            laid.append(
                _Laid(spectrum, rows, stretch, since, trust / np.median(trust), np.ones(len(rows)), np.ones(len(rows)))
            )
    return laid


def _loudness(laid: _Laid, count: int) -> Floats:
    sums, weights = laid.sums(count)
    return np.asarray(np.sum(np.abs(sums) ** 2, axis=1) / np.maximum(weights, 1e-9) ** 2)


@dataclass(frozen=True, eq=False)
class _Likeness:
    """Where a stretch may lie against others, in values: the best place, and the next best ones.

    Where somebody moved the camera during the pause (`is_still`) the phase says nothing; only the envelope is asked.
    """

    best: float
    is_still: bool = True
    others: tuple[float, ...] = ()


def _likeness(laid: Sequence[_Laid], shifts: Floats, number: int, others: Sequence[int]) -> _Likeness:
    turned, whole = np.zeros(len(_SHIFTS)), np.zeros(len(_SHIFTS))
    for each in laid:
        sums, weights = each.sums(len(shifts))
        if weights[number] <= 0 or not weights[others].any():
            continue
        common = np.sum(sums[others] * each.spectrum.later(shifts[others]), axis=0)
        total = float(weights[others].sum() + weights[number])
        weight = 1 / (total + 1 / each.prior(common, float(weights[others].sum())))
        ramp = np.exp(2j * np.pi * np.outer(_COARSE, each.spectrum.turns))
        coarse = ramp @ (weight * np.conj(common) * sums[number])
        like = np.interp(_SHIFTS, _COARSE, coarse.real) + 1j * np.interp(_SHIFTS, _COARSE, coarse.imag)
        turned += np.real(like * np.exp(2j * np.pi * _SHIFTS * each.spectrum.kind.band.pitch_hz / BAND_RATE_HZ))
        whole += np.abs(like)
    if not whole.any():
        return _Likeness(float(shifts[number]))
    if turned.max() <= _STILL * whole.max():
        return _Likeness(float(_SHIFTS[int(np.argmax(whole))]), is_still=False)
    tops = np.flatnonzero((turned[1:-1] > turned[:-2]) & (turned[1:-1] >= turned[2:])) + 1
    tops = tops[np.argsort(-turned[tops], kind="stable")][:_MOST_PLACES]
    return _Likeness(float(_SHIFTS[int(np.argmax(turned))]), others=tuple(float(shift) for shift in _SHIFTS[tops]))


def _shapes(laid: _Laid, shifts: Floats, apart: NDArray[np.bool_]) -> tuple[Complex, Complex]:
    """All beeps laid over each other, and for each the shape that all others like it have."""
    sums, weights = laid.sums(len(shifts))
    groups = np.where(apart, np.arange(len(shifts)), -1)
    rows = laid.rows * laid.spectrum.later(shifts[laid.stretch])
    shapes = np.empty_like(rows)
    for group in set(groups[laid.stretch].tolist()):
        here = groups[laid.stretch] == group
        common = np.sum((sums * laid.spectrum.later(shifts))[groups == group], axis=0)
        total = float(weights[groups == group].sum())
        mine = (laid.trust * laid.heard)[here][:, None]
        shapes[here] = (common - mine * rows[here]) / (total - mine + 1 / laid.prior(common, max(total, 1e-9)))
    return rows, shapes


def _weighed(laid: _Laid, shifts: Floats, apart: NDArray[np.bool_]) -> _Laid:
    """The same beeps; how much noise is in each, and whether it sounded, by the shape that all the others have."""
    rows, shapes = _shapes(laid, shifts, apart)
    left, power = (np.mean(np.abs(each) ** 2, axis=1) for each in (rows - shapes, rows))
    count = laid.spectrum.independent
    usual = float(np.median(left))
    floor = _USUAL_VALUES * usual / (count + _USUAL_VALUES) + _ROOM * float(np.median(power))
    noise, whole = (count * each / (count + _USUAL_VALUES) + floor for each in (left, power))
    odds = count * (power - left) / noise + np.log(_HEARD_ODDS)
    heard = 1 / (1 + np.exp(-np.clip(odds, -50, 50))) if len(rows) >= _ENOUGH else laid.heard
    return replace(laid, trust=1 / noise, heard=heard, whole=whole)


def _score(laid: Sequence[_Laid]) -> float:
    """Log-likelihood of beeps of this shape against none: by how much less is left than was there."""
    return sum(each.spectrum.independent * float(np.sum(each.heard * np.log(each.whole * each.trust))) for each in laid)
