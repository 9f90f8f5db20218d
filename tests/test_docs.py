"""Documents tell the truth: every command in them runs, every snippet is what it says, every link leads somewhere."""

from __future__ import annotations

import contextlib
import csv
import io
import os
import re
import shlex
import sys
import types
import wave
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import av
import numpy as np
import pytest

import overlay
from overlay.cli import app
from overlay.folder import catalog
from overlay.plan.read import parse_plan
from overlay.plan.session import Session

ROOT = Path(__file__).parents[1]
DOCUMENTS = [
    "README.md",
    "demo/README.md",
    "DEVELOPERS.md",
    "overlay/plan/README.md",
    "overlay/folder/README.md",
    "overlay/footage/README.md",
]
ELSEWHERE = {
    r"overlay rehearse ": "serves a page until it is stopped: tests/page/test_serve.py",
    r"overlay --install-completion": "changes the shell of whoever runs it",
    r"python3 -m venv ": "fetches packages; .ci/run runs it",
    r"(?:\.venv/bin/)?pip ": "fetches packages; .ci/run runs it",
    r"(?:\.venv/bin/)?pytest ": "these are the tests, and they need a browser or hours; .ci/run runs them",
    r"\.venv/bin/ruff |bash \.ci/run|hatch build": "checks and wheel: .ci/run runs them",
    r"overlay .* --cluster |dask ": "needs several machines, or stands for them: tests/series",
    r"\.venv/bin/pre-commit ": "the hooks are checks that .ci/run has too",
    r"git tag": "marks a version for good",
    r"pipx |uv |apt |brew |py -m pip ": "changes the machine of whoever runs it",
}
"""What is not run here, each with its reason."""
IS_COMMAND = re.compile(r"^(?:overlay|dask|pip|python3|bash|git|hatch|pipx|uv|apt|brew|py|pytest|\.venv/bin/[\w-]+) ")


@dataclass(frozen=True)
class Folder:
    """A folder as a reader has it by then: the demo's plans and one of their own, footage, and a finished film."""

    path: Path


def commands(document: str) -> list[str]:
    """Every command of a document, in its order: what is indented, and what stands between backquotes."""
    text = (ROOT / document).read_text("utf-8")
    prose = re.sub(r"^```.*?^```$", "", text, flags=re.MULTILINE | re.DOTALL)
    found: list[str] = []
    for line in re.split(r"\n(?=    )|(?<!\S)\n", prose):
        if line.startswith("    ") and IS_COMMAND.match(line.strip()):
            found.append(re.split(r"\s+#|\n", line.strip())[0])
        else:
            for quoted in re.findall(r"`([^`]+)`", line):
                one = " ".join(quoted.split())
                if IS_COMMAND.match(one):
                    found.append(one)
    # A bare `overlay check` in a sentence is the command's name.
    bare = {f"overlay {command}" for command in app.COMMANDS if command != "schema"} | {"overlay"}
    return [command for command in dict.fromkeys(found) if command not in bare]


def is_run_here(command: str) -> bool:
    """Whether nothing speaks against running it in a test."""
    return not any(re.match(pattern, command) for pattern in ELSEWHERE)


NOT_RUN = [(document, command) for document in DOCUMENTS for command in commands(document) if not is_run_here(command)]


def small(plan: str) -> str:
    """The same class in the smallest pictures of its shape, so that a test draws few pixels."""
    return plan.replace("size: 1920x1080", "size: 640x360").replace("size: 1080x1920", "size: 360x640")


