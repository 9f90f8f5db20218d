"""The beeps of each block, in pieces that are looked for together."""

from __future__ import annotations

from types import SimpleNamespace

from overlay.footage.pattern import LONGEST_PIECE, block_beeps, blocks_of, pieces_of


def test_every_beep_belongs_to_one_block(corpus: SimpleNamespace) -> None:
    """A stop stays with the work that it ends, a countdown goes with its start, across the border between blocks."""
    text = corpus.plan_of(20, 10, [2, 2], 1, 0, 0)
    _, timeline = corpus.laid_out(text + "closing: {length: 5s}\n")
    assert blocks_of(timeline) == ("block-0", "block-1")
    first, second = block_beeps(timeline)
    assert sorted([*first, *second], key=lambda beep: beep.frame) == list(timeline.beeps)
    assert first[-1].frame < second[0].frame
    assert second[0].kind.value == "change", "work runs into work: the next block begins with it"
    assert second[-1].kind.value == "stop"


def test_a_pause_between_blocks_parts_countdown_and_stop(corpus: SimpleNamespace) -> None:
    """With a rest after a block its stop is the first block's, the pips at the rest's end are the second's."""
    _, timeline = corpus.laid_out(corpus.plan_of(20, 10, [2, 2], 1, 15, 0))
    first, second = block_beeps(timeline)
    assert first[-1].kind.value == "stop"
    assert [beep.kind.value for beep in second[:4]] == ["ready", "ready", "ready", "start"]


def test_pieces_are_short_and_whole(corpus: SimpleNamespace) -> None:
    """A block of ten minutes becomes several pieces; none holds beeps of two blocks; all beeps are in one."""
    _, timeline = corpus.laid_out(corpus.plan_of(40, 20, [10, 3], 1, 30, 10))
    pieces = pieces_of(timeline)
    assert sum(len(piece.beeps) for piece in pieces) == len(timeline.beeps)
    assert [piece.block for piece in pieces] == sorted(piece.block for piece in pieces)
    assert sum(piece.block == 0 for piece in pieces) > 2
    for piece in pieces:
        assert piece.beeps[-1].time - piece.beeps[0].time <= LONGEST_PIECE
    assert pieces[-1].may_move_back > 20
