"""Beeps that meet."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overlay.plan.outputs import ToneSettings
from overlay.tones.beep import Voice, sound_to_shape, voice
from overlay.tones.loudness import Samples, TruePeakMeter
from overlay.tones.mix import Event, Piece, cut_short, mix

KINDS = ("ready", "start", "change", "stop")
CEILING_DBTP = -6.0


def voices(rate_hz: int = 8000) -> dict[str, Voice]:
    """Every kind as loud as the ceiling lets it be."""
    chosen = ToneSettings()
    return {kind: voice(sound_to_shape(chosen.sound(kind), 0.0, rate_hz), CEILING_DBTP) for kind in KINDS}


VOICES = voices()
LONGEST = max(len(each.samples) for each in VOICES.values())


def whole(pieces: list[Piece], sample_count: int) -> Samples:
    """Pieces laid into silence."""
    track = np.zeros(sample_count)
    for start, samples in pieces:
        track[start : start + len(samples)] += samples
    return track


EVENTS = st.lists(
    st.builds(Event, st.one_of(st.integers(0, 400), st.integers(0, 20_000)), st.sampled_from(KINDS)), max_size=12
).map(sorted)


@settings(max_examples=150)
@given(events=EVENTS, sample_count=st.one_of(st.integers(1, 400), st.integers(1, 30_000)))
def test_beeps_that_meet_never_pass_the_ceiling(events: list[Event], sample_count: int) -> None:
    """However close they stand and wherever the class ends; pieces come in order and never overlap."""
    pieces = list(mix(events, VOICES, sample_count))
    ends = [start + len(samples) for start, samples in pieces]
    assert all(end <= start for end, (start, _) in zip(ends, pieces[1:], strict=False))
    assert all(end <= sample_count for end in ends)
    track = whole(pieces, sample_count)
    meter = TruePeakMeter(channels=1)
    meter.feed(np.append(track, np.zeros(64))[:, None])
    assert meter.true_peak_dbtp <= CEILING_DBTP
    assert track[0] == track[-1] == 0


@settings(max_examples=50)
@given(events=EVENTS)
def test_stems_add_up_to_the_mix(events: list[Event]) -> None:
    """Each kind alone is cut where it is cut in the whole."""
    sample_count = 20_000 + LONGEST
    together = whole(list(mix(events, VOICES, sample_count)), sample_count)
    apart = sum(whole(list(mix(events, VOICES, sample_count, {kind})), sample_count) for kind in KINDS)
    assert np.max(np.abs(together - apart)) < 1e-12


def test_a_beep_that_stands_alone_is_itself() -> None:
    """Untouched samples, on its own sample."""
    [(start, samples)] = mix([Event(123, "change")], VOICES, 20_000)
    assert start == 123
    assert np.array_equal(samples, VOICES["change"].samples)


def test_the_new_beep_takes_over() -> None:
    """The old one is whole until the new one starts, and gone once that has come in."""
    stop, ready = VOICES["stop"], VOICES["ready"]
    track = whole(list(mix([Event(0, "stop"), Event(2000, "ready")], VOICES, 20_000)), 20_000)
    came_in = 2000 + len(ready.attack)
    assert np.array_equal(track[:2000], stop.samples[:2000])
    assert np.array_equal(track[came_in : 2000 + len(ready.samples)], ready.samples[len(ready.attack) :])
    assert not np.any(track[2000 + len(ready.samples) :])
    assert cut_short([Event(0, "stop"), Event(2000, "ready")], VOICES, 20_000) == [Event(0, "stop")]


def test_the_end_of_the_class_ends_a_beep_softly() -> None:
    """A beep without room fades out on the last sample; one that starts at the end makes no sound."""
    events = [Event(0, "stop"), Event(1000, "ready")]
    [(start, samples)] = mix(events, VOICES, 1000)
    assert (start, len(samples), samples[-1]) == (0, 1000, 0)
    edge = len(VOICES["stop"].attack)
    assert np.array_equal(samples[:-edge], VOICES["stop"].samples[: 1000 - edge])
    assert np.max(np.abs(np.diff(samples[-edge:]))) <= np.max(np.abs(np.diff(samples[:-edge])))
    assert cut_short(events, VOICES, 1000) == events
    assert list(mix([Event(0, "stop")], VOICES, 0)) == []


@pytest.mark.parametrize("gap_samples", [0, 1, 7, 133])
def test_many_beeps_in_a_heap(gap_samples: int) -> None:
    """A hundred starts a few samples apart: still below the ceiling."""
    events = [Event(gap_samples * index, "start") for index in range(100)]
    track = whole(list(mix(events, VOICES, 30_000)), 30_000)
    assert 20 * np.log10(np.max(np.abs(track))) <= CEILING_DBTP
