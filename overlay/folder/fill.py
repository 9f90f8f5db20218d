"""A folder filled with outputs: all of them appear, or none, and nobody else's file is touched."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import NamedTuple

from overlay.errors import UsageError
from overlay.folder.catalog import rows_of
from overlay.folder.job import File, Job, Output
from overlay.folder.manifest import MANIFEST, Entry, entries_in, is_as_written, manifest_text
from overlay.folder.write import Writing


class Filled(NamedTuple):
    """What was written this time, and what stands in the folder from an earlier plan."""

    written: tuple[Entry, ...]
    outdated: tuple[Entry, ...]


def fill(
    folder: Path,
    outputs: Sequence[Output],
    job: Job,
    plan_sha256: str,
    takes_sha256: str | None,
    progress: Callable[[str], None],
    *,
    replace: bool = False,
) -> Filled:
    """Make the outputs, check them, put them in place, the manifest last. Tells the name of each as it begins.

    `takes_sha256` is the sum of the takes that the class was fitted to, if it was.

    Raises UsageError where a file in the way is not ours or was changed since (unless `replace`),
    MachineError when the disk refuses; the folder then holds what it held before.
    """
    written: list[Entry] = []
    with Writing(folder) as writing:
        before = entries_in(folder)
        for output in outputs:
            progress(output.name)
            made = (writing.write(file, output.kind, plan_sha256) for file in output.make(job))
            written += [entry.fitted_to(takes_sha256) for entry in made]
        paths = {entry.path for entry in written}
        if not replace:
            _nobody_elses(folder, paths - writing.kept, before)
        # What these outputs made before and make no longer, such as a language that is gone.
        kinds = {output.kind for output in outputs if all(row in outputs for row in rows_of(output.kind))}
        others = [entry for entry in before if entry.path not in paths and (folder / entry.path).is_file()]
        stale = [entry for entry in others if entry.kind in kinds]
        kept = [entry for entry in others if entry.kind not in kinds]
        text = manifest_text(job.timeline, plan_sha256, [*written, *kept], takes_sha256)
        writing.write(File(MANIFEST, [text.encode("utf-8")]), "manifest", plan_sha256)
        writing.finish(stale)
    outdated = [entry for entry in kept if (entry.plan_sha256, entry.takes_sha256) != (plan_sha256, takes_sha256)]
    return Filled(tuple(written), tuple(outdated))


def _nobody_elses(folder: Path, paths: set[str], before: Sequence[Entry]) -> None:
    ours = {entry.path: entry for entry in before}
    in_the_way = [
        path
        for path in sorted({*paths, MANIFEST})
        if (folder / path).exists()
        and not (path in ours and is_as_written(folder, ours[path]))
        and not (path == MANIFEST and before)
    ]
    if in_the_way:
        raise UsageError(
            f"In {folder} these files are not as the tool wrote them: {', '.join(in_the_way)}.",
            remedy="Name another folder with --out, or write over them with --replace.",
        )
