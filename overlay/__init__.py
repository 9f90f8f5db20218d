"""From the plan of a follow-along class to everything its editor drops onto the footage.

As a library: `read_plan` gives a `Session`, `lay_out` puts it on the clock, `build` makes the files.

>>> import pathlib, tempfile
>>> import overlay
>>> with tempfile.TemporaryDirectory() as folder:
...     plan = pathlib.Path(folder, "one.yaml")
...     _ = plan.write_text("overlay: 1\\ntitle: One\\nblocks: [{intervals: [{name: Squat}]}]", "utf-8")
...     timeline = overlay.lay_out(overlay.read_plan(plan)).timeline
...     built = overlay.build(plan, only=["captions"])
>>> [(part.kind.value, part.span.start_frame, part.span.end_frame) for part in timeline.segments]
[('preview', 0, 300), ('work', 300, 1200)]
>>> [entry.path for entry in built.entries]
['timeline.json', 'captions/en.srt', 'captions/en.vtt', 'captions/en.ttml']

Positions are whole frames in half-open spans; `start`, `end` and lengths are exact seconds (`fractions.Fraction`);
other numbers carry their unit in their names. What a person did wrong is a `PlanError` (with every `Mistake` by line
and column) or a `UsageError`, what the machine did a `MachineError`; all are `OverlayError`s. A name below is
loaded when it is first asked for: `import overlay` by itself loads nothing.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from overlay.errors import MachineError, Mistake, OverlayError, PlanError, UsageError
    from overlay.pipeline import Built, build
    from overlay.plan.advice import Finding, Weight
    from overlay.plan.fields import Hands, Side
    from overlay.plan.read import read_plan
    from overlay.plan.session import Session
    from overlay.timeline.layout import Layout, lay_out
    from overlay.timeline.model import Beep, BeepKind, Cue, CueKind, Move, Segment, SegmentKind, Shown, Timeline
    from overlay.units.raster import Size
    from overlay.units.rate import Counting, FrameRate
    from overlay.units.span import Span

__all__ = [
    "Beep",
    "BeepKind",
    "Built",
    "Counting",
    "Cue",
    "CueKind",
    "Finding",
    "FrameRate",
    "Hands",
    "Layout",
    "MachineError",
    "Mistake",
    "Move",
    "OverlayError",
    "PlanError",
    "Segment",
    "SegmentKind",
    "Session",
    "Shown",
    "Side",
    "Size",
    "Span",
    "Timeline",
    "UsageError",
    "Weight",
    "build",
    "lay_out",
    "read_plan",
]

_MODULES = {
    "errors": ("MachineError", "Mistake", "OverlayError", "PlanError", "UsageError"),
    "pipeline": ("Built", "build"),
    "plan.advice": ("Finding", "Weight"),
    "plan.fields": ("Hands", "Side"),
    "plan.read": ("read_plan",),
    "plan.session": ("Session",),
    "timeline.layout": ("Layout", "lay_out"),
    "timeline.model": ("Beep", "BeepKind", "Cue", "CueKind", "Move", "Segment", "SegmentKind", "Shown", "Timeline"),
    "units.raster": ("Size",),
    "units.rate": ("Counting", "FrameRate"),
    "units.span": ("Span",),
}


def __getattr__(name: str) -> Any:
    for module, names in _MODULES.items():
        if name in names:
            return getattr(import_module(f"overlay.{module}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
