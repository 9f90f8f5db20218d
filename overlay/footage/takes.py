"""Takes: for each block of the class, which file has it and where. A small YAML file, also written by hand.

    takes: 1
    blocks:
      - block: pull-right
        file: card-1/clip-0007.mp4
        offset: 12.3456   # the second of the file, from its first picture, at which the class's frame 0 falls
        drift_ppm: 33.1
      - {block: pull-left, file: card-1/clip-0009.mp4, offset: -210.02, drift_ppm: 33.1, keep: true}

`offset` may be negative: the class began before the file did. A line with `keep: true` is never changed.
Paths count from the takes file's own folder. Whatever else stands in the file, remarks included, stays.
"""

from __future__ import annotations

import contextlib
import io
import os
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

from overlay.errors import MachineError, Mistake, PlanError, UsageError

FORMAT = "1"
_HEAD = """\
# For each block of the class: which file has it, and where. Written by overlay sync.
# offset: the second of the file, counted from its first picture, at which the class's frame 0 would fall.
# Change what you like; a block with keep: true is left as it is when sync runs again.
"""
_KEYS = ("block", "file", "offset", "drift_ppm", "keep")


@dataclass(frozen=True)
class Take:
    """One block in one file. Class second t lies at second `offset + t * (1 + drift_ppm / 10**6)` of the file.

    The file's seconds count from its first picture. `keep` says that a person chose it.

    >>> take = Take("pull", Path("a.mp4"), Fraction(10), Fraction(100))
    >>> take.to_file(Fraction(100))
    Fraction(11001, 100)
    """

    block: str
    file: Path
    offset: Fraction
    drift_ppm: Fraction = Fraction(0)
    keep: bool = False

    @property
    def rate(self) -> Fraction:
        """Seconds of the file's clock in one second of the class."""
        return 1 + self.drift_ppm / 10**6

    def to_file(self, time: Fraction) -> Fraction:
        """The file's exact second for a class second."""
        return self.offset + time * self.rate


def read_takes(path: Path, blocks: Sequence[str]) -> dict[str, Take]:
    """The takes of a file, by block; `blocks` are the ids that the class has.

    Raises UsageError where there is no file, PlanError with line and column for whatever is wrong in it.
    """
    try:
        return _takes_of(_document(path), path, blocks)
    except FileNotFoundError:
        raise UsageError(
            f"There is no takes file {path}.", remedy="Write one with: overlay sync PLAN FOOTAGE"
        ) from None


def write_takes(path: Path, takes: Iterable[Take], blocks: Sequence[str]) -> None:
    """Put takes into a takes file, new or there already: lines of other blocks, remarks and `keep: true` stay.

    Raises PlanError for a file that is wrong already, MachineError where it cannot be written.
    """
    from ruamel.yaml import YAML

    known: dict[str, Take] = {}
    try:
        document = _document(path)
        known = _takes_of(document, path, blocks)
    except FileNotFoundError:
        document = YAML().load(f"{_HEAD}takes: {FORMAT}\nblocks: []\n")
        document["blocks"] = _new_list()
    rows = document["blocks"]
    for take in takes:
        if take.block in known and known[take.block].keep:
            continue
        values = _values(take, path.parent)
        row = next((row for row in rows if str(row["block"]) == take.block), None)
        if row is None:
            order = [blocks.index(str(row["block"])) for row in rows]
            rows.insert(sum(number < blocks.index(take.block) for number in order), _new_row(values))
        else:
            row.update(values)
    _write(path, document)


def _values(take: Take, folder: Path) -> dict[str, Any]:
    return {
        "block": take.block,
        "file": _from_folder(take.file, folder),
        "offset": float(round(take.offset, 5)),
        "drift_ppm": float(round(take.drift_ppm, 2)),
    }


def _from_folder(file: Path, folder: Path) -> str:
    """The file's path as seen from the takes file's folder, with forward slashes."""
    try:
        return Path(os.path.relpath(file.resolve(), folder.resolve())).as_posix()
    except ValueError:  # another drive
        return file.resolve().as_posix()


def _new_list() -> Any:
    from ruamel.yaml.comments import CommentedSeq

    return CommentedSeq()


def _new_row(values: Mapping[str, Any]) -> Any:
    from ruamel.yaml.comments import CommentedMap

    return CommentedMap(values)


