"""The cache of coded pictures: found again, never wrong, bounded, shared, and never in the way."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from collections import Counter
from collections.abc import Hashable
from dataclasses import replace
from pathlib import Path

import pytest
from PIL import Image

from overlay.pictures import cache as cache_module
from overlay.pictures.cache import PictureCache, key_maker, tool_sum
from overlay.pictures.coding import ENCODER_OPTIONS, code_layer
from overlay.pictures.frames import Layer, Part, Picture
from overlay.pictures.means import Means, state_keys
from overlay.pictures.movie import layer_movie
from overlay.units.raster import Box, Size
from overlay.units.rate import Counting, FrameRate

BOX = Box(128, 96, 384, 160)


def layer(states: dict[int, Hashable], drawn: Counter[Hashable] | None = None, shaped_by: Hashable = "grey") -> Layer:
    """A lamp of some levels, which counts how often each is drawn."""
    times: Counter[Hashable] = Counter() if drawn is None else drawn

    def draw(state: Hashable) -> Picture:
        times[state] += 1
        assert isinstance(state, int)
        return Image.new("RGBA", (BOX.width_px, BOX.height_px), (state, state, state, 255))

    size, rate = Size.parse("640x360"), FrameRate.parse("25")
    part = Part(BOX, tuple(states.items()), draw, shaped_by)
    return Layer("lamp", size, rate, Counting.NON_DROP, 0, 40, (part,))


def movie(folder: Path, made: Layer) -> bytes:
    """The movie of a layer with a cache in a folder."""
    cache = PictureCache(folder)
    try:
        return b"".join(layer_movie(made, coding=Means(cache=cache).coding(lambda: made)))
    finally:
        cache.close()


def test_only_new_pictures_are_drawn(tmp_path: Path) -> None:
    """The second build draws what is new, and the one picture that is coded both ways; the bytes are right."""
    first: Counter[Hashable] = Counter()
    movie(tmp_path, layer({0: 10, 5: 20, 9: 30}, first))
    second: Counter[Hashable] = Counter()
    changed = layer({0: 10, 5: 21, 9: 30}, second)
    made = movie(tmp_path, changed)
    assert set(first) == {10, 20, 30}
    assert set(second) == {21, 10}
    assert made == b"".join(layer_movie(changed))


def test_what_shapes_a_picture_is_in_its_key(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Another look, size, place, coding or version of the tool is another picture."""
    made = layer({0: 10})
    keys = [state_keys(made, [(0, 10)], "prores", ENCODER_OPTIONS)[0, 10]]
    (part,) = made.parts
    others = [
        layer({0: 10}, shaped_by="red"),
        replace(made, size=Size.parse("1280x720")),
        replace(made, parts=(replace(part, box=Box(0, 96, 256, 160)),)),
        replace(made, parts=(replace(part, draw=lambda state: Image.new("RGBA", (256, 64), str(state))),)),
    ]
    keys += [state_keys(other, [(0, 10)], "prores", ENCODER_OPTIONS)[0, 10] for other in others]
    keys.append(state_keys(made, [(0, 11)], "prores", ENCODER_OPTIONS)[0, 11])
    keys.append(state_keys(made, [(0, 10)], "prores", {**ENCODER_OPTIONS, "global_quality": "236"})[0, 10])
    monkeypatch.setattr("overlay.pictures.means.tool_sum", lambda: b"another version")
    keys.append(state_keys(made, [(0, 10)], "prores", ENCODER_OPTIONS)[0, 10])
    assert len(set(keys)) == len(keys) == 8


def test_who_does_not_say_what_shapes_it_is_not_remembered(tmp_path: Path) -> None:
    """Two functions that nobody tells apart never share a picture."""
    movie(tmp_path, layer({0: 10}, shaped_by=None))
    drawn: Counter[Hashable] = Counter()
    movie(tmp_path, layer({0: 10, 5: 20}, drawn, shaped_by=None))
    assert set(drawn) == {10, 20}


