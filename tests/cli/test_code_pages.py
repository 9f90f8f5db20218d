"""Terminals that lack characters: nothing that a command says makes it fail, and what can be read is shown."""

from __future__ import annotations

import runpy
from pathlib import Path
from types import SimpleNamespace

commands = SimpleNamespace(**runpy.run_path(str(Path(__file__).with_name("commands.py"))))
PLAN = """\
overlay: 1
title: Größe ½ – “Übung”
video: {size: 640x360, frame_rate: 25}
timing: {work: 4s, preview: 4s}
blocks: [{name: Ziehen “links” ñ Ž, side: right, intervals: [{name: Rudern… €, cues: [Don’t naïve]}]}]
"""
PAGES = "cp437,cp850,cp1252,cp932,ascii"


def test_every_command_on_every_code_page(tmp_path: Path) -> None:
    """Code pages that Windows has for consoles and for files, and plain ASCII."""
    name = "ü深.yaml"
    (tmp_path / name).write_text(PLAN, encoding="utf-8")
    (tmp_path / "wrong.yaml").write_text(f"{PLAN}blöcke深: 1\n", encoding="utf-8")
    (tmp_path / "latin.yaml").write_bytes(PLAN.replace("“", "").replace("”", "").encode("cp1252"))
    quick = (
        (0, ["--help"]), (0, ["--version"]), (0, ["help", "build"]), (0, ["schema"]), (2, ["new", name]),
        (1, ["check", name]), (2, ["check", "."]), (2, ["check", "wrong.yaml"]), (2, ["check", "latin.yaml"]),
        (2, ["rehearse", "深.yaml"]), (2, ["proof", "wrong.yaml"]), (2, ["chéck深"]), (2, ["build", name, "--önly深"]),
    )  # fmt: skip
    slow = (
        (1, ["check", name, "--json"]), (0, ["build", name, "--only", "tones,captions"]),
        (2, ["build", name, "wrong.yaml", "--only", "captions"]), (2, ["series", ".", "--no-sheets"]),
        (1, ["sync", name, "ü深-assets/tones/tones.wav"]), (0, ["verify", name, "ü深-assets/tones/tones.wav"]),
    )  # fmt: skip
    ended = commands.run(tmp_path, *(command for _, command in quick), encodings=PAGES)
    most = commands.run(tmp_path, *(command for _, command in slow), encodings="ascii")
    expected = (*(quick * len(PAGES.split(","))), *slow)
    for (status, command), each in zip(expected, (*ended, *most), strict=True):
        assert each.status == status, (command, each)
        assert "Traceback" not in each.errors
    shown = dict(zip(PAGES.split(","), ended[5 :: len(quick)], strict=True))
    assert shown["cp1252"].out.startswith("Größe ½ – “Übung”: 8s\n")
    assert shown["cp437"].out.startswith('Größe ½ - "Übung": 8s\n')
    assert shown["ascii"].out.startswith('Gro?e ? - "Ubung": 8s\n')
    assert 'Ziehen "links" n Z ' in shown["ascii"].out


def test_files_are_utf_8_wherever_they_are_made(tmp_path: Path) -> None:
    """Whatever the terminal's code page."""
    (tmp_path / "a.yaml").write_text(PLAN, encoding="utf-8")
    made = ["a.yaml", "--only", "captions,handoff,strip,rehearsal", "--no-cache", "--out"]
    commands.run(tmp_path, ["build", *made, "one"])
    commands.run(tmp_path, ["build", *made, "two"], encodings="ascii")
    one, two = tmp_path / "one", tmp_path / "two"
    files = [path.relative_to(one) for path in one.rglob("*") if path.is_file()]
    assert [name for name in files if (one / name).read_bytes() != (two / name).read_bytes()] == []
    texts = [name for name in files if name.suffix != ".png"]
    assert sum("Größe" in (one / name).read_text("utf-8") for name in texts) > 5
