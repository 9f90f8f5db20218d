"""How far a build is: what is being made, and the share of the work that lies behind."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from overlay.folder.job import Output
from overlay.timeline.model import Timeline

# Seconds that each took of a class of twelve minutes at 1080p, measured once on two busy cores. Only how they
# compare matters, since the time that went by is what the rest is judged from.
_DRAWN = {"timer": 16.0, "titles": 3.3, "previews": 2.9, "progress": 3.6, "all": 30.0, "stills": 7.4, "sheet": 2.0}
_HEARD = {"tones": 1.4}
_REST = 0.3
_REFERENCE_PX = 1920 * 1080
_REFERENCE_S = 718


class Steps:
    """Tells `step` the name of each output as it begins, and `far` the share of the work that is done, 0 to 1."""

    def __init__(
        self, outputs: Sequence[Output], timeline: Timeline, step: Callable[[str], None], far: Callable[[float], None]
    ) -> None:
        longer = float(timeline.duration) / _REFERENCE_S
        larger = timeline.size.width_px * timeline.size.height_px / _REFERENCE_PX
        self._work = {
            output.name: _DRAWN.get(output.name, 0.0) * larger * longer + _HEARD.get(output.name, 0.0) * longer + _REST
            for output in outputs
        }
        self._step, self._far = step, far
        self._all = sum(self._work.values())
        self._done, self._now = 0.0, 0.0

    def begin(self, name: str) -> None:
        """An output begins, so those before it are done."""
        self._done += self._now
        self._now = self._work[name]
        self._far(self._done / self._all)
        self._step(name)

    def within(self, share: float) -> None:
        """A share of the present output is done."""
        self._far((self._done + self._now * share) / self._all)
