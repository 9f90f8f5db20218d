"""A plan as YAML again: what was written, mirrors written out."""

from __future__ import annotations

import io
import re
from enum import Enum
from fractions import Fraction
from typing import Any

from pydantic import BaseModel

from overlay.plan.blocks import Block, Cue
from overlay.plan.fields import Text
from overlay.plan.session import Session
from overlay.units.clock import format_duration


def plan_text(session: Session) -> str:
    """The plan as text that reads as the same plan. Defaults that were left out stay out.

    >>> from overlay.plan.read import parse_plan
    >>> print(plan_text(parse_plan(b"overlay: 1\\ntitle: A\\nblocks: [{intervals: [{name: B, work: 90}]}]")))
    overlay: '1'
    title: A
    blocks:
    - id: block-1
      intervals:
      - work: 1:30
        name: B
    <BLANKLINE>
    """
    from ruamel.yaml import YAML

    yaml = YAML()
    yaml.default_flow_style = False
    yaml.width = 1_000_000
    out = io.StringIO()
    yaml.dump(_quoted(_plain(session)), out)
    return out.getvalue()


_NEEDS_NO_QUOTES = re.compile(r"[A-Za-z0-9][A-Za-z0-9_.-]*(?: [A-Za-z0-9_.-]+)*(?::[0-9]+)*")


def _quoted(value: Any) -> Any:
    """Quotes round every text that is more than plain words: no reader can then take it for anything else."""
    from ruamel.yaml.scalarstring import DoubleQuotedScalarString

    if isinstance(value, dict):
        return {_quoted(key): _quoted(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [_quoted(inner) for inner in value]
    return value if _NEEDS_NO_QUOTES.fullmatch(value) else DoubleQuotedScalarString(value)


def _plain(value: Any) -> Any:
    if isinstance(value, Cue) and value.model_fields_set == {"say"}:
        return _plain(value.say)
    if isinstance(value, BaseModel):
        keys = [key for key in type(value).model_fields if key in value.model_fields_set]
        if isinstance(value, Block):
            keys = [key for key in keys if key != "mirror"]
        return {key: _plain(getattr(value, key)) for key in keys if getattr(value, key) is not None}
    if isinstance(value, Text):
        versions = dict(value.versions)
        return versions[""] if list(versions) == [""] else versions
    if isinstance(value, Fraction):
        return f"-{format_duration(-value)}" if value < 0 else format_duration(value)
    if isinstance(value, dict):
        return {key: _plain(inner) for key, inner in value.items()}
    if isinstance(value, tuple | list):
        return [_plain(inner) for inner in value]
    if isinstance(value, frozenset):
        return sorted(value)
    if isinstance(value, bool):
        return "true" if value else "false"
    return str(value.value) if isinstance(value, Enum) else str(value)
