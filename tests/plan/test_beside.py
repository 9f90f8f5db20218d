"""Files that a plan names."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from overlay.errors import PlanError
from overlay.plan import beside
from overlay.plan.beside import file_beside
from overlay.plan.read import parse_plan


def test_a_file_beside_the_plan_and_one_below_are_found(tmp_path: Path) -> None:
    """Both as they stand, and a link that stays inside."""
    (tmp_path / "fonts").mkdir()
    for name in ("a.ttf", "fonts/b.ttf"):
        (tmp_path / name).write_bytes(b"x")
    assert file_beside(tmp_path / "plan.yaml", "fonts/b.ttf") == (tmp_path / "fonts" / "b.ttf").resolve()
    (tmp_path / "link.ttf").symlink_to(tmp_path / "a.ttf")
    assert file_beside(tmp_path / "plan.yaml", "link.ttf").name == "a.ttf"


@pytest.mark.parametrize(
    "name",
    ["../x.png", "a/../../x.png", "/etc/passwd", "~/x.png", "C:/x.png", "c:x.png", "a.png:stream", "https://a/b.png"],
)
def test_a_name_that_leads_out_is_refused_with_its_place(name: str, tmp_path: Path) -> None:
    """In the plan, by line and column, and again where the file is looked for."""
    with pytest.raises(ValueError, match="out of the plan's folder"):
        file_beside(tmp_path / "plan.yaml", name)
    plan = f"overlay: 1\ntitle: A\nblocks: [{{intervals: [{{name: B}}]}}]\nlook:\n  fonts: ['{name}']\n"
    with pytest.raises(PlanError) as caught:
        parse_plan(plan.encode(), "a.yaml")
    assert (caught.value.mistakes[0].line, caught.value.mistakes[0].column) == (5, 11)


def test_a_backslash_is_refused() -> None:
    """It divides folders on one system and is part of a name on the others."""
    with pytest.raises(ValueError, match="write / between"):
        file_beside(Path("plan.yaml"), "fonts\\a.ttf")


def test_what_is_no_plain_file_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Missing, a folder, empty, too large, links out of the folder or in a circle, a name no disk takes."""
    plan = tmp_path / "in" / "plan.yaml"
    plan.parent.mkdir()
    (tmp_path / "secret.png").write_bytes(b"x")
    (plan.parent / "out.png").symlink_to(tmp_path / "secret.png")
    (plan.parent / "round.png").symlink_to(plan.parent / "round.png")
    (plan.parent / "empty.png").touch()
    (plan.parent / "folder.png").mkdir()
    (plan.parent / "large.png").write_bytes(b"x" * 11)
    monkeypatch.setattr(beside, "LARGEST_BYTES", 10)
    for name, message in {
        "none.png": "there is no file none.png beside the plan",
        "out.png": "out.png leads out of the plan's folder",
        "round.png": "cannot be looked for",
        "x" * 3000: "cannot be looked for",
        "nul\0.png": "cannot be looked for",
        "empty.png": "is empty",
        "folder.png": "not a plain file",
        "large.png": "is larger than",
    }.items():
        with pytest.raises(ValueError, match=message):
            file_beside(plan, name)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_or_a_device_does_not_hold_us_up(tmp_path: Path) -> None:
    """Neither is opened: a pipe that nobody writes to would wait for ever."""
    os.mkfifo(tmp_path / "pipe.png")
    with pytest.raises(ValueError, match="not a plain file"):
        file_beside(tmp_path / "plan.yaml", "pipe.png")
    (tmp_path / "zero.png").symlink_to("/dev/zero")
    with pytest.raises(ValueError, match="leads out"):
        file_beside(tmp_path / "plan.yaml", "zero.png")
