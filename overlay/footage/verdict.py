"""A cut's verdict, as plain data for other programs and as lines for people."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import Any

from overlay.footage.captioned import Compared
from overlay.footage.report import place
from overlay.footage.saying import frames, off
from overlay.footage.verify import Verdict
from overlay.plan.advice import Finding, Weight
from overlay.units.clock import nearest


def verdict_data(verdict: Verdict, findings: Sequence[Finding]) -> dict[str, Any]:
    """What `overlay verify --json` prints. Seconds are those of the cut, counted from its first picture.

    `frames` counts the cut's pictures, `offset_s` is where class frame 0 falls. What is not known is None.
    """
    levels, rate = verdict.levels, verdict.frame_rate
    return {
        "path": verdict.cut.as_posix(),
        "found": verdict.is_found,
        "offset_s": _rounded(verdict.offsets[0], 5) if verdict.is_found else None,
        "beeps": [
            {
                "kind": beep.expected.kind,
                "frame": beep.expected.planned.frame,
                "heard_s": _rounded(beep.heard, 5),
                "error_ms": _rounded(beep.error_ms, 2),
                "missing": not beep.is_heard,
            }
            for beep in verdict.beeps
        ],
        "extra": [{"kind": kind, "heard_s": round(time, 5)} for kind, time in verdict.extra],
        "median_ms": _rounded(verdict.median_ms, 2),
        "worst_ms": _rounded(verdict.worst_ms, 2),
        "loudness_lufs": _rounded(levels.loudness_lufs, 2),
        "true_peak_dbtp": _rounded(levels.true_peak_dbtp, 2),
        "beeps_over_rest_lu": _rounded(levels.beeps_over_rest_lu, 2),
        "frames": verdict.facts.picture_count,
        "frame_rate": _rounded(None if rate is None else float(rate), 3),
        "captions": [
            {
                "track": each.track.name,
                "language": each.language,
                "matched": len(each.pairs),
                "missing": len(each.missing),
                "extra": len(each.extra),
                "worst_ms": _rounded(each.worst_ms, 2),
            }
            for each in verdict.captions
        ],
        "findings": [found.data() for found in findings if found.weight is Weight.FINDING],
        "remarks": [found.data() for found in findings if found.weight is Weight.REMARK],
    }


def verdict_lines(verdict: Verdict, findings: Sequence[Finding]) -> Iterator[str]:
    """The cut for people: where the class is, how beeps, sound, picture and captions stand, and what to mend."""
    if verdict.is_found:
        yield f"{verdict.cut.name}: the class's first frame falls at {place(verdict.offsets[0], verdict.timeline)}"
        yield f"  beeps: {_beeps(verdict)}"
    elif verdict.speed != 1:
        yield f"{verdict.cut.name}: the class is in it at {100 * float(verdict.speed):.5g} % of its speed"
    else:
        yield f"{verdict.cut.name}: the class was not found"
    yield f"  sound: {_sound(verdict)}"
    yield f"  picture: {_picture(verdict)}"
    for each in verdict.captions:
        yield f"  {_captions(verdict, each)}"
    if verdict.is_found and not verdict.captions:
        yield "  captions: none in the cut; give a file with --captions"
    yield from finding_lines(findings)
    count = sum(found.weight is Weight.FINDING for found in findings)
    if count:
        yield f"{count} {'thing' if count == 1 else 'things'} to mend."
    else:
        yield "Nothing has to be mended."


def finding_lines(findings: Sequence[Finding]) -> Iterator[str]:
    """What to mend, then what is worth knowing."""
    for found in sorted(findings, key=lambda found: found.weight is Weight.REMARK):
        yield f"{found.weight.value}: {found.text}"


def _beeps(verdict: Verdict) -> str:
    rate = verdict.timeline.rate.value
    heard, extra = len(verdict.heard), len(verdict.extra)
    text = f"{heard} of {len(verdict.beeps)} heard"
    if verdict.median_ms is not None and verdict.worst_ms is not None:
        text += (
            f", off by {verdict.median_ms:.1f} ms in the middle and {verdict.worst_ms:.1f} ms"
            f" ({float(verdict.worst_ms / 1000 * rate):.2f} frames) at most"
        )
    return f"{text}; {extra or 'none'} that the plan does not have"


def _sound(verdict: Verdict) -> str:
    levels = verdict.levels
    if levels.loudness_lufs is None or levels.true_peak_dbtp is None:
        return "too soft to measure"
    text = f"{levels.loudness_lufs:.1f} LUFS as a whole, true peak {levels.true_peak_dbtp:+.1f} dBTP"
    if levels.beeps_lufs is None:
        return text
    text += f"; beeps {levels.beeps_lufs:.1f} LUFS"
    over = levels.beeps_over_rest_lu
    if over is None:
        return f"{text}, nothing else sounds"
    return f"{text}, {abs(over):.1f} LU {'above' if over >= 0 else 'below'} everything else"


def _picture(verdict: Verdict) -> str:
    facts = verdict.facts
    if not facts.has_picture or verdict.frame_rate is None:
        return f"none; {float(facts.end):.3f} s of sound"
    steady = "" if facts.is_steady else ", not constant"
    text = f"{frames(facts.picture_count)} at {float(verdict.frame_rate):.5g} a second{steady}"
    if not verdict.is_found:
        return text
    rate = verdict.timeline.rate.value
    left = nearest((facts.end - Fraction(verdict.offsets[-1])) * rate) - verdict.timeline.frame_count
    ends = "ends with it" if not left else f"ends {frames(abs(left))} {'after' if left > 0 else 'before'} it"
    return f"{text}; the class has {frames(verdict.timeline.frame_count)}, the cut {ends}"


def _captions(verdict: Verdict, each: Compared) -> str:
    name = each.track.name
    if each.track.captions is None:
        return f"{name}: no text"
    if each.language is None:
        return f"{name}: {len(each.track.captions)}, none of them the plan's"
    planned = len(each.pairs) + len(each.missing)
    text = f"{name} ({each.language}): {len(each.pairs)} of {planned} there"
    worst_ms = each.worst_ms
    if each.pairs:
        near = abs(worst_ms) < 1
        text += ", on their frames" if near else f", the worst {off(worst_ms, verdict.timeline.rate.value)}"
    return text + (f", {len(each.extra)} more" if each.extra else "")


def _rounded(value: float | None, digits: int) -> float | None:
    return None if value is None else round(value, digits)
