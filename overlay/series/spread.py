"""Work on many classes spread over the cores of this machine: one class a process at a time."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import active_children, get_context
from typing import NamedTuple, NoReturn, TypeVar

from overlay.errors import EXIT_INTERRUPTED, MachineError, OverlayError
from overlay.pictures.means import follow_the_parent, interrupts_wait

T = TypeVar("T")
Task = Callable[..., T]
"""A function of a module, with what it holds for every class; each class hands it its own arguments."""


class Ended(NamedTuple):
    """How one piece of the work ended: its number, and what came of it or what went wrong."""

    number: int
    result: object = None
    error: OverlayError | None = None


def spread(task: Task[T], classes: Sequence[tuple[object, ...]], workers: int) -> Iterator[Ended]:
    """Do a task for each class, in up to `workers` processes; tell of each as it ends.

    What goes wrong with one class stops no other. Ctrl-C stops all of them, and leaves every folder as it was.
    """
    workers = min(workers, len(classes))
    if workers < 2:
        for number, arguments in enumerate(classes):
            yield attempted(number, task, arguments)
        return
    lost: list[int] = []
    pool = _pool(workers)
    try:
        with interrupts_wait():
            coming = {pool.submit(_stoppable, number, task, each): number for number, each in enumerate(classes)}
        for future in as_completed(coming):
            number = coming.pop(future)
            try:
                yield future.result()
            except BrokenProcessPool:
                lost.append(number)
        # A process that ended before its time takes the others with it; by itself each class shows which it was.
        for number in sorted(lost):
            yield _alone(number, task, classes[number])
    except BaseException:
        for child in active_children():
            child.terminate()
        raise
    finally:
        pool.shutdown(cancel_futures=True)


def _pool(workers: int) -> ProcessPoolExecutor:
    return ProcessPoolExecutor(workers, mp_context=get_context("spawn"), initializer=follow_the_parent)


def _alone(number: int, task: Task[T], arguments: Sequence[object]) -> Ended:
    with _pool(1) as pool:
        try:
            with interrupts_wait():
                coming = pool.submit(_stoppable, number, task, arguments)
            return coming.result()
        except BrokenProcessPool:
            what = "The process that was at work on this class ended before its time."
            remedy = "The machine may be short of memory: close other programs and try again."
            return Ended(number, error=MachineError(what, remedy=remedy))


def attempted(number: int, task: Task[T], arguments: Sequence[object]) -> Ended:
    """The task done for one class. A fault of the tool's own is told like the machine's: the others go on."""
    try:
        return Ended(number, task(*arguments))
    except OverlayError as error:
        return Ended(number, error=error)
    except Exception as error:  # whatever befalls one class must not end the others
        return Ended(number, error=unforeseen(error))


def unforeseen(error: BaseException) -> MachineError:
    """What nobody thought of, in one line."""
    said = " ".join(f"{type(error).__name__}: {error}".split())
    return MachineError(f"The tool itself failed here ({said[:300]}).", remedy="Take this class alone to see more.")


def _stoppable(number: int, task: Task[T], arguments: Sequence[object]) -> Ended:
    """The same in a process that may be asked to end: it then leaves its folder as it was."""
    before = signal.signal(signal.SIGTERM, _stop)
    try:
        return attempted(number, task, arguments)
    except KeyboardInterrupt:
        os._exit(EXIT_INTERRUPTED)
    finally:
        signal.signal(signal.SIGTERM, before)


def _stop(*_: object) -> NoReturn:
    raise KeyboardInterrupt
