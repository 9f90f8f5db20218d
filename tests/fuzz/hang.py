"""An end to what hangs: the program is ended where it stands, in native code too, and tells where that is."""

from __future__ import annotations

import faulthandler
import signal
from collections.abc import Iterator
from contextlib import contextmanager

CASE_SECONDS = 5
"""Of the processor's time: a case that takes more hangs, however busy the machine is."""
WAITING_SECONDS = 300
"""By the clock, for a case that only waits."""


@contextmanager
def cut_off(case_seconds: float = CASE_SECONDS, waiting_seconds: float = WAITING_SECONDS) -> Iterator[None]:
    """End the whole program if what is done within takes longer."""
    faulthandler.dump_traceback_later(waiting_seconds, exit=True)
    can_count = hasattr(signal, "setitimer")  # Windows cannot: there the clock alone counts
    if can_count:
        # The traceback first, then what the signal does by itself: it ends the process.
        faulthandler.register(signal.SIGPROF, chain=True)
        signal.setitimer(signal.ITIMER_PROF, case_seconds)
    try:
        yield
    finally:
        if can_count:
            signal.setitimer(signal.ITIMER_PROF, 0)
        faulthandler.cancel_dump_traceback_later()
