"""Beeps one after another, in constant memory: one voice, and the latest has it.

A beep that still sounds when the next begins gives way to it: while the new one fades in, the old
one is turned down by what is missing from 1, and then it is over. So the new beep starts on its
sample; and as no beep is ever above its own fade-in times the ceiling, old and new together stay
below the ceiling, however many meet. The end of the class ends a beep the same way: one that has
no room fades out on the last sample.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from overlay.tones.beep import Voice
from overlay.tones.loudness import Samples

Piece = tuple[int, Samples]
"""The sample where it stands, and mono samples. Between pieces there is silence."""


@dataclass(frozen=True, order=True)
class Event:
    """A beep of a kind (`start`, `stop`, ...) that begins on a sample."""

    sample: int
    kind: str


def mix(
    events: Iterable[Event],
    voices: Mapping[str, Voice],
    sample_count: int,
    kinds: Collection[str] | None = None,
) -> Iterator[Piece]:
    """The sound of events in ascending order, as pieces that never overlap, in order.

    With `kinds`, only those sound, cut where they are cut in the whole: the stems of all kinds add
    up to the mix. An event at or after `sample_count` has no room and makes no sound.
    """
    position, sounding = 0, np.zeros(0)
    for event in events:
        room = sample_count - event.sample
        if room <= 0:
            break
        done = event.sample - position
        if len(sounding[:done]):
            yield position, sounding[:done]
        new = voices[event.kind]
        position, sounding = event.sample, _turned_down(sounding[done:], new.attack)
        if kinds is None or event.kind in kinds:
            sounding = _added(sounding, _with_end(new, room))
    if len(sounding):
        yield position, sounding


def cut_short(events: Iterable[Event], voices: Mapping[str, Voice], sample_count: int) -> list[Event]:
    """The events that do not sound to their end."""
    short, end = [], sample_count
    for event in sorted(events, reverse=True):
        if end - event.sample < len(voices[event.kind].samples):
            short.append(event)
        end = min(end, event.sample)
    return short[::-1]


def _turned_down(old: Samples, attack: Samples) -> Samples:
    return old[: len(attack)] * (1 - attack[: len(old)])


def _added(old: Samples, new: Samples) -> Samples:
    longer, shorter = (old, new) if len(old) > len(new) else (new, old)
    total = longer.copy()
    total[: len(shorter)] += shorter
    return total


def _with_end(new: Voice, room: int) -> Samples:
    if room >= len(new.samples):
        return new.samples
    samples = new.samples[:room].copy()
    release = new.attack[:room][::-1]
    samples[room - len(release) :] *= release
    return samples
