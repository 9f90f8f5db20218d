"""The direct sound's own time: before any wall has answered.

A room lengthens a beep and moves its matched filter's peak by some milliseconds. But all beeps of a kind
come by the same way, so their recordings are averaged until little is left of music and speech, and on the
average the time is looked for at which the direct sound best begins. What follows it is described by what is
known of rooms: early and late sound of random phase, decaying as it does, how strong and how long being
tried out. All kinds tell about the same time, and each pitch meets the room in its own way.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from overlay.footage.bands import BAND_RATE_HZ, LEAD, Envelope
from overlay.footage.evidence import Kind
from overlay.footage.fit import Expected, Floats, Line, Peak, answer_at, peaks_of

_EVERY = 2
"""Only every second value is compared: what a beep has beyond 100 Hz from its pitch is drowned first."""
_RATE_HZ = BAND_RATE_HZ // _EVERY
_FLAT_HZ = 0.35 * _RATE_HZ
_BEFORE, _SPAN = 24, 50
"""Values that are compared: 0.2 s, from 96 ms before the line on."""
_MARGIN = 40
"""Values of a band more on either side, so that the ends of what is shifted stay out of sight."""
_STEP = 0.001
_LAGS = np.arange(-0.080, 0.0121, _STEP)
"""Seconds from the line to the direct sound: rooms delay peaks, they never hasten them much."""
_COARSE, _LIKELIEST = 2, 3
"""Of these every second is tried, then those beside the likeliest few: a beep's beginning is not sharper than that."""
_EDGE, _MOST_MOVES = 0.005, 3
"""Where the direct sound seems to be so near the first of these (seconds), it is looked for again from there: in a hard
room a beep may be loudest a tenth of a second late."""
_DIRECT_DB = (12.0, 4.0, -2.0, -7.0)
"""Direct to reverberant sound: from a microphone at the loudspeaker to one across a hard room."""
_DECAYS = (0.15, 0.4, 0.9)
"""Seconds in which a room's sound falls by 60 dB."""
_FIRST_WALL = 0.001
"""Seconds from direct sound to the first that a room can answer."""
_USUAL_LAG = 0.004
"""Seconds by which rooms delay a peak."""
_LEAST_NOISE = 0.02
"""Power of what no model says, against the average's loudest: the room may be as described, not more."""
_LEVELS = (0.1, 0.25, 0.5, 1.0, 2.0)
_SIGNS = 8
LEAST_BEEPS = 3
_TEMPER = 4.0
"""How many nats of an arrival count as one of a line's own: both are told by the same beeps."""

Covariance = NDArray[np.complex128]


def at_direct_sound(lines: Sequence[Line], beeps: Sequence[Expected], kinds: Mapping[str, Kind]) -> Line:
    """The line moved from where the beeps sound loudest to where their direct sound begins.

    Of several lines, the one on which the beeps as a whole best begin as sound in a room does.
    """
    rooms = {name: _Rooms(kind.template) for name, kind in kinds.items()}
    moved = []
    for line in lines:
        there = line
        for _ in range(_MOST_MOVES):
            at, likelihood = _arrival(there, peaks_of(there, beeps, kinds), kinds, rooms)
            there = there.moved(at)
            if at > _LAGS[0] + _EDGE:
                break
        moved.append((line.score + likelihood / _TEMPER, there))
    return max(moved, key=lambda each: each[0])[1]


def _arrival(
    line: Line, peaks: Sequence[Peak], kinds: Mapping[str, Kind], rooms: Mapping[str, _Rooms]
) -> tuple[float, float]:
    """Seconds from the line to the direct sound's beginning, and how likely it is there (nats): 0 where too little is
    heard."""
    heard = []
    for name, kind in kinds.items():
        mine = [peak for peak in peaks if peak.beep.kind == name and (peak.weight > 0 or line.keeps_phase)]
        average, noise = _average(line, mine, kind)
        if len(average):
            heard.append((average, noise, rooms[name]))
    if not heard:
        return 0.0, 0.0

    def likely(lags: NDArray[np.intp]) -> Floats:
        total = sum(_likelihood(*each, lags) for each in heard) - np.abs(_LAGS[lags]) / _USUAL_LAG
        return np.asarray(np.logaddexp.reduce(total, axis=0))

    posterior = np.full(len(_LAGS), -np.inf)
    coarse = np.arange(0, len(_LAGS), _COARSE)
    posterior[coarse] = likely(coarse)
    best = np.argsort(posterior)[-_LIKELIEST:]
    beside = np.setdiff1d(np.clip([best - 1, best + 1], 0, len(_LAGS) - 1), coarse)
    posterior[beside] = likely(beside)
    at = int(np.clip(np.argmax(posterior), 1, len(_LAGS) - 2))
    left, here, right = posterior[at - 1 : at + 2]
    bend = left - 2 * here + right
    part = 0.5 * (left - right) / bend if bend < 0 else 0.0
    return float(_LAGS[at] + np.clip(part, -0.5, 0.5) * _STEP), float(posterior.max())


