"""Layers written as movies and read back by readers that we did not write."""

from __future__ import annotations

import json
import random
import shutil
import struct
import subprocess
from collections import Counter
from collections.abc import Hashable, Iterator, Mapping
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from overlay.errors import MachineError
from overlay.pictures import coding
from overlay.pictures.composite import compose, count_layer, showings
from overlay.pictures.frames import Layer, Part, Picture
from overlay.pictures.movie import check_movie, layer_movie
from overlay.units.raster import Box, Size
from overlay.units.rate import Counting, FrameRate
from overlay.units.timecode import frame_to_label

MLT = """<mlt><profile width="640" height="360" progressive="1" sample_aspect_num="1" sample_aspect_den="1"
 frame_rate_num="30000" frame_rate_den="1001" colorspace="709"/>
<producer id="a"><property name="resource">{path}</property></producer><playlist id="b">{entries}</playlist></mlt>"""
GSTREAMER = """
import json, sys
import gi
gi.require_version("Gst", "1.0")
from gi.repository import Gst
Gst.init(None)
chain = "! qtdemux ! avdec_prores ! videoconvert ! video/x-raw,format=GRAY8 ! fakesink name=sink sync=false"
pipe = Gst.parse_launch("filesrc location=" + sys.argv[1].removeprefix("file://") + " " + chain)
sink, seen = pipe.get_by_name("sink"), []
pipe.set_state(Gst.State.PAUSED)
pipe.get_state(Gst.CLOCK_TIME_NONE)
for frame in map(int, sys.argv[2:]):
    flags = Gst.SeekFlags.FLUSH | Gst.SeekFlags.ACCURATE
    pipe.seek_simple(Gst.Format.TIME, flags, (frame * 1001 * 10**9 + 15000) // 30000 + 1)
    pipe.get_state(Gst.CLOCK_TIME_NONE)
    buffer = sink.get_property("last-sample").get_buffer()
    seen.append((buffer.pts, buffer.extract_dup(120 * 640 + 250, 1)[0]))
pipe.set_state(Gst.State.NULL)
print(json.dumps(seen))
"""
RATES = ("23.976", "24", "25", "29.97", "30", "50", "59.94", "60")
ORANGE = (230, 159, 0)
needs_ffmpeg = pytest.mark.skipif(not shutil.which("ffmpeg") or not shutil.which("ffprobe"), reason="needs ffmpeg")


def _lamp(box: Box, states: Mapping[int, Hashable]) -> Part:
    """A part whose state is a grey level and an opacity, or only the level."""

    def draw(state: Hashable) -> Picture:
        level, alpha = state if isinstance(state, tuple) else (state, 255)
        return Image.new("RGBA", (box.width_px, box.height_px), (level, level, level, alpha))

    return Part(box, tuple(states.items()), draw)


def _layer(
    *parts: Part,
    frames: int = 40,
    rate: str = "25",
    shape: str = "640x360",
    counting: Counting = Counting.NON_DROP,
    start_frame: int = 0,
) -> Layer:
    return Layer("test", Size.parse(shape), FrameRate.parse(rate), counting, start_frame, frames, parts)


