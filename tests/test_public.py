"""What other programs may lean on: these names, typed, documented, and nothing loaded before it is asked for."""

from __future__ import annotations

import inspect
import subprocess
import sys
from enum import Enum
from pathlib import Path

import pytest

import overlay

NAMES = """
Beep BeepKind Built Counting Cue CueKind Finding FrameRate Hands Layout MachineError Mistake Move OverlayError PlanError
Segment SegmentKind Session Shown Side Size Span Timeline UsageError Weight build lay_out read_plan
""".split()
FIELDS = {
    "Timeline": "title language languages phrases size rate counting start_frame sample_rate_hz segments beeps cues",
    "Segment": "kind span start end block block_name round rounds side move shows card",
    "Beep": "frame kind sample",
    "Cue": "language kind span text block round exercise",
    "Move": "exercise name hands position equipment setup easier harder watch camera image",
    "Layout": "timeline spoken budgets findings",
    "Built": "folder entries outdated timeline findings",
    "Finding": "name weight place text figures lines",
    "Mistake": "line column message remedy source",
}
KINDS = {
    "SegmentKind": "leader opening preview work rest closing",
    "BeepKind": "pop ready start change stop half last finish",
    "CueKind": "cue call",
    "Hands": "loaded free",
    "Side": "right left",
    "Counting": "drop-frame non-drop",
    "Weight": "finding remark",
}


def test_the_names() -> None:
    """These and no others; each can be had, and `dir` shows them."""
    assert sorted(overlay.__all__) == sorted(NAMES)
    assert {name for name in NAMES if not hasattr(overlay, name)} == set()
    assert set(NAMES) <= set(dir(overlay))
    with pytest.raises(AttributeError, match="no attribute 'biuld'"):
        overlay.biuld  # type: ignore[attr-defined]  # noqa: B018


@pytest.mark.parametrize("name", sorted(FIELDS))
def test_the_fields(name: str) -> None:
    """What a value holds, by name; more may come, none goes."""
    assert set(FIELDS[name].split()) <= set(inspect.signature(getattr(overlay, name)).parameters)


@pytest.mark.parametrize("name", sorted(KINDS))
def test_the_kinds(name: str) -> None:
    """The words of the kinds, as they also stand in timeline.json."""
    kinds = getattr(overlay, name)
    assert issubclass(kinds, Enum)
    assert {kind.value for kind in kinds} == set(KINDS[name].split())


@pytest.mark.parametrize("name", NAMES)
def test_each_is_documented(name: str) -> None:
    """A docstring of its own; the three that do work have an example and say what they raise."""
    told = inspect.getdoc(getattr(overlay, name)) or ""
    assert len(told) > 20
    assert not told.startswith(f"{name}("), "a generated docstring tells nothing"
    if name in ("read_plan", "lay_out", "build"):
        assert ">>>" in told
        assert "raises" in told.lower()
        assert set(inspect.signature(getattr(overlay, name)).parameters) <= set(
            inspect.get_annotations(getattr(overlay, name))
        )


def test_import_loads_nothing() -> None:
    """`import overlay` brings in no other module of ours and no library."""
    code = "import sys; before = set(sys.modules); import overlay; print(*sorted(set(sys.modules) - before))"
    loaded = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.split()
    ours = {name for name in loaded if name.startswith("overlay")}
    assert ours == {"overlay"}
    assert not {name.split(".")[0] for name in loaded} & {"pydantic", "ruamel", "typer", "rich", "numpy", "PIL", "av"}


def test_types_are_shipped() -> None:
    """The marker of PEP 561, by which type checkers know that the package has types."""
    assert Path(overlay.__file__).with_name("py.typed").is_file()
