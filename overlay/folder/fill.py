"""A folder filled with outputs: all of them appear, or none."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from overlay.folder.catalog import File, Job, Output
from overlay.folder.manifest import MANIFEST, Entry, kept_entries, manifest_text
from overlay.folder.write import Writing


def fill(
    folder: Path, outputs: Sequence[Output], job: Job, plan_sha256: str, progress: Callable[[str], None]
) -> tuple[Entry, ...]:
    """Make the outputs, check them, put them in place, the manifest last. Tells the name of each as it begins.

    Raises MachineError when the disk refuses; the folder then holds what it held before.
    """
    entries: list[Entry] = []
    with Writing(folder) as writing:
        for output in outputs:
            progress(output.name)
            entries += [writing.write(file, output.kind, plan_sha256) for file in output.make(job)]
        every = [*entries, *kept_entries(folder, entries)]
        text = manifest_text(job.timeline, plan_sha256, every)
        writing.write(File(MANIFEST, [text.encode("utf-8")]), "manifest", plan_sha256)
        writing.finish()
    return tuple(entries)