def _counting_layer(frames: int = 40, every: int = 3, shape: str = "640x360", rate: str = "25") -> Layer:
    """A lamp that goes through 20 levels again and again, and a second one that is mostly off."""
    first = _lamp(Box(200, 100, 300, 140), {frame: 60 + 9 * (frame // every % 20) for frame in range(0, frames, every)})
    second = _lamp(Box(500, 300, 600, 360), {0: None, 11: (255, 128), 29: None})
    return _layer(first, second, frames=frames, shape=shape, rate=rate)


def _write(path: Path, layer: Layer, *, plain: bool = False) -> Path:
    with path.open("wb") as file:
        file.writelines(layer_movie(layer, plain=plain))
    return path


def _planes(picture: av.VideoFrame) -> NDArray[np.float64]:
    """Y, Cb, Cr and alpha on the 8-bit scale, unrounded: (4, rows, columns)."""
    planes = [
        np.frombuffer(memoryview(plane), "<u2").reshape(plane.height, -1)[:, : plane.width] for plane in picture.planes
    ]
    scaled = np.array(planes, np.float64) / 2 ** (picture.format.components[0].bits - 8)
    scaled[3] *= 255 / (255 + 1 - 2.0 ** -(picture.format.components[0].bits - 8))
    return scaled


def _rgb(planes: NDArray[np.float64]) -> NDArray[np.float64]:
    """Back to 8-bit R'G'B' by BT.709's own inverse, limited range."""
    luma, blue_difference, red_difference = (planes[0] - 16) / 219, (planes[1] - 128) / 224, (planes[2] - 128) / 224
    red, blue = luma + 1.5748 * red_difference, luma + 1.8556 * blue_difference
    green = (luma - 0.2126 * red - 0.0722 * blue) / 0.7152
    return np.clip(np.stack([red, green, blue], -1) * 255, 0, 255)


def _decoded(path: Path) -> Iterator[av.VideoFrame]:
    with av.open(str(path)) as container:
        yield from container.decode(container.streams.video[0])


def _raw(picture: av.VideoFrame) -> list[bytes]:
    return [bytes(plane) for plane in picture.planes]


def test_shared_and_plain_decode_alike(tmp_path: Path) -> None:
    """Both kinds of file give the same frames, bit for bit, at the same times; the shared one is smaller."""
    layer = _counting_layer()
    shared, plain = _write(tmp_path / "a.mov", layer), _write(tmp_path / "b.mov", layer, plain=True)
    pairs = list(zip(_decoded(shared), _decoded(plain), strict=True))
    assert len(pairs) == layer.frame_count
    assert all(one.pts == other.pts and _raw(one) == _raw(other) for one, other in pairs)
    assert plain.stat().st_size > 1.5 * shared.stat().st_size


def test_every_frame_shows_its_state(tmp_path: Path) -> None:
    """Pictures change on the frame that they should, never one early or late."""
    layer = _counting_layer()
    for frame, picture in enumerate(_decoded(_write(tmp_path / "a.mov", layer))):
        planes = _planes(picture)
        assert abs(_rgb(planes)[120, 250, 0] - (60 + 9 * (frame // 3 % 20))) < 1
        assert planes[3][330, 550] == pytest.approx(128 if 11 <= frame < 29 else 0, abs=0.5)


def test_alpha_comes_back(tmp_path: Path) -> None:
    """0 in the corner, 255 inside an opaque box, every value between within half a level."""
    box = Box(128, 96, 384, 128)
    ramp = np.full((32, 256, 4), 255, np.uint8)
    ramp[..., 3] = np.arange(256)
    layer = _layer(Part(box, ((0, "ramp"),), lambda _: Image.fromarray(ramp)), frames=1)
    (picture,) = _decoded(_write(tmp_path / "a.mov", layer))
    alpha = _planes(picture)[3]
    assert alpha[0, 0] == alpha[359, 639] == 0
    assert alpha[100, 383] == 255
    assert np.abs(alpha[96:128, 128:384] - np.arange(256)).max() <= 0.5


@pytest.mark.parametrize(
    "rgb", [(0, 0, 0), (255, 255, 255), (255, 0, 0), (0, 255, 0), (0, 0, 255), (128, 128, 128), ORANGE, (0, 114, 178)]
)
def test_colours_come_back(tmp_path: Path, rgb: tuple[int, int, int]) -> None:
    """Within two levels of 8 bits: over a plain box, and at hard edges inside and against black."""
    picture = Image.new("RGBA", (256, 64), (0, 0, 0, 0))
    ImageDraw.Draw(picture).rectangle((13, 9, 201, 50), (*rgb, 255))
    ImageDraw.Draw(picture).ellipse((40, 15, 90, 45), (255 - rgb[0], rgb[1], 40, 255))
    layer = _layer(Part(Box(128, 96, 384, 160), ((0, "it"),), lambda _: picture), frames=1)
    (decoded,) = _decoded(_write(tmp_path / "a.mov", layer))
    wanted = np.asarray(picture)[..., :3].astype(float)
    levels = np.rint(_rgb(_planes(decoded)))
    assert np.abs(levels[96:160, 128:384] - wanted).max() <= 2
    assert np.abs(levels[125:131, 230:300] - wanted[29:35, 102:172]).max() <= 1
    as_others_see_it = decoded.to_ndarray(format="rgba").astype(int)
    assert np.abs(as_others_see_it[96:160, 128:384, :3] - wanted).max() <= 2


def test_white_ink_stays_white_under_its_soft_edge(tmp_path: Path) -> None:
    """Straight alpha: the colour under a half-transparent edge is the ink's own, not darkened."""
    mask = Image.new("L", (256, 64))
    ImageDraw.Draw(mask).text((20, 4), "27", fill=255, font_size=56)
    ink = Image.new("RGBA", mask.size, (255, 255, 255, 0))
    ink.putalpha(mask)
    layer = _layer(Part(Box(130, 100, 386, 164), ((0, "27"),), lambda _: ink), frames=1)
    (picture,) = _decoded(_write(tmp_path / "a.mov", layer))
    planes = _planes(picture)
    edge = (planes[3] > 0) & (planes[3] < 255)
    assert edge.sum() > 100
    assert np.abs(_rgb(planes)[edge] - 255).max() < 1


@pytest.mark.parametrize("rate", RATES)
def test_rate_and_length_are_exact(tmp_path: Path, rate: str) -> None:
    """The rate as a fraction, each frame at its own exact time, no frame lost at the end."""
    layer = _counting_layer(frames=13, rate=rate)
    path = _write(tmp_path / "a.mov", layer)
    exact = layer.rate.value
    with av.open(str(path)) as container:
        stream = container.streams.video[0]
        assert (stream.average_rate, stream.base_rate, stream.frames) == (exact, exact, 13)
        assert (stream.start_time, stream.duration * stream.time_base) == (0, 13 / exact)
        times = [picture.pts * picture.time_base for picture in container.decode(stream)]
    assert times == [frame / exact for frame in range(13)]


# Frame numbers and labels of STANDARDS.md 1.3, where OpenTimelineIO's tests are named as their source.
LABELS = [
    ("29.97", Counting.DROP, 1800, "00:01:00;02"),
    ("29.97", Counting.DROP, 17982, "00:10:00;00"),
    ("29.97", Counting.NON_DROP, 1800, "00:01:00:00"),
    ("29.97", Counting.DROP, 1084319, "10:03:00;05"),
    ("59.94", Counting.DROP, 3600, "00:01:00;04"),
    ("25", Counting.NON_DROP, 90000, "01:00:00:00"),
    ("23.976", Counting.NON_DROP, 86400, "01:00:00:00"),
    ("50", Counting.NON_DROP, 0, "00:00:00:00"),
]


@pytest.mark.parametrize(("rate", "counting", "start_frame", "label"), LABELS)
def test_the_start_timecode_reads_back(
    tmp_path: Path, rate: str, counting: Counting, start_frame: int, label: str
) -> None:
    """libavformat and, where installed, ffprobe and MediaInfo name the label of the first frame."""
    layer = _layer(frames=100, rate=rate, counting=counting, start_frame=start_frame)
    path = _write(tmp_path / "a.mov", layer)
    assert frame_to_label(start_frame, layer.rate, counting) == label
    with av.open(str(path)) as container:
        assert container.streams.video[0].metadata["timecode"] == label
    if shutil.which("ffprobe"):
        command = ["ffprobe", "-v", "error", "-select_streams", "v", "-show_entries", "stream_tags=timecode"]
        assert _run([*command, "-of", "csv=p=0", str(path)]).strip() == label
    if shutil.which("mediainfo"):
        tracks = json.loads(_run(["mediainfo", "--Output=JSON", str(path)]))["media"]["track"]
        timecode = next(track for track in tracks if track["@type"] == "Other")
        assert timecode["TimeCode_FirstFrame"] == label


def test_the_file_says_what_it_carries(tmp_path: Path) -> None:
    """ProRes 4444 with alpha, BT.709 and limited range, tagged."""
    path = _write(tmp_path / "a.mov", _counting_layer())
    with av.open(str(path)) as container:
        codec = container.streams.video[0].codec_context
        assert (codec.name, codec.profile, codec.codec_tag) == ("prores", "4444", "ap4h")
        assert (codec.color_primaries, codec.color_trc, codec.colorspace, codec.color_range) == (1, 1, 1, 1)
        assert codec.pix_fmt.startswith("yuva444p")


def test_a_long_layer_stays_small(tmp_path: Path) -> None:
    """Twenty minutes at 1080p: under 2 MB, over 300 times less than every frame in full."""
    counts = {30 * second: 40 + 5 * (second % 40) for second in range(1200)}
    layer = _layer(_lamp(Box(1280, 720, 1792, 960), counts), frames=36_000, rate="29.97", shape="1920x1080")
    path = _write(tmp_path / "a.mov", layer)
    assert count_layer(layer).pictures == 40
    assert path.stat().st_size < 2_000_000
    media_bytes, kind, _ = struct.unpack(">I4sI", next(layer_movie(layer, plain=True))[-12:])
    assert kind == b"mdat"
    assert media_bytes > 300 * path.stat().st_size
    check_movie(path, layer)


def test_seeking_lands_on_the_frame(tmp_path: Path) -> None:
    """Fifty frames in random order, forwards and backwards, each shows its own state."""
    layer = _counting_layer(frames=3000, every=7, rate="29.97")
    path = _write(tmp_path / "a.mov", layer)
    order = random.Random(7)
    with av.open(str(path)) as container:
        stream = container.streams.video[0]
        for frame in [2999, 0, *(order.randrange(3000) for _ in range(50))]:
            container.seek(frame * 1001, stream=stream)
            picture = next(container.decode(stream))
            assert picture.pts == frame * 1001
            assert abs(_rgb(_planes(picture))[120, 250, 0] - (60 + 9 * (frame // 7 % 20))) < 1


@needs_ffmpeg
def test_the_ffmpeg_program_reads_both_kinds(tmp_path: Path) -> None:
    """As many frames as there are, the same in both files, with alpha, and found when sought."""
    layer = _counting_layer(frames=150, every=7, rate="29.97")
    shared, plain = _write(tmp_path / "a.mov", layer), _write(tmp_path / "b.mov", layer, plain=True)
    sums = [_frame_sums("-i", str(path)) for path in (shared, plain)]
    assert sums[0] == sums[1]
    assert len(sums[0]) == 150
    entries = "stream=pix_fmt,r_frame_rate,nb_frames,duration_ts,field_order,color_space,sample_aspect_ratio"
    probe = ["ffprobe", "-v", "error", "-select_streams", "v", "-show_entries", entries, "-of", "json", str(shared)]
    (stream,) = json.loads(_run(probe))["streams"]
    assert stream.pop("pix_fmt").startswith("yuva444p")
    assert stream == {
        "r_frame_rate": "30000/1001",
        "nb_frames": "150",
        "duration_ts": 150 * 1001,
        "field_order": "progressive",
        "color_space": "bt709",
        "sample_aspect_ratio": "1:1",
    }
    for frame in (149, 6, 7):
        start = f"{float((frame - Fraction(1, 4)) / layer.rate.value):.6f}"
        assert _frame_sums("-ss", start, "-i", str(shared), "-frames:v", "1") == [sums[0][frame]]


@pytest.mark.skipif(not shutil.which("gst-launch-1.0"), reason="needs GStreamer")
def test_gstreamer_reads_a_shared_file(tmp_path: Path) -> None:
    """qtdemux hands on every frame, each at its place."""
    layer = _counting_layer(frames=120, every=7, rate="29.97")
    path, raw = _write(tmp_path / "a.mov", layer), tmp_path / "a.raw"
    source, sink = f"filesrc location={path.as_posix()}", f"filesink location={raw.as_posix()}"
    chain = f"{source} ! qtdemux ! avdec_prores ! videoconvert ! video/x-raw,format=GRAY8 ! {sink}"
    _run(["gst-launch-1.0", "-q", *chain.split()])
    seen = np.fromfile(raw, np.uint8).reshape(-1, 360, 640)[:, 120, 250]
    levels = {60 + 9 * (frame // 7 % 20): int(seen[frame]) for frame in range(0, 120, 7)}
    assert len(seen) == 120
    assert [int(grey) for grey in seen] == [levels[60 + 9 * (frame // 7 % 20)] for frame in range(120)]
    assert sorted(levels.values()) == [levels[level] for level in sorted(levels)]


@needs_ffmpeg
def test_the_ffmpeg_program_seeks_to_fifty_frames(tmp_path: Path) -> None:
    """Sought at random, each frame is the one that is decoded in order; from both kinds of file."""
    layer = _counting_layer(frames=600, every=7, rate="29.97")
    shared = _write(tmp_path / "a.mov", layer)
    in_order = _frame_sums("-i", str(shared))
    order = random.Random(50)
    for frame in [order.randrange(600) for _ in range(50)]:
        start = f"{float((frame - Fraction(1, 4)) / layer.rate.value):.6f}" if frame else "0"
        assert _frame_sums("-ss", start, "-i", str(shared), "-frames:v", "1") == [in_order[frame]]


@pytest.mark.skipif(not shutil.which("gst-launch-1.0"), reason="needs GStreamer")
def test_gstreamer_seeks_to_fifty_frames(tmp_path: Path) -> None:
    """A program of its own, with GStreamer's Python binding, seeks to each frame; skipped where it has none."""
    layer = _counting_layer(frames=600, every=7, rate="29.97")
    path = _write(tmp_path / "a.mov", layer)
    order = random.Random(51)
    frames = [order.randrange(600) for _ in range(50)]
    python = shutil.which("python3", path="/usr/bin") or "python3"
    command = [python, "-c", GSTREAMER, path.as_uri(), *(str(frame) for frame in frames)]
    done = subprocess.run(command, capture_output=True, text=True)
    if "No module named 'gi'" in done.stderr or "Namespace Gst" in done.stderr:
        pytest.skip("needs GStreamer's Python binding")
    seen = json.loads(done.stdout)
    levels: dict[int, set[int]] = {}
    for frame, (time_ns, grey) in zip(frames, seen, strict=True):
        assert abs(time_ns - frame / layer.rate.value * 10**9) < 1000
        levels.setdefault(60 + 9 * (frame // 7 % 20), set()).add(grey)
    assert all(len(greys) == 1 for greys in levels.values())
    assert sorted(levels) == sorted(levels, key=lambda level: min(levels[level]))


@pytest.mark.skipif(not shutil.which("melt"), reason="needs MLT")
def test_mlt_seeks_to_fifty_frames(tmp_path: Path) -> None:
    """The melt program shows each frame, sought at random, as it stands in the timeline, and knows the length."""
    layer = _counting_layer(frames=600, every=7, rate="29.97")
    path = _write(tmp_path / "a.mov", layer)
    order = random.Random(52)
    frames = [order.randrange(600) for _ in range(50)]
    entries = "".join(f'<entry producer="a" in="{frame}" out="{frame}"/>' for frame in frames)
    document, shown = tmp_path / "cuts.mlt", tmp_path / "shown.mkv"
    document.write_text(MLT.format(path=path.name, entries=entries), "utf-8")
    command = ["melt", document.name, "-consumer", f"avformat:{shown.name}", "vcodec=ffv1", "an=1", "real_time=0"]
    subprocess.run([*command, "terminate_on_pause=1"], cwd=tmp_path, check=True, capture_output=True, timeout=300)
    pictures = [picture.to_ndarray(format="gray") for picture in _decoded(shown)]
    seen: dict[int, set[int]] = {}
    for frame, picture in zip(frames, pictures, strict=True):
        seen.setdefault(60 + 9 * (frame // 7 % 20), set()).add(int(picture[120, 250]))
    assert all(len(greys) == 1 for greys in seen.values())
    ordered = [min(seen[level]) for level in sorted(seen)]
    assert ordered == sorted(set(ordered))


def test_a_class_of_twelve_hours(tmp_path: Path) -> None:
    """The longest class: small, quick to open, and right at its first, last and sought frames."""
    frames = 12 * 3600 * 30
    layer = _layer(_lamp(Box(200, 100, 300, 140), {frame: 60 + frame // 30 % 20 for frame in range(0, frames, 30)}))
    layer = Layer(**{**vars(layer), "frame_count": frames, "rate": FrameRate.parse("30")})
    path = _write(tmp_path / "a.mov", layer)
    check_movie(path, layer)
    assert path.stat().st_size < 8 * frames + 500_000
    order = random.Random(12)
    with av.open(str(path)) as container:
        stream = container.streams.video[0]
        assert (stream.frames, stream.duration * stream.time_base) == (frames, 12 * 3600)
        for frame in [frames - 1, *(order.randrange(frames) for _ in range(50))]:
            container.seek(frame * 1000, stream=stream)
            picture = next(container.decode(stream))
            assert picture.pts == frame * 1000
            assert abs(_rgb(_planes(picture))[120, 250, 0] - (60 + frame // 30 % 20)) < 1


@pytest.mark.skipif(not shutil.which("mediainfo"), reason="needs MediaInfo")
def test_mediainfo_reads_a_shared_file(tmp_path: Path) -> None:
    """Count, rate, size and codec as we mean them, constant rate."""
    path = _write(tmp_path / "a.mov", _counting_layer(frames=300, rate="29.97"))
    tracks = json.loads(_run(["mediainfo", "--Output=JSON", str(path)]))["media"]["track"]
    video = next(track for track in tracks if track["@type"] == "Video")
    assert (video["Format"], video["Format_Profile"], video["ColorSpace"]) == ("ProRes", "4444", "YUVA")
    assert (video["FrameCount"], video["FrameRate_Mode"]) == ("300", "CFR")
    assert (video["FrameRate_Num"], video["FrameRate_Den"]) == ("30000", "1001")
    assert (video["Width"], video["Height"], video["ScanType"]) == ("640", "360", "Progressive")


@pytest.mark.parametrize("shape", ["640x360", "1080x1350"])
def test_parts_give_the_pictures_of_the_whole(shape: str) -> None:
    """Put together from slices, or every picture coded as a whole: the same packets, to the byte."""
    layer = _counting_layer(shape=shape)
    coded = coding.code_layer(layer)
    pictures = {states for states, _ in showings(layer)}
    assert type(coded) is coding.CodedLayer
    assert len(pictures) > 12
    for states in pictures:
        assert coded.packet(states) == coded.whole(states)
        assert coded.packet_bytes(states) == len(coded.packet(states))


def test_an_encoder_that_looks_round_is_noticed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where a box coded alone is not what it is in the whole, whole pictures are coded, and are right."""
    encode = coding.Encoder.encode

    def other_where_small(self: coding.Encoder, picture: Picture) -> bytes:
        return encode(self, picture if picture.width == 640 else picture.point(lambda level: level // 2))

    monkeypatch.setattr(coding.Encoder, "encode", other_where_small)
    layer = _counting_layer()
    assert isinstance(coding.code_layer(layer), coding.WholeLayer)
    path = _write(tmp_path / "a.mov", layer)
    monkeypatch.undo()
    assert not isinstance(coding.code_layer(layer), coding.WholeLayer)
    check_movie(path, layer)
    assert path.read_bytes() == _write(tmp_path / "b.mov", layer).read_bytes()


def test_an_encoder_that_cannot_be_followed_ends_plainly(monkeypatch: pytest.MonkeyPatch) -> None:
    """Packets of another structure are the machine's fault, told without a traceback."""
    monkeypatch.setattr(coding.Encoder, "encode", lambda self, picture: b"something else")
    with pytest.raises(MachineError, match="encoder"):
        next(layer_movie(_counting_layer()))


def test_a_missing_encoder_ends_plainly(monkeypatch: pytest.MonkeyPatch) -> None:
    """PyAV built without ProRes: the machine's fault, with a way out."""
    monkeypatch.setattr(coding, "ENCODER", "no_such_encoder")
    with pytest.raises(MachineError, match="no_such_encoder") as caught:
        next(layer_movie(_counting_layer()))
    assert caught.value.remedy


def test_each_state_is_drawn_once() -> None:
    """And once more for those in the picture that is coded both ways."""
    drawn: Counter[Hashable] = Counter()

    def draw(state: Hashable) -> Picture:
        drawn[state] += 1
        return Image.new("RGBA", (128, 16), (40, 40, 40, 255))

    part = Part(Box(0, 0, 128, 16), tuple((frame, frame % 7) for frame in range(500)), draw)
    other = Part(Box(0, 16, 128, 32), tuple((frame, ("b", frame % 5)) for frame in range(500)), draw)
    layer = _layer(part, other, frames=500)
    assert sum(1 for _ in layer_movie(layer)) == 1 + 35
    assert count_layer(layer).pictures == 35
    assert count_layer(layer).part_states == len(drawn) == 12
    assert sorted(drawn.values()) == [1] * 10 + [2] * 2


def test_states_that_never_show_are_not_drawn() -> None:
    """A change at or after the end of the layer, and an empty state, cost nothing."""
    part = _lamp(Box(0, 0, 128, 16), {0: None, 5: 100, 40: "never"})
    assert list(showings(_layer(part))) == [((None,), 5), ((100,), 35)]
    assert sum(1 for _ in layer_movie(_layer(part))) == 3


def test_a_layer_without_parts_is_transparent(tmp_path: Path) -> None:
    """As long as the class, and nothing to see."""
    layer = _layer(frames=5)
    pictures = list(_decoded(_write(tmp_path / "a.mov", layer)))
    assert len(pictures) == 5
    assert not _planes(pictures[-1])[3].any()
    check_movie(tmp_path / "a.mov", layer)


def test_same_layer_same_bytes() -> None:
    """No date, no chance, no memory of what was coded before."""
    assert list(layer_movie(_counting_layer())) == list(layer_movie(_counting_layer()))


def test_the_later_part_lies_above_where_two_meet(tmp_path: Path) -> None:
    """The upper one covers the lower where they meet, and both change on their own frames."""
    below = _lamp(Box(0, 0, 100, 40), {0: 40, 3: 80, 6: 120})
    above = _lamp(Box(60, 20, 200, 60), {0: None, 2: (200, 255), 5: (250, 128)})
    beside = _lamp(Box(400, 200, 500, 240), {0: 10, 4: 20})
    layer = _layer(below, above, beside, frames=9)
    assert type(coding.code_layer(layer)) is coding.CodedLayer
    path = _write(tmp_path / "a.mov", layer)
    check_movie(path, layer)
    for frame, picture in enumerate(_decoded(path)):
        planes = _planes(picture)
        lower = 40 + 40 * (frame // 3)
        assert abs(_rgb(planes)[5, 5, 0] - lower) < 1
        assert abs(_rgb(planes)[50, 150, 0] - (250 if frame >= 5 else 200 if frame >= 2 else 0)) < 1
        over = (250 * 128 + lower * 127) / 255 if frame >= 5 else 200 if frame >= 2 else lower
        assert abs(_rgb(planes)[30, 80, 0] - over) < 1.5
        assert planes[3][30, 80] == 255
        assert abs(_rgb(planes)[220, 450, 0] - (20 if frame >= 4 else 10)) < 1


def test_a_box_outside_the_picture_is_refused() -> None:
    """Outside, across the edge or empty."""
    for box in (Box(-1, 0, 10, 10), Box(0, 0, 641, 10), Box(0, 350, 10, 361), Box(5, 5, 5, 9)):
        with pytest.raises(ValueError, match="not inside"):
            next(layer_movie(_layer(_lamp(box, {0: 1}))))


def test_a_picture_of_the_wrong_size_is_refused() -> None:
    """A part must draw RGBA of its box's size."""
    for picture in (Image.new("RGBA", (9, 10)), Image.new("RGB", (10, 10))):
        layer = _layer(Part(Box(0, 0, 10, 10), ((0, "it"),), lambda _, drawn=picture: drawn))
        with pytest.raises(ValueError, match="is drawn as"):
            next(layer_movie(layer))


def test_compose_puts_parts_in_their_boxes() -> None:
    """Drawn pictures stand where their boxes are, on nothing."""
    layer = _counting_layer()
    picture = compose(layer, (200, (255, 128)))
    assert picture.size == (640, 360)
    assert [picture.getpixel(at) for at in ((199, 100), (200, 100), (599, 359), (600, 300))] == [
        (0, 0, 0, 0),
        (200, 200, 200, 255),
        (255, 255, 255, 128),
        (0, 0, 0, 0),
    ]


def test_a_good_file_passes_its_check(tmp_path: Path) -> None:
    """Both kinds, a tall picture, drop-frame."""
    part = _lamp(Box(500, 1300, 1080, 1350), {0: None, 4: (90, 200), 8: None})
    layer = _layer(part, frames=12, rate="59.94", shape="1080x1350", counting=Counting.DROP, start_frame=3600)
    for plain in (False, True):
        check_movie(_write(tmp_path / "a.mov", layer, plain=plain), layer)


def test_a_bad_file_does_not_pass_its_check(tmp_path: Path) -> None:
    """Whatever is wrong is named: count, rate, size, timecode, picture, end of file, no file."""
    layer, path = _counting_layer(), tmp_path / "a.mov"
    _write(path, layer)
    wrong = {
        "the count of frames is 40, not 41": _counting_layer(frames=41),
        "the frame rate is 25, not 24": _counting_layer(rate="24"),
        "the size is 640x360, not 1280x720": _counting_layer(shape="1280x720"),
        "the start timecode is 00:00:00:00, not 00:00:04:00": _layer(start_frame=100),
        "frame 0 does not show": _layer(*_counting_layer().parts[1:]),
        "does not show": _counting_layer(every=4),
    }
    for message, other in wrong.items():
        with pytest.raises(MachineError, match=message) as caught:
            check_movie(path, other)
        assert str(caught.value).startswith("a.mov came out wrong: ")
    whole = path.read_bytes()
    path.write_bytes(whole[:-4000])
    with pytest.raises(MachineError, match=r"a\.mov"):
        check_movie(path, layer)
    path.write_bytes(whole[:500])
    with pytest.raises(MachineError, match="cannot be read"):
        check_movie(path, layer)
    with pytest.raises(MachineError, match="cannot be read"):
        check_movie(tmp_path / "none.mov", layer)


def test_an_opaque_file_does_not_pass_its_check(tmp_path: Path) -> None:
    """A movie without an alpha channel is noticed, right as all else may be."""
    path = tmp_path / "a.mov"
    with av.open(str(path), "w") as container:
        stream = container.add_stream("prores_ks", rate=25)
        stream.width, stream.height, stream.pix_fmt = 640, 360, "yuv444p10le"
        for _ in range(40):
            container.mux(stream.encode(av.VideoFrame(640, 360, "yuv444p10le")))
        container.mux(stream.encode())
    with pytest.raises(MachineError, match="the kind of pixel is yuv444p"):
        check_movie(path, _layer())


def test_one_wrong_alpha_level_does_not_pass_the_check(tmp_path: Path) -> None:
    """Alpha is compared exactly, colour within two levels."""
    box = Box(128, 96, 256, 112)
    path = _write(tmp_path / "a.mov", _layer(_lamp(box, {0: (100, 200)})))
    check_movie(path, _layer(_lamp(box, {0: (101, 200)})))
    for state in ((104, 200), (100, 201)):
        with pytest.raises(MachineError, match="does not show"):
            check_movie(path, _layer(_lamp(box, {0: state})))


def _run(command: list[str]) -> str:
    return subprocess.run(command, check=True, capture_output=True, text=True).stdout


def _frame_sums(*arguments: str) -> list[str]:
    """A checksum for each picture that the ffmpeg program decodes."""
    lines = _run(["ffmpeg", "-v", "error", *arguments, "-map", "0:v", "-f", "framemd5", "-"]).splitlines()
    return [line.split(",")[-1].strip() for line in lines if not line.startswith("#")]
