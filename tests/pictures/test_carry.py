"""Layers in every carrier, read back by readers that we did not write."""

from __future__ import annotations

import random
import shutil
import struct
import subprocess
from collections.abc import Hashable
from itertools import pairwise
from pathlib import Path

import av
import numpy as np
import pytest
from PIL import Image, ImageDraw

from overlay.errors import MachineError
from overlay.folder.job import File
from overlay.folder.write import ASIDE, Writing
from overlay.pictures.carry import Carried, carry
from overlay.pictures.coding import CodedLayer, code_layer, code_states
from overlay.pictures.composite import compose, count_layer, joined, showings
from overlay.pictures.eight_bit import planes
from overlay.pictures.frames import Layer, Part, Picture
from overlay.pictures.movie import check_movie, layer_movie
from overlay.pictures.opaque import fill, matte, over
from overlay.plan.carriers import Carrier, key_color
from overlay.plan.look import Look
from overlay.units.color import Color
from overlay.units.raster import Box, Size
from overlay.units.rate import Counting, FrameRate

BOX = Box(150, 90, 450, 190)
MOVIES = [Carrier.PRORES, Carrier.QTRLE, Carrier.WEBM, Carrier.KEY, Carrier.FILL_AND_MATTE]


def plate(state: Hashable) -> Picture:
    """A dark, see-through plate with round corners and a white bar as long as the state says."""
    assert isinstance(state, int)
    coverage = Image.new("L", (BOX.width_px * 4, BOX.height_px * 4))
    ImageDraw.Draw(coverage).rounded_rectangle((0, 0, coverage.width - 1, coverage.height - 1), 80, 220)
    picture = Image.new("RGBA", (BOX.width_px, BOX.height_px), (18, 24, 33, 0))
    picture.putalpha(coverage.reduce(4))
    ImageDraw.Draw(picture).rectangle((20, 30, 20 + state, 70), (255, 255, 255, 255))
    return picture