def _average(line: Line, peaks: Sequence[Peak], kind: Kind) -> tuple[Envelope, NDArray[np.complex128]]:
    """The mean recording of a kind's beeps around their beginning, and the autocovariance of the noise left in it; both
    empty where there are too few."""
    nothing = np.zeros(0, dtype=np.complex64), np.zeros(0, dtype=np.complex128)
    if len(peaks) < LEAST_BEEPS:
        return nothing
    rows = []
    answers = {id(peak): answer_at(kind, line.at(peak.beep)) for peak in peaks}
    common: dict[int, complex] = {}
    for peak in peaks:
        stretch = peak.beep.stretch
        answer = answers[id(peak)]
        common[stretch] = common.get(stretch, 0j) + answer / max(abs(answer), 1e-12)
    for peak in peaks:
        at = line.at(peak.beep)
        answer = answers[id(peak)]
        others = abs(answer) ** 2 / max(kind.purity_at(at), 1e-6)
        piece = _excerpt(kind.band.values, at * BAND_RATE_HZ)
        if piece is None or not answer:
            continue
        piece = piece * np.exp(2j * np.pi * kind.band.pitch_hz * at)
        if line.keeps_phase:
            mean = common[peak.beep.stretch]
            rows.append(
                (piece * np.conj(mean) / abs(mean), others, max((answer * np.conj(mean) / abs(mean)).real, 0.0))
            )
        else:
            rows.append((piece * np.conj(answer), others, abs(answer) ** 2))
    if len(rows) < LEAST_BEEPS:
        return nothing
    pieces = np.array([piece for piece, _, _ in rows])
    usual = float(np.median([others for _, others, _ in rows]))
    trust = np.array([1 / (others + usual) for _, others, _ in rows])
    strength = float(np.sum(trust * [power for _, _, power in rows]))
    pieces = pieces * trust[:, None] / strength
    # Signs that cancel what all have in common leave the noise.
    signs = np.random.default_rng(0).permuted(np.tile(np.resize([1.0, -1.0], len(pieces)), (_SIGNS, 1)), axis=1)
    signs -= (signs @ np.ones(len(pieces)))[:, None] / len(pieces)
    return np.asarray(pieces.sum(axis=0), dtype=np.complex64), _autocovariance(signs @ pieces)


def _autocovariance(noise: NDArray[np.complex128]) -> NDArray[np.complex128]:
    """The mean autocovariance of rows of noise for the lags of the compared span."""
    count = noise.shape[1]
    power = np.mean(np.abs(np.fft.fft(noise, 2 * count, axis=1)) ** 2, axis=0)
    return np.asarray((np.fft.ifft(power) / count)[:_SPAN])


def _toeplitz(autocovariance: NDArray[np.complex128]) -> Covariance:
    lags = np.subtract.outer(np.arange(len(autocovariance)), np.arange(len(autocovariance)))
    return np.where(lags >= 0, autocovariance[np.abs(lags)], autocovariance[np.abs(lags)].conj())


class _Rooms:
    """What a kind of beep sounds like at its beginning in rooms of all kinds, by the lag of the direct sound."""

    def __init__(self, template: Envelope) -> None:
        ways = _delayed(template)
        direct = ways[: len(_LAGS)]
        self._direct: Covariance = direct[:, :, None] * direct[:, None, :].conj()
        self._behind = {decay: _behind(ways, decay) for decay in _DECAYS}

    def covariances(self, lags: NDArray[np.intp]) -> Iterator[Covariance]:
        """Covariances (lags, values, values) in each kind of room."""
        for direct_db in _DIRECT_DB:
            for decay in _DECAYS:
                power = 13.8 / decay * _STEP * 10 ** (-direct_db / 10) * _falls(decay) ** (_FIRST_WALL / _STEP)
                yield self._direct[lags] + power * self._behind[decay][lags]


