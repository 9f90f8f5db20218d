"""Plans as people write them, and every way of getting one wrong."""

from __future__ import annotations

import tracemalloc
from fractions import Fraction
from pathlib import Path

import pytest

from overlay.errors import Mistake, PlanError, UsageError
from overlay.plan.fields import Hands, Side
from overlay.plan.read import parse_plan, read_plan
from overlay.plan.session import Session
from overlay.units.rate import Counting

DEMO = Path(__file__).parents[2] / "demo"
SMALL = """\
overlay: 1
title: Small
exercises:
  row: {name: Row, hands: loaded}
blocks:
  - id: one
    side: right
    intervals:
      - row
      - row 45s
  - {mirror: one, id: two}
"""


def plan(text: str) -> Session:
    return parse_plan(text.encode("utf-8"), "a.yaml")


def mistakes(text: str) -> list[Mistake]:
    with pytest.raises(PlanError) as caught:
        plan(text)
    return list(caught.value.mistakes)


def only_mistake(text: str) -> Mistake:
    found = mistakes(text)
    assert len(found) == 1, found
    return found[0]


def test_what_is_left_out() -> None:
    """The defaults of the plan format."""
    session = plan("overlay: 1\ntitle: A\nblocks: [{intervals: [{name: B}]}]\n")
    timing = session.timing
    lengths = (timing.work, timing.rest, timing.preview, timing.between_rounds, timing.between_blocks)
    assert lengths == (30, 0, 10, 15, 15)
    assert str(session.video.size) == "1920x1080"
    assert str(session.video.frame_rate) == "30/1"
    assert session.video.counting is Counting.NON_DROP
    assert (session.pace, session.language, session.video.start_frame) == (150, ("en",), 0)
    assert session.blocks[0].id == "block-1"


@pytest.mark.parametrize(
    ("video", "counting"),
    [
        ("frame_rate: 29.97", Counting.DROP),
        ("frame_rate: 59.94", Counting.DROP),
        ("frame_rate: 29.97, timecode: non-drop", Counting.NON_DROP),
        ("frame_rate: 23.976", Counting.NON_DROP),
        ("frame_rate: 25", Counting.NON_DROP),
    ],
)
def test_counting_is_never_guessed_elsewhere(video: str, counting: Counting) -> None:
    """29.97 and 59.94 count drop-frame unless the plan says otherwise; no other rate ever does."""
    assert plan(SMALL + f"video: {{{video}}}\n").video.counting is counting


def test_a_mirror_swaps_sides_and_keeps_the_rest() -> None:
    """A mirror is the other block with the other side."""
    one, two = plan(SMALL).blocks
    assert (one.side, two.side) == (Side.RIGHT, Side.LEFT)
    assert two.intervals == one.intervals
    assert two.id == "two"


def test_a_mirror_of_a_mirror_is_the_first_side_again() -> None:
    """Any earlier block can be mirrored, a mirror included."""
    assert plan(SMALL + "  - {mirror: two, id: three}\n").blocks[2].side is Side.RIGHT


def test_an_interval_of_one_line() -> None:
    """`row` takes the default work, `row 45s` its own."""
    intervals = plan(SMALL).blocks[0].intervals or ()
    assert [interval.work for interval in intervals] == [None, Fraction(45)]


def test_text_stays_text() -> None:
    """`No`, `on`, `~`, `010` and `1:30` mean what the writer sees."""
    text = (
        "overlay: 1\ntitle: No\nblocks: [{name: 'on', intervals: [{name: ~}, {name: 010}, {name: 1:30, work: 010}]}]\n"
    )
    session = plan(text)
    assert session.title.versions == (("", "No"),)
    names = [i.name.versions[0][1] for i in session.blocks[0].intervals or () if i.name]
    assert names == ["~", "010", "1:30"]
    assert (session.blocks[0].intervals or ())[2].work == 10


def test_hands_default_to_free() -> None:
    """An exercise needs no more than a name."""
    assert (
        plan("overlay: 1\ntitle: A\nexercises: {b: {name: B}}\nblocks: [{intervals: [b]}]").exercises["b"].hands
        is Hands.FREE
    )


