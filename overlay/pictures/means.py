"""With what states are coded: the cache first, then this process, or several where it is worth it.

A process more costs about half a second before it codes its first slice, so it is started only for
work of several seconds. Each one makes the layer anew from its recipe and codes a share of the
states; slices come out the same whoever codes them, so the bytes do not depend on the number.
"""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import AbstractContextManager, closing, contextmanager
from dataclasses import dataclass
from multiprocessing import get_context, parent_process
from multiprocessing.process import BaseProcess
from pathlib import Path
from threading import Thread

from overlay.errors import MachineError
from overlay.pictures.cache import PictureCache, key_maker, tool_sum
from overlay.pictures.coding import ENCODER, ENCODER_OPTIONS, Coding, Patch, code_states, pack, unpack
from overlay.pictures.composite import drawn_by
from overlay.pictures.frames import Layer

Pool = Callable[[int], AbstractContextManager[Executor]]
"""Gives so many workers, which another machine may have."""
Recipe = Callable[[], Layer]
"""Makes a layer; what another process can be handed: a function of a module with its arguments."""

WORTH_A_PROCESS_PX = 60_000_000
"""Pixels to draw and code that take one process about two seconds."""
_SHARES_A_WORKER, _SHARE_PX = 4, 15_000_000
"""How finely work is shared out: evenly, and in half seconds, so that Ctrl-C is soon heard."""


@dataclass(frozen=True)
class Means:
    """How many processes may code, from how much work on each one is worth it, and what is remembered."""

    workers: int = 1
    cache: PictureCache | None = None
    worth_px: int = WORTH_A_PROCESS_PX
    told: Callable[[float], None] = lambda _: None
    """Told the share of a layer's states that is coded, 0 to 1, again and again."""
    pool: Pool | None = None
    """Where the workers are; processes of this machine if it is None."""

    def coding(self, recipe: Recipe) -> Coding:
        """What `code_layer` takes: codes states of the layer that the recipe makes."""

        def code(layer: Layer, states: Sequence[tuple[int, Hashable]]) -> Iterator[Patch]:
            keys = state_keys(layer, states, ENCODER, ENCODER_OPTIONS) if self.cache else {}
            found = self.cache.find(keys.values()) if self.cache else {}
            missing = [state for state in states if keys.get(state) not in found]
            coded = self._code(recipe, layer, missing)
            made = {}
            for count, (state, patch) in enumerate(zip(missing, coded, strict=True), 1):
                made[state] = patch
                self.told(count / len(missing))
            if self.cache and made:
                self.cache.keep((keys[state], pack(patch)) for state, patch in made.items() if state in keys)
            return (made[state] if state in made else unpack(found[keys[state]]) for state in states)

        return code

    def remembered(self, values: tuple[object, ...], make: Callable[[], bytes]) -> bytes:
        """What was made of the same values, by their `repr`, with the same version of the tool; else it is made now."""
        if self.cache is None:
            return make()
        key = key_maker(tool_sum())(values)
        found = self.cache.find([key]).get(key)
        if found is None:
            found = make()
            self.cache.keep([(key, found)])
        return found

    def _code(self, recipe: Recipe, layer: Layer, states: Sequence[tuple[int, Hashable]]) -> Iterator[Patch]:
        work_px = sum(layer.parts[part].box.width_px * layer.parts[part].box.height_px for part, _ in states)
        workers = min(self.workers, work_px // self.worth_px + 1)
        if workers < 2:
            return code_states(layer, states)
        return _shared_out(recipe, states, work_px, workers, self.pool or processes)


@contextmanager
def opened_means(
    workers: int, cache: Path | None, told: Callable[[float], None] = lambda _: None, pool: Pool | None = None
) -> Iterator[Means]:
    """Means with a cache in a folder, if one is named; it is let go of at the end."""
    if cache is None:
        yield Means(workers, told=told, pool=pool)
        return
    with closing(PictureCache(cache)) as remembered:
        yield Means(workers, remembered, told=told, pool=pool)


def state_keys(
    layer: Layer, states: Iterable[tuple[int, Hashable]], *coding: object
) -> dict[tuple[int, Hashable], bytes]:
    """The keys of the states whose part says what shapes it, coded in some way."""
    key = key_maker(tool_sum(), coding, layer.size)
    common = {
        number: key_maker(key(drawn_by(part), part.box, part.shaped_by))
        for number, part in enumerate(layer.parts)
        if part.shaped_by is not None
    }
    return {(number, state): common[number](state) for number, state in states if number in common}


def layer_shape(layer: Layer) -> tuple[object, ...]:
    """All that shapes what a layer shows and when, if its parts say what shapes them."""
    parts = [(drawn_by(part), part.box, part.shaped_by, part.changes) for part in layer.parts]
    counted = (layer.rate, layer.counting, layer.start_frame, layer.frame_count, layer.flash_frame)
    return (layer.name, layer.size, counted, parts)


def _shared_out(
    recipe: Recipe, states: Sequence[tuple[int, Hashable]], work_px: int, workers: int, pool: Pool
) -> Iterator[Patch]:
    length = max(1, min(-(-len(states) // (workers * _SHARES_A_WORKER)), len(states) * _SHARE_PX // work_px))
    shares = [states[start : start + length] for start in range(0, len(states), length)]
    with pool(workers) as executor:
        with interrupts_wait():
            coming: list[Future[list[Patch]]] = [executor.submit(_code_share, recipe, share) for share in shares]
        for future in coming:
            yield from future.result()


@contextmanager
def processes(workers: int) -> Iterator[Executor]:
    """So many processes of this machine. Raises MachineError where one ends before its time."""
    pool = ProcessPoolExecutor(workers, mp_context=get_context("spawn"), initializer=follow_the_parent)
    try:
        yield pool
    except BrokenProcessPool as error:
        raise MachineError(
            "A process that was coding pictures ended before its time.",
            remedy="The machine may be short of memory: close other programs and build again, or use --workers 1.",
        ) from error
    finally:
        pool.shutdown(cancel_futures=True)


@contextmanager
def interrupts_wait() -> Iterator[None]:
    """Ctrl-C comes afterwards; processes that are started meanwhile never hear it, not even before their first line."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def follow_the_parent() -> None:
    """Ctrl-C reaches every process; only the first one is to say so. Where that one ends without a word, so do we."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    Thread(target=_end_with, args=(parent_process(),), daemon=True).start()


def _end_with(parent: BaseProcess | None) -> None:
    if parent is not None:
        parent.join()
        os._exit(1)


def _code_share(recipe: Recipe, states: Sequence[tuple[int, Hashable]]) -> list[Patch]:
    return list(code_states(recipe(), states))
