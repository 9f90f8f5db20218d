"""What people mistype, a small file each. The first remark of a file says what comes of it:

# refused: LINE:COLUMN words of the message
# reads: seconds of work of each interval
# names: the names of the exercises
"""

from __future__ import annotations

from pathlib import Path

import pytest

from overlay.errors import PlanError
from overlay.plan.read import parse_plan

FILES = sorted((Path(__file__).parent / "slips").glob("*.yaml"))


def expected(path: Path) -> tuple[str, str]:
    remark = next(line for line in path.read_text("utf-8").splitlines() if line.startswith("# "))
    kind, _, rest = remark.removeprefix("# ").partition(": ")
    return kind, rest


def test_every_kind_of_slip_is_there() -> None:
    """The folder is not empty, and no file is without its expectation."""
    assert len(FILES) >= 20
    assert {expected(path)[0] for path in FILES} == {"refused", "reads", "names"}


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_slips(path: Path) -> None:
    """Refused at its place in plain words, or read as the writer meant it."""
    kind, rest = expected(path)
    if kind == "refused":
        place, _, words = rest.partition(" ")
        with pytest.raises(PlanError) as caught:
            parse_plan(path.read_bytes(), path.name)
        first = caught.value.mistakes[0]
        assert f"{first.line}:{first.column}".startswith(place), caught.value
        assert words in first.message
        return
    intervals = parse_plan(path.read_bytes(), path.name).blocks[0].intervals or ()
    if kind == "reads":
        assert [float(interval.work or 0) for interval in intervals] == [float(part) for part in rest.split()]
    else:
        assert [interval.name.versions[0][1] for interval in intervals if interval.name] == rest.split(" | ")
