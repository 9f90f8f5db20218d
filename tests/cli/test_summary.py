"""What a build ends with."""

from __future__ import annotations

from pathlib import Path

from overlay import pipeline
from overlay.cli.summary import finding_lines, summary_lines
from overlay.plan.advice import Finding, Weight

PLAN = "overlay: 1\ntitle: Two squats\nblocks: [{id: legs, intervals: [{name: Squat, hands: free}]}]\n"


def built(tmp_path: Path, *only: str, plan: str = PLAN) -> pipeline.Built:
    path = tmp_path / "a class.yaml"
    path.write_text(plan, encoding="utf-8")
    return pipeline.build(path, only=only)


def test_what_was_made_where_and_what_next(tmp_path: Path) -> None:
    """The class, the folder, each room with what it is for, and one thing to do."""
    lines = list(summary_lines(built(tmp_path, "captions", "shot-list"), tmp_path / "a class.yaml"))
    assert lines[0].startswith("Two squats, 40s: 5 files, ")
    assert lines[1] == f"  {tmp_path / 'a class-assets'}"
    assert any(line.startswith("  captions/     3 ") for line in lines)
    assert "shot-list.pdf and film" in lines[-1]
    assert f'overlay sync "{tmp_path / "a class.yaml"}"' in lines[-1]


def test_findings_come_first_and_are_what_to_do_next(tmp_path: Path) -> None:
    """Findings before remarks, and the next step is to mend them."""
    remark = Finding("near-names", Weight.REMARK, "Block 1", "two names are alike", ())
    finding = Finding("no-caution", Weight.FINDING, "caution", "it is empty", ())
    assert [line.split(":")[0] for line in finding_lines([remark, finding])] == ["finding", "remark"]
    made = built(tmp_path, "captions")._replace(findings=(remark, finding))
    assert "mend what is told above" in list(summary_lines(made, tmp_path / "a class.yaml"))[-1]


def test_what_is_older_is_told(tmp_path: Path) -> None:
    """Files of an earlier plan that this build did not make anew."""
    built(tmp_path, "captions")
    again = built(tmp_path, "handoff", plan=PLAN.replace("Squat", "Lunge"))
    assert any("From an earlier plan" in line and "captions/en.srt" in line for line in summary_lines(again, tmp_path))
