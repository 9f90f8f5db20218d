"""A folder filled with outputs: all of them appear, or none, and nobody else's file is touched."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import replace as changed
from pathlib import Path, PurePosixPath
from typing import NamedTuple

from overlay.errors import MachineError, UsageError
from overlay.folder.catalog import rows_of
from overlay.folder.disk import Disk
from overlay.folder.job import File, Job, Output
from overlay.folder.manifest import MANIFEST, Entry, MadeFrom, manifest_text, sha256_of
from overlay.folder.write import Writing

_THREADS = 2
"""That sum up files while the class is laid out."""


class Filled(NamedTuple):
    """What was made this time, what of it stood there already just so, and what stands in the folder from an
    earlier plan."""

    written: tuple[Entry, ...]
    outdated: tuple[Entry, ...]
    reused: tuple[Entry, ...]


def fill(
    folder: Path,
    outputs: Sequence[Output],
    job: Job,
    made_from: MadeFrom,
    progress: Callable[[str], None],
    *,
    replace: bool = False,
    anew: bool = False,
    disk: Disk | None = None,
    elsewhere: Mapping[str, Sequence[File]] | None = None,
) -> Filled:
    """Make the outputs, check them, put them in place, the manifest last. Tells the name of each as it begins.

    Where the files were made on another machine, `elsewhere` has them, by their kind.
    `made_from` are the sums of what the class is written in.

    Where the manifest says that the same inputs made a file before, and it still is as it was written, it is taken
    as it is, unless `anew`. Raises UsageError where a file in the way is not ours or was changed since (unless
    `replace`), before anything is written; MachineError when the disk refuses; the folder then holds what it held.
    """
    written: list[Entry] = []
    with Writing(folder, disk) as writing, _one_ahead() as maker:
        with ThreadPoolExecutor(_THREADS) as threads:
            # Most of the work where little is to be made is to sum up what stands there.
            largest_first = sorted(writing.listed.values(), key=lambda entry: -entry.bytes)
            standing = threads.map(writing.stands, [entry.path for entry in largest_first])
            # Pages are set meanwhile, and begun before layers are laid out.
            begun = _begun(outputs, job, writing, maker, anew=anew) if elsewhere is None else {}
            planned = _planned(outputs, job, elsewhere, begun)
            list(standing)
        paths = {file.path for files in planned.values() for file in files}
        _refuse_what_is_not_ours(writing, paths, replace=replace)
        for output, files in planned.items():
            progress(output.name)
            for file in files:
                entry = writing.write(file, output.kind, made_from.plan_sha256, _inputs_sha256(file), anew=anew)
                written.append(entry.of_class(made_from))
        # What these outputs made before and make no longer, such as a language that is gone.
        kinds = {output.kind for output in outputs if all(row in outputs for row in rows_of(output.kind))}
        others = [entry for path, entry in writing.listed.items() if path not in paths and writing.stands(path)]
        stale = [entry for entry in others if entry.kind in kinds]
        kept = [entry for entry in others if entry.kind not in kinds]
        text = manifest_text(job.timeline, made_from, [*written, *kept])
        writing.write(File(MANIFEST, [text.encode("utf-8")]), "manifest", made_from.plan_sha256)
        # Hours may have gone by.
        _refuse_what_is_not_ours(writing, paths, replace=replace)
        writing.finish(stale)
    outdated = [entry for entry in kept if entry.made_from != made_from]
    reused = [entry for entry in written if entry.path in writing.reused]
    return Filled(tuple(written), tuple(outdated), tuple(reused))


@contextmanager
def _one_ahead() -> Iterator[ThreadPoolExecutor]:
    """A thread that makes one file after another before their turn; what it has not begun when this ends is left."""
    maker = ThreadPoolExecutor(1)
    try:
        yield maker
    finally:
        maker.shutdown(cancel_futures=True)


def _begun(
    outputs: Sequence[Output], job: Job, writing: Writing, maker: ThreadPoolExecutor, *, anew: bool
) -> dict[Output, list[File]]:
    """The files that are made ahead: begun, where they must be made."""

    def begun(file: File) -> File:
        file = changed(file, inputs_sha256=_inputs_sha256(file))
        if not anew and writing.was_made_from(file.path, file.inputs_sha256):
            return file
        return changed(file, content=_pieces(maker.submit(list, file.content)))

    return {output: [begun(file) for file in output.make(job)] for output in outputs if output.ahead}


def _pieces(made: Future[list[bytes]]) -> Iterator[bytes]:
    yield from made.result()


def _planned(
    outputs: Sequence[Output],
    job: Job,
    elsewhere: Mapping[str, Sequence[File]] | None,
    begun: Mapping[Output, list[File]],
) -> dict[Output, list[File]]:
    if elsewhere is None:
        return {output: begun.get(output) or list(output.make(job)) for output in outputs}
    left = dict(elsewhere)
    return {output: list(left.pop(output.kind, ())) for output in outputs}


def _inputs_sha256(file: File) -> str | None:
    """The sum of all that a file is made from: its inputs, and the tool with its fonts and libraries."""
    if file.inputs_sha256 is not None:
        return file.inputs_sha256
    if file.inputs is None:
        return None
    from overlay.pictures.cache import tool_sum

    return sha256_of(repr((tool_sum(), file.path, file.inputs)).encode("utf-8", "surrogatepass"))


def _refuse_what_is_not_ours(writing: Writing, paths: Iterable[str], *, replace: bool) -> None:
    folder, names = writing.folder, sorted({*paths, MANIFEST})
    blocked = dict.fromkeys(place for name in names for place in _no_place_for(folder, name))
    if blocked:
        raise MachineError(
            f"In {folder} these names belong to a folder or a link, where files of ours go: {', '.join(blocked)}.",
            remedy="Move them away, or name another folder with --out.",
        )
    if replace:
        return
    in_the_way = [
        name
        for name in names
        if os.path.lexists(folder / name)
        and not (name in writing.listed and writing.is_as_listed(writing.listed[name]))
        and not (name == MANIFEST and writing.listed)
    ]
    if in_the_way:
        raise UsageError(
            f"In {folder} these files are not as the tool wrote them: {', '.join(in_the_way)}.",
            remedy="Name another folder with --out, or write over them with --replace.",
        )


def _no_place_for(folder: Path, name: str) -> list[str]:
    """What stands where no file can be put: a folder of its name, or a link or file where its folder belongs."""
    parents = [parent.as_posix() for parent in PurePosixPath(name).parents if parent.parts]
    taken = [each for each in parents if os.path.lexists(folder / each)]
    blocked = [each for each in taken if (folder / each).is_symlink() or not (folder / each).is_dir()]
    return [*blocked, name] if (folder / name).is_dir() else blocked
