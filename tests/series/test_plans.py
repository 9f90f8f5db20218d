"""Which plans are meant."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from overlay.errors import UsageError
from overlay.series.plans import class_folders, plans_in


def test_a_folder_means_its_plans_and_nothing_else(series: Callable[..., list[Path]]) -> None:
    """Shared files, notes, hidden folders and a takes file are no plans; folders below are looked into; by number."""
    plans = series(11)
    folder = plans[0].parent
    (folder / "class-1-takes.yaml").write_text("takes: 1\nblocks: []\n", "utf-8")
    (folder / "notes.txt").write_text("overlay: 1\n", "utf-8")
    for below in (".hidden", "may"):
        (folder / below).mkdir()
        (folder / below / "x.yml").write_text('# a class\n{"overlay": 1}\n', "utf-8")
    assert plans_in([folder]) == [*plans, folder / "may" / "x.yml"]


def test_in_the_order_that_is_named_and_none_twice(series: Callable[..., list[Path]], tmp_path: Path) -> None:
    """A plan, then its folder: the plan stays first."""
    plans = series(3)
    assert plans_in([plans[2], plans[0].parent, plans[1]]) == [plans[2], plans[0], plans[1]]
    assert plans_in([tmp_path / "none.yaml"]) == [tmp_path / "none.yaml"]


def test_a_folder_without_plans(tmp_path: Path) -> None:
    """Said, with the way on."""
    with pytest.raises(UsageError, match="There is no plan in the folder"):
        plans_in([tmp_path])


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_does_not_hold_us_up(series: Callable[..., list[Path]]) -> None:
    """What is no plain file is passed over."""
    (plan,) = series(1)
    os.mkfifo(plan.parent / "pipe.yaml")
    assert plans_in([plan.parent]) == [plan]


def test_two_classes_never_share_a_folder(tmp_path: Path) -> None:
    """Told by both names before anything is made."""
    with pytest.raises(UsageError, match=r"a\.yaml and .*a\.yml would both"):
        class_folders([tmp_path / "a.yaml", tmp_path / "a.yml"], None)
    with pytest.raises(UsageError, match="would both"):
        class_folders([tmp_path / "x" / "a.yaml", tmp_path / "y" / "a.yaml"], tmp_path / "out")
    assert class_folders([tmp_path / "x" / "a.yaml", tmp_path / "y" / "a.yaml"], None) == [
        tmp_path / "x" / "a-assets",
        tmp_path / "y" / "a-assets",
    ]