def _write(path: Path, document: Any) -> None:
    from ruamel.yaml import YAML

    yaml = YAML()
    yaml.width = 4096
    yaml.indent(mapping=2, sequence=4, offset=2)
    text = io.StringIO()
    yaml.dump(document, text)
    aside = path.with_name(f".{path.name}.unfinished")
    try:
        aside.write_text(text.getvalue(), encoding="utf-8", newline="\n")
        aside.replace(path)
    except OSError as error:
        with contextlib.suppress(OSError):
            aside.unlink()
        remedy = "Free some space, check that the folder may be written to, or name another file with --takes."
        raise MachineError(f"The takes file {path} cannot be written: {error.strerror}.", remedy=remedy) from None


def _document(path: Path) -> Any:
    """The file as ruamel.yaml has it, remarks and places included."""
    from ruamel.yaml import YAML
    from ruamel.yaml.error import MarkedYAMLError, YAMLError

    try:
        text = path.read_bytes().decode("utf-8-sig")
    except FileNotFoundError:
        raise
    except UnicodeDecodeError:
        raise PlanError(str(path), [Mistake(0, 0, "the file is not plain text in UTF-8")]) from None
    except OSError as error:
        remedy = "Check its name, and that it may be read."
        raise MachineError(f"The takes file {path} cannot be read: {error.strerror}.", remedy=remedy) from None
    try:
        document = YAML().load(text)
    except MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        line, column = (mark.line + 1, mark.column + 1) if mark else (0, 0)
        message = "this is not YAML as takes are written"
        raise PlanError(str(path), [Mistake(line, column, message, "Compare it with the lines above.")]) from None
    except YAMLError:
        raise PlanError(str(path), [Mistake(0, 0, "the file is not YAML")]) from None
    if not isinstance(document, dict) or str(document.get("takes")) != FORMAT:
        remedy = f"Its first key is takes: {FORMAT}"
        raise PlanError(str(path), [Mistake(1, 1, "the file does not hold takes", remedy)])
    if not isinstance(document.get("blocks"), list):
        raise PlanError(str(path), [Mistake(1, 1, "the list blocks: is missing", "Write blocks: []")])
    return document


def _takes_of(document: Any, path: Path, blocks: Sequence[str]) -> dict[str, Take]:
    mistakes: list[Mistake] = []
    takes: dict[str, Take] = {}
    for number, row in enumerate(document["blocks"]):
        line, column = (part + 1 for part in document["blocks"].lc.item(number))
        try:
            take = _take_of(row, path.parent, blocks)
            if take.block in takes:
                raise ValueError(f"the block {take.block} stands here twice")
            takes[take.block] = take
        except ValueError as error:
            mistakes.append(Mistake(line, column, str(error)))
    if mistakes:
        raise PlanError(str(path), mistakes)
    return takes


def _take_of(row: Any, folder: Path, blocks: Sequence[str]) -> Take:
    """A row as a take; ValueError in an instructor's words."""
    if not isinstance(row, dict):
        raise ValueError("write block:, file: and offset: here")
    for key in row:
        if key not in _KEYS:
            raise ValueError(f"no such key: {key}")
    for key in ("block", "file", "offset"):
        if row.get(key) in (None, ""):
            raise ValueError(f"{key}: is missing")
    block = str(row["block"])
    if block not in blocks:
        raise ValueError(f"the class has no block {block}: it has {', '.join(blocks)}")
    if row.get("keep", False) not in (True, False):
        raise ValueError("keep: is true or false")
    file = Path(str(row["file"]))
    offset, drift_ppm = _number(row["offset"], "offset"), _number(row.get("drift_ppm", 0), "drift_ppm")
    if abs(drift_ppm) > 1000:
        raise ValueError(f"drift_ppm: {row['drift_ppm']} is more than any clock is off: 1000 is the most")
    return Take(block, file if file.is_absolute() else folder / file, offset, drift_ppm, bool(row.get("keep", False)))


def _number(value: Any, key: str) -> Fraction:
    try:
        if isinstance(value, bool):
            raise ValueError
        return Fraction(str(value))
    except (ValueError, ZeroDivisionError):
        raise ValueError(f"{key}: {value} is not a number of {'seconds' if key == 'offset' else 'ppm'}") from None
