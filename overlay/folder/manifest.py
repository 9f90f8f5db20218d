"""The manifest: every file that a build wrote, and what it was made from."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

from overlay.timeline.model import Timeline

MANIFEST = "manifest.json"
MANIFEST_FORMAT = 1


class MadeFrom(NamedTuple):
    """The sums of what a class is written in, under the names that a manifest and its entries have them by: the plan,
    the takes that it was fitted to, and the files that the plan shares with others; None where there are none."""

    plan_sha256: str
    takes_sha256: str | None = None
    shared_sha256: str | None = None

    @property
    def further(self) -> dict[str, str]:
        """The sums beside the plan's, as far as there are any."""
        return {name: value for name, value in self._asdict().items() if value is not None and name != "plan_sha256"}


@dataclass(frozen=True)
class Entry:
    """One file of the folder: path below it, kind, size, and the sums of itself, of its plan, and of all that it was
    made from, the tool included, where a later build may take it as it is (`fill.py`)."""

    path: str
    kind: str
    bytes: int
    sha256: str
    plan_sha256: str
    inputs_sha256: str | None = None
    details: Mapping[str, Any] | None = None

    def data(self) -> dict[str, Any]:
        """The entry as the manifest has it; the details stand among its own keys."""
        inputs = {"inputs_sha256": self.inputs_sha256} if self.inputs_sha256 else {}
        rest = {"path": self.path, "kind": self.kind, "bytes": self.bytes, "sha256": self.sha256}
        return {**rest, "plan_sha256": self.plan_sha256, **inputs, **(self.details or {})}

    @property
    def made_from(self) -> MadeFrom:
        """What the class was written in when the file was made."""
        details = self.details or {}
        return MadeFrom(self.plan_sha256, *(details.get(name) for name in MadeFrom._fields[1:]))

    def of_class(self, made_from: MadeFrom) -> Entry:
        """The entry with all that the class is written in."""
        details = {key: value for key, value in (self.details or {}).items() if key not in MadeFrom._fields}
        return replace(self, plan_sha256=made_from.plan_sha256, details={**details, **made_from.further} or None)

    @classmethod
    def of(cls, data: Mapping[str, Any]) -> Entry:
        """An entry read from a manifest. Raises KeyError where one of its keys is missing."""
        own = {key: data[key] for key in ("path", "kind", "bytes", "sha256", "plan_sha256")}
        inputs = data.get("inputs_sha256")
        details = {key: value for key, value in data.items() if key not in (*own, "inputs_sha256")}
        return cls(**own, inputs_sha256=inputs, details=details or None)


def sha256_of(raw: bytes) -> str:
    """The SHA-256 sum of some bytes, in hexadecimal."""
    return hashlib.sha256(raw).hexdigest()


def manifest_text(timeline: Timeline, made_from: MadeFrom, entries: list[Entry]) -> str:
    """The manifest as JSON text, its files in order of their paths."""
    data = {
        "format": MANIFEST_FORMAT,
        "title": timeline.title,
        "plan_sha256": made_from.plan_sha256,
        **made_from.further,
        "frames": timeline.frame_count,
        "frame_rate": str(timeline.rate),
        "sample_rate": timeline.sample_rate_hz,
        "samples": timeline.sample_count,
        "files": [entry.data() for entry in sorted(entries, key=lambda entry: entry.path)],
    }
    return json.dumps(data, ensure_ascii=False, indent=1) + "\n"


def entries_of(raw: bytes | None) -> list[Entry]:
    """What a manifest lists, by its bytes; nothing where it is none of ours. A path that leads out of the folder
    was never ours either.

    >>> entries_of(b"{}"), entries_of(None)
    ([], [])
    """
    try:
        entries = [Entry.of(row) for row in json.loads(raw or b"")["files"]]
        return [entry for entry in entries if _is_inside(entry.path)]
    except (ValueError, KeyError, TypeError, AttributeError):
        return []


def _is_inside(path: str) -> bool:
    return not {"", ".", ".."} & set(path.split("/")) and "\\" not in path and ":" not in path
