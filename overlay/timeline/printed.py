"""Every text of a class that pictures and paper may show."""

from __future__ import annotations

from collections.abc import Iterator

from overlay.timeline.model import Timeline


def printed_texts(timeline: Timeline) -> Iterator[str]:
    """The class's words in its own language, one by one; a text may come more than once."""
    yield timeline.title
    yield from (word for word in (*timeline.phrases, *timeline.phrases.paper.values()) if isinstance(word, str))
    yield from (cue.text for cue in timeline.cues if cue.language == timeline.language)
    for segment in timeline.segments:
        yield segment.block_name or segment.block or ""
        move = segment.move
        if move is not None:
            notes = (move.position, move.camera, move.setup, move.easier, move.harder, move.watch)
            yield from (move.name, *move.equipment, *(note for note in notes if note))
