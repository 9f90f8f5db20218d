"""How loud samples are: ITU-R BS.1770 loudness and true peak, at any sample rate.

Samples are float64, 1.0 being full scale. A meter takes a signal in pieces of any size, in order,
and its readings do not depend on where the pieces were cut.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from overlay.units.clock import nearest
from overlay.units.level import db_to_gain, gain_to_db

Samples = NDArray[np.float64]
Biquad = tuple[tuple[float, float, float], tuple[float, float]]

MOMENTARY = Fraction(2, 5)
"""Seconds of a momentary reading, and of a gating block (EBU Tech 3341, BS.1770)."""
STEP = Fraction(1, 10)
"""Seconds from one gating block to the next: they overlap by 75 %."""
ABSOLUTE_GATE_LUFS, RELATIVE_GATE_LU = -70.0, -10.0
OVERSAMPLING = 4

_RING = Fraction(1, 5)
"""Seconds after which the K-weighting filter's ringing is below 1e-15."""
_BLOCK_SAMPLES = 1 << 16
_REACH = 16
"""Samples that the interpolation of a true peak looks at on either side."""


def k_weighting(sample_rate_hz: int) -> tuple[Biquad, Biquad]:
    """The two filters of BS.1770 as ((b0, b1, b2), (a1, a2)): the shelf, then the high-pass.

    Made from the analogue prototype that gives the standard's own table at 48 kHz.

    >>> (b0, _, _), (a1, _) = k_weighting(48000)[0]
    >>> round(b0, 12), round(a1, 12)
    (1.535124859587, -1.690659293182)
    """
    k, q = math.tan(math.pi * 1681.974450955533 / sample_rate_hz), 0.7071752369554196
    high = db_to_gain(3.999843853973347)
    band = float(high**0.4996667741545416)
    a0 = 1 + k / q + k * k
    shelf = (
        ((high + band * k / q + k * k) / a0, 2 * (k * k - high) / a0, (high - band * k / q + k * k) / a0),
        (2 * (k * k - 1) / a0, (1 - k / q + k * k) / a0),
    )
    k, q = math.tan(math.pi * 38.13547087602444 / sample_rate_hz), 0.5003270373238773
    a0 = 1 + k / q + k * k
    return shelf, ((1.0, -2.0, 1.0), (2 * (k * k - 1) / a0, (1 - k / q + k * k) / a0))


def energy_to_lufs(energy: float) -> float:
    """Loudness of a K-weighted mean square, summed over the channels; minus infinity for silence.

    >>> round(energy_to_lufs(1.0), 3)
    -0.691
    """
    return 10 * math.log10(energy) - 0.691 if energy > 0 else -math.inf


def beep_loudness(pip: Samples, sample_rate_hz: int) -> float:
    """Loudness in LUFS of one pip in both channels, over the pip itself.

    It is what a momentary meter would show if the pip went on: a meter's window of 400 ms reads a
    pip of 100 ms 6 LU too low, because silence fills the rest.
    """
    block = 1 << (len(pip) + _ring_samples(sample_rate_hz)).bit_length()
    weighted = np.fft.irfft(np.fft.rfft(pip, block) * _response(sample_rate_hz, block), block)
    return energy_to_lufs(2 * float(np.sum(weighted**2)) / len(pip))


