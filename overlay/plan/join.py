"""What stands in one place of a plan joined with what it names in another: mirrors, names, slots."""

from __future__ import annotations

import re

from overlay.errors import Mistake
from overlay.plan.blocks import Block, Interval
from overlay.plan.nearest import did_you_mean
from overlay.plan.session import Session
from overlay.plan.source import Path_, Source
from overlay.plan.texts import CALL_SLOTS, SIDE_SLOTS, SLOT, slots_of, texts_of
from overlay.plan.wording import SLOTS as WORD_SLOTS
from overlay.units.clock import LONGEST_CLASS, format_duration
from overlay.units.rate import Counting

MOST_STRETCHES = 10_000
"""Stretches of work and rest in one class: more than anybody teaches in twelve hours."""


def join(source: Source, written: Session) -> tuple[Session, list[Mistake]]:
    """The plan with every mirror filled in, and what does not fit together in it."""
    joining = _Joining(source, written)
    return joining.session(), joining.mistakes


class _Joining:
    def __init__(self, source: Source, written: Session) -> None:
        self.source = source
        self.written = written
        self.mistakes: list[Mistake] = []
        self.texts = list(texts_of(written))

    def session(self) -> Session:
        self._labels()
        self._languages()
        self._slots()
        self._frame()
        blocks: list[Block] = []
        for number, block in enumerate(self.written.blocks):
            blocks.append(self._block(number, block, blocks))
        session = self.written.model_copy(update={"blocks": tuple(blocks)})
        if not self.mistakes and (count := session.stretch_count) > MOST_STRETCHES:
            message = f"the class has about {count} stretches of work and rest: {MOST_STRETCHES} is the most"
            self._note(("blocks",), message, at_key=True)
        elif not self.mistakes and session.duration > LONGEST_CLASS:
            lasts, most = format_duration(session.duration), format_duration(LONGEST_CLASS)
            self._note(("blocks",), f"the class is {lasts} long: {most} is the most", at_key=True)
        return session

    def _block(self, number: int, block: Block, before: list[Block]) -> Block:
        way: Path_ = ("blocks", number)
        ids = [str(one.id) for one in before]
        if block.id in ids:
            self._note((*way, "id"), f"a block {block.id} stands already above", "Give each block an id of its own.")
        if block.id is None:
            block = block.model_copy(update={"id": f"block-{number + 1}"})
        if block.mirror is None:
            self._intervals(way, block)
            return block
        if block.mirror not in ids:
            message = f"there is no block {block.mirror} before this one"
            self._note((*way, "mirror"), message, did_you_mean(block.mirror, ids) if ids else None)
            return block
        original = before[ids.index(block.mirror)]
        if original.side is None:
            message = f"{block.mirror} has no side, so nothing can be mirrored"
            self._note((*way, "mirror"), message, f"Write side: right in {block.mirror}.")
        mirrored = block.mirrored(original)
        if block.rounds is not None:
            self._rounds((*way, "rounds"), mirrored)
        return mirrored

    def _intervals(self, way: Path_, block: Block) -> None:
        for index, interval in enumerate(block.intervals or ()):
            place = (*way, "intervals", index)
            known = list(self.written.exercises)
            if interval.exercise is not None and interval.exercise not in known:
                message = f"there is no exercise {interval.exercise}"
                known += [str(way[1]) for way in self.source.shared if way[0] == "exercises"]
                # What reads as a name and something behind it is a length that is no length.
                is_length = interval.exercise.partition(" ")[0] in known
                remedy = (
                    "Write the length as 40s, 1m30s or 1:30." if is_length else did_you_mean(interval.exercise, known)
                )
                self._note((*place, "exercise"), message, remedy)
            elif block.side is None:
                self._no_side((*place, "exercise"), interval)
            for cue_index, cue in enumerate(interval.cues):
                if cue.round is not None and cue.round > (block.rounds or 1):
                    message = f"round {cue.round} never comes: the block has {block.rounds or 1}"
                    self._note((*place, "cues", cue_index, "round"), message, "Change round:, or the block's rounds:")
        if block.side is None:
            for inner, text in texts_of(block, way):
                if slots_of(text) & SIDE_SLOTS:
                    message = "a side is meant here, but the block has none"
                    self._note(inner, message, "Write side: right or side: left in the block.")

    def _no_side(self, way: Path_, interval: Interval) -> None:
        """An exercise of the list that speaks of a side, in a block that has none."""
        exercise = self.written.exercises.get(str(interval.exercise))
        if exercise and any(slots_of(text) & SIDE_SLOTS for _, text in texts_of(exercise)):
            message = f"{interval.exercise} speaks of a side, but the block has none"
            self._note(way, message, "Write side: right or side: left in the block.")

    def _rounds(self, way: Path_, block: Block) -> None:
        rounds = block.rounds or 1
        latest = max((cue.round or 1 for i in block.intervals or () for cue in i.cues), default=1)
        if latest > rounds:
            self._note(way, f"{block.mirror} has a cue for round {latest}, which never comes here")

    def _labels(self) -> None:
        video = self.written.video
        if video.timecode is Counting.DROP and not video.frame_rate.can_drop:
            message = "drop-frame timecode exists at 29.97 and 59.94 only"
            self._note(("video", "timecode"), message, "Remove timecode:, or change the frame rate.")
            return
        try:
            video.start_frame  # noqa: B018 (asked for its error)
        except ValueError as error:
            self._note(("video", "start"), str(error))

    def _languages(self) -> None:
        languages = self.written.language
        for number, language in enumerate(languages):
            if language in languages[:number]:
                self._note(("language", number), f"{language} stands here twice", "Keep one of them.")
        strange: dict[tuple[str, Path_], None] = {}
        for way, text in self.texts:
            for language, _ in text.versions:
                if language and language not in languages and way[0] != "words":
                    strange[language, way] = None
        for language, way in strange:
            message = f"{language} is not a language of this plan ({', '.join(languages)})"
            self._note(
                (*way, language), message, "Add it to language:, or put quotes round a text with a colon.", at_key=True
            )

    def _frame(self) -> None:
        """The opening and the closing have neither sides nor rounds; nor has what stands outside a block."""
        for key in ("opening", "closing"):
            passage = getattr(self.written, key)
            for number, cue in enumerate(passage.cues if passage else ()):
                if cue.round is not None:
                    self._note((key, "cues", number, "round"), f"the {key} has no rounds", "Remove round:")
                if cue.at is not None and abs(cue.at) > passage.length:
                    self._note((key, "cues", number, "at"), f"the {key} is only {format_duration(passage.length)} long")
        for way, text in self.texts:
            if way[0] in ("title", "opening", "closing", "caution", "words") and slots_of(text) & SIDE_SLOTS:
                self._note(way, "a side is meant here, but only a block has one", "Write the words out.")

    def _slots(self) -> None:
        """Words in braces that stand for nothing."""
        for way, text in self.texts:
            if not any("{" in words or "}" in words for _, words in text.versions):
                continue
            of_key = {"calls": CALL_SLOTS, "words": WORD_SLOTS}.get(str(way[0]), {})
            known = of_key.get(str(way[1]), SIDE_SLOTS) if len(way) > 1 else SIDE_SLOTS
            for _, words in text.versions:
                unknown = [name for name in SLOT.findall(words) if name not in known]
                for name in unknown:
                    self._note(way, f"{{{name}}} stands for nothing here", did_you_mean(name, sorted(known)))
                if not unknown and re.search(r"[{}]", SLOT.sub("", words)):
                    self._note(way, "a brace stands here by itself", "Write {side} with one brace on each side.")

    def _note(self, way: Path_, message: str, remedy: str | None = None, *, at_key: bool = False) -> None:
        self.mistakes.append(self.source.mistake_at(way, message, remedy, key=at_key))
