"""What can be noticed in a look: words that are hard to read, on its own plates and at its own scale."""

from __future__ import annotations

from collections.abc import Iterator

from overlay.plan.advice import Finding, Weight
from overlay.plan.look import Look
from overlay.units.color import BLACK, WHITE, Color, contrast_ratio

WORDS_LEAST, SHAPES_LEAST = 4.5, 3.0
"""WCAG 2.2, success criteria 1.4.3 (words) and 1.4.11 (shapes that tell something)."""


def look_advice(look: Look) -> Iterator[Finding]:
    """Contrast over the darkest and the brightest footage, and the sizes of type (DESIGN: two metres).

    >>> from overlay.units.color import Color
    >>> [finding.name for finding in look_advice(Look(ink=Color.parse("#555555")))]
    ['low-contrast']
    """
    # What a plate looks like over footage: it lets a little through.
    plates = [look.plate.over(ground, look.opacity) for ground in (BLACK, WHITE)]
    yield from _contrast("the words", look.ink, plates, WORDS_LEAST)
    yield from _contrast("the last seconds before work", look.work, [look.plate], WORDS_LEAST)
    for name, color in (("work", look.work), ("rest", look.rest), ("preview", look.preview)):
        yield from _contrast(f"the strip of {name}", color, plates, SHAPES_LEAST)
    for name in ("timer", "titles", "previews"):
        scale = getattr(look, name).scale
        if scale < 1:
            part = 24 / scale
            text = f"{name} at {scale:.0%} has words of 1/{part:.0f} of the picture's short side; 1/24 is the least"
            yield Finding("small-type", Weight.FINDING, "look", text, (("part_of_short_side", 1 / part),))


def _contrast(what: str, ink: Color, plates: list[Color], least: float) -> Iterator[Finding]:
    ratio = min(contrast_ratio(ink, plate) for plate in plates)
    if ratio < least:
        text = f"{what} in {ink} stand out from their plate by {ratio:.1f} : 1 only, {least:g} : 1 is the least"
        yield Finding("low-contrast", Weight.FINDING, "look", text, (("contrast", round(ratio, 2)), ("least", least)))
