"""The plan's `words:`: words of the tool that the plan puts differently, or in a language of its own."""

from overlay.plan.fields import Part, Words


class Wording(Part):
    """One word or short phrase a key; what is left out stays as the tool has it (`words/phrases.py`).

    `left` and `right` are what `{side}` and `{other_side}` stand for, so a plan can decline them as
    its language asks.
    """

    left: Words | None = None
    right: Words | None = None
    opening: Words | None = None
    preview: Words | None = None
    work: Words | None = None
    rest: Words | None = None
    closing: Words | None = None
    next: Words | None = None
    round: Words | None = None
    rounds: Words | None = None
    of: Words | None = None
    easier: Words | None = None
