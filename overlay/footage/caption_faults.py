"""What must be mended in the captions of a finished cut, in words."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from overlay.footage.captioned import Compared, Pair
from overlay.footage.report import place
from overlay.footage.saying import MANY, MEASURED_MS, back, finding, frames, off, short
from overlay.footage.verify import Verdict
from overlay.plan.advice import Finding, Weight
from overlay.timeline.model import Cue
from overlay.units.clock import nearest


def caption_findings(verdict: Verdict, compared: Compared) -> Iterator[Finding]:
    name, rate = compared.track.name, verdict.timeline.rate.value
    limit_ms = float(1000 / rate) + MEASURED_MS
    if compared.track.captions is None:
        text = f"{name}: no text can be read in them, so they were not checked."
        yield finding("captions-unread", name, text, Weight.REMARK)
        return
    if compared.language is None:
        weight = Weight.REMARK if compared.track.is_embedded else Weight.FINDING
        text = f"{name}: these are not the words of the plan. Take those of the folder captions/."
        yield finding("captions-other", name, text, weight)
        return
    shift_ms = compared.shift_ms if abs(compared.shift_ms) > limit_ms else 0.0
    if shift_ms:
        text = f"{name}: all come {off(shift_ms, rate)}: move them {back(shift_ms, rate)}."
        yield finding("captions-moved", name, text, error_ms=shift_ms)
    strays = [
        pair
        for pair in compared.pairs
        if max(abs(pair.start_error_ms - shift_ms), abs(pair.end_error_ms - shift_ms)) > limit_ms
    ]
    if len(strays) > MANY:
        worst = max(strays, key=lambda pair: abs(pair.worst_ms - shift_ms))
        text = (
            f"{name}: {len(strays)} are not where the plan has them, the first {_quoted(strays[0].cue)}:"
            " export them anew from the folder captions/."
        )
        yield finding("captions-moved", name, text, worst_ms=worst.worst_ms - shift_ms, captions=len(strays))
    else:
        yield from (_stray(name, pair, shift_ms, rate) for pair in strays)
    yield from _missing(verdict, compared)
    if compared.extra:
        first_extra = compared.extra[0]
        count = len(compared.extra)
        quoted = short(first_extra.text)
        what = "one has" if count == 1 else f"{count} have"
        text = (
            f"{name}: {what} words that the plan has not there, {'' if count == 1 else 'the first '}{quoted}:"
            " write into the plan what is said, or take them out."
        )
        yield finding("captions-extra", name, text, captions=count)


def _missing(verdict: Verdict, compared: Compared) -> Iterator[Finding]:
    """Captions that are not there; those that went with the end of a cut that is too short are not told twice."""
    name, rate = compared.track.name, verdict.timeline.rate.value
    places = {
        cue: verdict.zero_of(cue.block, cue.span.start_frame) + float(cue.span.start_frame / rate)
        for cue in compared.missing
    }
    missing = [cue for cue in compared.missing if places[cue] < verdict.facts.end]
    if missing:
        count, first = len(missing), f"{_quoted(missing[0])} at {place(places[missing[0]], verdict.timeline)}"
        if count == 1:
            text = f"{name}: {first} is missing: put it back."
        else:
            text = f"{name}: {count} are missing, the first {first}: put them back."
        yield finding("captions-missing", name, text, captions=count)


def _stray(name: str, pair: Pair, shift_ms: float, rate: Fraction) -> Finding:
    start_ms, end_ms = pair.start_error_ms - shift_ms, pair.end_error_ms - shift_ms
    if abs(start_ms) >= abs(end_ms):
        text = f"{name}: {_quoted(pair.cue)} comes {off(start_ms, rate)}: move it {back(start_ms, rate)}."
        return finding("caption-moved", name, text, error_ms=start_ms)
    how = "long" if end_ms > 0 else "short"
    count = frames(abs(nearest(Fraction(end_ms) / 1000 * rate)))
    text = f"{name}: {_quoted(pair.cue)} stays {count} too {how}: trim its end by them."
    return finding("caption-length", name, text, error_ms=end_ms)


def _quoted(cue: Cue) -> str:
    return short(cue.text)
