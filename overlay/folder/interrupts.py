"""Ctrl-C, held back for the moment in which a folder changes hands."""

from __future__ import annotations

import contextlib
import signal
import threading
from collections.abc import Iterator

_ASKING = [getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name)]


@contextlib.contextmanager
def interrupts_wait() -> Iterator[None]:
    """Requests to stop that arrive in this block are heard at its end."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    heard: list[int] = []
    before = {
        number: signal.signal(number, lambda number, _: heard.append(number))
        for number in _ASKING
        if callable(signal.getsignal(number))
    }
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
        if heard:
            signal.raise_signal(heard[0])
