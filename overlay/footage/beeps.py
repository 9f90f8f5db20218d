"""Every beep of an answer by itself: heard and when, surely silent, or drowned; and beeps that nobody planned."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from overlay.footage.bands import BAND_RATE_HZ, LEAD
from overlay.footage.evidence import CELL, CELL_RATE_HZ, MOST_SURPRISE, Kind
from overlay.footage.fit import REACH, Expected, Line, Peak, answer_at, peak_near

HEARD_NATS = 1.5
"""Evidence from which a single beep counts as heard: chance gives it in one place of forty."""
HEARD_REACH = 0.03
"""Seconds around its place in which a beep of footage is looked for: what was played at one go is not further off."""
CLEAR = 3.0
"""Purity from which a beep cannot be overheard."""
_LOUDNESS = 4.0
"""Factor of power: beeps of a kind from one loudspeaker are as loud as each other within it."""
_ALIKE = 2.0
"""The same for clear beeps, which little else sounds into."""
_AROUND = 0.4
"""Seconds around a planned beep in which whatever sounds belongs to it: its room, its overtones."""
_MANY = 3
"""Silent beeps of a kind that are more than an accident."""
_ADDED = 3.0
"""How many times as much as by chance beeps must add up to be there: chance gives it in one of twenty kinds."""
_UNEVEN = 30.0
"""Factor of power by which a loudspeaker may play one pitch softer than another."""
_APART = 0.5
"""Seconds around a planned group in which it is looked for."""
_GROUP_GAP, _GROUP_APART = 1.6, 3.0
"""Seconds: beeps of a group are closer than the first, groups of one form further apart than the second."""
_GROUP_SHARE = 0.7
"""Evidence of a group, against the most that its beeps could give, from which it stands for itself."""


@dataclass(frozen=True)
class HeardBeep:
    """A planned beep in a recording.

    `heard` is the second at which its direct sound begins and `error_ms` how much later that is than the answer
    says; both are None where it was not heard. `is_silent`: it would have been heard, had it sounded.
    `has_sound`: the recording has sound there at all.
    """

    expected: Expected
    heard: float | None
    error_ms: float | None
    is_silent: bool
    has_sound: bool

    @property
    def is_heard(self) -> bool:
        return self.heard is not None

    def later(self, seconds: float) -> HeardBeep:
        """The same beep on a clock that began earlier."""
        return self if self.heard is None else replace(self, heard=self.heard + seconds)


@dataclass(frozen=True)
class Tally:
    """Counts of beeps: expected where there is sound, heard, surely silent.

    `groups` and `strange` count groups of beeps such as countdowns, in their places and where none is planned.
    """

    expected: int = 0
    heard: int = 0
    silent: int = 0
    unheard_kinds: tuple[str, ...] = ()
    """Kinds of which most are surely silent."""
    groups: int = 0
    strange: int = 0

    @property
    def silent_share(self) -> float:
        return self.silent / max(self.heard + self.silent, 1)

    @property
    def strange_share(self) -> float:
        return self.strange / max(self.groups + self.strange, 1)


def tally_of(beeps: Sequence[HeardBeep], groups: int = 0, strange: int = 0) -> Tally:
    """Count beeps; `groups` and `strange` are passed on."""
    there = [beep for beep in beeps if beep.has_sound]
    unheard = []
    for kind in sorted({beep.expected.kind for beep in there}):
        heard = sum(beep.is_heard for beep in there if beep.expected.kind == kind)
        silent = sum(beep.is_silent for beep in there if beep.expected.kind == kind)
        if silent >= _MANY and silent > 2 * heard:
            unheard.append(kind)
    counts = len(there), sum(beep.is_heard for beep in there), sum(beep.is_silent for beep in there)
    return Tally(*counts, tuple(unheard), groups, strange)


def heard_beeps(
    line: Line,
    beeps: Sequence[Expected],
    kinds: Mapping[str, Kind],
    reach: float = HEARD_REACH,
    *,
    in_room: bool = True,
) -> list[HeardBeep]:
    """Each expected beep within `reach` seconds of where the line through the direct sound puts it, in their order.

    In a room all beeps of a kind are late alike, which is no error of any of them; in a finished edit
    (`in_room=False`) it is.
    """
    late = {name: _lateness(line, beeps, kind) if in_room else 0.0 for name, kind in kinds.items()}
    peaks = {
        name: [peak_near(kind, beep, line.at(beep) + late[name], reach) for beep in beeps if beep.kind == name]
        for name, kind in kinds.items()
    }
    loudness = _loudness(peaks, kinds)
    if line.keeps_phase:
        for name, kind in kinds.items():
            loudness[name] = min(loudness[name], _added_up(line, beeps, kind, late[name]) or loudness[name])
    found: list[HeardBeep] = []
    for name, kind in kinds.items():
        strays = [peak.time - line.at(peak.beep) for peak in peaks[name] if peak.weight >= HEARD_NATS]
        usual = float(np.median(strays)) if strays and in_room else 0.0
        for peak in peaks[name]:
            at = line.at(peak.beep)
            error = peak.time - at - usual
            has_sound = kind.has_sound_at(at)
            is_loud = _power(kind, peak.time) * 4 * _LOUDNESS >= loudness[name]
            if has_sound and is_loud and peak.weight >= HEARD_NATS:
                found.append(HeardBeep(peak.beep, at + error, 1000 * error, False, True))
            else:
                silent = has_sound and _is_silent(kind, at + usual, loudness[name])
                found.append(HeardBeep(peak.beep, None, None, silent, has_sound))
    return sorted(found, key=lambda beep: beep.expected.planned.frame)


def _lateness(line: Line, beeps: Sequence[Expected], kind: Kind) -> float:
    """Seconds by which a kind is usually loudest behind its direct sound: a hard room may need most of a pip for it."""
    near = [peak_near(kind, beep, line.at(beep) + REACH / 2, REACH / 2) for beep in beeps if beep.kind == kind.name]
    late = [peak.time - line.at(peak.beep) for peak in near if peak.weight >= HEARD_NATS]
    return float(np.median(late)) if len(late) > len(near) / 2 else 0.0


def countdowns(line: Line, beeps: Sequence[HeardBeep], kinds: Mapping[str, Kind]) -> tuple[int, int]:
    """How many of the class's groups of beeps are heard in their places, and how many where none is planned.

    A group is what stands close together, such as three pips and a start: single sounds like a beep
    are in every song, a whole group is somebody's class.
    """
    groups = _groups([beep.expected for beep in beeps])
    if not groups:
        return 0, 0
    length = min(len(kind.weight) for kind in kinds.values())
    heard = strange = 0
    for form in sorted({_form(group) for group in groups}):
        total = np.zeros(length, dtype=np.float32)
        for kind, cells in form:
            total[: length - cells] += kinds[kind].weight[cells:]
            total[length - cells :] -= MOST_SURPRISE
        most = float(sum(kinds[kind].weight.max() for kind, _ in form))
        clear = total > _GROUP_SHARE * most
        for group in groups:
            at = line.at(group[0])
            first, end = (round((at + part) * CELL_RATE_HZ) for part in (-_APART, _APART))
            if _form(group) == form and clear[max(first, 0) : max(end, 0)].any():
                heard += 1
            reach = round((group[-1].time - group[0].time + 1) * CELL_RATE_HZ)
            clear[max(first - reach, 0) : max(end + reach, 0)] = False
        places = np.flatnonzero(clear) / CELL_RATE_HZ
        strange += int(np.sum(np.diff(places, prepend=-np.inf) > _GROUP_APART))
    return heard, strange


def extra_beeps(line: Line, beeps: Sequence[HeardBeep], kinds: Mapping[str, Kind]) -> list[tuple[str, float]]:
    """Clear beeps, as loud and pure as the class's own, where none of it is: (kind, second on the band's clock).

    For finished edits: in a recording with loud music a note may well be as clear as a beep.
    """
    extra: list[tuple[str, float]] = []
    for name, kind in kinds.items():
        own = [beep.heard for beep in beeps if beep.heard is not None and beep.expected.kind == name]
        if not own:
            continue
        power = np.abs(kind.matched) ** 2
        loudness = float(np.median([_power(kind, time) for time in own]))
        pure = max(CLEAR, 0.5 * float(np.median([kind.purity_at(time) for time in own])))
        clear = (kind.purity > pure) & (power > loudness / _ALIKE) & (power < loudness * _ALIKE)
        for beep in beeps:
            length = (len(kinds[beep.expected.kind].template) - 2 * LEAD) / BAND_RATE_HZ
            at = beep.heard if beep.heard is not None else line.at(beep.expected)
            first, end = round((at - _AROUND - length) * BAND_RATE_HZ), round((at + length + _AROUND) * BAND_RATE_HZ)
            clear[max(first, 0) : max(end, 0)] = False
        runs = np.split(np.flatnonzero(clear), np.flatnonzero(np.diff(np.flatnonzero(clear)) > BAND_RATE_HZ // 10) + 1)
        extra += [(name, float(run[np.argmax(power[run])]) / BAND_RATE_HZ) for run in runs if len(run)]
    return sorted(extra, key=lambda each: each[1])


def _groups(beeps: Sequence[Expected]) -> list[list[Expected]]:
    """Three beeps or more that follow each other closely, in one stretch."""
    groups: list[list[Expected]] = []
    for beep in sorted(beeps, key=lambda beep: beep.time):
        if groups and beep.time - groups[-1][-1].time <= _GROUP_GAP and beep.stretch == groups[-1][-1].stretch:
            groups[-1].append(beep)
        else:
            groups.append([beep])
    return [group for group in groups if len(group) >= 3]


def _form(group: Sequence[Expected]) -> tuple[tuple[str, int], ...]:
    return tuple((beep.kind, round((beep.time - group[0].time) * CELL_RATE_HZ)) for beep in group)


def _loudness(peaks: Mapping[str, Sequence[Peak]], kinds: Mapping[str, Kind]) -> dict[str, float]:
    """The usual power of each kind's heard beeps; of a kind that is never heard what the others let expect."""
    loud = {
        name: float(np.median([_power(kinds[name], peak.time) for peak in own if peak.weight >= HEARD_NATS] or [0.0]))
        for name, own in peaks.items()
    }
    gains = [loud[name] / kinds[name].energy for name in loud if loud[name]]
    least = min(gains, default=0.0) / _UNEVEN
    return {name: power or least * kinds[name].energy for name, power in loud.items()}


