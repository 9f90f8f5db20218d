"""The same work on a Dask cluster: a task a class, wherever a worker is free.

Queues, retries and transport are Dask's. Ours is what a task is, who may do it, and how a class comes into its folder:
a worker that sees the folder builds into it as this machine would; where one sees it not, plans go out with the files
that they name, and classes come back to be put in place here.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Executor
from contextlib import ExitStack, contextmanager
from pathlib import Path
from tempfile import NamedTemporaryFile
from typing import TYPE_CHECKING, Any

from overlay.errors import MachineError, UsageError
from overlay.pictures.cache import tool_sum
from overlay.series.classes import Made, build_class
from overlay.series.parcel import Parcel, Sent, make_of_parcel, parcel_of, put_in_place
from overlay.series.spread import Ended, attempted, unforeseen
from overlay.versions import versions

if TYPE_CHECKING:
    from distributed import Client, Future

RETRIES = 2
"""How often a class is tried again, elsewhere where there is one, after a machine failed."""
PATIENCE_SECONDS = 30
SEEN = ".class-overlay-seen-"
OWN_CODE = "its own code and fonts"
"""How the sum over what is ours is called beside the versions of libraries."""

Classes = Sequence[tuple[Path, Path]]
"""Plans, and the folder that each class is built into."""
CacheFolder = Callable[[], Path]
"""Gives the folder in which pictures are remembered, on the machine that asks."""


class Cluster:
    """A Dask cluster by the address of its scheduler, for `build_classes`.

    `cache` is asked on each worker where it remembers pictures, None for not at all. `is_shared` says whether all
    workers see the folders of plans and classes; left out, that is found out.
    """

    def __init__(self, address: str, cache: CacheFolder | None = None, *, is_shared: bool | None = None) -> None:
        self._address = address
        self._cache = cache
        self._is_shared = is_shared

    def __call__(self, classes: Classes, options: Mapping[str, Any]) -> Iterator[Ended]:
        """Build the classes with these options of `pipeline.build`; tell of each as it ends.

        Raises UsageError without `distributed`, MachineError where there is no cluster or a worker is refused.
        """
        classes = [(plan.resolve(), folder.resolve()) for plan, folder in classes]
        with _connected(self._address) as client:
            refuse_others(client)
            worker_count = len(client.nthreads())
            options = {**options, "workers": max(1, worker_count // len(classes))}
            shared = _all_see(client, classes) if self._is_shared is None else self._is_shared
            yield from (self._in_place if shared else self._streamed)(client, classes, options)

    def _in_place(self, client: Client, classes: Classes, options: Mapping[str, Any]) -> Iterator[Ended]:
        tasks = {number: (_build_here, plan, folder, options, self._cache) for number, (plan, folder) in _all(classes)}
        yield from _done(client, tasks)

    def _streamed(self, client: Client, classes: Classes, options: Mapping[str, Any]) -> Iterator[Ended]:
        """Nothing but what is to be made is read before it is sent; one class at a time is held here."""
        tasks = {}
        for number, (plan, _) in _all(classes):
            packed = attempted(number, parcel_of, (plan, options.get("root")))
            if packed.error is not None:
                yield packed
            else:
                tasks[number] = (_build_away, packed.result, options, self._cache)
        here = {**options, "workers": 1}
        for ended in _done(client, tasks):
            if isinstance(ended.result, Sent):
                yield attempted(ended.number, put_in_place, (*classes[ended.number], ended.result, here))
            else:
                yield ended


def _all(classes: Classes) -> Iterator[tuple[int, tuple[Path, Path]]]:
    return iter(enumerate(classes))


def _done(client: Client, tasks: Mapping[int, tuple[Any, ...]]) -> Iterator[Ended]:
    """Hand the tasks to the scheduler; give each as it ends."""
    from distributed import as_completed

    ours = shapes()
    futures = {
        client.submit(_on_worker, number, ours, task, pure=False, retries=RETRIES): number
        for number, task in tasks.items()
    }
    for future in as_completed(list(futures), loop=client.loop):
        number = futures.pop(future)
        yield _ended(number, future)
        future.release()


def _ended(number: int, future: Future[Ended]) -> Ended:
    from distributed import KilledWorker

    try:
        return future.result()
    except MachineError as error:
        return Ended(number, error=error)
    except KilledWorker:
        what = "The workers that were at work on this class ended before their time, one after the other."
        return Ended(number, error=MachineError(what, remedy="They may be short of memory: build it by itself."))
    except Exception as error:  # whatever befalls one class must not end the others
        return Ended(number, error=unforeseen(error))


def _on_worker(number: int, ours: Mapping[str, str], task: tuple[Any, ...]) -> Ended:
    """A task on whichever worker it falls to. A machine's failure is raised, so that it is tried again elsewhere."""
    function, *arguments = task
    differing = differences(ours, shapes())
    if differing:
        # It came after the others were looked at.
        raise MachineError(_refusal({_own_name(): differing}))
    ended = attempted(number, function, arguments)
    if isinstance(ended.error, MachineError):
        raise ended.error
    return ended


