"""Exercises and a look that plans share: beside the plan or above it, never outside of the root."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from PIL import Image

from overlay.errors import PlanError, UsageError
from overlay.pipeline import build, proof_read
from overlay.plan.beside import file_beside, root_of
from overlay.plan.read import read_plan
from overlay.timeline.layout import lay_out
from overlay.units.color import Color

PLAN = """\
overlay: 1
title: A
exercises_from: [moves.yaml]
look: theme.yaml
video: {size: 640x360}
blocks: [{intervals: [squat, {exercise: row, work: 20s}]}]
"""
MOVES = """\
exercises:
  squat: {name: {en: Squat, es: Sentadilla}, hands: free}
  row:
    name: Band row
    hands: loaded
    easier: Make it smaller.
  spare: {name: Spare move, easier: "{side}"}
"""


@pytest.fixture
def series(tmp_path: Path) -> Path:
    """A series: its mark, its exercises and its look on top, a plan in a folder of a folder."""
    (tmp_path / "series.yaml").touch()
    (tmp_path / "moves.yaml").write_text(MOVES, "utf-8")
    (tmp_path / "theme.yaml").write_text("plate: '#000000'\nink: '#F0F0F0'\n", "utf-8")
    (tmp_path / "may" / "week-1").mkdir(parents=True)
    plan = tmp_path / "may" / "week-1" / "a.yaml"
    plan.write_text(PLAN, "utf-8")
    return plan


def test_a_class_of_shared_parts_is_the_class_with_them_written_out(series: Path, tmp_path: Path) -> None:
    """The same timeline and look; what the class does not use is not in it, nor is a language it is not given in."""
    exercises = (
        "exercises:\n  squat: {name: Squat, hands: free}\n"
        "  row: {name: Band row, hands: loaded, easier: Make it smaller.}\n"
    )
    written = PLAN.replace("exercises_from: [moves.yaml]\n", exercises)
    alone = tmp_path / "b.yaml"
    alone.write_text(written.replace("look: theme.yaml", "look: {plate: '#000000', ink: '#F0F0F0'}"), encoding="utf-8")
    shared = read_plan(series)
    assert lay_out(shared).timeline == lay_out(read_plan(alone)).timeline
    assert shared.look.plate == Color(0, 0, 0)
    assert list(shared.exercises) == ["squat", "row"]
    assert [one.data() for one in proof_read(series).findings] == [one.data() for one in proof_read(alone).findings]


def test_the_plans_own_entry_wins(series: Path) -> None:
    """As a whole, whatever the shared file says; and a key of the look does."""
    text = PLAN.replace("look: theme.yaml", "look: {theme: theme.yaml, ink: '#FFFFFF'}")
    series.write_text(text + "exercises: {row: {name: My row}}\n", "utf-8")
    session = read_plan(series)
    assert session.exercises["row"].name.versions == (("", "My row"),)
    assert session.exercises["row"].easier is None
    assert (session.look.ink, session.look.plate) == (Color(255, 255, 255), Color(0, 0, 0))


def test_the_nearest_file_is_taken(series: Path) -> None:
    """Beside the plan first, then one folder up after the other."""
    (series.parent / "moves.yaml").write_text(MOVES.replace("Band row", "Near row"), "utf-8")
    assert read_plan(series).exercises["row"].name.versions == (("", "Near row"),)


@pytest.mark.parametrize(
    ("old", "new", "line", "words"),
    [
        ("hands: loaded", "hand: loaded", 5, "Did you mean hands?"),
        ("Band row", "Band {sde} row", 4, "stands for nothing"),
        ("Band row", "{de: Ruder}", 4, "de is not a language"),
        ("exercises:", "moves:", 1, "exercises is missing"),
    ],
)
def test_a_mistake_in_a_shared_file_is_told_there(series: Path, old: str, new: str, line: int, words: str) -> None:
    """By the shared file's own name and line, with that line."""
    moves = series.parents[2] / "moves.yaml"
    moves.write_text(MOVES.replace(old, new), "utf-8")
    with pytest.raises(PlanError) as caught:
        read_plan(series)
    mistake = caught.value.mistakes[0]
    assert caught.value.place(mistake).startswith(f"{moves}:{line}:")
    assert words in f"{mistake.message} {mistake.remedy}"
    assert mistake.source == moves.read_text("utf-8").splitlines()[line - 1]


def test_other_mistakes_are_told_where_they_stand(series: Path) -> None:
    """A theme's in the theme, a missing character where it is written, a name that no file has in the plan."""
    theme = series.parents[2] / "theme.yaml"
    theme.write_text("plate: '#000000'\nfonts: [none.ttf]\n", "utf-8")
    with pytest.raises(PlanError, match=rf"{theme.name}:2:9: there is no file none.ttf"):
        proof_read(series)
    theme.write_text("plate: '#000000'\n", "utf-8")
    moves = series.parents[2] / "moves.yaml"
    moves.write_text(MOVES.replace("Band row", "Band row 💪"), "utf-8")
    with pytest.raises(PlanError, match=r"moves.yaml:4:20: the fonts have no character"):
        proof_read(series)
    moves.write_text(MOVES, "utf-8")
    series.write_text(PLAN.replace("[squat", "[sqat"), "utf-8")
    with pytest.raises(PlanError, match=r"a.yaml:6:\d+: there is no exercise sqat") as caught:
        read_plan(series)
    assert caught.value.mistakes[0].remedy == "Did you mean squat?"
    series.write_text(PLAN.replace("moves.yaml", "other.yaml"), "utf-8")
    with pytest.raises(PlanError, match=r"a.yaml:3:18: there is no file other.yaml beside the plan or in a folder"):
        read_plan(series)


