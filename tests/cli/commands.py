"""Commands of the tool, each from its start to its end, all of them in one process: starting one takes longest."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import NamedTuple

RUN = """\
import io, json, sys
from overlay.cli import main
ended = []
encodings, commands = sys.argv[1:]
for encoding in encodings.split(","):
    for arguments in json.loads(commands):
        kept = sys.stdout, sys.stderr
        sys.argv = ["overlay", *arguments]
        sys.stdout, sys.stderr = (io.TextIOWrapper(io.BytesIO(), encoding, newline="\\n") for _ in range(2))
        try:
            main()
            status = 0
        except SystemExit as end:
            status = end.code or 0
        finally:
            sys.stdout.flush(), sys.stderr.flush()
            said = [each.buffer.getvalue().decode(encoding) for each in (sys.stdout, sys.stderr)]
            sys.stdout, sys.stderr = kept
        ended.append([status, *said])
print(json.dumps(ended))
"""


class Ended(NamedTuple):
    """How a command ended, and what it said."""

    status: int
    out: str
    errors: str


def run(where: Path, *commands: list[str], encodings: str = "utf-8") -> list[Ended]:
    """Commands one after the other in a folder; all of them again for each further encoding of what they say."""
    command = [sys.executable, "-c", RUN, encodings, json.dumps(commands)]
    done = subprocess.run(command, cwd=where, capture_output=True, text=True, encoding="utf-8", timeout=300)
    assert done.returncode == 0, done.stderr[-2000:]
    return [Ended(*each) for each in json.loads(done.stdout)]