def film(path: Path, sound: np.ndarray, before: float = 0.0) -> None:
    """An MP4 of a plain picture at 30 frames with the sound in it, and silence before it."""
    rate_hz = 48000
    heard = np.concatenate([np.zeros(int(before * rate_hz), np.float32), sound]).astype(np.float32)
    with av.open(str(path), "w") as container:
        picture = container.add_stream("mpeg4", rate=30)
        picture.width, picture.height, picture.pix_fmt = 64, 48, "yuv420p"
        track = container.add_stream("aac", rate=rate_hz, layout="mono", options={"aac_coder": "fast"})
        gray = av.VideoFrame.from_ndarray(np.full((48, 64, 3), 90, np.uint8), format="rgb24")
        for number in range(int(len(heard) / rate_hz * 30)):
            gray.pts = number
            container.mux(picture.encode(gray))
        container.mux(picture.encode())
        for start in range(0, len(heard), 1024):
            frame = av.AudioFrame.from_ndarray(heard[None, start : start + 1024].copy(), format="fltp", layout="mono")
            frame.rate, frame.pts = rate_hz, start
            container.mux(track.encode(frame))
        container.mux(track.encode())


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Folder:
    """Where the commands are run."""
    path = tmp_path_factory.mktemp("first-hour")
    (path / "demo").mkdir()
    for plan in (ROOT / "demo").glob("*.yaml"):
        (path / "demo" / plan.name).write_text(small(plan.read_text("utf-8")), encoding="utf-8")
    own = path / "my-class.yaml"
    with contextlib.chdir(path):
        assert quietly(["new", "my-class.yaml"]) == 0
    own.write_text(small(own.read_text("utf-8")), encoding="utf-8")
    tones = overlay.build(own, only=["tones", "captions"]).folder / "tones" / "tones.wav"
    with wave.open(str(tones)) as file:
        raw = np.frombuffer(file.readframes(file.getnframes()), np.uint8).reshape(-1, file.getnchannels(), 3)
    sound = (raw[:, 0, 1].astype(np.int32) | raw[:, 0, 2].astype(np.int8).astype(np.int32) << 8).astype(
        np.float32
    ) / 32768
    film(path / "clip-0007.mp4", sound, before=5.0)
    film(path / "clip-0008.mp4", sound[: 48000 * 20] * 0)
    film(path / "silent.mp4", sound * 0, before=5.0)
    film(path / "final.mp4", sound, before=5.0)
    (path / "series").mkdir()
    (path / "series" / "one.yaml").write_bytes(own.read_bytes())
    with contextlib.chdir(path):
        assert quietly(["sync", "my-class.yaml", "clip-0007.mp4", "-q"]) == 0
    return Folder(path)


def quietly(arguments: list[str]) -> int:
    """The exit status of a command; an error of ours has its own."""
    try:
        return app.run(arguments)
    except overlay.OverlayError as error:
        print(error.message, error.remedy)
        return error.exit_status
    except SystemExit as ended:
        return int(ended.code or 0)


@pytest.mark.parametrize("document", DOCUMENTS)
def test_every_command_runs(document: str, folder: Folder, capsys: pytest.CaptureFixture[str]) -> None:
    """In the order of the page, those that no earlier page has: each is done, or has findings where the footage of a
    test has some."""
    earlier = {command for other in DOCUMENTS[: DOCUMENTS.index(document)] for command in commands(other)}
    for command in commands(document):
        if command in earlier or not is_run_here(command):
            continue
        program, *arguments = shlex.split(command.split(" > ")[0])
        assert program == "overlay"
        arguments = [{"PLAN": "my-class.yaml", "FOLDER": "series"}.get(argument, argument) for argument in arguments]
        if arguments == ["new", "my-class.yaml"]:
            arguments[1] = "another.yaml"
        if arguments[0] == "build":
            arguments += ["--no-cache", "--workers", "1"]
        with contextlib.chdir(folder.path):
            status = quietly(arguments)
        told = "".join(capsys.readouterr())
        # A film that is made of beeps alone has no voice to stand beside, and a clip of silence has no class.
        allowed = {0, 1} if arguments[0] in ("sync", "verify") else {0}
        assert status in allowed, f"{command}\n{told}"
        assert "Traceback" not in told


