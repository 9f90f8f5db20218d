"""A whole build with other carriers, with a cache, and with all layers in one movie."""

from __future__ import annotations

import json
from pathlib import Path

import av
import pytest

from overlay.errors import OverlayError
from overlay.pictures import coding
from overlay.pipeline import Built, build

PLAN = """\
overlay: 1
title: Small class
video: {size: 640x360, frame_rate: 25}
timing: {work: 4s, rest: 2s, preview: 3s}
look: {timer: {gauge: seconds}}
SETTINGS
blocks:
  - {id: one, side: right, intervals: [{name: NAME, cues: [CUE]}, {name: Press}]}
  - {mirror: one, id: two}
"""


def made(folder: Path, settings: str = "", name: str = "Row", cue: str = "Pull", cache: Path | None = None) -> Built:
    """A build of the small class."""
    folder.mkdir(exist_ok=True)
    plan = folder / "small.yaml"
    text = PLAN.replace("SETTINGS", settings).replace("NAME", name).replace("CUE", cue)
    plan.write_text(text, "utf-8")
    return build(plan, cache=cache)


def sums(built: Built) -> dict[str, str]:
    return {entry.path: entry.sha256 for entry in built.entries}


def test_every_carrier_at_once(tmp_path: Path) -> None:
    """The files that the plan asks for, and no other; the key's colour is told to editor and manifest."""
    settings = "pictures: {carrier: [qtrle, webm, key, fill-and-matte, png], all_in_one: true}"
    # Three seconds: every carrier writes every frame of every layer.
    (tmp_path / "small.yaml").write_text(
        PLAN.split("blocks:")[0].replace("SETTINGS", settings)
        + "blocks: [{intervals: [{name: Row, work: 2s}], preview: 1s}]\n",
        "utf-8",
    )
    built = build(tmp_path / "small.yaml")
    pictures = {path.relative_to(built.folder / "pictures").as_posix() for path in built.folder.glob("pictures/*")}
    layers = ("timer", "titles", "previews", "progress", "all")
    endings = ("", "-qtrle.mov", ".webm", "-key.mp4", "-fill.mp4", "-matte.mp4")
    assert pictures == {f"{layer}{ending}" for layer in layers for ending in endings} | {"stills"}
    frames = json.loads((built.folder / "timeline.json").read_text("utf-8"))["frames"]
    assert len(list((built.folder / "pictures" / "timer").iterdir())) == frames
    rows = json.loads((built.folder / "manifest.json").read_text("utf-8"))["files"]
    (key,) = [row["key_color"] for row in rows if row["path"] == "pictures/timer-key.mp4"]
    notes = (built.folder / "handoff" / "editor-notes.txt").read_text("utf-8")
    assert key in notes
    assert "timer-matte.mp4" in notes
    assert "ProRes" not in notes
    assert "pictures/timer-qtrle.mov" in (built.folder / "handoff" / "class.otio").read_text("utf-8")
    with av.open(str(built.folder / "pictures" / "all-key.mp4")) as container:
        assert container.streams.video[0].frames == frames


@pytest.mark.parametrize("settings", ["pictures: {carrier: gif}", "pictures: {carrier: []}", "pictures: {all: yes}"])
def test_what_is_no_carrier_is_refused(settings: str, tmp_path: Path) -> None:
    """With its place, before anything is written."""
    with pytest.raises(OverlayError, match=r"small\.yaml:6"):
        made(tmp_path, settings)
    assert [path.name for path in tmp_path.iterdir()] == ["small.yaml"]


def test_a_cache_changes_no_byte(tmp_path: Path) -> None:
    """Without a cache, with an empty one, with a full one in another folder, and again in the same folder."""
    cache = tmp_path / "cache"
    without = sums(made(tmp_path / "a"))
    assert sums(made(tmp_path / "b", cache=cache)) == without
    assert sums(made(tmp_path / "c", cache=cache)) == without
    assert sums(made(tmp_path / "c", cache=cache)) == without


def test_another_cue_codes_no_picture(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What is said is on no picture: nothing is coded; what was said before stands nowhere."""
    cache, coded = tmp_path / "cache", []
    made(tmp_path / "a", cache=cache)
    encode = coding.Encoder.encode
    monkeypatch.setattr(coding.Encoder, "encode", lambda self, picture: coded.append(1) or encode(self, picture))
    again = made(tmp_path / "a", cue="Breathe", cache=cache)
    assert coded == []
    monkeypatch.undo()
    assert sums(again) == sums(made(tmp_path / "b", cue="Breathe"))


@pytest.mark.parametrize(("settings", "name"), [("", "Long row"), ("words: {work: Go}", "Row")])
def test_another_word_is_never_missed(settings: str, name: str, tmp_path: Path) -> None:
    """A build with a cache that knows another class is the build without one."""
    cache = tmp_path / "cache"
    made(tmp_path / "a", cache=cache)
    again = made(tmp_path / "a", settings, name=name, cache=cache)
    assert sums(again) == sums(made(tmp_path / "b", settings, name=name))
