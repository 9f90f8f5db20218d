"""A folder that may hold other people's files, and files of an earlier plan."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from overlay.errors import UsageError
from overlay.pipeline import build

PLAN = "overlay: 1\ntitle: A\nlanguage: LANGUAGES\nblocks: [{intervals: [{name: {en: B, es: C}}]}]\n"


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    path = tmp_path / "a.yaml"
    path.write_text(PLAN.replace("LANGUAGES", "[en, es]"), encoding="utf-8")
    return path


def files(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@pytest.mark.parametrize("name", ["captions/en.srt", "timeline.json", "manifest.json"])
def test_a_file_that_is_not_ours_stops_the_build(plan: Path, tmp_path: Path, name: str) -> None:
    """Somebody else's file of the same name is never overwritten; the message names it and the ways on."""
    folder = tmp_path / "out"
    (folder / name).parent.mkdir(parents=True, exist_ok=True)
    (folder / name).write_bytes(b"mine")
    with pytest.raises(UsageError, match=name) as caught:
        build(plan, out=folder, only=["captions"])
    assert "--out" in str(caught.value.remedy)
    assert files(folder) == {name: b"mine"}
    build(plan, out=folder, only=["captions"], replace=True)
    assert files(folder)[name] != b"mine"


def test_a_file_that_was_changed_since_stops_the_build(plan: Path, tmp_path: Path) -> None:
    """Captions that somebody corrected by hand are not lost."""
    folder = build(plan, only=["captions"]).folder
    (folder / "captions" / "en.srt").write_bytes(b"corrected")
    with pytest.raises(UsageError, match=r"captions/en\.srt"):
        build(plan, only=["captions"])
    assert (folder / "captions" / "en.srt").read_bytes() == b"corrected"


def test_other_files_in_the_folder_stay(plan: Path, tmp_path: Path) -> None:
    """What the tool did not write it does not touch."""
    folder = tmp_path / "out"
    folder.mkdir()
    (folder / "notes.txt").write_bytes(b"mine")
    for _ in range(2):
        build(plan, out=folder, only=["captions"])
    assert files(folder)["notes.txt"] == b"mine"


def test_files_of_a_language_that_is_gone_go(plan: Path) -> None:
    """A language taken out of the plan leaves no captions behind, on disk or in the manifest."""
    folder = build(plan, only=["captions"]).folder
    assert "captions/es.srt" in files(folder)
    plan.write_text(PLAN.replace("LANGUAGES", "en").replace(", es: C", ""), encoding="utf-8")
    build(plan, only=["captions"])
    assert not [name for name in files(folder) if "es." in name]
    listed = [row["path"] for row in json.loads((folder / "manifest.json").read_text("utf-8"))["files"]]
    assert listed == ["captions/en.srt", "captions/en.ttml", "captions/en.vtt", "timeline.json"]


def test_files_of_an_earlier_plan_are_told(plan: Path) -> None:
    """Captions alone, made anew after a change, leave a shot list of the old plan: that is said."""
    assert build(plan, only=["captions", "shot-list"]).outdated == ()
    plan.write_text(plan.read_text("utf-8") + "pace: 120\n", encoding="utf-8")
    built = build(plan, only=["captions"])
    assert [entry.path for entry in built.outdated] == ["paper/shot-list.pdf"]
