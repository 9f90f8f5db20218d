"""What must be mended in a finished cut, in words: each finding says what is wrong, where, and one thing to do."""

from __future__ import annotations

import statistics
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import groupby

from overlay.footage.beeps import HeardBeep
from overlay.footage.caption_faults import caption_findings
from overlay.footage.pattern import blocks_of
from overlay.footage.report import place
from overlay.footage.saying import MANY, MEASURED_MS, back, finding, frames, off
from overlay.footage.verify import Verdict
from overlay.plan.advice import Finding, Weight
from overlay.timeline.model import BeepKind, SegmentKind, Timeline
from overlay.units.clock import format_duration, nearest
from overlay.units.timecode import frame_to_label

LOUDEST_PEAK_DBTP = -1.0
"""EBU R 128: the highest true peak of a programme."""
PEAK_TOLERANCE_DB = 0.3
"""What meters of true peak may read too much or too little (EBU Tech 3341)."""
LOUDEST_LUFS, SOFTEST_LUFS = -13.0, -26.0
"""A unit above the loudest that AES TD1008 has for streams (-14), two below the softest that is broadcast
(ATSC A/85: -24). Between the two some place or other asks for it."""
HALF_AS_LOUD_LU = 10.0
"""What makes a sound half as loud, or twice as loud, to the ear (S. S. Stevens' sone; from memory)."""
RATE_TOLERANCE = Fraction(3, 10_000)
"""Part of a frame rate. 29.97 and 30 differ by a thousandth."""


def findings_of(verdict: Verdict, *, has_takes: bool = False) -> tuple[Finding, ...]:
    """Everything to mend or worth knowing, the gravest first. `has_takes`: the class was fitted to its takes."""
    if abs(verdict.timeline.duration / verdict.speed - verdict.timeline.duration) > 1 / verdict.timeline.rate.value:
        return (_speed(verdict), *_picture(verdict), *_levels(verdict))
    if not verdict.is_found:
        text = f"The class was not found: {verdict.why}. Export the cut with the beeps' track of this plan switched on."
        return (finding("not-found", "the whole cut", text), *_picture(verdict), *_levels(verdict))
    return (
        *_pauses(verdict, has_takes),
        *_length(verdict),
        *_beeps(verdict),
        *_picture(verdict),
        *_levels(verdict),
        *(found for track in verdict.captions for found in caption_findings(verdict, track)),
    )


def _pauses(verdict: Verdict, has_takes: bool) -> Iterator[Finding]:
    for number, (before, here) in enumerate(zip(verdict.offsets, verdict.offsets[1:], strict=False), start=1):
        if here != before:
            name = _block_name(number, verdict.timeline)
            moved = here - before
            text = (
                f"From {name} on the class comes {abs(moved):.3f} s {'later' if moved > 0 else 'sooner'} than planned:"
                f" {'take that time out' if moved > 0 else 'put that time back'} before {name}."
            )
            if not has_takes:
                text += " Was it filmed so, and built with --takes? Then check it with --takes too."
            yield finding("pause", name, text, seconds=moved)


def _length(verdict: Verdict) -> Iterator[Finding]:
    rate = verdict.timeline.rate.value
    over = Fraction(verdict.offsets[-1]) + verdict.timeline.frame_count / rate - verdict.facts.end
    if over > 1 / rate:
        count = nearest(over * rate)
        text = (
            f"The cut ends {frames(count)} ({float(over):.3f} s) before the class does: export it to the class's end."
        )
        yield finding("cut-short", "end", text, frames=count, seconds=float(over))
    if verdict.offsets[0] < -1 / rate:
        count = nearest(-Fraction(verdict.offsets[0]) * rate)
        text = f"The first {frames(count)} of the class are cut off: export it from the class's first frame."
        yield finding("begins-late", "beginning", text, frames=count, seconds=-verdict.offsets[0])


