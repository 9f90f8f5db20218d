"""The direct sound's own time: before any wall has answered.

A room lengthens a beep and moves its matched filter's peak by some milliseconds. But all beeps of a kind
come by the same way, so their recordings are averaged until little is left of music and speech, and on the
average the time is looked for at which the direct sound best begins. What follows it is described by what is
known of rooms: early and late sound of random phase, decaying as it does, how strong and how long being
tried out. All kinds tell about the same time, and each pitch meets the room in its own way.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache

import numpy as np
from numpy.typing import NDArray

from overlay.footage.bands import BAND_RATE_HZ, LEAD, Envelope
from overlay.footage.evidence import Kind
from overlay.footage.fit import Floats, Line, Peak, answer_at

_BEFORE, _AFTER = 40, 45
"""Values before and after the expected beginning that are compared: 80 and 90 ms."""
_MARGIN = 40
"""Values more on either side, so that the ends of what is shifted stay out of sight."""
_LAGS = np.arange(-0.040, 0.0121, 0.0005)
"""Seconds from a line through the peaks to the direct sound: rooms delay peaks, they never hasten them much."""
_DIRECT_DB = (12.0, 4.0, -2.0, -7.0)
"""Direct to reverberant sound: from a microphone at the loudspeaker to one across a hard room."""
_DECAYS = (0.15, 0.4, 0.9)
"""Seconds in which a room's sound falls by 60 dB."""
_FIRST_WALL = 0.001
"""Seconds from direct sound to the first that a room can answer."""
_LOOKS = 3
_USUAL_LAG, _LONG_LAG = 0.004, 0.012
"""Seconds by which rooms delay a peak, and what only the most reverberant do."""
_LEAST_NOISE = 0.02
"""Power of what no model says, against the average's loudest: the room may be as described, not more."""
_LEVELS = (0.5, 1.0, 2.0)
_SIGNS = 8
LEAST_BEEPS = 3

Covariance = NDArray[np.complex128]


def at_direct_sound(line: Line, peaks: Sequence[Peak], kinds: Mapping[str, Kind]) -> Line:
    """The line moved from the peaks to the direct sound; in the hardest rooms it lies further off than one look."""
    for _ in range(_LOOKS):
        lag = lag_of_direct_sound(line, peaks, kinds)
        line = line.moved(lag)
        if lag > _LAGS[0] + _LONG_LAG / 2:
            break
    return line


def lag_of_direct_sound(line: Line, peaks: Sequence[Peak], kinds: Mapping[str, Kind]) -> float:
    """Seconds from the line through the peaks to the direct sound's beginning; 0 where too little is heard."""
    total = np.zeros((len(_DIRECT_DB) * len(_DECAYS), len(_LAGS)))
    for name, kind in kinds.items():
        mine = [peak for peak in peaks if peak.beep.kind == name and peak.weight > 0]
        if len(mine) >= LEAST_BEEPS:
            average, noise = _average(line, mine, kind)
            total += _likelihood(average, noise, kind.template)
    if not total.any():
        return 0.0
    total -= np.abs(_LAGS) / _USUAL_LAG + (np.maximum(np.abs(_LAGS) - _LONG_LAG, 0) / _USUAL_LAG) ** 2
    posterior = np.exp(np.logaddexp.reduce(total, axis=0) - np.logaddexp.reduce(total, axis=None))
    return float(np.interp(0.5, np.cumsum(posterior), _LAGS))


def _average(line: Line, peaks: Sequence[Peak], kind: Kind) -> tuple[Envelope, NDArray[np.complex128]]:
    """The mean recording of a kind's beeps around their beginning, and the autocovariance of the noise left in it."""
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
        return np.zeros(0, dtype=np.complex64), np.zeros(0, dtype=np.complex128)
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
    return np.asarray((np.fft.ifft(power) / count)[: _BEFORE + _AFTER])


def _toeplitz(autocovariance: NDArray[np.complex128]) -> Covariance:
    lags = np.subtract.outer(np.arange(len(autocovariance)), np.arange(len(autocovariance)))
    return np.where(lags >= 0, autocovariance[np.abs(lags)], autocovariance[np.abs(lags)].conj())


def _likelihood(average: Envelope, noise: NDArray[np.complex128], template: Envelope) -> Floats:
    """Log-likelihood of the average by (direct level and decay) and lag."""
    shape = (len(_DIRECT_DB) * len(_DECAYS), len(_LAGS))
    if not len(average):
        return np.zeros(shape)
    spectrum = np.fft.fft(average)
    turns = np.fft.fftfreq(len(average))
    shifted = np.fft.ifft(spectrum * np.exp(2j * np.pi * turns * _LAGS[:, None] * BAND_RATE_HZ), axis=1)
    shifted = shifted[:, _MARGIN:-_MARGIN]
    total = np.full(shape, -np.inf)
    floor = _LEAST_NOISE * float(np.max(np.abs(average[_MARGIN:-_MARGIN]) ** 2)) + 1e-9
    for number, (direct_db, decay) in enumerate((d, r) for d in _DIRECT_DB for r in _DECAYS):
        room = _room_covariance(template.tobytes(), direct_db, decay)
        for level in _LEVELS:
            covariance = room * level + _toeplitz(noise) + np.eye(len(room)) * (0.05 * noise[0].real + floor)
            factor = np.linalg.cholesky(covariance)
            white = np.linalg.solve(factor, shifted.T)
            fits = -np.sum(np.abs(white) ** 2, axis=0) - 2 * np.sum(np.log(np.abs(np.diag(factor))))
            total[number] = np.logaddexp(total[number], fits)
    return total


@cache
def _room_covariance(template_bytes: bytes, direct_db: float, decay: float) -> Covariance:
    """Covariance of a beep's beginning in rooms of a kind, the direct sound starting at value `_BEFORE`."""
    template = np.frombuffer(template_bytes, dtype=np.complex64)
    span = _BEFORE + _AFTER
    plain = np.zeros(1024, dtype=np.complex128)
    start = 512 - LEAD
    used = template[: 1024 - start]
    plain[start : start + len(used)] = used
    spectrum = np.fft.fft(plain)
    turns = np.fft.fftfreq(1024) * BAND_RATE_HZ

    def delayed(seconds: float) -> NDArray[np.complex128]:
        moved = np.fft.ifft(spectrum * np.exp(-2j * np.pi * turns * seconds))
        return np.asarray(moved[512 - _BEFORE : 512 - _BEFORE + span])

    delays = np.arange(_FIRST_WALL, _AFTER / BAND_RATE_HZ, 0.001)
    powers = np.exp(-13.8 * delays / decay) * 13.8 / decay * 0.001 * 10 ** (-direct_db / 10)
    ways = np.array(
        [delayed(0.0)] + [np.sqrt(power) * delayed(delay) for delay, power in zip(delays, powers, strict=True)]
    )
    return np.asarray(ways.T @ ways.conj())


def _excerpt(values: Envelope, at: float) -> Envelope | None:
    """Values from before to after a place between values, moved so that the place stands on one."""
    whole = int(np.floor(at))
    first, end = whole - _BEFORE - _MARGIN, whole + _AFTER + _MARGIN
    if first < 0 or end > len(values):
        return None
    spectrum = np.fft.fft(values[first:end])
    turns = np.fft.fftfreq(end - first)
    return np.asarray(np.fft.ifft(spectrum * np.exp(2j * np.pi * turns * (at - whole))), dtype=np.complex64)
