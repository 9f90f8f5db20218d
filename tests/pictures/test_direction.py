"""The direction of text, against Unicode's own examples."""

from __future__ import annotations

import pytest

from overlay.pictures.direction import in_visual_order, levels_of, runs_right_to_left


def shown(text: str, *, right_to_left: bool) -> str:
    levels = levels_of(text, right_to_left=right_to_left)
    return "".join(in_visual_order(text, levels))


def upper(text: str) -> str:
    """UAX 9 writes right-to-left letters as capitals: here they become Hebrew ones, and back."""
    return "".join(chr(0x5D0 + ord(c) - ord("A")) if "A" <= c <= "Z" else c for c in text)


def lower(text: str) -> str:
    return "".join(chr(ord(c) - 0x5D0 + ord("A")) if "\u05d0" <= c <= "\u05e9" else c for c in text)


@pytest.mark.parametrize(
    ("memory", "display", "right_to_left"),
    [
        # UAX 9 section 3.4, examples of reordering (levels 0 1 and 1 2), without their explicit codes.
        ("car means CAR.", "car means RAC.", False),
        ("car MEANS CAR.", ".RAC SNAEM car", True),
        # W2, W4 and W7: numbers keep their order wherever they stand.
        ("ABC 12:30 DEF", "FED 12:30 CBA", True),
        ("row ABC 12 DEF", "row FED 12 CBA", False),
        # N0: a pair of brackets goes with what it holds or follows.
        ("AB (cd) EF", "FE )cd( BA", True),
        ("ab (CD) ef", "ab (DC) ef", False),
    ],
)
def test_reordering(memory: str, display: str, right_to_left: bool) -> None:
    """Brackets are compared before they are mirrored: mirroring is the shaper's."""
    assert lower(shown(upper(memory), right_to_left=right_to_left)) == display


@pytest.mark.parametrize(
    ("levels", "order"),
    [
        # UAX 9, L2: from the highest level to the lowest odd one, every run is turned round.
        ([0, 0, 0], [0, 1, 2]),
        ([1, 1, 1], [2, 1, 0]),
        ([0, 1, 2, 2, 1, 0], [0, 4, 2, 3, 1, 5]),
        ([1, 2, 2, 1, 2], [4, 3, 1, 2, 0]),
        ([2, 2, 1], [2, 0, 1]),
        ([], []),
    ],
)
def test_runs_are_turned_round(levels: list[int], order: list[int]) -> None:
    assert in_visual_order(list(range(len(levels))), levels) == order


def test_the_first_strong_character_gives_the_paragraphs_direction() -> None:
    """P2 and P3: numbers and signs do not count."""
    assert runs_right_to_left("12 × שלום row")
    assert not runs_right_to_left("12 row שלום")
    assert not runs_right_to_left("12:30")


def test_the_levels_are_one_a_character() -> None:
    """Whatever the length of a character in UTF-8, and whatever the text says of itself."""
    for text in ("a\U0001f4aaש", 'levels: [ Level(7) ] "שלום" paragraphs: [', "ש levels: [\\", "שa "):
        assert len(levels_of(text, right_to_left=True)) == len(text)
    assert set(levels_of('levels: [ Level(7) ] ש" paragraphs: [', right_to_left=False)) == {0, 1}
    assert levels_of("שa ", right_to_left=True) == [1, 2, 1]
