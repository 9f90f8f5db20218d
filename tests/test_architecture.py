"""The house holds: data flows one way, writers do not know each other, `check` stays light."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

import overlay

PACKAGE = Path(overlay.__file__).parent
# Each room may import from the rooms before it, and from itself.
ROOMS = ["errors", "versions", "units", "plan", "words", "timeline"]
WRITERS = ["captions", "tones", "pictures", "paper", "handoff", "page"]
AFTER_WRITERS = ["footage", "filming", "folder", "pipeline", "series", "cli"]
HEAVY = {
    "av",
    "moviepy",
    "scipy",
    "typst",
    "opentimelineio",
    "pydub",
    "pyloudnorm",
    "starlette",
    "ttconv",
    "uvicorn",
    "watchfiles",
    "distributed",
    "dask",
}


def _modules() -> list[Path]:
    return [
        *sorted(path for path in PACKAGE.rglob("*.py") if path.name != "__main__.py" and path.parent != PACKAGE),
        PACKAGE / "errors.py",
        PACKAGE / "versions.py",
        PACKAGE / "filming.py",
        PACKAGE / "pipeline.py",
    ]


def _room(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def _imports(tree: ast.Module) -> set[str]:
    found: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports are absolute"
            found.add(node.module or "")
            found |= {f"{node.module}.{alias.name}" for alias in node.names}
    return found


def _allowed(room: str) -> set[str]:
    if room in ROOMS:
        return set(ROOMS[: ROOMS.index(room) + 1])
    if room in WRITERS:
        return {*ROOMS, room}
    return {*ROOMS, *WRITERS, *AFTER_WRITERS[: AFTER_WRITERS.index(room) + 1]}


@pytest.mark.parametrize("path", _modules(), ids=lambda path: path.relative_to(PACKAGE).as_posix())
def test_imports_point_up_the_list(path: Path) -> None:
    """No module imports from a room that comes after its own, and no writer from another."""
    room = _room(path)
    assert room in {*ROOMS, *WRITERS, *AFTER_WRITERS}, f"{room} is not a room of the house"
    ours = {name.split(".")[1] for name in _imports(ast.parse(path.read_text("utf-8"))) if name.startswith("overlay.")}
    assert ours <= _allowed(room)


def test_every_kind_of_import_is_seen() -> None:
    """The check itself sees both forms, wherever they stand."""
    tree = ast.parse("import overlay.cli\ndef f():\n    from overlay import pipeline\n")
    assert {"overlay.cli", "overlay.pipeline"} <= _imports(tree)


@pytest.mark.parametrize("path", _modules(), ids=lambda path: path.relative_to(PACKAGE).as_posix())
def test_heavy_libraries_are_imported_where_they_are_needed(path: Path) -> None:
    """No module loads a heavy library when it is imported."""
    tree = ast.parse(path.read_text("utf-8"))
    top = ast.Module([node for node in tree.body if isinstance(node, ast.Import | ast.ImportFrom)], [])
    assert not {name.split(".")[0] for name in _imports(top)} & HEAVY


def test_modules_are_small() -> None:
    """About 300 lines a module: 340 at the very most."""
    assert [path.name for path in _modules() if len(path.read_text("utf-8").splitlines()) > 340] == []


def test_check_loads_nothing_heavy() -> None:
    """`overlay check` imports no library of pictures, sound, pages or hand-off, numpy included."""
    plan = "overlay: 1\ntitle: A\nblocks: [{intervals: [{name: B}]}]"
    code = (
        "import sys, pathlib, tempfile, contextlib, io\n"
        "from overlay.cli.app import app_for\n"
        "with tempfile.TemporaryDirectory() as folder:\n"
        "    path = pathlib.Path(folder, 'a.yaml')\n"
        f"    path.write_text({plan!r}, encoding='utf-8')\n"
        "    with contextlib.redirect_stdout(io.StringIO()), contextlib.suppress(SystemExit):\n"
        "        app_for(['check'])(['check', str(path)])\n"
        "print(' '.join(sorted({name.split('.')[0] for name in sys.modules})))\n"
    )
    loaded = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.split()
    assert "overlay" in loaded
    assert not set(loaded) & {*HEAVY, "numpy", "PIL", "fontTools", "srt"}
