"""The takes file: what was heard, beside what a person wrote."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from overlay.errors import PlanError, UsageError
from overlay.footage.takes import Take, read_takes, write_takes

BLOCKS = ("push", "pull", "legs")


def take(block: str, path: Path, offset: str, ppm: str = "0") -> Take:
    return Take(block, path, Fraction(offset), Fraction(ppm))


def test_what_is_written_is_read(tmp_path: Path) -> None:
    """Exact numbers, paths from the file's own folder, the class's order."""
    path, clip = tmp_path / "a-takes.yaml", tmp_path / "card 1" / "clip.mp4"
    write_takes(path, [take("legs", clip, "-3.25", "33.1"), take("push", clip, "12.34567")], BLOCKS)
    takes = read_takes(path, BLOCKS)
    assert list(takes) == ["push", "legs"]
    assert takes["push"].offset == Fraction("12.34567")
    assert (takes["legs"].offset, takes["legs"].drift_ppm) == (Fraction("-3.25"), Fraction("33.1"))
    assert takes["legs"].file.resolve() == clip.resolve()
    assert "file: card 1/clip.mp4" in path.read_text("utf-8")


def test_a_file_outside_the_folder(tmp_path: Path) -> None:
    """A clip beside the takes file's folder is written with ../"""
    (tmp_path / "plans").mkdir()
    path, clip = tmp_path / "plans" / "a.yaml", tmp_path / "clips" / "b.mp4"
    write_takes(path, [take("push", clip, "1")], BLOCKS)
    assert "file: ../clips/b.mp4" in path.read_text("utf-8")
    assert read_takes(path, BLOCKS)["push"].file.resolve() == clip.resolve()


def test_remarks_and_choices_stay(tmp_path: Path) -> None:
    """An update changes the numbers of its own blocks; remarks, order and what is kept by hand stay."""
    path = tmp_path / "a-takes.yaml"
    path.write_text(
        "# shot on Tuesday\ntakes: 1\nblocks:\n"
        "  # the second try is better\n"
        "  - block: push  # keep the laugh\n    file: old.mp4\n    offset: 1.5  # by ear\n    drift_ppm: 0\n"
        "  - {block: legs, file: mine.mp4, offset: 7, keep: true}  # do not touch\n",
        encoding="utf-8",
    )
    fresh = [take(block, tmp_path / "new.mp4", "2.25", "10") for block in BLOCKS]
    write_takes(path, fresh, BLOCKS)
    text = path.read_text("utf-8")
    for remark in ("# shot on Tuesday", "# the second try is better", "# keep the laugh", "# by ear", "# do not touch"):
        assert remark in text
    takes = read_takes(path, BLOCKS)
    assert list(takes) == ["push", "pull", "legs"]
    assert (takes["push"].file.name, takes["push"].offset) == ("new.mp4", Fraction("2.25"))
    assert (takes["legs"].file.name, takes["legs"].offset) == ("mine.mp4", 7)
    write_takes(path, fresh, BLOCKS)
    assert path.read_text("utf-8") == text


@pytest.mark.parametrize(
    ("content", "line", "words"),
    [
        ("takes: 2\nblocks: []\n", 1, "takes: 1"),
        ("takes: 1\n", 1, "blocks"),
        ("takes: 1\nblocks:\n  - {block: push, file: a.mp4}\n", 3, "offset"),
        ("takes: 1\nblocks:\n  - {block: arms, file: a.mp4, offset: 1}\n", 3, "push, pull, legs"),
        ("takes: 1\nblocks:\n  - {block: push, file: a.mp4, offset: soon}\n", 3, "soon"),
        ("takes: 1\nblocks:\n  - {block: push, file: a.mp4, offset: .inf}\n", 3, "inf"),
        ("takes: 1\nblocks:\n  - {block: push, file: a.mp4, offset: 1, drift_ppm: 5000}\n", 3, "5000"),
        (
            "takes: 1\nblocks:\n  - {block: push, file: a, offset: 1}\n  - {block: push, file: b, offset: 1}\n",
            4,
            "twice",
        ),
        ("takes: 1\nblocks:\n  - {block: push, flie: a.mp4, offset: 1}\n", 3, "flie"),
        ("takes: 1\nblocks: [\n", 3, "YAML"),
        ("- takes\n", 1, "takes: 1"),
    ],
)
def test_what_is_wrong_is_told_with_its_line(tmp_path: Path, content: str, line: int, words: str) -> None:
    """Place and reason, and the file stays as it is when sync wants to write."""
    path = tmp_path / "a-takes.yaml"
    path.write_text(content, encoding="utf-8")
    with pytest.raises(PlanError) as caught:
        read_takes(path, BLOCKS)
    (mistake,) = caught.value.mistakes
    assert mistake.line == line
    assert words in f"{mistake.message} {mistake.remedy}"
    with pytest.raises(PlanError):
        write_takes(path, [take("push", tmp_path / "a.mp4", "1")], BLOCKS)
    assert path.read_text("utf-8") == content


def test_no_takes_file(tmp_path: Path) -> None:
    """The remedy says how one is made."""
    with pytest.raises(UsageError) as caught:
        read_takes(tmp_path / "none.yaml", BLOCKS)
    assert "overlay sync" in (caught.value.remedy or "")
