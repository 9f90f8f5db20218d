"""The laid-out class as plain data, for other programs."""

from __future__ import annotations

from typing import Any

from overlay.timeline.model import Timeline

TIMELINE_FORMAT = 1


def timeline_data(timeline: Timeline) -> dict[str, Any]:
    """What `timeline.json` holds. What does not apply is None."""
    return {
        "format": TIMELINE_FORMAT,
        "title": timeline.title,
        "frame_rate": str(timeline.rate),
        "timecode": timeline.counting.value,
        "start_timecode": timeline.frame_to_label(0),
        "frames": timeline.frame_count,
        "sample_rate": timeline.sample_rate_hz,
        "samples": timeline.sample_count,
        "segments": [
            {
                "kind": segment.kind.value,
                "block": segment.block,
                "round": segment.round,
                "exercise": segment.move.exercise if segment.move else None,
                "name": segment.name,
                "side": segment.side.value if segment.side else None,
                "start_frame": segment.span.start_frame,
                "end_frame": segment.span.end_frame,
            }
            for segment in timeline.segments
        ],
        "beeps": [{"kind": beep.kind.value, "frame": beep.frame, "sample": beep.sample} for beep in timeline.beeps],
        "cues": [
            {
                "lang": cue.language,
                "kind": cue.kind.value,
                "block": cue.block,
                "round": cue.round,
                "exercise": cue.exercise,
                "start_frame": cue.span.start_frame,
                "end_frame": cue.span.end_frame,
                "text": cue.text,
            }
            for cue in timeline.cues
        ],
    }