@pytest.mark.parametrize(("document", "command"), NOT_RUN, ids=[f"{page}: {command}" for page, command in NOT_RUN])
def test_what_is_not_run_here(document: str, command: str) -> None:
    """Each with its reason."""
    pytest.skip(next(reason for pattern, reason in ELSEWHERE.items() if re.match(pattern, command)))


def test_there_is_something_to_run() -> None:
    """The search itself finds commands of both kinds, and every command of the tool is told of in the README."""
    found = commands("README.md")
    assert "overlay check my-class.yaml" in found
    assert "pipx install ." in found
    told = {shlex.split(command)[1] for command in found if command.startswith("overlay ")}
    assert set(app.COMMANDS) - {"schema"} <= told


def test_the_two_commands_are_those_of_the_checks() -> None:
    """.ci/run runs what the README says, word for word."""
    checks = (ROOT / ".ci" / "run").read_text("utf-8")
    first, second = (line.strip() for line in re.findall(r"^    (python3 -m venv .*)$", readme(), re.MULTILINE)[:2])
    assert first in checks
    assert second in checks


def readme() -> str:
    return (ROOT / "README.md").read_text("utf-8")


@pytest.mark.parametrize("document", DOCUMENTS)
def test_every_link_leads_somewhere(document: str) -> None:
    """To a file of this folder."""
    text = (ROOT / document).read_text("utf-8")
    for target in re.findall(r"\]\(([^)#]+)\)", text):
        assert (ROOT / document).parent.joinpath(target).exists(), target


@pytest.mark.parametrize("document", DOCUMENTS)
def test_every_key_in_the_text_reads(document: str) -> None:
    """What stands between backquotes and begins with a key of a plan is read, put into a small plan."""
    text = (ROOT / document).read_text("utf-8")
    keys = "|".join(set(Session.model_fields) - {"blocks", "exercises", "overlay", "title", "opening", "closing"})
    for snippet in re.findall(rf"`((?:{keys}): \S[^`]*)`", re.sub(r"^```.*?^```$", "", text, flags=re.M | re.S)):
        if "…" in snippet or "`" in snippet:
            continue
        plan = f"overlay: 1\ntitle: A\nblocks: [{{intervals: [{{name: B}}]}}]\n{' '.join(snippet.split())}\n"
        assert [mistake for mistake in mistakes(plan) if "there is no file" not in mistake] == [], snippet


def mistakes(plan: str) -> list[str]:
    """What is wrong in a plan. A theme or a list of exercises the reader would have beside it."""
    try:
        parse_plan(plan.encode("utf-8"), "a.yaml")
    except overlay.PlanError as error:
        return [mistake.message for mistake in error.mistakes]
    return []


def pieces(heading: str) -> list[str]:
    """The Python snippets below a heading of DEVELOPERS.md."""
    text = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    part = text[text.index(f"## {heading}") :].split("\n## ")[0]
    return re.findall(r"^```python\n(.*?)^```$", part, re.MULTILINE | re.DOTALL)


