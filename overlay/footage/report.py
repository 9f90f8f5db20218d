"""What was heard, as plain data for other programs and as lines for people."""

from __future__ import annotations

from typing import Any

from overlay.footage.listen import Answer
from overlay.footage.pattern import blocks_of
from overlay.timeline.model import Timeline
from overlay.units.clock import nearest
from overlay.units.timecode import frame_to_label


def answers_data(answers: list[Answer]) -> dict[str, Any]:
    """What `overlay sync --json` prints. Seconds are those of the file's own clock, counted from its first picture."""
    return {"files": [answer_data(answer) for answer in answers]}


def answer_data(answer: Answer) -> dict[str, Any]:
    """One file. Where the class was not found, offset and drift are None and no beep is listed."""
    found = answer.is_found
    return {
        "path": answer.path.as_posix(),
        "found": found,
        "offset_s": _rounded(answer.offset, 5) if found else None,
        "drift_ppm": _rounded(answer.drift_ppm, 3) if found else None,
        "confidence": round(answer.confidence, 4),
        "runner_up_offset_s": _rounded(answer.runner_up_offset, 2),
        "runner_up_confidence": round(answer.runner_up_confidence, 4),
        "beeps": [
            {
                "kind": beep.expected.planned.kind,
                "frame": beep.expected.planned.frame,
                "heard_s": _rounded(beep.heard, 5),
                "error_ms": _rounded(beep.error_ms, 2),
            }
            for beep in (answer.beeps if found else ())
        ],
    }


def answer_lines(answer: Answer, timeline: Timeline) -> list[str]:
    """One file for people: where the class is, how sure, how far beeps stray, what comes next."""
    name = answer.path.name
    if not answer.is_found or answer.offset is None:
        return [f"{name}: not found: {answer.why.value}."]
    lines = [f"{name}: the class's first frame falls at {place(answer.offset, timeline)}"]
    errors = sorted(abs(beep.error_ms) for beep in answer.beeps if beep.error_ms is not None)
    if errors:
        lines.append(
            f"  {answer.tally.heard} of {answer.tally.expected} beeps heard,"
            f" off by {errors[len(errors) // 2]:.1f} ms in the middle and {errors[-1]:.1f} ms at most;"
            f" clock {answer.drift_ppm or 0.0:+.1f} ppm; confidence {answer.confidence:.2f}"
        )
    if answer.runner_up_offset is not None and errors:
        second = place(answer.runner_up_offset, timeline)
        lines.append(f"  next best answer: {second}, confidence {answer.runner_up_confidence:.2f}")
    blocks = blocks_of(timeline)
    before = answer.offset
    for each in answer.places:
        if abs(each.offset - before) > 0.1:
            lines.append(f"  from {blocks[each.block]} on {each.offset - before:+.3f} s: a pause")
        before = each.offset
    return lines


def place(seconds: float, timeline: Timeline) -> str:
    """A second of a file as its timecode from 00:00:00:00, and as seconds; before the file, seconds alone."""
    if seconds < 0:
        return f"{seconds:.3f} s, before the file begins"
    frame = nearest(timeline.rate.value * round(seconds * 100_000) / 100_000)
    return f"{frame_to_label(frame, timeline.rate, timeline.counting)} ({seconds:.3f} s)"


def _rounded(value: float | None, digits: int) -> float | None:
    return None if value is None else round(value, digits)