def _build_here(plan: Path, folder: Path, options: Mapping[str, Any], cache: CacheFolder | None) -> Made:
    return build_class(plan, folder, **_with_means(options, cache))


def _build_away(parcel: Parcel, options: Mapping[str, Any], cache: CacheFolder | None) -> Sent:
    # What a class brings of its own stands on this worker alone, so no other one can draw with it.
    options = {**options, "workers": 1} if parcel.files else options
    return make_of_parcel(parcel, _with_means(options, cache))


def _with_means(options: Mapping[str, Any], cache: CacheFolder | None) -> dict[str, Any]:
    return {**options, "cache": cache() if cache is not None else None, "pool": _rest_of_the_cluster}


@contextmanager
def _rest_of_the_cluster(workers: int) -> Iterator[Executor]:
    """The cluster's workers as an executor, for the pictures of a large class. This task makes room meanwhile."""
    from distributed import worker_client

    with worker_client() as client, client.get_executor(pure=False, retries=RETRIES) as executor:
        yield executor


@contextmanager
def _connected(address: str) -> Iterator[Client]:
    """A client of the cluster. Certificates and the like are Dask's own settings."""
    try:
        from distributed import Client
    except ImportError:
        remedy = "Install it with the tool: pip install 'class-overlay[cluster]'"
        raise UsageError("For --cluster the library distributed is needed.", remedy=remedy) from None
    try:
        client = Client(address, timeout=PATIENCE_SECONDS, set_as_default=False)
    except (OSError, ValueError, TypeError, RuntimeError) as error:  # without certificates Dask says TypeError
        said = " ".join(str(error).split())[:200]
        remedy = "Check the address, and with TLS your certificates: see DEVELOPERS.md, On many machines."
        raise MachineError(f"No scheduler answers at {address}: {said}", remedy=remedy) from None
    with client:
        try:
            client.wait_for_workers(1, timeout=PATIENCE_SECONDS)
        except TimeoutError:
            what = f"The scheduler at {address} has no workers."
            raise MachineError(what, remedy="Start some: see DEVELOPERS.md, On many machines.") from None
        yield client


def shapes() -> dict[str, str]:
    """All that shapes what is made, by name: versions, and a sum over our own code and fonts."""
    return {**versions(), OWN_CODE: tool_sum().hex()[:12]}


def differences(ours: Mapping[str, str], theirs: Mapping[str, str]) -> list[str]:
    """What another machine has otherwise, in words.

    >>> differences({"av": "17.1"}, {"av": "16.0"})
    ['av 16.0, not 17.1']
    """
    names = dict.fromkeys([*ours, *theirs])
    return [f"{n} {theirs.get(n, 'missing')}, not {ours.get(n)}" for n in names if ours.get(n) != theirs.get(n)]


def refuse_others(client: Client) -> None:
    """Raise MachineError with the name of every worker that would make something else, or several classes at once."""
    ours = shapes()
    refused: dict[str, list[str]] = {}
    try:
        found = client.run(shapes, on_error="return")
    except Exception as error:  # whatever the workers' side raised comes here as it was
        raise MachineError(f"The workers cannot be asked for their versions: {error}") from None
    for address, theirs in found.items():
        if isinstance(theirs, Exception):
            refused[address] = [f"this tool cannot be used there ({theirs})"]
        elif differing := differences(ours, theirs):
            refused[address] = differing
    for address, thread_count in client.nthreads().items():
        if thread_count != 1:
            refused.setdefault(address, []).append(f"{thread_count} threads: start it with --nthreads 1")
    if refused:
        remedy = "Install the same there as here, start it with --nthreads 1, or take it out of the cluster."
        raise MachineError(_refusal(refused), remedy=remedy)


def _refusal(refused: Mapping[str, Sequence[str]]) -> str:
    rows = (f"\n  {name}: {'; '.join(why)}" for name, why in sorted(refused.items()))
    return f"These workers would not make the same:{''.join(rows)}"


def _own_name() -> str:
    from distributed import get_worker

    return str(get_worker().address)


def _all_see(client: Client, classes: Classes) -> bool:
    """Whether every worker sees each plan, and a file that is put for a moment where classes go."""
    places = {_standing(folder.parent) for _, folder in classes}
    try:
        with ExitStack() as stack:
            made = [stack.enter_context(NamedTemporaryFile(dir=place, prefix=SEEN)) for place in sorted(places)]
            seen = client.run(_sees, [Path(probe.name) for probe in made], [plan for plan, _ in classes])
    except OSError:
        # What cannot be written here is told by the build, class by class.
        return False
    return all(seen.values())


def _standing(folder: Path) -> Path:
    return next(above for above in (folder, *folder.parents) if above.is_dir())


def _sees(probes: Sequence[Path], plans: Sequence[Path]) -> bool:
    return all(probe.is_file() and os.access(probe.parent, os.W_OK) for probe in probes) and all(
        plan.is_file() for plan in plans
    )
