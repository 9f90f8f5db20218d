"""The manifest: every file that a build wrote, and what it was made from."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from overlay.timeline.model import Timeline

MANIFEST = "manifest.json"
MANIFEST_FORMAT = 1
TAKES = "takes_sha256"
"""The key of the sum of the takes file, in a manifest and in its entries."""


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
    def takes_sha256(self) -> str | None:
        """The sum of the takes file that it was fitted to, if it was."""
        return (self.details or {}).get(TAKES)

    def fitted_to(self, takes_sha256: str | None) -> Entry:
        """The entry of a file that is fitted to takes; itself where there are none."""
        return self if takes_sha256 is None else replace(self, details={**(self.details or {}), TAKES: takes_sha256})

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


def manifest_text(timeline: Timeline, plan_sha256: str, entries: list[Entry], takes_sha256: str | None = None) -> str:
    """The manifest as JSON text, its files in order of their paths."""
    data = {
        "format": MANIFEST_FORMAT,
        "title": timeline.title,
        "plan_sha256": plan_sha256,
        **({} if takes_sha256 is None else {TAKES: takes_sha256}),
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