def _falls(decay: float) -> float:
    """How much of a room's sound is left a step later."""
    return float(np.exp(-13.8 * _STEP / decay))


def _behind(ways: NDArray[np.complex128], decay: float) -> Covariance:
    """Covariances (lags, values, values) of what a room answers after the direct sound, by that sound's lag."""
    covariance = np.zeros((len(_LAGS), _SPAN, _SPAN), dtype=np.complex128)
    walls = round(_FIRST_WALL / _STEP)
    behind = np.zeros((_SPAN, _SPAN), dtype=np.complex128)
    for number in range(len(ways) - 1, -1, -1):
        if number + walls < len(ways):
            behind = _falls(decay) * behind + np.outer(ways[number + walls], ways[number + walls].conj())
        if number < len(_LAGS):
            covariance[number] = behind
    return covariance


def _likelihood(average: Envelope, noise: NDArray[np.complex128], rooms: _Rooms, lags: NDArray[np.intp]) -> Floats:
    """Log-likelihood of the average by (kind of room, lag), against that of noise alone.

    So it is the same in any unit, and averages of differently laid beeps may be compared.
    """
    total = np.full((len(_DIRECT_DB) * len(_DECAYS), len(lags)), -np.inf)
    floor = _LEAST_NOISE * float(np.max(np.abs(average) ** 2)) + 1e-9
    disturbed = _toeplitz(noise) + np.eye(_SPAN) * (0.05 * noise[0].real + floor)
    plain = np.linalg.cholesky(disturbed)
    alone = -np.sum(np.abs(np.linalg.solve(plain, average)) ** 2) - 2 * np.log(np.diagonal(plain).real).sum()
    # The average bordering its covariance: the last row of the factor is the average whitened.
    bordered = np.zeros((len(lags), _SPAN + 1, _SPAN + 1), dtype=np.complex128)
    bordered[:, -1, :-1] = average.conj()
    bordered[:, -1, -1] = float(np.sum(np.abs(average) ** 2)) / floor * 2
    for fits, room in zip(total, rooms.covariances(lags), strict=True):
        for level in _LEVELS:
            bordered[:, :-1, :-1] = room * level + disturbed
            factor = np.linalg.cholesky(bordered)
            volume = np.log(np.diagonal(factor, axis1=1, axis2=2)[:, :-1].real).sum(axis=1)
            np.logaddexp(fits, -np.sum(np.abs(factor[:, -1, :-1]) ** 2, axis=1) - 2 * volume, out=fits)
    return np.asarray(total - alone)


def _delayed(template: Envelope) -> NDArray[np.complex128]:
    """A beep that begins at each lag, and at all later ones within the compared span: (delays, values)."""
    plain = np.zeros(1024, dtype=np.complex128)
    start = 512 - LEAD
    used = template[: 1024 - start]
    plain[start : start + len(used)] = used
    delays = np.arange(_LAGS[0], (_SPAN - _BEFORE) / _RATE_HZ, _STEP)
    first = 512 - _BEFORE * _EVERY
    return np.array([_moved(plain, -delay * BAND_RATE_HZ)[first::_EVERY][:_SPAN] for delay in delays])


def _excerpt(values: Envelope, at: float) -> Envelope | None:
    """The compared span of values around a place between values, moved so that the place stands on one."""
    whole = int(np.floor(at))
    first = whole - _BEFORE * _EVERY - _MARGIN
    end = first + _SPAN * _EVERY + 2 * _MARGIN
    if first < 0 or end > len(values):
        return None
    moved = _moved(values[first:end], at - whole)
    return np.asarray(moved[_MARGIN:-_MARGIN:_EVERY], dtype=np.complex64)


def _moved(values: Envelope | NDArray[np.complex128], earlier: float) -> NDArray[np.complex128]:
    """Values moved to earlier places, without what is too fast to be compared."""
    turns = np.fft.fftfreq(len(values))
    slow = np.interp(np.abs(turns) * BAND_RATE_HZ, (_FLAT_HZ, _RATE_HZ / 2), (1, 0))
    return np.asarray(np.fft.ifft(np.fft.fft(values) * slow * np.exp(2j * np.pi * turns * earlier)))