def test_a_changed_file_of_the_tool_changes_every_key(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The sum is over the text of the code and the fonts."""
    before = tool_sum()
    code = tmp_path / "package" / "pictures" / "cache.py"
    code.parent.mkdir(parents=True)
    code.write_text("one", "utf-8")
    monkeypatch.setattr(cache_module, "__file__", str(code))
    tool_sum.cache_clear()
    one = tool_sum()
    code.write_text("two", "utf-8")
    tool_sum.cache_clear()
    two = tool_sum()
    monkeypatch.undo()
    tool_sum.cache_clear()
    assert len({before, one, two}) == 3
    assert tool_sum() == before


def test_the_longest_unused_go_first(tmp_path: Path) -> None:
    """The content stays within its limit; what was asked for lately stays."""
    cache = PictureCache(tmp_path, limit_bytes=1000)
    for number in range(8):
        cache.keep([(b"%d" % number, bytes(200))])
        cache.find([b"0"])
    kept = cache.find(b"%d" % number for number in range(8))
    cache.close()
    assert b"0" in kept
    assert b"7" in kept
    assert b"1" not in kept
    assert sum(map(len, kept.values())) <= 1000


def test_a_damaged_picture_is_not_found(tmp_path: Path) -> None:
    """A content that is not what was kept is as good as none."""
    cache = PictureCache(tmp_path)
    cache.keep([(b"a", b"right"), (b"b", b"right")])
    cache.close()
    with sqlite3.connect(tmp_path / "pictures.sqlite") as file:
        (content,) = file.execute("SELECT content FROM pictures WHERE key = ?", (b"a",)).fetchone()
        file.execute("UPDATE pictures SET content = ? WHERE key = ?", (content[:-1] + b"!", b"a"))
    file.close()
    cache = PictureCache(tmp_path)
    assert cache.find([b"a", b"b"]) == {b"b": b"right"}
    cache.close()


@pytest.mark.parametrize("trouble", ["garbage", "folder", "file"])
def test_a_cache_that_cannot_be_used_is_not_in_the_way(trouble: str, tmp_path: Path) -> None:
    """Garbage, a folder where the file should be, a file where the folder should be: built all the same."""
    folder = tmp_path / "cache"
    if trouble == "file":
        folder.write_text("in the way", "utf-8")
    elif trouble == "folder":
        (folder / "pictures.sqlite").mkdir(parents=True)
    else:
        folder.mkdir()
        (folder / "pictures.sqlite").write_bytes(b"no data base at all" * 200)
    made = layer({0: 10, 5: 20})
    assert movie(folder, made) == b"".join(layer_movie(made))


def test_a_locked_cache_is_not_in_the_way(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Another program that never lets go of the file costs a short wait, not the build."""
    monkeypatch.setattr(cache_module, "_WAIT_SECONDS", 0.05)
    movie(tmp_path, layer({0: 10}))
    holding = sqlite3.connect(tmp_path / "pictures.sqlite", isolation_level=None)
    holding.execute("BEGIN EXCLUSIVE")
    made = layer({0: 10, 5: 20})
    assert movie(tmp_path, made) == b"".join(layer_movie(made))
    holding.close()


def test_two_builds_at_once(tmp_path: Path) -> None:
    """Two processes that write the same cache again and again both end well, and all of both is there."""
    code = (
        "import sys\nfrom pathlib import Path\nfrom overlay.pictures.cache import PictureCache\n"
        "cache = PictureCache(Path(sys.argv[1]))\n"
        "for number in range(150):\n"
        "    cache.keep([(f'{sys.argv[2]}{number}'.encode(), b'x' * 1000), (b'both', b'same')])\n"
        "    assert cache.find([b'both']) == {b'both': b'same'}\n"
        "cache.close()\n"
    )
    running = [subprocess.Popen([sys.executable, "-c", code, str(tmp_path), name]) for name in "ab"]
    assert [process.wait(60) for process in running] == [0, 0]
    cache = PictureCache(tmp_path)
    found = cache.find(f"{name}{number}".encode() for name in "ab" for number in range(150))
    cache.close()
    assert len(found) == 300


def test_values_that_differ_make_other_keys() -> None:
    """Where one value ends and the next begins is in the key."""
    key = key_maker("a")
    assert len({key("b", "c"), key("bc"), key("b"), key(), key(("b", "c"))}) == 5


def test_the_coded_layer_is_the_same_with_a_cache(tmp_path: Path) -> None:
    """Coded anew, remembered, and found: the same packets."""
    made = layer({0: 10, 5: 20})
    cache = PictureCache(tmp_path)
    packets = [code_layer(made, Means(cache=kept).coding(lambda: made)).packet((20,)) for kept in (None, cache, cache)]
    cache.close()
    assert packets[0] == packets[1] == packets[2]
