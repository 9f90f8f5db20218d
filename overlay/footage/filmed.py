"""From a takes file to the class on its footage, and what of the class was not filmed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from pathlib import Path

from overlay.errors import MachineError
from overlay.footage.clip import read_clip
from overlay.footage.conform import Conformed, conform
from overlay.footage.pattern import blocks_of
from overlay.footage.takes import read_takes
from overlay.plan.advice import Finding, Weight
from overlay.timeline.model import Segment, SegmentKind, Timeline
from overlay.units.clock import format_duration, frame_to_time

TOLD_FROM = Fraction(1, 2)
"""Seconds from which on it is told that something beside work was not filmed; of work two frames are."""


def conform_to(timeline: Timeline, takes_file: Path) -> Conformed:
    """Put a class that is laid out as planned where a takes file says.

    Raises UsageError where there is no takes file, PlanError for what is wrong in it, MachineError for footage that is
    not there or cannot be read.
    """
    takes = read_takes(takes_file, blocks_of(timeline))
    files = dict.fromkeys(take.file for take in takes.values())
    missing = [str(file) for file in files if not file.exists()]
    if missing:
        raise MachineError(
            f"The footage is not where {takes_file} says: {', '.join(missing)}.",
            remedy=f"Bring it back there, or change file: in {takes_file.name}.",
        )
    clips = {file: read_clip(file) for file in files}
    return conform(timeline, takes, {block: clips[take.file] for block, take in takes.items()})


def footage_findings(timeline: Timeline, conformed: Conformed) -> tuple[Finding, ...]:
    """What to know of the footage below a class that stands on its clock, in the order of the class."""
    return (*_clips(timeline, conformed), *_missing(timeline, conformed))


def _clips(timeline: Timeline, conformed: Conformed) -> Iterator[Finding]:
    for clip in dict.fromkeys(conformed.clips.values()):
        place = f"footage {clip.path.name}"
        if not clip.has_picture:
            text = "it has sound and no picture: it gives the times, and the footage is a gap there"
            yield Finding("no-picture", Weight.FINDING, place, text)
        elif not clip.is_steady:
            text = "its frame rate varies: convert it to a constant one before you edit, then run overlay sync again"
            yield Finding("varying-frame-rate", Weight.REMARK, place, text)
        elif clip.frame_rate != timeline.rate.value:
            own, ours = float(clip.frame_rate), float(timeline.rate.value)
            text = (
                f"it has {own:.5g} frames a second and the class {ours:.5g}: write frame_rate: {own:.5g} under video: "
                "in the plan, or expect pictures that are shown twice or left out"
            )
            yield Finding("other-frame-rate", Weight.REMARK, place, text, (("file_fps", own), ("class_fps", ours)))


def _missing(timeline: Timeline, conformed: Conformed) -> Iterator[Finding]:
    yield from _missing_of_frame(timeline, conformed, SegmentKind.OPENING, Weight.REMARK)
    for block in blocks_of(timeline):
        segments = [segment for segment in timeline.segments if segment.block == block]
        yield from _missing_of_block(timeline, conformed, block, segments)
    yield from _missing_of_frame(timeline, conformed, SegmentKind.CLOSING, Weight.FINDING)


def _missing_of_frame(timeline: Timeline, conformed: Conformed, kind: SegmentKind, weight: Weight) -> Iterator[Finding]:
    """Of the opening or the closing. A camera that starts late is usual, one that stops early loses the end."""
    missing = _not_filmed(timeline, conformed, [segment for segment in timeline.segments if segment.kind is kind])
    if missing >= TOLD_FROM and conformed.filmed:
        text = f"{_seconds(missing)} of it were not filmed: the footage is a gap there"
        yield Finding(f"{kind.value}-not-filmed", weight, kind.value, text, (("missing_s", float(missing)),))


def _missing_of_block(
    timeline: Timeline, conformed: Conformed, block: str, segments: Sequence[Segment]
) -> Iterator[Finding]:
    place, clip = f"block {block}", conformed.clips.get(block)
    if clip is None:
        text = (
            "no take has it: it is as long as planned, and its footage is a gap. Film it and run overlay sync again, "
            "or write its file: and offset: into the takes file"
        )
        yield Finding("block-not-filmed", Weight.FINDING, place, text)
        return
    if not clip.has_picture:
        return
    works = [segment for segment in segments if segment.kind is SegmentKind.WORK]
    others = [segment for segment in segments if segment.kind is not SegmentKind.WORK]
    missing = _not_filmed(timeline, conformed, works)
    if missing > frame_to_time(2, timeline.rate):
        text = f"{_seconds(missing)} of its work are not in {clip.path.name}: look at its offset: in the takes file"
        yield Finding("work-not-filmed", Weight.FINDING, place, text, (("missing_s", float(missing)),))
    missing = _not_filmed(timeline, conformed, others)
    if missing >= TOLD_FROM:
        text = f"{_seconds(missing)} of its preview and rests are not in {clip.path.name}: the footage is a gap there"
        yield Finding("rest-not-filmed", Weight.REMARK, place, text, (("missing_s", float(missing)),))


def _not_filmed(timeline: Timeline, conformed: Conformed, segments: Sequence[Segment]) -> Fraction:
    """How much of some segments has no footage, in exact seconds."""
    missing = 0
    for segment in segments:
        span = segment.span
        missing += span.frame_count
        for filmed in conformed.filmed:
            shared = min(span.end_frame, filmed.span.end_frame) - max(span.start_frame, filmed.span.start_frame)
            missing -= max(shared, 0)
    return frame_to_time(missing, timeline.rate)


def _seconds(time: Fraction) -> str:
    return format_duration(Fraction(round(time * 10), 10))
