"""Many classes built and proof-read: each as if it were alone."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

from overlay.pipeline import build, proof_read
from overlay.series.classes import build_classes, check_classes

BAD = "overlay: 1\ntitle: A\nblocks: [{intervals: [{nme: B}]}]\n"


def overlay(*arguments: str | Path, cwd: Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "overlay", *map(str, arguments)]
    return subprocess.run(command, capture_output=True, text=True, encoding="utf-8", cwd=cwd, check=False)


def test_findings_and_outputs_equal_building_each_alone(
    series: Callable[..., list[Path]], files: Callable[[Path], dict[str, bytes]], tmp_path: Path
) -> None:
    """Every byte of every file, with two workers and one cache, and every finding; a class by itself has none."""
    plans = series(5)[2:]
    only = ["captions", "titles", "progress", "script", "handoff", "rehearsal"]
    rows = build_classes(plans, out=tmp_path / "many", workers=2, cache=tmp_path / "cache", only=only)
    assert [row.plan for row in rows] == plans
    checked = check_classes(plans, workers=2)
    for plan, row, check in zip(plans, rows, checked, strict=True):
        alone = build(plan, out=tmp_path / "alone" / plan.stem, only=only)
        assert row.made is not None
        assert row.made.folder is not None
        assert files(row.made.folder) == files(alone.folder)
        assert (row.made.findings, row.error) == (alone.findings, None)
        assert check.made is not None
        assert check.made.findings == proof_read(plan).findings
    assert [bool(row.made and row.made.findings) for row in rows] == [False, False, True]


def test_one_bad_plan_does_not_stop_the_others(series: Callable[..., list[Path]]) -> None:
    """Its mistake is told with its line, the others are made, the table tells all, the status is the worst one's."""
    plans = series(2)
    folder = plans[0].parent
    (folder / "class-1b.yaml").write_text(BAD, "utf-8")
    done = overlay("build", ".", "--only", "captions", cwd=folder)
    assert done.returncode == 2
    assert "class-1b.yaml:3:24: no such key here: nme. Did you mean name?" in done.stderr
    assert "3/3 " in done.stderr
    table = [line.split() for line in done.stdout.splitlines()]
    assert table[0] == ["Class", "Length", "Files", "MB"]
    assert [row[0] for row in table[1:4]] == ["class-1.yaml", "class-1b.yaml", "class-2.yaml"]
    assert table[2][1:] == ["not", "done:", "1", "mistake", "in", "the", "plan"]
    assert table[4][:4] == ["2", "of", "3", "classes,"]
    assert [path.name for path in sorted(folder.glob("*-assets"))] == ["class-1-assets", "class-2-assets"]


def test_check_of_many(series: Callable[..., list[Path]]) -> None:
    """Findings by plan, 1 for them, 2 for a plan that cannot be used; as data one object with each class."""
    plans = series(5)
    folder = plans[0].parent
    assert overlay("check", *plans[:4], cwd=folder).returncode == 0
    done = overlay("check", folder, cwd=folder)
    assert done.returncode == 1
    assert "class-5.yaml: finding: " in done.stderr
    (folder / "bad.yaml").write_text(BAD, "utf-8")
    done = overlay("check", "--json", ".", cwd=folder)
    assert (done.returncode, done.stderr) == (2, "")
    classes = json.loads(done.stdout)["classes"]
    assert [one["plan"] for one in classes] == ["bad.yaml", *(plan.name for plan in plans)]
    assert "no such key" in classes[0]["errors"][0]
    alone = json.loads(overlay("check", "--json", plans[4], cwd=folder).stdout)
    assert classes[5] == {"plan": "class-5.yaml", **alone, "errors": []}


def test_one_plan_is_as_before_and_a_root_is_taken(series: Callable[..., list[Path]]) -> None:
    """No table for one plan; without the mark of the series its files are out of reach until --root names it."""
    (plan,) = series(1)
    below = plan.parent / "below"
    below.mkdir()
    shutil.move(plan, below / plan.name)
    done = overlay("build", below / plan.name, "--only", "captions", cwd=plan.parent)
    assert done.returncode == 0, done.stderr
    assert "4 files" in done.stdout.splitlines()[0]
    assert "Files" not in done.stdout
    (plan.parent / "series.yaml").unlink()
    for command in (["check"], ["build", "--only", "captions"]):
        done = overlay(*command, below / plan.name, cwd=plan.parent)
        assert done.returncode == 2
        assert "class-1.yaml:3:17: there is no file moves.yaml beside the plan" in done.stderr
        assert overlay(*command, below / plan.name, "--root", ".", cwd=plan.parent).returncode == 0
        assert overlay(*command, below, "--root", ".", cwd=plan.parent).returncode == 0


def test_a_machine_failure_is_the_worst(series: Callable[..., list[Path]]) -> None:
    """A folder that cannot be written ends with 3, whatever else is wrong, and the other classes are made."""
    plans = series(2)
    folder = plans[0].parent
    (folder / "a-bad.yaml").write_text(BAD, "utf-8")
    (folder / "class-1-assets").write_text("in the way", "utf-8")
    done = overlay("build", folder, "--only", "captions", cwd=folder)
    assert done.returncode == 3
    assert "the machine failed" in done.stdout
    assert (folder / "class-2-assets" / "manifest.json").is_file()
