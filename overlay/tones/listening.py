"""A small copy of the tone track to listen to, for a phone: MP3, made through pydub.

Never for an edit: MP3 starts late by its own delay. The encoder is the one that comes with the
wheels (imageio-ffmpeg, which moviepy brings); no program of the system is asked for.
"""

from __future__ import annotations

import io
import warnings

import numpy as np

from overlay.errors import MachineError
from overlay.plan.outputs import ToneSettings
from overlay.timeline.model import Timeline
from overlay.tones.mix import mix
from overlay.tones.track import events_of, voices_of
from overlay.units.clock import frame_to_sample

LISTENING_RATE_HZ = 24000
"""Enough for every overtone of our own beeps, at half the size in memory."""

_FULL_SCALE = 1 << 15
_VARIABLE_RATE = ["-q:a", "4"]
"""Silence then costs next to nothing: an hour is about 4 MB."""
_SAME_BYTES = ["-map_metadata", "-1", "-fflags", "+bitexact", "-flags:a", "+bitexact"]
"""Without them the file names the encoder's version."""


def listening_copy(timeline: Timeline, settings: ToneSettings) -> bytes:
    """The beeps as the bytes of a mono MP3. Raises MachineError where it cannot be encoded.

    The samples are laid out here, because pydub places by whole milliseconds. Silence costs no
    memory until it is encoded: the system hands out its zeros page by page.
    """
    sample_count = frame_to_sample(timeline.frame_count, timeline.rate, LISTENING_RATE_HZ)
    samples = np.zeros(sample_count, dtype="<i2")
    voices = voices_of(timeline, settings, LISTENING_RATE_HZ)
    for start, piece in mix(events_of(timeline, LISTENING_RATE_HZ), voices, sample_count):
        samples[start : start + len(piece)] = np.rint(piece * _FULL_SCALE)
    return _encoded(samples.data.cast("B"))


def _encoded(data: memoryview) -> bytes:
    with warnings.catch_warnings():
        # It warns of a system ffmpeg that it does not find, and of parts of Python that are to go.
        warnings.simplefilter("ignore")
        from imageio_ffmpeg import get_ffmpeg_exe
        from pydub import AudioSegment
        from pydub.exceptions import CouldntEncodeError
    segment = AudioSegment(data=data, sample_width=2, frame_rate=LISTENING_RATE_HZ, channels=1)
    try:
        segment.converter = get_ffmpeg_exe()
        copy: io.BytesIO = segment.export(
            io.BytesIO(), format="mp3", codec="libmp3lame", parameters=[*_VARIABLE_RATE, *_SAME_BYTES]
        )
    except (OSError, RuntimeError, CouldntEncodeError) as error:
        raise MachineError(
            "The listening copy could not be encoded.",
            remedy="Install the package imageio-ffmpeg anew, or leave out listening_copy.",
        ) from error
    return copy.getvalue()
