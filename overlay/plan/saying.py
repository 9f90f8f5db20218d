"""The plan's `saying:`: how much silence stands around beeps and between cues."""

from fractions import Fraction

from overlay.plan.fields import Duration, Part


class Saying(Part):
    """Exact seconds; all of it common practice, no source.

    Nothing is said from `before_beep` before a beep until `after_beep` after its sound is over
    (`after_pip` for a ready pip), and between two cues lies at least a `breath`.
    """

    before_beep: Duration = Fraction(3, 10)
    after_beep: Duration = Fraction(3, 10)
    after_pip: Duration = Fraction(1, 5)
    breath: Duration = Fraction(3, 10)