def layer(frames: int = 60, rate: str = "29.97") -> Layer:
    """A bar that is another every few frames, comes back to where it was, and is gone for a while."""
    changes: dict[int, Hashable] = {frame: 10 + 20 * (frame // 4 % 9) for frame in range(0, frames, 4)}
    changes |= {13: None, 14: 200, 15: 230}
    part = Part(BOX, tuple(sorted(changes.items())), plate)
    size, counting = Size.parse("640x360"), Counting.NON_DROP
    return Layer("bar", size, FrameRate.parse(rate), counting, 0, frames, (part,))


def written(folder: Path, made: Layer, carrier: Carrier) -> list[tuple[Path, Carried]]:
    """The files of a carrier, written and passed by their own check."""
    files = []
    for file in carry(made, carrier, Look(), code_states, plain=False):
        path = folder / file.path
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(b"".join(file.content))
        if file.check is not None:
            file.check(path)
        files.append((path, file))
    return files


def shown(made: Layer) -> list[Picture]:
    """The picture of every frame."""
    return [picture for states, frames in showings(made) for picture in [compose(made, states)] * frames]


@pytest.mark.parametrize("carrier", MOVIES)
@pytest.mark.parametrize("rate", ["25", "29.97", "60"])
def test_each_carrier_passes_its_own_check(carrier: Carrier, rate: str, tmp_path: Path) -> None:
    """Written, opened again, found right; the same bytes when it is made again."""
    made = layer(rate=rate)
    first = [path.read_bytes() for path, _ in written(tmp_path / "a", made, carrier)]
    again = [path.read_bytes() for path, _ in written(tmp_path / "b", made, carrier)]
    assert first == again


@pytest.mark.parametrize("carrier", [carrier for carrier in Carrier if carrier is not Carrier.PNG])
def test_a_wrong_picture_does_not_pass(carrier: Carrier, tmp_path: Path) -> None:
    """The file of another layer, of the same length and rate, is found out."""
    other = Layer(**{**vars(layer()), "parts": (Part(BOX, ((0, 77),), plate),)})
    for (path, _), file in zip(
        written(tmp_path, layer(), carrier), carry(other, carrier, Look(), code_states, plain=False), strict=True
    ):
        assert file.check is not None
        if path.name != "bar-matte.mp4":
            with pytest.raises(MachineError, match="came out wrong"):
                file.check(path)
        path.write_bytes(path.read_bytes()[: path.stat().st_size // 3])
        with pytest.raises(MachineError, match=path.name):
            file.check(path)


def test_run_length_movies_are_lossless(tmp_path: Path) -> None:
    """Every pixel of every frame, colour under alpha 0 too, and seeking lands where it should."""
    made = layer()
    ((path, _),) = written(tmp_path, made, Carrier.QTRLE)
    with av.open(str(path)) as container:
        stream = container.streams.video[0]
        assert (stream.codec_context.name, stream.average_rate) == ("qtrle", made.rate.value)
        for frame, picture in zip(container.decode(stream), shown(made), strict=True):
            assert np.array_equal(frame.to_ndarray(format="rgba"), np.asarray(picture))
        order = random.Random(3)
        for number in [order.randrange(60) for _ in range(50)]:
            container.seek(number * 1001, stream=stream)
            frame = next(container.decode(stream))
            assert np.array_equal(frame.to_ndarray(format="rgba"), np.asarray(shown(made)[number]))


def test_webm_has_one_picture_a_change_with_its_alpha(tmp_path: Path) -> None:
    """As many pictures as changes, at the times of their frames; alpha to the bit; the whole length."""
    made = layer()
    ((path, _),) = written(tmp_path, made, Carrier.WEBM)
    changes = list(showings(made))
    decoder = av.VideoCodecContext.create("libvpx-vp9", "r")
    assert isinstance(decoder, av.VideoCodecContext)
    with av.open(str(path)) as container:
        stream = container.streams.video[0]
        packets = [packet for packet in container.demux(stream) if packet.size]
        assert len(packets) == len(changes)
        assert container.duration == pytest.approx(60 * 1001 / 30000 * 1e6, abs=600)
        start = 0
        for packet, (states, frames) in zip(packets, changes, strict=True):
            assert packet.pts is not None
            assert packet.time_base is not None
            assert float(packet.pts * packet.time_base) == pytest.approx(start * 1001 / 30000, abs=0.0006)
            (frame,) = decoder.decode(packet)
            assert np.array_equal(planes(frame)[3], np.asarray(compose(made, states))[..., 3])
            start += frames


@pytest.mark.parametrize("carrier", [Carrier.KEY, Carrier.FILL_AND_MATTE])
def test_h264_shows_what_was_meant(carrier: Carrier, tmp_path: Path) -> None:
    """Every frame within a few levels of its flat picture; sought frames too; no frame of another kind."""
    made = layer()
    ways = [over(key_color(Look()))] if carrier is Carrier.KEY else [fill, matte]
    for (path, _), opaque in zip(written(tmp_path, made, carrier), ways, strict=True):
        wanted = [np.asarray(opaque(picture).convert("L")).astype(int) for picture in shown(made)]
        with av.open(str(path)) as container:
            stream = container.streams.video[0]
            facts = (stream.codec_context.name, stream.average_rate, stream.frames, stream.pix_fmt)
            assert facts == ("h264", made.rate.value, 60, "yuv420p")
            codec = stream.codec_context
            assert (codec.color_primaries, codec.color_trc, codec.colorspace, codec.color_range) == (1, 1, 1, 1)
            seen = [frame.to_ndarray(format="rgb24") for frame in container.decode(stream)]
            grey = [np.asarray(Image.fromarray(frame).convert("L")).astype(int) for frame in seen]
            assert max(np.abs(a - b).mean() for a, b in zip(grey, wanted, strict=True)) < 2.5
            middle = np.s_[125:155, 175:178]
            assert max(np.abs(a[middle] - b[middle]).max() for a, b in zip(grey, wanted, strict=True)) <= 6
            for number in [random.Random(5).randrange(60) for _ in range(50)]:
                container.seek(number * 1001, stream=stream)
                frame = next(container.decode(stream))
                assert frame.pts == number * 1001
                assert np.array_equal(frame.to_ndarray(format="rgb24"), seen[number])


def test_two_h264_pictures_in_a_row_bear_different_numbers(tmp_path: Path) -> None:
    """Samples one after the other are never the same bytes, though each stands in the file once."""
    ((path, _),) = written(tmp_path, layer(), Carrier.KEY)
    with av.open(str(path)) as container:
        packets = [bytes(packet) for packet in container.demux(video=0) if packet.size]
    assert all(one != other for one, other in pairwise(packets))
    distinct = count_layer(layer()).pictures
    assert distinct < len(set(packets)) <= 2 * distinct
    assert path.stat().st_size < 1.3 * sum(map(len, set(packets))) + 2500


def test_a_keyed_edge_is_hard(tmp_path: Path) -> None:
    """Before coding, every pixel is the key's or wholly the layer's own; nothing is mixed with the key."""
    key = key_color(Look())
    picture = Image.new("RGBA", (640, 360))
    picture.paste(plate(100), (BOX.left, BOX.top))
    flat = np.asarray(over(key)(picture))
    is_key = (flat[..., :3] == key.rgb).all(axis=-1)
    assert np.array_equal(is_key, np.asarray(picture)[..., 3] < 128)
    assert {tuple(pixel) for pixel in flat[~is_key][:, :3]} == {(18, 24, 33), (255, 255, 255)}


@pytest.mark.parametrize(
    "look",
    [
        Look(),
        Look(work=Color(0, 255, 0), rest=Color(0, 0, 255)),
        Look(work=Color(255, 0, 255), rest=Color(0, 255, 0), preview=Color(0, 0, 255)),
    ],
)
def test_the_key_is_far_from_every_ink(look: Look) -> None:
    """No colour of the look lies near the key's in hue: at least an eighth of the whole plane away."""
    key = key_color(look)
    hsv = [Image.new("RGB", (1, 1), ink.rgb).convert("HSV").getpixel((0, 0)) for ink in (key, look.work, look.rest)]
    hues = [pixel[0] for pixel in hsv if isinstance(pixel, tuple)]
    assert all(min(abs(hues[0] - hue), 256 - abs(hues[0] - hue)) >= 30 for hue in hues[1:])


def test_numbered_stills_repeat_as_links(tmp_path: Path) -> None:
    """A file a frame, numbered from 0; each distinct picture is written once and named again."""
    made = layer()
    with Writing(tmp_path) as writing:
        entries = []
        for file in carry(made, Carrier.PNG, Look(), code_states, plain=False):
            made_file = File(file.path, file.content, None, file.check, file.same_as)
            entries.append(writing.write(made_file, "layer", "sum"))
        writing.finish()
    files = sorted((tmp_path / "pictures" / "bar").iterdir())
    assert [path.name for path in files] == [f"bar-{number:06}.png" for number in range(60)]
    assert [entry.path for entry in entries] == [f"pictures/bar/{path.name}" for path in files]
    for path, entry, picture in zip(files, entries, shown(made), strict=True):
        with Image.open(path) as still:
            assert still.mode == "RGBA"
            assert still.tobytes() == picture.tobytes()
        assert path.stat().st_size == entry.bytes
    assert len({path.stat().st_ino for path in files}) == count_layer(made).pictures
    assert not (tmp_path / ASIDE / "pictures").exists()


def test_copies_where_links_are_not_to_be_had(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A disk that knows no second names gets copies."""

    def refuse(*_: object) -> None:
        raise OSError("no links here")

    monkeypatch.setattr("os.link", refuse)
    with Writing(tmp_path) as writing:
        writing.write(File("a.png", [b"picture"]), "layer", "sum")
        entry = writing.write(File("b.png", [], same_as="a.png"), "layer", "sum")
        writing.finish()
    assert (tmp_path / "b.png").read_bytes() == (tmp_path / "a.png").read_bytes() == b"picture"
    assert entry.bytes == 7


def test_layers_joined_show_all_of_each(tmp_path: Path) -> None:
    """Where only one layer shows something, its own coded slices stand; where two meet, the later is above."""
    below = layer()
    title = Part(Box(430, 100, 620, 300), ((0, None), (7, 90), (30, 160)), lambda state: _grey(state, 190, 200))
    above = Layer(**{**vars(below), "name": "title", "parts": (title,)})
    both = joined([below, above], "all")
    path = tmp_path / "all.mov"
    path.write_bytes(b"".join(layer_movie(both)))
    check_movie(path, both)
    coded = code_layer(both)
    assert type(coded) is CodedLayer
    for states, _ in showings(both):
        assert coded.packet(states) == coded.whole(states)
    alone = code_layer(below)
    assert coded.packet((30, None)) == alone.packet((30,))
    picture = compose(both, (230, 90))
    assert [picture.getpixel(at) for at in ((440, 150), (200, 150), (600, 250))] == [
        (90, 90, 90, 255),
        (255, 255, 255, 255),
        (90, 90, 90, 255),
    ]


def _grey(state: Hashable, width_px: int, height_px: int) -> Picture:
    assert isinstance(state, int)
    return Image.new("RGBA", (width_px, height_px), (state, state, state, 255))


@pytest.mark.skipif(shutil.which("ffmpeg") is None, reason="needs the ffmpeg program")
@pytest.mark.parametrize("carrier", MOVIES)
def test_the_ffmpeg_program_reads_every_carrier(carrier: Carrier, tmp_path: Path) -> None:
    """Without a complaint, as many frames as there are (WebM: as many pictures)."""
    made = layer()
    for path, _ in written(tmp_path, made, carrier):
        command = [
            "ffmpeg",
            "-v",
            "warning",
            "-i",
            str(path),
            "-map",
            "0:v",
            "-f",
            "framemd5",
            "-fps_mode",
            "passthrough",
        ]
        done = subprocess.run([*command, "-"], capture_output=True, text=True, check=True)
        frames = [line for line in done.stdout.splitlines() if line and not line.startswith("#")]
        assert len(frames) == (len(list(showings(made))) if carrier is Carrier.WEBM else 60)
        assert done.stderr == ""


def test_mp4_says_it_is_mp4(tmp_path: Path) -> None:
    """The brands of ISO/IEC 14496-12 and -15, and nothing of QuickTime alone."""
    ((path, _),) = written(tmp_path, layer(), Carrier.KEY)
    head = path.read_bytes()[:3000]
    assert struct.unpack_from(">4s4s", head, 4) == (b"ftyp", b"isom")
    assert b"avc1" in head
    assert b"avcC" in head
    assert not any(kind in head for kind in (b"qt  ", b"tmcd", b"dhlr", b"alis"))