def test_every_alias_is_a_copy() -> None:
    """Two blocks written with one anchor stay two blocks."""
    text = (
        "overlay: 1\ntitle: A\nblocks:\n  - &a {id: x, intervals: [{name: B}]}\n  - {id: y, intervals: [{name: C}]}\n"
    )
    session = plan(text.replace("{name: C}", "&c {name: C}, *c"))
    assert [i.name for i in session.blocks[1].intervals or ()] == [(session.blocks[1].intervals or ())[0].name] * 2


def test_length_is_known_before_the_class_is_laid_out() -> None:
    """Preview 10, 30 + 45 of work, 15 between blocks, and the same again."""
    assert plan(SMALL).duration == 10 + 75 + 15 + 10 + 75


def test_the_demo_reads() -> None:
    """The demo is a plan."""
    assert len(read_plan(DEMO / "desk-break.yaml").blocks) >= 5


NO_SIDE = "overlay: 1\ntitle: A\nblocks: [{name: 'B {side}', intervals: [{name: C}]}]\n"
MANY = "overlay: 1\ntitle: A\nblocks: [{rounds: 999, intervals: [" + "{name: B, work: 1s}, " * 6 + "]}]\n"
LONG_CUE = f"- {{exercise: row, cues: [{'go ' * 400}]}}"
ROUND_IN_OPENING = "opening: {length: 9s, cues: [{round: 2, say: Hi}]}\n"
WRONG = {
    "unknown key": (SMALL.replace("side: right", "sied: right"), 7, 5, "sied", "Did you mean side?"),
    "unknown key at the top": (SMALL + "timming: {work: 3s}\n", 12, 1, "timming", "Did you mean timing?"),
    "unknown exercise": (SMALL.replace("- row 45s", "- rwo 45s"), 10, 9, "no exercise rwo", "Did you mean row?"),
    "unknown mirror": (SMALL.replace("mirror: one", "mirror: on"), 11, 14, "no block on", "Did you mean one?"),
    "no title": (SMALL.replace("title: Small\n", ""), 1, 1, "title is missing", "title:"),
    "no blocks": ("overlay: 1\ntitle: A\n", 1, 1, "blocks is missing", "blocks:"),
    "empty blocks": ("overlay: 1\ntitle: A\nblocks: []\n", 3, 9, "blocks is empty", "dash"),
    "list where one belongs": (SMALL.replace("Small", "[a, b]"), 2, 8, "found a list", None),
    "keys where one belongs": (SMALL.replace("side: right", "side: {a: b}"), 7, 11, "found keys with values", None),
    "one where a list belongs": ("overlay: 1\ntitle: A\nblocks: row\n", 3, 9, "blocks is a list", "dash"),
    "wrong side": (SMALL.replace("side: right", "side: rihgt"), 7, 11, "rihgt", "left or right"),
    "negative length": (SMALL + "timing: {work: -40s}\n", 12, 16, "negative", None),
    "zero work": (SMALL + "timing: {work: 0s}\n", 12, 16, "zero", None),
    "infinite": (SMALL + "timing: {work: .inf}\n", 12, 16, "not a duration", "40s"),
    "not a number": (SMALL + "timing: {work: .nan}\n", 12, 16, "not a duration", "40s"),
    "absurd": (SMALL + "timing: {work: 13h}\n", 12, 16, "longer than 12:00:00", None),
    "absurd in all": (SMALL.replace("side: right", "side: right\n    rounds: 999"), 5, 1, "long", None),
    "seconds over 59": (SMALL + "timing: {work: 1:75}\n", 12, 16, "75 seconds", None),
    "rounds": (SMALL.replace("side: right", "rounds: 1.5"), 7, 13, "not a whole number", None),
    "no rounds": (SMALL.replace("side: right", "rounds: 0"), 7, 13, "out of range", "1 to 999"),
    "drop-frame at 25": (SMALL + "video: {frame_rate: 25, timecode: drop-frame}\n", 12, 35, "drop-frame", None),
    "no such rate": (SMALL + "video: {frame_rate: 29}\n", 12, 21, "29 is not a frame rate", "29.97"),
    "no such label": (SMALL + "video: {frame_rate: 25, start: '00:00:00:25'}\n", 12, 32, "does not exist", None),
    "odd size": (SMALL + "video: {size: 1921x1080}\n", 12, 15, "odd", "even"),
    "plan format": (SMALL.replace("overlay: 1", "overlay: 2"), 1, 10, "format 2", None),
    "empty text": (SMALL.replace("title: Small", "title: #1 of all"), 2, 1, "nothing stands here", None),
    "two ids": (SMALL.replace("id: two", "id: one"), 11, 23, "stands already above", None),
    "side of a mirror": (SMALL.replace("id: two", "side: left"), 11, 5, "other side by itself", None),
    "neither": (SMALL + "  - id: three\n", 12, 5, "needs intervals", None),
    "comma in braces": (SMALL.replace("row 45s", "{exercise: row, cues: [{say: Up, and down}]}"), 10, 42, "down", ""),
    "duplicate key": (SMALL + "title: Again\n", 12, 1, "twice, first in line 2", None),
    "duplicate blocks": (SMALL + "blocks: []\n", 12, 1, "twice, first in line 5", None),
    "tab": (SMALL + "timing:\n\twork: 3s\n", 13, 1, "tab", "spaces"),
    "colon in a text": (SMALL + "caution: Knees: soft\n", 12, 15, "colon", "quotes"),
    "bracket in a text": (SMALL.replace("- row 45s", "- {exercise: row, cues: [[left] arm]}"), 10, 39, "", "quotes"),
    "at sign": (SMALL + "caution: @top\n", 12, 10, "cannot begin with @", "quotes"),
    "exclamation mark": (SMALL + "caution: !go\n", 12, 10, "!", "quotes"),
    "star": (SMALL + "caution: *go\n", 12, 10, "*", "quotes"),
    "open quote": (SMALL + "caution: 'Don't lock'\n", 12, 15, "", None),
    "directive": ("%YAML 1.1\n---\n" + SMALL, 2, 1, "%", "Remove"),
    "two documents": (SMALL + "---\ntitle: B\n", 12, 1, "second document", None),
    "merge key": (SMALL + "timing: {<<: {work: 3s}}\n", 12, 10, "<<", None),
    "a list for a plan": ("- a\n- b\n", 1, 1, "begins with keys", None),
    "a word for a plan": ("hello\n", 1, 1, "begins with keys", None),
    "hidden character": (SMALL + 'caution: "a\\eb"\n', 12, 10, "U+001B", None),
    "key without a colon": (SMALL.replace("title: Small", "title Small"), 2, 1, "neither a key", "key: value"),
    "key without a space": (SMALL.replace("side: right", "side:right"), 7, 5, "neither a key", "key: value"),
    "dash without a space": (SMALL.replace("- row 45s", "-row 45s"), 10, 7, "no dash and space", "dash and a space"),
    "bullet": (SMALL.replace("- row 45s", "• row 45s"), 10, 7, "no dash and space", "dash and a space"),
    "numbered": (SMALL.replace("- row 45s", "2. row 45s"), 10, 7, "no dash and space", "dash and a space"),
    "no dash": (SMALL.replace("- row 45s", "row 45s"), 10, 7, "neither a key", "dash and a space"),
    "deeper line": (SMALL.replace("    side: right", "     side: right"), 7, 10, "indented further", "same indent"),
    "quote never closed": (SMALL.replace("Small", '"Small'), 2, 8, "never closed", "Close"),
    "tab behind a text": (SMALL.replace("Small", "Small\t"), 2, 13, "tab", "spaces"),
    "one-digit seconds": (SMALL + "timing: {work: 1:5}\n", 12, 16, "two digits", "1:05"),
    "ninety seconds": (SMALL + "timing: {work: 1m90s}\n", 12, 16, "over 59", None),
    "a blink": (SMALL + "timing: {work: 0.01s}\n", 12, 16, "shorter than 0.1s", None),
    "two languages alike": (SMALL + "language: [en, en]\n", 12, 16, "twice", None),
    "a colon like a language": (SMALL + "caution: {now: stop}\n", 12, 11, "now is not a language", "quotes"),
    "a colon after a capital": (SMALL + "caution: {Arms: stop}\n", 12, 10, "a colon stands after Arms", "quotes"),
    "slot unknown": (SMALL + "caution: 'Mind {sid}.'\n", 12, 10, "{sid} stands for nothing", "side"),
    "slot with spaces": (SMALL.replace("id: one", "id: one\n    name: 'A { side }'"), 7, 11, "for nothing", None),
    "slot open": (SMALL.replace("id: one", "id: one\n    name: 'A {side'"), 7, 11, "brace", None),
    "slot doubled": (SMALL.replace("id: one", "id: one\n    name: 'A {{side}}'"), 7, 11, "brace", None),
    "side without a side": (SMALL.replace("title: Small", "title: 'Small {side}'"), 2, 8, "only a block", None),
    "side in a block without": (NO_SIDE, 3, 17, "block has none", "side: right"),
    "round that never comes": (
        SMALL.replace("- row 45s", "- {exercise: row, cues: [{round: 2, say: Up}]}"), 10, 40, "never comes", None
    ),
    "round in the opening": (SMALL + ROUND_IN_OPENING, 12, 38, "no rounds", None),
    "time in a preview cue": (
        SMALL.replace("id: one", "id: one\n    preview_cues: [{at: 2s, say: Hi}]"), 7, 20, "belong to the cues", None
    ),
    "ampersand": (SMALL + "caution: &breathe out\n", 12, 10, "&breathe", "quotes"),
    "calls off": (SMALL + "calls: off\n", 12, 8, "none", None),
    "long name": (SMALL.replace("Small", "S" * 201), 2, 8, "201 characters", "200"),
    "long cue": (SMALL.replace("- row 45s", LONG_CUE), 10, 32, "1000 is the most", None),
    "too many stretches": (MANY, 3, 1, "stretches", None),
}  # fmt: skip


