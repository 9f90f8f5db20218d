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

from overlay.footage.bands import BAND_RATE_HZ
from overlay.footage.evidence import Kind
from overlay.footage.fit import REACH, Expected, Floats, Line, Stretch

MOST_DRIFT = 150e-6
LEAST_COHERENCE = 0.6
"""How much of the beeps' sound must add up for their phase to be believed. Beeps of any phase reach 0.2 to 0.4 by
chance, and a few beeps 0.6; recordings reach 0.75 and more (the corpus in tests/footage)."""
_USUAL_DRIFT = 75e-6
_ROOM = 0.1
"""Power, against the kind's own, that a room and a coder leave of a beep that is not as its like: no beep is clearer."""
_COARSE_SECONDS = 0.003
"""How far a beep moves at most between two drifts at which the sound is looked at anew."""
_FINE_TURNS = 0.08
"""Turns of a pitch between two drifts that are compared."""
_REACH = round(REACH * BAND_RATE_HZ)
_LAGS = np.arange(-_REACH, _REACH + 1)
_ALIGN = 8
"""Values (16 ms) by which two stretches may be off against each other, once each is placed by itself."""

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

    def sounds(self, drift: float) -> Complex:
        """The filter's answers (beeps, lags) if the clock drifts so, their phases those of the sound."""
        at = self.expected + self.from_middle * drift
        whole = np.floor(at * BAND_RATE_HZ).astype(int)
        part = (at * BAND_RATE_HZ - whole)[:, None]
        index = whole[:, None] + _LAGS
        is_inside = (index >= 0) & (index + 1 < len(self.kind.matched))
        index = np.clip(index, 0, len(self.kind.matched) - 2)
        answers = self.kind.matched[index] * (1 - part) + self.kind.matched[index + 1] * part
        turned = np.exp(2j * np.pi * self.kind.band.pitch_hz * at)[:, None]
        return np.asarray(answers * is_inside * turned, dtype=np.complex128)

    def sums(self, drift: float, more: Floats) -> Complex:
        """The sum of all beeps (drifts, lags) at drifts a little more than this one, in roots of nats."""
        turns = np.exp(2j * np.pi * self.kind.band.pitch_hz * np.outer(more, self.from_middle))
        return np.asarray(turns @ (self.sounds(drift) * self.trust[:, None]) / np.sqrt(self.trust.sum()))


def in_phase(beeps: Sequence[Expected], kinds: Mapping[str, Kind], stretches: Sequence[Stretch]) -> Line | None:
    """The line on which the beeps of each kind and stretch add up best; None where they do not keep their phase.

    `stretches` is where the search puts each of them, within `REACH`.
    """
    likes = [like for kind in kinds.values() for like in _likes_of(kind, beeps, stretches)]
    if not likes:
        return None
    span = max(float(np.abs(like.from_middle).max()) for like in likes)
    coarse_step = _COARSE_SECONDS / max(span, 60.0)
    turn = 1 / (max(like.kind.band.pitch_hz for like in likes) * max(span, 60.0))
    count = int(np.ceil(coarse_step / (_FINE_TURNS * turn)))
    fine = (np.arange(count) - (count - 1) / 2) * coarse_step / count
    best, drift = -np.inf, 0.0
    for coarse in np.arange(-MOST_DRIFT, MOST_DRIFT, coarse_step):
        totals = _sum_of_stretches([(like, np.abs(like.sums(coarse, fine)) ** 2) for like in likes]).sum(axis=0)
        totals -= ((coarse + fine) / _USUAL_DRIFT) ** 2 / 2
        at = int(np.argmax(totals))
        if totals[at] > best:
            best, drift = float(totals[at]), float(coarse + fine[at])
    sums = [(like, like.sums(drift, np.zeros(1))[0]) for like in likes]
    if _coherence(sums, drift) < LEAST_COHERENCE:
        return None
    return _placed(sums, drift, stretches)


def _likes_of(kind: Kind, beeps: Sequence[Expected], stretches: Sequence[Stretch]) -> list[_Like]:
    mine = [beep for beep in beeps if beep.kind == kind.name]
    if not mine or not len(kind.matched):
        return []
    expected = np.array([stretches[beep.stretch].offset + beep.time for beep in mine])
    near = np.clip(np.round(expected * BAND_RATE_HZ).astype(int)[:, None] + 2 * _LAGS, 0, len(kind.matched) - 1)
    power = np.abs(kind.matched[near]).astype(np.float64) ** 2
    others = (power / np.maximum(kind.purity[near], 1e-9)).min(axis=1)
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
                whole += float(np.sum(like.trust * np.abs(like.sounds(drift)[:, at]) ** 2))
    return added / whole if whole else 0.0


def _placed(sums: Sequence[tuple[_Like, Complex]], drift: float, stretches: Sequence[Stretch]) -> Line:
    """Each stretch where its sharp kinds peak, then all of them against the clearest: one room, one shape of sound."""
    shapes: list[dict[str, Complex]] = [{} for _ in stretches]
    for like, total in sums:
        shapes[like.stretch][like.kind.name] = total * np.sqrt(like.kind.sharpness)
    powers = [np.sum([np.abs(total) ** 2 for total in mine.values()] or [0 * _LAGS], axis=0) for mine in shapes]
    lags = [float(_LAGS[int(np.argmax(power))]) if power.any() else 0.0 for power in powers]
    clearest = int(np.argmax([power.max() for power in powers]))
    for number, mine in enumerate(shapes):
        if number != clearest:
            moves = np.arange(-_ALIGN, _ALIGN + 0.1, 0.25)
            likeness = [_likeness(shapes[clearest], mine, lags[clearest], lags[number] + move) for move in moves]
            lags[number] += float(moves[int(np.argmax(likeness))]) if any(likeness) else 0.0
    offsets = [
        stretch.offset + lag / BAND_RATE_HZ - stretch.time * drift for stretch, lag in zip(stretches, lags, strict=True)
    ]
    return Line(np.array(offsets), drift, keeps_phase=True)


def _likeness(one: Mapping[str, Complex], other: Mapping[str, Complex], lag: float, other_lag: float) -> float:
    """How alike two stretches sound around a lag of each."""
    around = np.arange(-_REACH // 2, _REACH // 2 + 1)
    return sum(
        abs(np.vdot(_at(one[name], lag + around), _at(other[name], other_lag + around)))
        for name in one.keys() & other.keys()
    )


def _at(total: Complex, lags: Floats) -> Complex:
    return np.asarray(np.interp(lags, _LAGS, total.real, 0, 0) + 1j * np.interp(lags, _LAGS, total.imag, 0, 0))
