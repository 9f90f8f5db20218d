"""What the tool noticed about a class: data first, words from it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class Weight(Enum):
    """A `FINDING` should be mended before the shoot; a `REMARK` may be meant."""

    FINDING = "finding"
    REMARK = "remark"


@dataclass(frozen=True)
class Finding:
    """One thing noticed, with its short name, its place in the class, and the words for it.

    `figures` are the numbers behind it, each name with its unit.
    """

    name: str
    weight: Weight
    place: str
    text: str
    figures: tuple[tuple[str, float], ...] = ()
