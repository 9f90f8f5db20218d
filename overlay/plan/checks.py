"""The plan's `checks:`: from where on the tool has something to say about a class."""

from fractions import Fraction

from overlay.plan.fields import Duration, Part, PositiveDuration


class Checks(Part):
    """Times are exact seconds. All of it common practice, no source.

    `hands_loaded` is the longest time on the hands without a break of `hands_break`;
    `position_change` and `equipment_change` are what a person needs to get ready;
    `preview_each` is what one exercise of a preview needs to be seen; a block lasts between
    `block_least` and `block_most`; a class may miss its `target` by `target_within`.
    """

    hands_loaded: PositiveDuration = Fraction(180)
    hands_break: Duration = Fraction(10)
    position_change: Duration = Fraction(5)
    equipment_change: Duration = Fraction(10)
    preview_each: Duration = Fraction(5, 2)
    block_least: Duration = Fraction(60)
    block_most: PositiveDuration = Fraction(360)
    target_within: Duration = Fraction(30)