def test_the_worked_example_of_an_output(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Writer, row and test as DEVELOPERS.md has them, put in place: the output is made, and its own test passes."""
    writer, row, test = pieces("How to add an output")
    module = types.ModuleType("overlay.handoff.beep_list")
    exec(compile(writer, "beep_list.py", "exec", dont_inherit=True), module.__dict__)
    monkeypatch.setitem(sys.modules, module.__name__, module)
    beside = dict(vars(catalog))
    exec(compile(row, "catalog.py", "exec", dont_inherit=True), beside)
    monkeypatch.setitem(catalog.CATALOG, "beep-list", beside["BEEP_LIST"])
    its_own: dict[str, Any] = {}
    exec(compile(test, "test_beep_list.py", "exec", dont_inherit=True), its_own)
    its_own["test_every_beep_stands_in_the_list"](tmp_path)
    rows = list(csv.reader(io.StringIO((tmp_path / "a-assets" / "handoff" / "beeps.csv").read_text("utf-8"))))
    # At 30 frames a preview of 10 s and work of 30 s: pips 3, 2 and 1 s before frame 300, then the start.
    assert rows[1:5] == [
        ["210", "00:00:07:00", "ready"],
        ["240", "00:00:08:00", "ready"],
        ["270", "00:00:09:00", "ready"],
        ["300", "00:00:10:00", "start"],
    ]


def test_the_example_from_python(folder: Folder, capsys: pytest.CaptureFixture[str]) -> None:
    """It reads, lays out and builds; a plan with a mistake is told by place, with the exit status."""
    (example,) = pieces("From Python")
    code = compile(example, "example.py", "exec", dont_inherit=True)
    with contextlib.chdir(folder.path):
        exec(code, {"__name__": "__main__"})
    told = capsys.readouterr().out
    assert "00:00:15:00 preview Warm up" in told
    assert f"files in {Path('for-the-editor')}" in told
    with wrong_plan(folder.path / "my-class.yaml"), contextlib.chdir(folder.path), pytest.raises(SystemExit) as ended:
        exec(code, {"__name__": "example"})
    assert ended.value.code == 2
    assert "my-class.yaml:" in capsys.readouterr().out


@contextlib.contextmanager
def wrong_plan(path: Path) -> Iterator[None]:
    """A plan with a mistake in it for a while."""
    before = path.read_bytes()
    path.write_bytes(before.replace(b"blocks:", b"blcks:"))
    try:
        yield
    finally:
        path.write_bytes(before)


def test_the_findings_of_footage_are_told() -> None:
    """Each name that a build with takes gives a finding stands in the page beside the code, and no other."""
    code = (ROOT / "overlay" / "footage" / "filmed.py").read_text("utf-8")
    given = set(re.findall(r'Finding\("([a-z-]+)"', code)) | {f"{kind}-not-filmed" for kind in ("opening", "closing")}
    assert 'f"{kind.value}-not-filmed"' in code
    text = (ROOT / "overlay" / "footage" / "README.md").read_text("utf-8")
    part = text[text.index("## What a build with takes may say") :]
    assert set(re.findall(r"`([a-z]+(?:-[a-z]+)+)`", part)) == given


@pytest.mark.parametrize("name", ["desk-break", "window-stretch", "stop-and-go"])
def test_the_demo_checks_clean(name: str) -> None:
    """Not a remark; and every exercise has an easier version."""
    plan = ROOT / "demo" / f"{name}.yaml"
    assert quietly(["check", "--strict", str(plan)]) == 0
    session = overlay.read_plan(plan)
    assert [key for key, exercise in session.exercises.items() if exercise.easier is None] == []


def test_the_demos_are_of_three_kinds() -> None:
    """16:9, a tall picture in two languages, a long one at 25 frames."""
    desk, window, stop = (
        overlay.read_plan(ROOT / "demo" / f"{name}.yaml") for name in ("desk-break", "window-stretch", "stop-and-go")
    )
    assert str(desk.video.size) == "1920x1080"
    assert window.video.size.is_tall
    assert window.language == ("en", "es")
    assert stop.video.frame_rate.value == 25
    assert stop.duration > 30 * 60
    assert {
        exercise.position.in_language("en", main="en") for exercise in stop.exercises.values() if exercise.position
    } == {"standing"}


def test_every_hook_is_local() -> None:
    """The hooks before a commit name no host and run programs of the environment."""
    text = (ROOT / ".pre-commit-config.yaml").read_text("utf-8")
    assert "://" not in text
    assert set(re.findall(r"repo: (\S+)", text)) == {"local"}
    assert set(re.findall(r"language: (\S+)", text)) == {"script"}
    assert set(re.findall(r"entry: (\S+)", text)) == {".ci/tool"}
    assert os.access(ROOT / ".ci" / "tool", os.X_OK)
    for path in re.findall(r"tests/\S+", text):
        assert (ROOT / path).exists(), path
