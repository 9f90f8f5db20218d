"""Which file has which block: answers of several recordings put together into takes."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from overlay.errors import UsageError
from overlay.footage.listen import Answer, BlockPlace, Listening, Why, listen, locate
from overlay.footage.pattern import blocks_of
from overlay.footage.sound import Facts, Footage
from overlay.footage.takes import Take
from overlay.plan.outputs import ToneSettings
from overlay.timeline.model import BeepKind, SegmentKind, Timeline
from overlay.units.clock import format_duration, frame_to_time, parse_duration
from overlay.units.timecode import label_to_frame

CUT_SHORT = Fraction(1, 2)
"""Seconds by which the end of a class may be missing before it is told."""


@dataclass(frozen=True)
class Cover:
    """Takes for the blocks that the footage has, in the class's order, and what is wrong or worth knowing.

    `findings` must be mended before the class is whole, `remarks` need not.
    """

    takes: tuple[Take, ...]
    findings: tuple[str, ...]
    remarks: tuple[str, ...]


def hear_all(
    timeline: Timeline,
    settings: ToneSettings,
    files: Sequence[Path],
    *,
    near: Fraction | None = None,
    progress: Callable[[str], None] = lambda _: None,
    far: Callable[[float], None] = lambda _: None,
) -> list[Answer]:
    """Listen to every file; `near` is about where class frame 0 falls in the first (seconds).

    `far` is told the share of the footage that was read, 0 to 1.
    A file in which the class fits at several places is tried again without the blocks that others have: a class
    filmed block by block often has two blocks of one pattern. Raises MachineError for a file that cannot be read.
    """
    answers: list[Answer] = []
    unclear: dict[int, Listening] = {}
    for number, path in enumerate(files):

        def within(share: float, before: int = number) -> None:
            far((before + share) / len(files))

        progress(f"Listening to {path.name}")
        listening = listen(timeline, settings, path, within)
        answers.append(locate(listening, near=None if number or near is None else float(near)))
        if answers[-1].why is Why.SEVERAL_PLACES and len(files) > 1:
            unclear[number] = listening
    settled = True
    while unclear and settled:
        settled = False
        taken = frozenset(
            place.block
            for answer in answers
            for place in answer.places
            if _has_whole(_take(answer, place, timeline), answer.facts, timeline)
        )
        for number, listening in list(unclear.items()):
            again = locate(listening, without=taken)
            if again.is_found:
                answers[number], settled = again, True
                del unclear[number]
    return answers


def place_in_file(text: str, timeline: Timeline) -> Fraction:
    """The exact second of a file that a timecode (from 00:00:00:00 at its first picture) or a time names.

    Raises UsageError for anything else.
    """
    try:
        if text.count(":") + text.count(";") == 3:
            return frame_to_time(label_to_frame(text, timeline.rate, timeline.counting), timeline.rate)
        return parse_duration(text)
    except ValueError as error:
        remedy = "Write a timecode such as 00:01:30:00, or a time such as 1:30."
        raise UsageError(f"{error}.", remedy=remedy) from None


def placed_by_hand(
    timeline: Timeline, path: Path, first_start: Fraction, far: Callable[[float], None] = lambda _: None
) -> Answer:
    """The answer where nothing was played on the set: somebody gives the second of the first start.

    `far` is told the share of the file that was read, 0 to 1.
    """
    with Footage(path) as footage:
        for _ in footage.pieces(far):
            pass
        facts = footage.facts()
    starts = [beep.frame for beep in timeline.beeps if beep.kind is BeepKind.START]
    works = [segment.span.start_frame for segment in timeline.segments if segment.kind is SegmentKind.WORK]
    offset = float(first_start - frame_to_time((starts or works)[0], timeline.rate))
    places = tuple(BlockPlace(block, offset) for block in range(len(blocks_of(timeline))))
    return Answer(path, facts, Why.FOUND, offset=offset, drift_ppm=0.0, confidence=1.0, places=places)


def cover(timeline: Timeline, answers: Sequence[Answer], known: Mapping[str, Take]) -> Cover:
    """Takes from answers: of two files that have a block whole, the one that is heard better, else the later.

    `known` are takes that stand already: their blocks count as covered.
    """
    blocks = blocks_of(timeline)
    best: dict[str, tuple[float, Take, Answer]] = {}
    findings, remarks = [], []
    for answer in answers:
        remarks += _remarks(answer, timeline)
        for place in answer.places:
            take = _take(answer, place, timeline)
            block = take.block
            share = place.tally.heard / max(place.tally.expected, 1)
            if _has_whole(take, answer.facts, timeline) and (block not in best or share >= best[block][0]):
                best[block] = share, take, answer
    for block in blocks:
        if block not in best and block not in known:
            findings.append(f"No footage has the whole block {_name_of(block, timeline)}.")
    if blocks[-1] in best:
        _, take, answer = best[blocks[-1]]
        missing = take.to_file(timeline.duration) - answer.facts.end
        if missing > CUT_SHORT:
            findings.append(f"{answer.path.name} ends {_seconds(missing)} before the class does.")
    if blocks[0] in best:
        _, take, answer = best[blocks[0]]
        if take.offset < -CUT_SHORT:
            remarks.append(f"{answer.path.name} begins {_seconds(-take.offset)} after the class does.")
    return Cover(tuple(best[block][1] for block in blocks if block in best), tuple(findings), tuple(remarks))


def exact(value: float) -> Fraction:
    """A measured number as an exact one, to the hundred-thousandth: finer than anything is heard."""
    return Fraction(round(value * 100_000), 100_000)


def _take(answer: Answer, place: BlockPlace, timeline: Timeline) -> Take:
    block = blocks_of(timeline)[place.block]
    return Take(block, answer.path, exact(place.offset), exact(answer.drift_ppm or 0.0))


def _has_whole(take: Take, facts: Facts, timeline: Timeline) -> bool:
    """Whether all work of a block lies inside the file."""
    works = [s for s in timeline.segments if s.block == take.block and s.kind is SegmentKind.WORK]
    tolerance = frame_to_time(1, timeline.rate)
    begins, ends = take.to_file(works[0].start), take.to_file(works[-1].end)
    return begins >= -tolerance and ends <= facts.end + tolerance


def _remarks(answer: Answer, timeline: Timeline) -> list[str]:
    name, facts = answer.path.name, answer.facts
    remarks = []
    if not answer.is_found:
        remarks.append(f"{name}: the class was not found: {answer.why.value}.")
    if facts.has_picture and not facts.is_steady:
        remarks.append(f"{name}: its frame rate varies. Convert it to a constant one before you edit.")
    gaps = len(facts.sounding) - 1
    if gaps > 0:
        remarks.append(f"{name}: its sound stops and goes on in {gaps} {'place' if gaps == 1 else 'places'}.")
    if answer.is_found and answer.drift_ppm is not None:
        late = abs(answer.drift_ppm) * 1e-6 * float(timeline.duration)
        if late > 0.5 / float(timeline.rate.value):
            remarks.append(
                f"{name}: its clock is off by {answer.drift_ppm:+.1f} ppm, {1000 * late:.0f} ms over the class."
            )
    return remarks


def _name_of(block: str, timeline: Timeline) -> str:
    name = next(segment.block_name for segment in timeline.segments if segment.block == block)
    return f"{name} ({block})" if name and name != block else block


def _seconds(time: Fraction) -> str:
    return format_duration(Fraction(round(time * 10), 10))