def _beeps(verdict: Verdict) -> Iterator[Finding]:
    rate = verdict.timeline.rate.value
    limit_ms = float(1000 / rate) + MEASURED_MS
    late = [beep for beep in verdict.heard if abs(beep.error_ms or 0.0) > limit_ms]
    if late and (moved := _moved_together(verdict.heard, rate)) is not None:
        yield _moved_all(verdict, moved)
        late = []
    for number, own in groupby(late, key=lambda beep: beep.expected.block):
        strays = list(own)
        block = [beep for beep in verdict.heard if beep.expected.block == number]
        name = _block_name(number, verdict.timeline)
        if len(block) > MANY and (moved := _moved_together(block, rate)) is not None:
            text = f"All beeps of {name} come {off(moved, rate)}: move them {back(moved, rate)}."
            yield finding("beeps-moved", name, text, error_ms=moved, beeps=len(block))
        elif len(strays) > MANY:
            worst = max((beep.error_ms or 0.0 for beep in strays), key=abs)
            text = (
                f"{len(strays)} beeps of {name} are more than a frame off, the worst {off(worst, rate)}:"
                f" lay the plan's beeps there anew."
            )
            yield finding("beeps-moved", name, text, error_ms=worst, beeps=len(strays))
        else:
            for beep in strays:
                error_ms = beep.error_ms or 0.0
                text = (
                    f"{_named(beep, verdict.timeline)} at {_place(verdict, beep)} comes {off(error_ms, rate)}:"
                    f" move it {back(error_ms, rate)}."
                )
                yield finding("beep-moved", name, text, error_ms=error_ms)
    yield from _missing(verdict)
    for kind, time in verdict.extra:
        where = place(time, verdict.timeline)
        text = f"At {where} sounds {_article(kind)} that the plan does not have: take it out."
        yield finding("beep-extra", where, text, heard_s=time)


def _missing(verdict: Verdict) -> Iterator[Finding]:
    end = float(verdict.facts.end)
    missing = [beep for beep in verdict.beeps if not beep.is_heard and 0 <= verdict.place_of(beep) < end]
    for (number, silent), own in groupby(missing, key=lambda beep: (beep.expected.block, _is_gone(beep))):
        beeps, name = list(own), _block_name(number, verdict.timeline)
        what = "is missing" if silent else "cannot be made out under what else sounds there"
        what_many = what.replace("is ", "are ")
        mend = "put it back" if silent else "turn that down"
        if len(beeps) > MANY:
            text = f"{len(beeps)} beeps of {name} {what_many}, the first at {_place(verdict, beeps[0])}: "
            yield finding("beep-missing", name, text + mend.replace(" it ", " them ") + ".", beeps=len(beeps))
            continue
        for beep in beeps:
            text = f"{_named(beep, verdict.timeline)} at {_place(verdict, beep)} {what}: {mend}."
            yield finding("beep-missing" if silent else "beep-drowned", name, text)


def _is_gone(beep: HeardBeep) -> bool:
    """Whether there is surely no beep, not only none to be made out."""
    return beep.is_silent or not beep.has_sound


def _speed(verdict: Verdict) -> Finding:
    percent = 100 * float(1 - verdict.speed)
    planned = verdict.timeline.duration
    text = (
        f"The cut runs {abs(percent):.2g} % {'slower' if percent > 0 else 'faster'} than the class: its beeps are there"
        f", but it takes {_length_of(planned / verdict.speed)} where {_length_of(planned)} is planned. Was one frame"
        " rate taken for another? Set the speed back to 100 % and export it again."
    )
    return finding("speed", "the whole cut", text, percent_slower=percent)


def _length_of(seconds: Fraction) -> str:
    return format_duration(Fraction(round(seconds * 10), 10))


def _moved_all(verdict: Verdict, error_ms: float) -> Finding:
    rate = verdict.timeline.rate.value
    text = (
        f"Every beep comes {off(error_ms, rate)}, counted from the cut's first frame: move the beeps' track"
        f" {back(error_ms, rate)}."
    )
    if verdict.offsets[0] == 0 and error_ms > 0:
        frame = nearest(Fraction(error_ms) / 1000 * rate)
        label = frame_to_label(frame, verdict.timeline.rate, verdict.timeline.counting)
        text += f" Is the picture as late, with something before the class? Then check again with --at {label}."
    return finding("beeps-moved", "the whole cut", text, error_ms=error_ms)


def _moved_together(beeps: Sequence[HeardBeep], rate: Fraction) -> float | None:
    """By how many milliseconds beeps are off, if all are by the same."""
    errors_ms = [beep.error_ms for beep in beeps if beep.error_ms is not None]
    middle = statistics.median(errors_ms)
    together = all(abs(error - middle) < 500 / rate for error in errors_ms)
    return middle if together and abs(middle) > 1000 / rate else None


