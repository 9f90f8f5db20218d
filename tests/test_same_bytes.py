"""The same plan gives the same bytes, whoever builds it, where, when and how.

What is varied is what Debian's and the Reproducible Builds project's tool reprotest varies (its README, "Variations",
from memory: build path, user and home, time and time zone, locale, environment, umask, number of processors, order
of files, host name and kernel). Host, kernel and processor are not ours to vary in a test; the bytes are searched for
their names instead.
"""

from __future__ import annotations

import getpass
import io
import os
import platform
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pikepdf
import pytest

PLAN = """\
overlay: 1
title: {en: Small class, es: Clase breve}
language: [en, es]
video: {size: 640x360, frame_rate: 29.97}
timing: {work: 0.5s, rest: 0.3s, preview: 0.5s, between_blocks: 0.3s}
look: {timer: {gauge: seconds}, fonts: [fonts/further.ttf]}
tones: {stems: true, duck: true, listening_copy: true}
pictures: {carrier: [prores, qtrle, webm, key, fill-and-matte, png], all_in_one: true}
exercises:
  row: {name: {en: Row, es: Remo}, equipment: [{en: band, es: banda}, {en: chair, es: silla}], image: row.png}
blocks:
  - {id: one, side: right, intervals: [{exercise: row, cues: [{en: Pull, es: Tira}]}, {name: {en: Press, es: Empuje}}]}
  - {mirror: one, id: two, preview: 0s}
closing: {length: 0.4s}
"""
MAIN = "import os, sys; os.umask(int(sys.argv.pop(1), 8)); from overlay.cli import main; main()"


@pytest.fixture(scope="module")
def folders(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """The folders of two builds that differ in everything that is not the plan."""
    from PIL import Image

    base, built = tmp_path_factory.mktemp("same"), []
    fonts = Path(__file__).parents[1] / "fonts"
    ways = (
        ("one", {"TZ": "UTC", "LC_ALL": "C", "PYTHONHASHSEED": "0", "USER": "zoe-builder"}, "022", "1"),
        ("zwei mit Wörtern", {"TZ": "Pacific/Kiritimati", "LC_ALL": "de_DE.UTF-8", "PYTHONHASHSEED": "4242",
            "USER": "someone-else", "SOURCE_DATE_EPOCH": "1", "COLUMNS": "40", "PYTHONUTF8": "1"}, "077", "2"),
    )  # fmt: skip
    for name, environment, umask, workers in ways:
        folder = base / name
        (folder / "fonts").mkdir(parents=True)
        (folder / "home").mkdir()
        (folder / "elsewhere").mkdir()
        # Files come into being in another order.
        makers = [
            lambda to: (to / "plan.yaml").write_text(PLAN, encoding="utf-8"),
            lambda to: (to / "fonts" / "further.ttf").write_bytes((fonts / "NotoSans-Bold.ttf").read_bytes()),
            lambda to: Image.new("RGB", (64, 64), "red").save(to / "row.png"),
        ]
        for make in makers if name == "one" else reversed(makers):
            make(folder)
        places = {"HOME": str(folder / "home"), "XDG_CACHE_HOME": str(folder / "home" / "cache")}
        kept = {key: os.environ[key] for key in ("PATH", "SYSTEMROOT", "LD_LIBRARY_PATH") if key in os.environ}
        plan = "plan.yaml" if name == "one" else str(folder / "plan.yaml")
        command = [sys.executable, "-c", MAIN, umask, "build", plan, "--workers", workers]
        if name != "one":
            command += ["--out", str(folder / "home" / "given"), "--no-cache"]
        where = folder if name == "one" else folder / "elsewhere"
        ended = subprocess.run(
            command, cwd=where, env={**kept, **places, **environment}, capture_output=True, text=True, encoding="utf-8"
        )
        assert ended.returncode == 0, ended.stderr
        built.append(folder / "plan-assets" if name == "one" else folder / "home" / "given")
    return built


def files(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_two_builds_give_the_same_bytes(folders: list[Path]) -> None:
    """Every file, PDFs, movies and the manifest included."""
    one, other = (files(folder) for folder in folders)
    assert one.keys() == other.keys()
    assert [name for name in one if one[name] != other[name]] == []
    carried = {name.removeprefix("pictures/all") for name in one if name.startswith("pictures/all")}
    assert carried >= {".mov", "-qtrle.mov", ".webm", "-key.mp4", "-fill.mp4", "-matte.mp4"}
    assert len([name for name in carried if name.endswith(".png")]) > 100
    assert one.keys() >= {"captions/es.srt", "paper/script-es.pdf"}
    endings = {name.rpartition(".")[2] for name in one}
    assert endings >= {"srt", "wav", "mp3", "mov", "webm", "mp4", "png", "pdf", "svg", "otio", "edl", "html", "json"}


def test_nothing_tells_where_or_when(folders: list[Path]) -> None:
    """No path, user, host or time of day in any file, as UTF-8 or UTF-16, in what is packed either."""
    now = datetime.now(UTC)
    words = [
        *(str(folder) for folder in folders), "zoe-builder", "plan-assets", "same0", str(Path(sys.prefix).parent),
        now.strftime("%Y-%m-%d"), now.strftime("%Y%m%d"), now.strftime("%d %b %Y"), now.strftime("%H:%M:"),
        *(name for name in (platform.node(), os.environ.get("HOSTNAME", "")) if len(name) > 5),
        *(name for name in (getpass.getuser(),) if len(name) > 5),
    ]  # fmt: skip
    coded = [(word, word.encode(how)) for word in words for how in ("utf-8", "utf-16-le", "utf-16-be")]
    for name, content in files(folders[0]).items():
        for raw in unpacked(name, content):
            assert [word for word, bytes_ in coded if bytes_ in raw] == [], name


def unpacked(name: str, content: bytes) -> list[bytes]:
    """A file's bytes, and those of the streams inside it."""
    found = [content]
    if name.endswith(".pdf"):
        with pikepdf.open(io.BytesIO(content)) as pdf:
            found += [each.read_bytes() for each in pdf.objects if isinstance(each, pikepdf.Stream)]
    if name.endswith(".png"):
        assert b"tEXt" not in content
        assert b"tIME" not in content
    return found
