"""MLT plays the class as it is laid out: `melt`, by way of the library's MLT adapter, neither of which we wrote."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import av
import numpy as np
import opentimelineio as otio
import pytest

from overlay.pipeline import build

PLAN = """\
overlay: 1
title: Small class
video: {size: 640x360, frame_rate: RATE}
timing: {work: 2s, rest: 0s, preview: 2.1s}
blocks:
  - {id: one, intervals: [Row, {name: Press}]}
exercises: {Row: {name: Row}}
"""


def decoded(path: Path) -> list[np.ndarray]:
    """Every picture without its alpha, height x width x 3, in levels of 0 to 255."""
    with av.open(str(path)) as movie:
        return [frame.to_ndarray(format="rgba")[..., :3].astype(float) for frame in movie.decode(video=0)]


@pytest.mark.skipif(shutil.which("melt") is None, reason="the program melt is not installed")
@pytest.mark.parametrize("rate", ["25", "29.97"])
def test_melt_plays_what_the_document_says(tmp_path: Path, rate: str) -> None:
    """As many frames as the class has, and at every frame the picture of the layer that lies on top.

    The adapter knows neither tracks that are off nor layers that let the ones below show through (alpha
    is not looked at), and counts media from zero: so the class starts at 00:00:00:00, and of its layers
    the timer is shown.
    """
    plan = tmp_path / "small.yaml"
    plan.write_text(PLAN.replace("RATE", rate), encoding="utf-8")
    folder = build(plan, only=["timer", "titles", "tones", "handoff"]).folder / "handoff"
    document = otio.adapters.read_from_file(str(folder / "class.otio"))
    for track in list(document.tracks):
        if not track.enabled or track.name in ("titles", "previews", "progress"):
            document.tracks.remove(track)
    # The file must stand where relative media are found from. The document has no picture size to tell.
    text = otio.adapters.write_to_string(document, "mlt_xml")
    size = 'width="640" height="360" progressive="1" sample_aspect_num="1" sample_aspect_den="1"'
    (folder / "class.mlt").write_text(text.replace("<profile", f"<profile {size}"), encoding="utf-8")
    command = ["melt", "class.mlt", "-consumer", "avformat:shown.mkv", "vcodec=ffv1", "acodec=pcm_s24le"]
    command += ["real_time=0", "terminate_on_pause=1"]
    subprocess.run(command, cwd=folder, check=True, capture_output=True, timeout=300)
    shown, layer = decoded(folder / "shown.mkv"), decoded(folder.parent / "pictures" / "timer.mov")
    assert len(shown) == len(layer) == int(document.duration().value)
    for frame, (seen, drawn) in enumerate(zip(shown, layer, strict=True)):
        assert np.abs(seen - drawn).mean() < 0.5, frame
    changes = [n for n in range(1, len(layer)) if np.abs(layer[n] - layer[n - 1]).mean() > 0.2]
    seen_changes = [n for n in range(1, len(shown)) if np.abs(shown[n] - shown[n - 1]).mean() > 0.2]
    assert len(changes) > 4
    assert seen_changes == changes
