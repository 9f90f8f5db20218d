"""A plan with all the files that it names, and a class as it was made of it, to pass between machines."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, NamedTuple

from overlay.folder.job import File
from overlay.folder.manifest import MANIFEST, Entry, entries_of
from overlay.pictures.fonts import fonts_named
from overlay.plan.beside import file_beside
from overlay.plan.read import session_of
from overlay.plan.source import parse_source, read_bytes
from overlay.series.classes import Made, build_class


class Parcel(NamedTuple):
    """A plan by its name and its bytes, and the files that it names by these names."""

    name: str
    plan: bytes
    files: Mapping[str, bytes]


class Sent(NamedTuple):
    """A class that was made elsewhere: each file as its manifest lists it, with its bytes."""

    files: tuple[tuple[Entry, bytes], ...]

    def by_kind(self) -> dict[str, list[File]]:
        """The files as `fill` puts them in place."""
        kinds: dict[str, list[File]] = defaultdict(list)
        for entry, content in self.files:
            details: Callable[[], dict[str, Any]] | None = partial(dict, entry.details) if entry.details else None
            kinds[entry.kind].append(File(entry.path, [content], details, inputs_sha256=entry.inputs_sha256))
        return kinds


def parcel_of(plan: Path, root: Path | None) -> Parcel:
    """All that a class is made of. Raises PlanError, UsageError or MachineError as reading the plan does."""
    raw = read_bytes(plan)
    source = parse_source(raw, str(plan))
    source.root = root
    session = session_of(source)
    names = {*session.exercises_from, *(name for _, name in fonts_named(session.look))}
    names |= {name for _, name in session.images()}
    if (session.look.theme or "").endswith((".yaml", ".yml")):
        names.add(str(session.look.theme))
    files = {}
    for name in sorted(names):
        try:
            files[name] = file_beside(plan, name, root).read_bytes()
        except (ValueError, OSError):
            # What is wrong with an image or a font is told by the build, with its place.
            continue
    return Parcel(plan.name, raw, files)


def make_of_parcel(parcel: Parcel, options: Mapping[str, Any]) -> Sent:
    """Make the class in a folder of its own, which goes away, and give its files. Raises as `pipeline.build` does."""
    with TemporaryDirectory(prefix="class-overlay-") as name:
        folder, out = Path(name, "plan"), Path(name, "made")
        for path, content in {**parcel.files, parcel.name: parcel.plan}.items():
            place = folder / path
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_bytes(content)
        build_class(folder / parcel.name, out, **{**options, "root": folder})
        entries = entries_of((out / MANIFEST).read_bytes())
        return Sent(tuple((entry, (out / entry.path).read_bytes()) for entry in entries))


def put_in_place(plan: Path, folder: Path, sent: Sent, options: Mapping[str, Any]) -> Made:
    """Write a class that was made elsewhere into its folder, all of it or nothing, as `pipeline.build` does."""
    return build_class(plan, folder, elsewhere=sent.by_kind(), **options)