class LoudnessMeter:
    """Momentary and integrated loudness of a signal that comes in pieces.

    Feed silence after the last sound if the momentary loudness of its very end matters.
    """

    def __init__(self, sample_rate_hz: int, channels: int = 2) -> None:
        self._ring = _ring_samples(sample_rate_hz)
        self._response = _response(sample_rate_hz, _BLOCK_SAMPLES)[:, None]
        self._tail = np.zeros((self._ring, channels))
        self._step = nearest(STEP * sample_rate_hz)
        self._window = nearest(MOMENTARY * sample_rate_hz)
        self._past = np.zeros(self._window)
        self._unstepped = np.zeros(0)
        self._step_energies: list[float] = []
        self._loudest = 0.0

    def feed(self, samples: Samples) -> None:
        """Take the next samples, shape (samples, channels)."""
        longest = _BLOCK_SAMPLES - self._ring
        for start in range(0, len(samples), longest):
            self._take(self._weighted(samples[start : start + longest]))

    @property
    def momentary_max_lufs(self) -> float:
        """The loudest 400 ms so far, wherever they begin; a signal is preceded by silence."""
        return energy_to_lufs(self._loudest / self._window)

    @property
    def integrated_lufs(self) -> float:
        """Loudness of the whole, gated by BS.1770; minus infinity where nothing passes the gates."""
        steps, block = np.array(self._step_energies), int(MOMENTARY / STEP)
        if len(steps) < block:
            return -math.inf
        energies = np.convolve(steps, np.ones(block), "valid") / (block * self._step)
        energies = energies[energies > _lufs_to_energy(ABSOLUTE_GATE_LUFS)]
        if not len(energies):
            return -math.inf
        gate_lufs = energy_to_lufs(float(np.mean(energies))) + RELATIVE_GATE_LU
        return energy_to_lufs(float(np.mean(energies[energies > _lufs_to_energy(gate_lufs)])))

    def _weighted(self, samples: Samples) -> Samples:
        """The K-weighted samples, and the ringing of what came before (overlap and add)."""
        spectrum = np.fft.rfft(samples, _BLOCK_SAMPLES, axis=0) * self._response
        ringing = np.fft.irfft(spectrum, _BLOCK_SAMPLES, axis=0)[: len(samples) + self._ring]
        ringing[: self._ring] += self._tail
        self._tail = ringing[len(samples) :]
        return ringing[: len(samples)]

    def _take(self, weighted: Samples) -> None:
        energy = np.sum(weighted**2, axis=1)
        running = np.cumsum(np.concatenate(([0.0], self._past, energy)))
        self._loudest = max(self._loudest, float(np.max(running[self._window :] - running[: -self._window])))
        self._past = np.concatenate((self._past, energy))[-self._window :]
        waiting = np.concatenate((self._unstepped, energy))
        whole = len(waiting) // self._step * self._step
        self._step_energies.extend(waiting[:whole].reshape(-1, self._step).sum(axis=1).tolist())
        self._unstepped = waiting[whole:]


class TruePeakMeter:
    """The highest level between samples, by four times oversampling, of a signal in pieces.

    Feed a few samples of silence after the last sound.
    """

    def __init__(self, channels: int = 2) -> None:
        self._kernels = list(_between_samples())
        self._past = np.zeros((2 * _REACH, channels))
        self._peak = 0.0

    def feed(self, samples: Samples) -> None:
        """Take the next samples, shape (samples, channels)."""
        if not len(samples):
            return
        signal = np.concatenate((self._past, samples))
        self._past = signal[-2 * _REACH :]
        self._peak = max(self._peak, float(np.max(np.abs(samples))))
        for kernel in self._kernels:
            for channel in signal.T:
                self._peak = max(self._peak, float(np.max(np.abs(np.convolve(channel, kernel, "valid")))))

    @property
    def true_peak_dbtp(self) -> float:
        """In dB below full scale; minus infinity for silence."""
        return gain_to_db(self._peak)


def _between_samples() -> Iterator[Samples]:
    """Kernels that give the signal a quarter, a half and three quarters after a sample."""
    offsets = np.arange(-_REACH, _REACH + 1)
    for step in range(1, OVERSAMPLING):
        distance = offsets + step / OVERSAMPLING
        inside = np.clip(1 - (distance / (_REACH + 1)) ** 2, 0, None)
        kernel = np.sinc(distance) * np.i0(8 * np.sqrt(inside)) / np.i0(8.0)
        yield kernel / np.sum(kernel)


def _lufs_to_energy(level_lufs: float) -> float:
    return float(10 ** ((level_lufs + 0.691) / 10))


def _ring_samples(sample_rate_hz: int) -> int:
    return nearest(_RING * sample_rate_hz)


def _response(sample_rate_hz: int, block: int) -> NDArray[np.complex128]:
    """What K-weighting does to each frequency of a block's spectrum."""
    delay = np.exp(-2j * np.pi * np.arange(block // 2 + 1) / block)
    response = np.ones(len(delay), dtype=np.complex128)
    for (b0, b1, b2), (a1, a2) in k_weighting(sample_rate_hz):
        response *= (b0 + delay * (b1 + delay * b2)) / (1 + delay * (a1 + delay * a2))
    return response
