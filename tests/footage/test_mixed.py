"""A proof's sound: beeps on their samples, the camera's sound at its time."""

from __future__ import annotations

import wave
from fractions import Fraction
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from overlay.footage.clip import Clip
from overlay.footage.conform import Filmed
from overlay.footage.mixed import FOOTAGE_DB, write_sound
from overlay.footage.moments import Moments
from overlay.tones.track import tone_track
from overlay.units.span import Span


def read(path: Path) -> np.ndarray:
    with wave.open(str(path)) as file:
        assert (file.getframerate(), file.getnchannels(), file.getsampwidth()) == (48000, 1, 2)
        return np.frombuffer(file.readframes(1 << 30), dtype="<i2") / 32767


def tones_of(timeline: object, settings: object, path: Path) -> np.ndarray:
    """The tone track as a build writes it, read by PyAV."""
    import av

    path.write_bytes(b"".join(tone_track(timeline, settings)))
    with av.open(str(path)) as container:
        left = av.AudioResampler(format="fltp", layout="stereo")
        return np.concatenate([p.to_ndarray()[0] for f in container.decode(audio=0) for p in left.resample(f)])


@pytest.fixture(scope="module")
def small(corpus: SimpleNamespace) -> SimpleNamespace:
    session, timeline = corpus.laid_out(corpus.plan_of(8, 5, [2, 2], 1, 9, 5))
    return SimpleNamespace(session=session, timeline=timeline, recordings=corpus.recordings)


def test_alone_it_is_the_tone_track(small: SimpleNamespace, tmp_path: Path) -> None:
    """All of a class without footage: the samples of tones.wav."""
    write_sound(tmp_path / "a.wav", small.timeline, small.session.tones, Moments(small.timeline, full=True), ())
    sound, tones = read(tmp_path / "a.wav"), tones_of(small.timeline, small.session.tones, tmp_path / "t.wav")
    assert len(sound) == small.timeline.sample_count == len(tones)
    assert np.max(np.abs(sound - tones)) < 1e-4


def test_stretches_begin_on_their_frames(small: SimpleNamespace, tmp_path: Path) -> None:
    """Around the beeps: every stretch is cut out of the tone track to a sample."""
    timeline, moments = small.timeline, Moments(small.timeline)
    write_sound(tmp_path / "a.wav", timeline, small.session.tones, moments, ())
    sound, tones = read(tmp_path / "a.wav"), tones_of(timeline, small.session.tones, tmp_path / "t.wav")
    assert len(sound) == timeline.frame_to_sample(moments.frame_count)
    assert len(moments.spans) > 1
    for start, span in moments.starts():
        begins, first = timeline.frame_to_sample(start), timeline.frame_to_sample(span.start_frame)
        count = timeline.frame_to_sample(start + span.frame_count) - begins
        assert np.max(np.abs(sound[begins : begins + count] - tones[first : first + count])) < 1e-4


@pytest.mark.parametrize("start", [Fraction(0), Fraction("0.975")])
@pytest.mark.parametrize("full", [True, False])
def test_the_camera_is_heard_at_its_time(small: SimpleNamespace, tmp_path: Path, start: Fraction, full: bool) -> None:
    """FO3: clicks in a file whose sound begins late come at the frames that they were filmed on, 6 dB down."""
    timeline, moments = small.timeline, Moments(small.timeline, full=full)
    seconds = float(timeline.duration) + 6
    filmed_sound = np.zeros(int(seconds * 48000), dtype=np.float32)
    inside = [span.start_frame + span.frame_count // 2 for span in moments.spans] if not full else [40, 400, 900]
    first_frame = 90
    places = [(frame + first_frame) * 1001 / 30000 - float(start) for frame in inside]
    for at in places:
        begin = round(at * 48000)
        filmed_sound[begin : begin + 2400] = 0.8 * np.sin(2 * np.pi * 3000 * np.arange(2400) / 48000)
    path = small.recordings.write_mp4(tmp_path / "a.mp4", filmed_sound, sound_start=start, picture_seconds=seconds)
    clip = Clip(path, Fraction(30000, 1001), int(seconds * 29.97), Fraction(int(seconds)))
    filmed = [Filmed(clip, Span(0, timeline.frame_count), first_frame, clip.frame_count)]
    silent = small.session.tones.model_copy(update={"loudness": -60.0, "ready_count": 0})
    write_sound(tmp_path / "a.wav", timeline, silent, moments, filmed)
    sound = read(tmp_path / "a.wav")
    loud = np.flatnonzero(np.abs(sound) > 0.2)
    onsets = loud[np.concatenate(([True], np.diff(loud) > 4800))] / 48000
    shown = {moments.class_frame(frame): frame for frame in range(moments.frame_count)}
    expected = [shown[frame] * 1001 / 30000 for frame in inside]
    assert len(onsets) == len(expected)
    assert np.max(np.abs(onsets - expected)) < 0.003
    assert np.max(np.abs(sound)) == pytest.approx(0.8 * 10 ** (FOOTAGE_DB / 20), rel=0.15)
