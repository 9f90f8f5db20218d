"""`overlay verify` as an editor meets it: what it prints and how it ends."""

from __future__ import annotations

import json
import re
import runpy
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest

cuts = SimpleNamespace(**runpy.run_path(str(Path(__file__).parents[1] / "footage" / "cuts.py")))


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A plan, a clean cut of it with captions embedded, one with a beep less, and one that is no film."""
    made: Path = tmp_path_factory.mktemp("edit")
    (made / "a.yaml").write_text(cuts.PLAN, encoding="utf-8")
    cuts.cut(made / "clean.mp4", cuts.sound(), captions=cuts.srt_file(made / "late.srt"))
    cuts.srt_file(made / "late.srt", shift_ms=500)
    cuts.cut(made / "less.mp4", cuts.sound(lambda events: events[:3] + events[4:]))
    (made / "broken.mp4").write_bytes(b"no film at all")
    return made


def verify(folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "overlay", "verify", "a.yaml", *arguments]
    return subprocess.run(command, capture_output=True, text=True, encoding="utf-8", cwd=folder, check=False)


def test_a_clean_cut(folder: Path) -> None:
    """Exit 0, and a line each for place, beeps, sound, picture and captions."""
    done = verify(folder, "clean.mp4")
    assert done.returncode == 0, done.stdout + done.stderr
    lines = done.stdout.splitlines()
    assert lines[0] == "clean.mp4: the class's first frame falls at 00:00:00;00 (0.000 s)"
    count = len(cuts.TIMELINE.beeps)
    assert lines[1].startswith(f"  beeps: {count} of {count} heard, off by 0.0 ms in the middle")
    assert "LUFS as a whole, true peak" in lines[2]
    assert "29.97 a second" in lines[3]
    assert lines[4].endswith("there, on their frames")
    assert lines[-1] == "Nothing has to be mended."


def test_json_as_it_is_promised(folder: Path) -> None:
    """One object and nothing else on standard output; a beep that is gone is missing, and the exit is 1."""
    done = verify(folder, "less.mp4", "--json")
    assert done.returncode == 1, done.stderr
    data = json.loads(done.stdout)
    promised = ("beeps", "extra", "median_ms", "worst_ms", "loudness_lufs", "true_peak_dbtp", "frames", "findings")
    assert set(promised) <= set(data)
    assert [(beep["kind"], beep["frame"]) for beep in data["beeps"]] == [
        (beep.kind.value, beep.frame) for beep in cuts.TIMELINE.beeps
    ]
    assert list(data["beeps"][0]) == ["kind", "frame", "heard_s", "error_ms", "missing"]
    gone = [number for number, beep in enumerate(data["beeps"]) if beep["missing"]]
    assert gone == [3]
    assert (data["beeps"][3]["heard_s"], data["beeps"][3]["error_ms"]) == (None, None)
    assert data["frames"] == cuts.TIMELINE.frame_count
    assert data["worst_ms"] < 1
    assert [finding["name"] for finding in data["findings"]] == ["beep-missing"]


def test_captions_beside_the_cut(folder: Path) -> None:
    """Given captions are checked beside the embedded ones: half a second late, said with frames."""
    done = verify(folder, "clean.mp4", "--captions", "late.srt")
    assert done.returncode == 1
    assert "finding: late.srt: all come 15 frames (500 ms) late: move them 15 frames earlier." in done.stdout
    assert "1 thing to mend." in done.stdout


@pytest.mark.parametrize(
    ("arguments", "status", "words"),
    [
        (["broken.mp4"], 3, "cannot be read as a video"),
        (["none.mp4"], 3, "no file none.mp4"),
        (["clean.mp4", "--captions", "none.srt"], 3, "no file none.srt"),
        (["clean.mp4", "--captions", "broken.mp4"], 3, "cannot be read as captions"),
        (["clean.mp4", "--at", "soon"], 2, "soon"),
    ],
)
def test_what_cannot_be_judged(folder: Path, arguments: list[str], status: int, words: str) -> None:
    """The reason on standard error, nothing on standard output, never a traceback."""
    done = verify(folder, *arguments)
    assert done.returncode == status, done.stderr
    assert words in done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout == ""


def test_the_notes_for_the_editor_name_commands_that_are_there() -> None:
    """What the notes tell an editor to type is a command, verify among them."""
    from overlay.cli.app import COMMANDS
    from overlay.handoff.notes import editor_notes

    named = re.findall(r"overlay ([a-z]+) PLAN", editor_notes(cuts.TIMELINE, cuts.SESSION.tones, ["timer"]))
    assert "verify" in named
    assert set(named) <= set(COMMANDS)


def test_a_class_fitted_to_its_takes(folder: Path) -> None:
    """A pause that was filmed between two blocks is a finding without the takes, and none with them."""
    from overlay.footage.filmed import conform_to
    from overlay.timeline.layout import lay_out
    from overlay.tones.track import events_of

    cuts.cut(folder / "filmed.mp4", cuts.sound(after=6))
    (folder / "takes.yaml").write_text(
        "takes: 1\nblocks:\n- {block: legs, file: filmed.mp4, offset: 0}\n"
        "- {block: arms, file: filmed.mp4, offset: 2.5}\n",
        encoding="utf-8",
    )
    fitted = lay_out(cuts.SESSION, moved=conform_to(cuts.TIMELINE, folder / "takes.yaml").moved).timeline
    cuts.cut(folder / "waited.mp4", cuts.sound(lambda _: list(events_of(fitted)), after=3))
    done = verify(folder, "waited.mp4")
    assert done.returncode == 1, done.stderr
    assert "finding: From Arms on the class comes 2.5" in done.stdout
    assert "check it with --takes" in done.stdout
    done = verify(folder, "waited.mp4", "--takes", "takes.yaml")
    assert done.returncode == 0, done.stdout + done.stderr
    assert "off by 0.0 ms in the middle and 0." in done.stdout


def test_progress_and_quiet(folder: Path) -> None:
    """What begins is told on standard error; with -q what is to be mended alone, and nothing where all is well."""
    assert verify(folder, "clean.mp4").stderr == "Listening to clean.mp4\n"
    well = verify(folder, "clean.mp4", "-q")
    assert (well.returncode, well.stdout, well.stderr) == (0, "", "")
    less = verify(folder, "less.mp4", "--quiet")
    assert (less.returncode, less.stderr) == (1, "")
    assert [line.partition(":")[0] for line in less.stdout.splitlines()] == ["finding"]
