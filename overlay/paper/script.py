"""The script: what to say and when, the beeps beside it, and how full each stretch is."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import groupby
from pathlib import Path
from typing import Any, NamedTuple

from overlay.paper.sheet import marks_of, put, round_words, set_pages, sheet_data
from overlay.plan.fields import Side
from overlay.plan.paper import PaperSettings
from overlay.timeline.layout import Layout
from overlay.timeline.model import Beep, BeepKind, CueKind, Move, Segment, SegmentKind
from overlay.timeline.place import Budget, Spoken
from overlay.units.clock import format_duration, frame_to_time, nearest, seconds_shown
from overlay.words.sides import side_runs

_MOST_ROWS, _MOST_LETTERS = 12, 350
"""A stretch with more rows or letters may break over pages."""


def script_pdf(layout: Layout, paper: PaperSettings | None = None, font_files: Sequence[Path] = ()) -> bytes:
    """What is said in the timeline's own language, as a tagged PDF with these fonts or the tool's own.

    The same class gives the same bytes.

    Raises MachineError where the page cannot be set.
    """
    timeline = layout.timeline
    rows = _Script(layout)
    data = {
        **sheet_data(timeline, paper or PaperSettings()),
        "beep_kinds": [kind.value for kind in BeepKind if any(beep.kind is kind for beep in timeline.beeps)],
        "segments": [rows.segment(number) for number in range(len(timeline.segments))],
    }
    return set_pages("script.typ", data, font_files)


class _Timed(NamedTuple):
    """What happens at an exact time of a segment: words or a beep."""

    time: Fraction
    what: Spoken | Beep


class _Script:
    def __init__(self, layout: Layout) -> None:
        self.timeline = layout.timeline
        language = self.timeline.language
        # Segments are equal where they look alike; each has its own words all the same.
        self.said: dict[int, list[Spoken]] = {}
        for words in layout.spoken:
            if words.language == language:
                self.said.setdefault(words.segment.span.start_frame, []).append(words)
        self.budgets: dict[int, Budget] = {
            budget.segment.span.start_frame: budget for budget in layout.budgets if budget.language == language
        }
        self.sided = {segment.block: segment.side for segment in self.timeline.segments if segment.side}
        self.first_rounds = _first_rounds(self.timeline.segments, self.said)
        self.told: set[tuple[Move, Side | None]] = set()

    def segment(self, number: int) -> dict[str, Any]:
        """One stretch of the class as the template takes it."""
        segment, timeline = self.timeline.segments[number], self.timeline
        phrases = timeline.phrases
        move = segment.move if segment.kind is SegmentKind.WORK else None
        kind_word = getattr(phrases, segment.kind.value)
        where = [segment.block_name, round_words(timeline, [segment]) if segment.kind is SegmentKind.WORK else None]
        rows = [self._row(segment, kind, list(some)) for kind, some in groupby(self._timed(segment), key=_alike)]
        notes = self._notes(segment, move)
        said = [words.text for words in self.said.get(segment.span.start_frame, ())]
        letters = sum(map(len, (*said, *(note for _, note in notes))))
        return {
            "kind": segment.kind.value,
            "marks": marks_of([segment]),
            "label": timeline.frame_to_label(segment.span.start_frame),
            "length": format_duration(segment.duration),
            "name": move.name if move else kind_word,
            "where": " · ".join(part for part in where if part) or None,
            "side": segment.side.value if segment.side and segment.kind is SegmentKind.WORK else None,
            "budget": self._budget(segment),
            "rows": rows,
            "notes": notes,
            "long": len(rows) > _MOST_ROWS or letters > _MOST_LETTERS,
        }

    def _timed(self, segment: Segment) -> list[_Timed]:
        """The words and beeps of a segment in order of time."""
        span, rate = segment.span, self.timeline.rate
        beeps = [_Timed(frame_to_time(b.frame, rate), b) for b in self.timeline.beeps if b.frame in span]
        said = [_Timed(words.start, words) for words in self.said.get(span.start_frame, ())]
        return sorted([*beeps, *said], key=lambda timed: timed.time)

    def _row(self, segment: Segment, kind: object, some: Sequence[_Timed]) -> dict[str, Any]:
        left = [str(self._left(segment, timed)) for timed in some]
        if isinstance(kind, BeepKind):
            name = self.timeline.phrases.paper[f"beep_{kind.value}"]
            return {"beep": kind.value, "count": len(some), "left": ", ".join(left), "name": name}
        (words,) = (timed.what for timed in some if isinstance(timed.what, Spoken))
        sided = self.sided.get(segment.block) is not None
        runs = side_runs(words.text, self.timeline.phrases) if sided else [(words.text, False)]
        return {
            "beep": None,
            "left": left[0],
            "runs": runs,
            "call": words.kind is CueKind.CALL,
            "changed": self._is_changed(segment, words),
        }

    def _left(self, segment: Segment, timed: _Timed) -> int:
        """What the countdown shows at that time; its digits change on frames."""
        timeline = self.timeline
        frame = timed.what.frame if isinstance(timed.what, Beep) else timeline.time_to_frame(timed.time)
        left = max(1, seconds_shown(segment.end - timed.time))
        while left > 1 and timeline.time_to_frame(segment.end - (left - 1)) <= frame:
            left -= 1
        return min(left, seconds_shown(segment.duration))

    def _is_changed(self, segment: Segment, words: Spoken) -> bool:
        """Whether a later round says what the first did not."""
        before = self.first_rounds.get(segment.span.start_frame)
        return before is not None and words.kind is CueKind.CUE and words.text not in before

    def _budget(self, segment: Segment) -> dict[str, Any] | None:
        budget = self.budgets.get(segment.span.start_frame)
        if budget is None or not budget.needs:
            return None
        paper = self.timeline.phrases.paper
        return {
            "text": put(paper["budget"], needs=nearest(budget.needs), has=nearest(budget.has)),
            "over": put(paper["words_over"], count=budget.words_over) if budget.words_over else None,
            "share": float(min(budget.needs / budget.has, Fraction(2))) if budget.has else 2.0,
        }

    def _notes(self, segment: Segment, move: Move | None) -> list[tuple[str, str]]:
        """What to watch for, and the easier and harder versions, where an exercise is first done on a side."""
        if move is None or (move, segment.side) in self.told:
            return []
        self.told.add((move, segment.side))
        phrases = self.timeline.phrases
        names = {"easier": phrases.easier, "harder": phrases.paper["harder"], "watch": phrases.paper["watch"]}
        return [(word, getattr(move, name)) for name, word in names.items() if getattr(move, name)]


def _alike(timed: _Timed) -> object:
    """Beeps of one kind that follow each other are told together; words each by themselves."""
    return timed.what.kind if isinstance(timed.what, Beep) else id(timed.what)


def _first_rounds(segments: Sequence[Segment], said: dict[int, list[Spoken]]) -> dict[int, frozenset[str]]:
    """For each work of a later round, by its first frame: what the first round said in its place."""
    found: dict[int, frozenset[str]] = {}
    first: dict[tuple[str | None, int], frozenset[str]] = {}
    for block, round_, works in _works(segments):
        for place, segment in enumerate(works):
            if round_ == 1:
                first[block, place] = frozenset(words.text for words in said.get(segment.span.start_frame, ()))
            else:
                found[segment.span.start_frame] = first.get((block, place), frozenset())
    return found


def _works(segments: Sequence[Segment]) -> Iterator[tuple[str | None, int | None, list[Segment]]]:
    works = [segment for segment in segments if segment.kind is SegmentKind.WORK]
    for (block, round_), some in groupby(works, key=lambda segment: (segment.block, segment.round)):
        yield block, round_, list(some)
