"""The plan's `paper:`: the sheets that are printed, and what is filmed beside the class."""

from enum import Enum
from fractions import Fraction
from typing import Annotated

from pydantic import BeforeValidator, WithJsonSchema

from overlay.plan.fields import Duration, Part, one_of


class PaperSize(Enum):
    """The sheet in the printer."""

    A4 = "a4"
    LETTER = "letter"


class PaperSettings(Part):
    """`insert` is what one exercise is filmed for to be shown in a preview, `handles` the spare time
    before it and after it, in exact seconds (common practice, no source); no insert is filmed where it is zero.
    """

    size: Annotated[
        PaperSize, BeforeValidator(one_of(PaperSize)), WithJsonSchema({"enum": [size.value for size in PaperSize]})
    ] = PaperSize.A4
    insert: Duration = Fraction(4)
    handles: Duration = Fraction(2)