def _picture(verdict: Verdict) -> Iterator[Finding]:
    facts, rate = verdict.facts, verdict.timeline.rate.value
    if not facts.has_picture or verdict.frame_rate is None:
        return
    if not facts.is_steady:
        text = "The cut's frame rate varies: export it with a constant one."
        yield finding("frame-rate-varies", "picture", text)
    elif abs(verdict.frame_rate / rate - 1) > RATE_TOLERANCE:
        here, planned = float(verdict.frame_rate), float(rate)
        text = f"The cut runs at {here:.5g} frames a second and the class at {planned:.5g}: export it at {planned:.5g}."
        yield finding("frame-rate", "picture", text, frame_rate=here, planned_frame_rate=planned)


def _levels(verdict: Verdict) -> Iterator[Finding]:
    levels = verdict.levels
    peak, loudness, over = levels.true_peak_dbtp, levels.loudness_lufs, levels.beeps_over_rest_lu
    if loudness is not None and loudness > LOUDEST_LUFS:
        down = loudness + 14
        text = f"The whole has {loudness:.1f} LUFS, louder than any place asks for: turn it down by {down:.0f} dB."
        yield finding("too-loud", "sound", text, loudness_lufs=loudness)
    if peak is not None and peak > LOUDEST_PEAK_DBTP + PEAK_TOLERANCE_DB:
        what = "clips" if peak >= 0 else "comes close to clipping"
        text = (
            f"The sound {what}: its true peak is {peak:+.1f} dBTP. Limit it to {LOUDEST_PEAK_DBTP:g} dBTP and export"
            " it again."
        )
        yield finding("true-peak", "sound", text, true_peak_dbtp=peak)
    if loudness is not None and loudness < SOFTEST_LUFS:
        text = f"The whole has {loudness:.1f} LUFS, softer than is usual: turn it up by {-20 - loudness:.0f} dB."
        yield finding("soft", "sound", text, Weight.REMARK, loudness_lufs=loudness)
    if over is not None and over < -HALF_AS_LOUD_LU:
        text = f"The beeps are {-over:.1f} LU below everything else and go under: turn them up by {-over:.0f} dB."
        yield finding("beeps-soft", "sound", text, beeps_over_rest_lu=over)
    if over is not None and over > HALF_AS_LOUD_LU:
        text = f"The beeps are {over:.1f} LU above everything else and startle: turn the voice up by {over:.0f} dB."
        yield finding("beeps-loud", "sound", text, Weight.REMARK, beeps_over_rest_lu=over)


def _place(verdict: Verdict, beep: HeardBeep) -> str:
    return place(verdict.place_of(beep), verdict.timeline)


def _article(kind: str) -> str:
    words = {
        "pop": "a sync pop",
        "ready": "a pip of a countdown",
        "half": "a half-time beep",
        "last": "a last-seconds beep",
    }
    return words.get(kind, f"a {kind} beep")


def _named(beep: HeardBeep, timeline: Timeline) -> str:
    """A beep as people call it, with the exercise that it belongs to."""
    kind, frame = BeepKind(beep.expected.kind), beep.expected.planned.frame
    works = [segment for segment in timeline.segments if segment.kind is SegmentKind.WORK]
    ahead = next((work.name for work in works if work.span.start_frame >= frame), None)
    here = next((work.name for work in works if work.span.start_frame <= frame < work.span.end_frame), None)
    behind = next((work.name for work in reversed(works) if work.span.end_frame <= frame), None)
    words = {
        BeepKind.POP: "The sync pop",
        BeepKind.READY: f"The pip before {ahead}" if ahead else f"The pip before the end of {here}",
        BeepKind.START: f"The start of {here}",
        BeepKind.CHANGE: f"The change to {here}",
        BeepKind.STOP: f"The stop of {behind}",
        BeepKind.HALF: f"The half-time beep of {here}",
        BeepKind.LAST: f"The last-seconds beep of {here}",
        BeepKind.FINISH: "The finish",
    }
    return words[kind]


def _block_name(number: int, timeline: Timeline) -> str:
    block = blocks_of(timeline)[number]
    return next(segment.block_name or block for segment in timeline.segments if segment.block == block)
