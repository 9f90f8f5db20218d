"""The plan reference tells the truth: its plan reads, its keys exist, its findings are all there are."""

from __future__ import annotations

import re
from pathlib import Path

import overlay
from overlay.plan.advice import plan_advice
from overlay.plan.read import parse_plan, session_of
from overlay.plan.session import Session
from overlay.plan.source import parse_source
from overlay.timeline.check import check_class
from overlay.timeline.layout import lay_out

PACKAGE = Path(overlay.__file__).parent
TEXT = (PACKAGE / "plan" / "README.md").read_text("utf-8")


def test_the_plan_in_the_reference_checks_clean() -> None:
    """What is shown as a plan is one, and a good one."""
    plan = re.findall(r"```yaml\n(.*?)```", TEXT, re.DOTALL)[0]
    source = parse_source(plan.encode("utf-8"), "a.yaml")
    session = session_of(source)
    findings = (*plan_advice(session, source), *check_class(session, lay_out(session)))
    assert [(finding.name, finding.text) for finding in findings] == []


def test_every_row_of_keys_reads() -> None:
    """Each `key: {…}` of the table, put into a small plan, is read as it stands."""
    rows = re.findall(r"^\| `([a-z]+: .*?)` \|", TEXT, re.MULTILINE)
    assert len(rows) == 12
    for row in rows:
        text = f"overlay: 1\ntitle: A\nblocks: [{{intervals: [{{name: B}}]}}]\n{row.replace('…', 'Mind yourself.')}\n"
        parse_plan(text.encode("utf-8"), "a.yaml")


def test_every_key_at_the_top_is_told() -> None:
    """No key of a plan is left out of the reference."""
    for key in Session.model_fields:
        assert f"{key}:" in TEXT or f"`{key}" in TEXT, key


def test_every_finding_is_told() -> None:
    """Each name that the code gives a finding stands in the reference, and no other; those of footage in its own."""
    footage = PACKAGE / "footage"
    code = "".join(path.read_text("utf-8") for path in PACKAGE.rglob("*.py") if footage not in path.parents)
    given = set(re.findall(r'(?:Finding|_report)\(\s*"([a-z-]+)"', code))
    part = TEXT[TEXT.index("## What `overlay check` may say") :]
    told = set(re.findall(r"`([a-z]+(?:-[a-z]+)+)`", part))
    assert told == given
