"""The manifest: every file that a build wrote, and what it was made from."""

from __future__ import annotations

import hashlib
import json
from dataclasses import asdict, dataclass
from pathlib import Path

from overlay.timeline.model import Timeline

MANIFEST = "manifest.json"
MANIFEST_FORMAT = 1


@dataclass(frozen=True)
class Entry:
    """One file of the folder: path below it, kind, size, and the sums of itself and of its plan."""

    path: str
    kind: str
    bytes: int
    sha256: str
    plan_sha256: str


def sha256_of(raw: bytes) -> str:
    """The SHA-256 sum of some bytes, in hexadecimal."""
    return hashlib.sha256(raw).hexdigest()


def manifest_text(timeline: Timeline, plan_sha256: str, entries: list[Entry]) -> str:
    """The manifest as JSON text, its files in order of their paths."""
    data = {
        "format": MANIFEST_FORMAT,
        "title": timeline.title,
        "plan_sha256": plan_sha256,
        "frames": timeline.frame_count,
        "frame_rate": str(timeline.rate),
        "sample_rate": timeline.sample_rate_hz,
        "samples": timeline.sample_count,
        "files": [asdict(entry) for entry in sorted(entries, key=lambda entry: entry.path)],
    }
    return json.dumps(data, ensure_ascii=False, indent=1) + "\n"


def kept_entries(folder: Path, written: list[Entry]) -> list[Entry]:
    """What an earlier build of this folder wrote and this one did not touch, as far as it is still there."""
    try:
        rows = json.loads((folder / MANIFEST).read_text("utf-8"))["files"]
        before = [Entry(**row) for row in rows]
    except (OSError, ValueError, KeyError, TypeError):
        return []
    paths = {entry.path for entry in written}
    return [entry for entry in before if entry.path not in paths and (folder / entry.path).is_file()]