def test_what_two_files_have_is_refused(series: Path) -> None:
    """An exercise of the same name in both is told in the second, unless the plan writes its own or has no need."""
    second = series.parents[2] / "more.yaml"
    second.write_text("exercises:\n  row: {name: Other row}\n  spare: {name: Other}\n", "utf-8")
    series.write_text(PLAN.replace("[moves.yaml]", "[moves.yaml, more.yaml]"), "utf-8")
    with pytest.raises(PlanError, match=r"more.yaml:2:3: row stands in .*moves.yaml as well") as caught:
        read_plan(series)
    assert len(caught.value.mistakes) == 1
    series.write_text(series.read_text("utf-8") + "exercises: {row: {name: My row}}\n", "utf-8")
    read_plan(series)


def test_a_missing_translation_names_the_shared_line(series: Path) -> None:
    """Once for the plan's own lines and once for the shared file's."""
    series.write_text(PLAN + "language: [en, es]\n", "utf-8")
    (finding,) = (one for one in proof_read(series).findings if one.name == "missing-translation")
    assert finding.lines == (2,)
    assert finding.text.startswith("not written in es: line 2; ")
    assert finding.text.split("; ")[1:] == ["moves.yaml line 4", "moves.yaml line 6"]


def test_the_root(series: Path, tmp_path: Path) -> None:
    """The nearest folder with a mark; else the plan's own; else the one that is named, in which the plan must be."""
    assert root_of(series) == tmp_path.resolve()
    (series.parent.parent / ".git").mkdir()
    assert root_of(series) == series.parent.parent.resolve()
    with pytest.raises(PlanError, match=r"there is no file moves\.yaml"):
        read_plan(series)
    assert proof_read(series, root=tmp_path).timeline.title == "A"
    (tmp_path / "series.yaml").unlink()
    (series.parent.parent / ".git").rmdir()
    assert root_of(series) == series.parent.resolve()
    with pytest.raises(UsageError, match="not in the folder"):
        proof_read(series, root=tmp_path / "elsewhere")


@pytest.mark.parametrize("command", ["rehearse", "sync", "proof", "verify", "check", "build", "series"])
def test_every_command_takes_the_root(series: Path, tmp_path: Path, command: str) -> None:
    """With a root that the library stands outside of, it is not found."""
    from overlay.cli.app import run

    film = [str(tmp_path / "film.mp4")] if command in ("sync", "verify") else []
    named = series.parent if command == "series" else series
    with pytest.raises((PlanError, SystemExit)) as caught:
        run([command, str(named), *film, "--root", str(series.parent)])
    if isinstance(caught.value, SystemExit):
        assert caught.value.code == 2
    else:
        assert "there is no file moves.yaml" in str(caught.value)


def test_a_change_of_the_library_makes_what_was_left_out_old(series: Path, tmp_path: Path) -> None:
    """What a build leaves as it was is told as of an earlier state when the library or the theme has changed since."""
    build(series, only=["captions", "handoff"])
    assert build(series, only=["captions"]).outdated == ()
    for name, text in (("moves.yaml", MOVES.replace("Band row", "Near row")), ("theme.yaml", "ink: '#FFFFFF'\n")):
        build(series, only=["captions", "handoff"])
        (tmp_path / name).write_text(text, "utf-8")
        outdated = build(series, only=["captions"]).outdated
        assert "handoff/class.otio" in [entry.path for entry in outdated]


@pytest.mark.parametrize("name", ["theme.yaml", "moves.yaml"])
def test_a_link_out_of_the_root_is_refused(series: Path, name: str, tmp_path_factory: pytest.TempPathFactory) -> None:
    """A file, or a folder on the way to it: it is not read, and not passed over for one further up."""
    secret = tmp_path_factory.mktemp("secret")
    (secret / name).write_text("secret: 1\n", "utf-8")
    (series.parent / name).symlink_to(secret / name)
    with pytest.raises(PlanError, match=rf"a.yaml:\d:\d+: {name} leads out of the folder"):
        read_plan(series)
    (series.parent / "far").symlink_to(secret)
    with pytest.raises(ValueError, match="leads out of the folder"):
        file_beside(series, f"far/{name}")
    (series.parent / name).unlink()
    (series.parent / name).symlink_to(series.parents[2] / name)
    read_plan(series)


def test_an_image_of_a_shared_exercise_stands_with_it(series: Path, tmp_path: Path) -> None:
    """The library's pictures are found above the plan as the library is, and drawn."""
    Image.new("RGB", (40, 30), (200, 30, 30)).save(tmp_path / "row.png")
    (tmp_path / "moves.yaml").write_text(MOVES.replace("    hands: loaded", "    image: row.png\n    hands: loaded"))
    with_image = build(series, out=tmp_path / "out", only=["stills"])
    (series.parents[2] / "series.yaml").unlink()
    again = build(series, out=tmp_path / "again", only=["stills"], root=tmp_path)
    assert [entry.sha256 for entry in again.entries] == [entry.sha256 for entry in with_image.entries]


def test_a_plan_that_shares_nothing_loads_nothing_for_it(tmp_path: Path) -> None:
    """`overlay check` stays as light as it was."""
    (tmp_path / "a.yaml").write_text("overlay: 1\ntitle: A\nblocks: [{intervals: [{name: B}]}]\n", "utf-8")
    code = (
        "import sys\nfrom pathlib import Path\nfrom overlay.pipeline import proof_read\n"
        "proof_read(Path('a.yaml'))\nassert 'overlay.plan.shared' not in sys.modules\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True, cwd=tmp_path)