@pytest.mark.parametrize("name", WRONG)
def test_wrong_plans(name: str) -> None:
    """One mistake: its line, its column, what is wrong, and what would be right."""
    text, line, column, words, remedy = WRONG[name]
    mistake = only_mistake(text)
    assert (mistake.line, mistake.column) == (line, column), mistake
    assert words in mistake.message
    if remedy is not None:
        assert remedy in f"{mistake.message} {mistake.remedy}"
    assert mistake.source == text.splitlines()[line - 1]


@pytest.mark.parametrize(
    ("raw", "words"),
    [(b"", "empty"), (b" \n\n", "empty"), (b"\xff\xfeo\x00", "UTF-8"), (b"title: caf\xe9", "UTF-8")],
)
def test_files_that_are_no_plan(raw: bytes, words: str) -> None:
    """Empty and wrongly encoded files are refused with a place."""
    with pytest.raises(PlanError) as caught:
        parse_plan(raw, "a.yaml")
    assert words in caught.value.mistakes[0].message


def test_a_byte_order_mark_and_windows_line_ends_are_read() -> None:
    """What other editors save is read all the same."""
    assert parse_plan(b"\xef\xbb\xbf" + SMALL.replace("\n", "\r\n").encode(), "a.yaml") == plan(SMALL)


def test_a_plan_that_is_not_there(tmp_path: Path) -> None:
    """A missing file and a folder are said to be just that."""
    with pytest.raises(UsageError, match="no plan"):
        read_plan(tmp_path / "none.yaml")
    with pytest.raises(UsageError, match="folder"):
        read_plan(tmp_path)


def test_several_mistakes_in_the_order_of_the_file() -> None:
    """Everything wrong is told at once."""
    text = SMALL.replace("side: right", "sied: right").replace("hands: loaded", "hands: full") + "pace: fast\n"
    assert [mistake.line for mistake in mistakes(text)] == [4, 7, 12]


@pytest.mark.parametrize(
    "text",
    [
        "".join(f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]\n" if n else "a0: &a0 [x]\n" for n in range(10)),
        "title: " + "[" * 5000,
        "title: " + "{a: " * 5000,
    ],
)
def test_plans_out_of_proportion(text: str) -> None:
    """Nested aliases and brackets without end are refused, not expanded: within 100 MB."""
    tracemalloc.start()
    try:
        assert "nested" in mistakes(text)[0].message
        assert tracemalloc.get_traced_memory()[1] < 100e6
    finally:
        tracemalloc.stop()
