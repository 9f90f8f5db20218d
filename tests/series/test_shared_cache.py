"""One cache for all classes: shared by processes, under fire."""

from __future__ import annotations

import hashlib
import sqlite3
import subprocess
import sys
from pathlib import Path

from overlay.pipeline import build


def test_four_builds_at_once_with_one_cache(tmp_path: Path) -> None:
    """Four processes build the same class with one cache that is too small for it, thrown out under their hands, one
    of them killed: each other one ends well, with the bytes of a build that has no cache."""
    (tmp_path / "a.yaml").write_text(
        "overlay: 1\ntitle: A\nvideo: {size: 640x360}\nlook: {timer: {gauge: seconds}}\n"
        "blocks: [{intervals: [{name: B, work: 12s}, {name: C, work: 9s}]}]\n",
        "utf-8",
    )
    code = (
        "import sys\nfrom pathlib import Path\nfrom overlay.pictures import cache\nfrom overlay.pipeline import build\n"
        "cache.PictureCache.__init__.__defaults__ = (40_000,)\n"
        "while True:\n"
        "    build(Path('a.yaml'), out=Path(sys.argv[1]), only=['timer', 'titles', 'stills'], cache=Path('cache'))\n"
        "    if sys.argv[1] != 'killed':\n"
        "        break\n"
        "    print('built', flush=True)\n"
    )
    alone = build(tmp_path / "a.yaml", out=tmp_path / "alone", only=["timer", "titles", "stills"])
    command = [sys.executable, "-c", code]
    with subprocess.Popen([*command, "killed"], cwd=tmp_path, stdout=subprocess.PIPE) as killed:
        running = [subprocess.Popen([*command, name], cwd=tmp_path) for name in ("one", "two", "three")]
        assert killed.stdout is not None
        killed.stdout.readline()
        killed.kill()
        assert [process.wait(120) for process in running] == [0, 0, 0]
    sums = {entry.path: entry.sha256 for entry in alone.entries}
    for name in ("one", "two", "three"):
        for path, sha256 in sums.items():
            assert hashlib.sha256((tmp_path / name / path).read_bytes()).hexdigest() == sha256
    assert sqlite3.connect(tmp_path / "cache" / "pictures.sqlite").execute("PRAGMA integrity_check").fetchall() == [
        ("ok",)
    ]