def _added_up(line: Line, beeps: Sequence[Expected], kind: Kind, late: float) -> float:
    """The usual power of a kind's beeps by their sum, 0 where they do not add up: under music few are heard one by one,
    and those few may be its notes."""
    mine = [beep for beep in beeps if beep.kind == kind.name]
    sums: dict[int, complex] = {}
    for beep in mine:
        sums[beep.stretch] = sums.get(beep.stretch, 0j) + answer_at(kind, line.at(beep) + late)
    counts = Counter(beep.stretch for beep in mine)
    added = sum(abs(total) ** 2 / counts[stretch] for stretch, total in sums.items())
    whole = sum(abs(answer_at(kind, line.at(beep) + late)) ** 2 for beep in mine)
    return added / len(mine) if mine and added * len(mine) > _ADDED * whole * len(sums) else 0.0


def _is_silent(kind: Kind, at: float, loudness: float) -> bool:
    """Whether a beep as loud as its like would have been heard here, and was not."""
    index = round(at * BAND_RATE_HZ)
    if not 0 <= index < len(kind.purity) or not loudness:
        return False
    here = kind.matched[max(index - CELL, 0) : index + CELL]
    power = float(np.max(np.abs(here) ** 2))
    others = power / max(float(kind.purity[index]), 1e-9)
    others = min(others, float(np.abs(kind.matched[index]) ** 2) / max(float(kind.purity[index]), 1e-9))
    return power * _LOUDNESS < loudness and others * CLEAR < loudness


def _power(kind: Kind, time: float | None) -> float:
    index = round((time or 0.0) * BAND_RATE_HZ)
    return float(np.abs(kind.matched[min(max(index, 0), len(kind.matched) - 1)]) ** 2)
