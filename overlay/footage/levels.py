"""How loud a finished cut is: the whole by ITU-R BS.1770, and its beeps against all else that is heard.

The sound is read with all its channels. Beeps are measured by their matched filter, which hears them
under speech and music; what else there is, by the same gated loudness over the time between them.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from overlay.footage.bands import BAND_RATE_HZ
from overlay.footage.beeps import HeardBeep
from overlay.footage.listen import Listening
from overlay.footage.sound import Facts, Resampler
from overlay.tones.beep import Voice
from overlay.tones.loudness import LoudnessMeter, Samples, TruePeakMeter

_AT_ONCE = 1 << 17
"""Samples that are measured at once: a coder's own frames are too short for it."""
_BESIDE = 0.05
"""Seconds on either side of a beep that are not taken for what sounds between beeps: a coder smears its edges."""
_STEREO_DB = 10 * math.log10(2)
"""What two channels of one sound have over one of them."""
_SURROUND_GAIN = math.sqrt(1.41)
"""BS.1770 gives channels beside and behind the listener 1.41 times their energy, and leaves the low effects out."""
_SURROUND, _LOW_EFFECTS = ("BL", "BR", "SL", "SR"), ("LFE", "LFE2")


@dataclass(frozen=True)
class Levels:
    """Loudness (integrated) and true peak of the whole; of the beeps, and of everything else while the class runs.

    None where there is nothing to measure.
    """

    loudness_lufs: float | None
    true_peak_dbtp: float | None
    beeps_lufs: float | None
    rest_lufs: float | None

    @property
    def beeps_over_rest_lu(self) -> float | None:
        """How much louder than everything else the beeps are; negative where they are softer."""
        if self.beeps_lufs is None or self.rest_lufs is None:
            return None
        return self.beeps_lufs - self.rest_lufs


def levels_of(
    path: Path,
    facts: Facts,
    listening: Listening,
    beeps: Sequence[HeardBeep],
    voices: Mapping[str, Voice],
    within: tuple[float, float],
    sample_rate_hz: int,
    far: Callable[[float], None] = lambda _: None,
) -> Levels:
    """Read the sound once more and measure it; `far` is told the share that was read, 0 to 1.

    `beeps` are those of the class, `voices` what they are made of at `sample_rate_hz`; `within` is from where to
    where the class runs, in seconds from the picture's zero.
    """
    spans = []
    for beep in beeps:
        if beep.heard is not None:
            length = len(voices[beep.expected.kind].samples) / sample_rate_hz
            spans.append((beep.heard - _BESIDE, beep.heard + length + _BESIDE))
    whole: LoudnessMeter | None = None
    for at, rate_hz, samples in sound_of(path, facts, far):
        if whole is None:
            channels = samples.shape[1]
            whole, rest, peak = (
                LoudnessMeter(rate_hz, channels),
                LoudnessMeter(rate_hz, channels),
                TruePeakMeter(channels),
            )
        whole.feed(samples)
        peak.feed(samples)
        rest.feed(samples[_between(at, rate_hz, len(samples), within, spans)])
    if whole is None:
        return Levels(None, None, None, None)
    peak.feed(np.zeros((64, channels)))
    return Levels(
        loudness_lufs=_known(whole.integrated_lufs),
        true_peak_dbtp=_known(peak.true_peak_dbtp),
        beeps_lufs=_beeps_lufs(listening, beeps, voices),
        rest_lufs=_known(rest.integrated_lufs),
    )


def _known(level: float) -> float | None:
    return level if math.isfinite(level) else None


def _beeps_lufs(listening: Listening, beeps: Sequence[HeardBeep], voices: Mapping[str, Voice]) -> float | None:
    """The beeps' usual loudness: as planned, and by how much the filter's answer is above what the plan gives.

    Two like channels are mixed to a mono that is 3 dB above each of them.
    """
    levels = []
    for beep in beeps:
        if beep.heard is not None:
            kind = listening.kinds[beep.expected.kind]
            index = round((beep.heard - listening.start) * BAND_RATE_HZ)
            power = float(np.abs(kind.matched[min(max(index, 0), len(kind.matched) - 1)]) ** 2)
            gain_db = 10 * math.log10(max(power / kind.energy, 1e-12)) - _STEREO_DB
            levels.append(voices[beep.expected.kind].loudness_lufs + gain_db)
    return float(np.median(levels)) if levels else None


def _between(
    at: int, rate_hz: int, count: int, within: tuple[float, float], spans: Sequence[tuple[float, float]]
) -> Any:
    """Which of so many samples from `at` on lie in the class and beside its beeps."""
    kept = np.zeros(count, dtype=bool)
    first, end = (round(second * rate_hz) - at for second in within)
    kept[max(first, 0) : max(end, 0)] = True
    for span in spans:
        first, end = (round(second * rate_hz) - at for second in span)
        if end > 0 and first < count:
            kept[max(first, 0) : end] = False
    return kept


def sound_of(
    path: Path, facts: Facts, far: Callable[[float], None] = lambda _: None
) -> Iterator[tuple[int, int, Samples]]:
    """The file's sound with all its channels, in long pieces; `far` is told the share that was read, 0 to 1.

    Each is (sample counted from the picture's zero, samples a second, samples of shape (samples, channels)), channels
    weighted as BS.1770 does.
    """
    count, rate_hz, waiting = 0, 0, 0
    run: list[Samples] = []
    for rate_hz, samples in _frames(path):
        run.append(samples)
        waiting += len(samples)
        if waiting >= _AT_ONCE:
            at = _place(count, facts)
            yield at, rate_hz, np.concatenate(run)
            far(min(1.0, at / (facts.sounding[-1][1] or 1)))
            count, waiting, run = count + waiting, 0, []
    if run:
        yield _place(count, facts), rate_hz, np.concatenate(run)


def _frames(path: Path) -> Iterator[tuple[int, Samples]]:
    """Decoded frames: samples a second, and samples weighted by their channels."""
    import av

    with av.open(str(path), metadata_errors="replace") as container:
        stream = container.streams.best("audio")
        if not isinstance(stream, av.AudioStream):
            return
        planar = Resampler(format="dblp")
        for packet in container.demux(stream):
            try:
                frames = packet.decode()
            except av.error.InvalidDataError:
                continue  # a damaged packet is a gap
            for frame in (each for got in frames for each in planar.resample(got)):
                names = [channel.name for channel in frame.layout.channels]
                samples = np.asarray(frame.to_ndarray(), dtype=np.float64).T
                yield int(frame.sample_rate), samples * _weights(names)


def _place(count: int, facts: Facts) -> int:
    """Where the sample of a number stands: stretches of sound follow each other, gaps between them."""
    for start, end in facts.sounding[:-1]:
        if count < end - start:
            return start + count
        count -= end - start
    return facts.sounding[-1][0] + count


def _weights(names: Sequence[str]) -> Samples:
    gains = [0.0 if name in _LOW_EFFECTS else _SURROUND_GAIN if name in _SURROUND else 1.0 for name in names]
    return np.array(gains)
