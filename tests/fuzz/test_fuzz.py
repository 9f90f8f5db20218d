"""Plans and recordings of every kind of wrong: read or refused in plain words, in little time and memory.

More of them, by hand: `python tests/fuzz/plans.py 0 20000`, `python tests/fuzz/media.py FOLDER 0 500`,
and the largest classes at full size: `python tests/fuzz/largest.py FOLDER`.
"""

from __future__ import annotations

import json
import runpy
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import av
import numpy as np
import pytest

from overlay.footage.sound import Footage

HERE = Path(__file__).parent
plans = SimpleNamespace(**runpy.run_path(str(HERE / "plans.py")))
LARGEST_MB = 500
LONGEST_SECONDS = 900
"""For a whole run, where not even a hanging case ends itself."""


def ended(*arguments: str) -> subprocess.CompletedProcess[str]:
    """A run in a process of its own, so that a crash of a library is seen and memory is its own."""
    command = [sys.executable, *arguments]
    return subprocess.run(command, capture_output=True, text=True, encoding="utf-8", timeout=LONGEST_SECONDS)


def came_of(*arguments: str) -> dict[str, Any]:
    """What a run printed; a case that hangs has ended it (`hang.py`), and its number is the last one told."""
    done = ended(*arguments)
    assert done.returncode == 0, done.stderr[-2000:]
    figures: dict[str, Any] = json.loads(done.stdout)
    assert figures["peak_mb"] < LARGEST_MB
    return figures


@pytest.mark.skipif(sys.platform == "win32", reason="Windows does not count a program's own time")
@pytest.mark.parametrize(
    ("hanging", "limits"),
    [
        ("while True: pass", "0.3"),
        ("'x' * 2**24 in 'x' * 2**24 + 'y'; sum(range(10**10))", "0.3"),
        ("import time; time.sleep(600)", "5, 0.3"),
    ],
)
def test_what_hangs_is_cut(hanging: str, limits: str) -> None:
    """In Python, in a library, and where it only waits: the program ends and tells the line."""
    code = (
        f"from hang import cut_off\nprint('begun', flush=True)\nwith cut_off({limits}):\n    {hanging}\nprint('over')"
    )
    done = ended("-c", f"import sys; sys.path.insert(0, {str(HERE)!r})\n{code}")
    assert done.returncode != 0
    assert done.stdout == "begun\n"
    assert 'File "<string>", line 5' in done.stderr


def test_plans_by_grammar() -> None:
    """Each becomes every text that it should, or mistakes with words; never another error."""
    ends = came_of(str(HERE / "plans.py"), "0", "80")["ends"]
    assert ends.keys() == {"refused", "written"}
    assert min(ends.values()) > 15


def test_the_largest_classes_made_small(tmp_path: Path) -> None:
    """All that is drawn, printed and written of classes at the limits of a plan, a share of each, in little memory."""
    made = came_of(str(HERE / "largest.py"), str(tmp_path), "small")["made"]
    assert len(made) == 6
    assert min(made["long_texts"], made["unbroken"]) > 30
    assert made["many_languages"] == 3 * 5 + 1


def test_broken_recordings(tmp_path: Path) -> None:
    """Each is listened to as far as it goes, or refused by its name."""
    ends = came_of(str(HERE / "media.py"), str(tmp_path), "0", "12")["ends"]
    assert ends.keys() == {"refused", "read"}


def test_a_cue_without_words_where_nothing_fits() -> None:
    """Once a division by nothing: the class is laid out, and the caption stands."""
    cues = ["~", {"at": "0s", "say": "Much more than anybody could say in the four seconds that there are for it."}]
    plan = {"overlay": "1", "title": "A", "blocks": [{"intervals": [{"name": "B", "work": "4s", "cues": cues}]}]}
    texts = plans.written_by(json.dumps(plan).encode("utf-8"))
    assert [cue["text"] for cue in json.loads(texts["timeline.json"])["cues"]].count("~") == 1


def test_sound_that_changes_its_form_on_the_way(tmp_path: Path) -> None:
    """Once a traceback: two recordings in one file, of other rates and channels, are heard one after the other."""
    parts = []
    for rate_hz, layout in ((48000, "mono"), (44100, "stereo")):
        path = tmp_path / f"{rate_hz}.mp3"
        with av.open(str(path), "w") as container:
            stream = container.add_stream("mp3", rate=rate_hz, layout=layout)
            for start in range(0, 3 * rate_hz, 1152):
                noise = np.random.default_rng(start).normal(0, 3000, (1, 1152 * (1 + (layout == "stereo"))))
                frame = av.AudioFrame.from_ndarray(noise.astype(np.int16), format="s16", layout=layout)
                frame.sample_rate, frame.pts = rate_hz, start
                container.mux(stream.encode(frame))
            container.mux(stream.encode(None))
        parts.append(path.read_bytes())
    both = tmp_path / "both.mp3"
    both.write_bytes(b"".join(parts))
    with Footage(both) as footage:
        count = sum(len(samples) for _, samples in footage.pieces())
    assert 5.5 * 48000 < count < 6.5 * 48000
