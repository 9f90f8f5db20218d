"""How far long work is: on a terminal one line with the time left, anywhere else a line for each step."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from fractions import Fraction
from typing import NamedTuple

from overlay.cli.messages import say
from overlay.units.clock import format_duration

_SOONEST_S = 2.0
"""Nothing is said of the time left before so much has passed: it would be a guess."""


class Watch(NamedTuple):
    """What long work calls: `step` with what begins, `far` with the share of all work that is done, 0 to 1."""

    step: Callable[[str], None]
    far: Callable[[float], None]


class TimeLeft:
    """The time that work will still take, from the share that is done; between two shares it runs down.

    >>> left = TimeLeft(now=0.0)
    >>> left.is_now_at(0.25, now=10.0)
    >>> left.seconds(now=12.0)
    28.0
    """

    def __init__(self, now: float) -> None:
        self._began = now
        self._end: float | None = None

    def is_now_at(self, share: float, now: float) -> None:
        """Take in that a share of all work is done."""
        if share > 0 and now - self._began >= _SOONEST_S:
            self._end = self._began + (now - self._began) / share

    def seconds(self, now: float) -> float | None:
        """Seconds left, or None while nothing can be said."""
        return None if self._end is None else max(0.0, self._end - now)


def left_in_words(seconds: float | None) -> str:
    """The time left as people say it, rounded more the longer it is.

    >>> left_in_words(None), left_in_words(3.2), left_in_words(38), left_in_words(312)
    ('', 'a few seconds left', 'about 40s left', 'about 5:15 left')
    """
    if seconds is None:
        return ""
    if seconds < 5:
        return "a few seconds left"
    grain = 5 if seconds < 60 else 15
    return f"about {format_duration(Fraction(round(seconds / grain) * grain))} left"


@contextmanager
def shown_progress(*, quiet: bool) -> Iterator[Watch]:
    """Show how far work is on standard error. With `quiet` nothing is shown."""
    if quiet:
        yield Watch(lambda _: None, lambda _: None)
    elif sys.stderr.isatty():
        yield from _on_a_terminal()
    else:
        yield Watch(_logged, lambda _: None)


def _logged(step: str) -> None:
    say(step, to_error=True)
    sys.stderr.flush()


def _on_a_terminal() -> Iterator[Watch]:
    from rich.console import Console
    from rich.progress import BarColumn, Progress, ProgressColumn, Task
    from rich.text import Text

    left = TimeLeft(time.monotonic())

    class Left(ProgressColumn):
        def render(self, task: Task) -> Text:
            return Text(left_in_words(left.seconds(time.monotonic())))

    class Step(ProgressColumn):
        def render(self, task: Task) -> Text:
            return Text(task.description)

    bar = BarColumn(complete_style="yellow", finished_style="yellow")
    console = Console(stderr=True, emoji=False, markup=False, highlight=False)
    with Progress(Step(), bar, Left(), console=console, transient=True) as shown:
        task = shown.add_task("", total=1.0)

        def far(share: float) -> None:
            left.is_now_at(share, time.monotonic())
            shown.update(task, completed=share)

        yield Watch(lambda step: shown.update(task, description=step), far)
