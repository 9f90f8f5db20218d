"""The footage below a proof: the right picture at the right time, the right way up."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest
from PIL import Image

from overlay.footage.clip import Clip, read_clip
from overlay.footage.conform import Filmed
from overlay.footage.ground import FootageGround, plain_ground
from overlay.units.raster import Size
from overlay.units.rate import FrameRate
from overlay.units.span import Span

RATE = FrameRate.parse("25")
WIDE = Size(64, 36)


def film(path: Path, pts: list[int], *, size: tuple[int, int] = (64, 36), rotated: int = 0) -> Clip:
    """A film whose picture number n is as bright as 3 n, its upper half; times in hundredths of a second."""
    with av.open(str(path), "w") as container:
        stream = container.add_stream("mpeg4", rate=25)
        stream.width, stream.height, stream.pix_fmt, stream.bit_rate = *size, "yuv420p", 4_000_000
        stream.time_base = stream.codec_context.time_base = Fraction(1, 10000)
        stream.codec_context.gop_size = 12
        if rotated:
            stream.set_display_rotation(rotated)
        for number, at in enumerate(pts):
            image = np.zeros((size[1], size[0], 3), dtype=np.uint8)
            image[: size[1] // 2] = 3 * number
            frame = av.VideoFrame.from_ndarray(image, format="rgb24")
            frame.pts, frame.time_base = at * 100, Fraction(1, 10000)
            container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
    return read_clip(path)


def number_in(picture: np.ndarray) -> int:
    """The number of the film's picture, from the brightness of its upper half."""
    return round(float(picture[2:12, 8:56].mean()) / 3)


def test_every_frame_in_order_and_after_a_jump(tmp_path: Path) -> None:
    """Frame n of the class is frame n + 5 of the file, one after the other and after jumps of seconds."""
    clip = film(tmp_path / "a.mp4", [4 * n for n in range(80)])
    filmed = [Filmed(clip, Span(0, 75), 5, 80)]
    with FootageGround(filmed, WIDE, RATE) as ground:
        for frame in (0, 1, 2, 3, 10, 11, 60, 61, 74):
            assert number_in(ground.picture(frame)) == frame + 5


def test_varying_frame_rate_goes_by_time(tmp_path: Path) -> None:
    """FO1: pictures at 0, 0.1, 0.5, 0.54 s: at 0.4 s the second still shows, whatever the average rate."""
    clip = film(tmp_path / "a.mp4", [0, 10, 50, 54, 90, 130])
    with FootageGround([Filmed(clip, Span(0, 30), 0, 30)], WIDE, RATE) as ground:
        assert [number_in(ground.picture(frame)) for frame in (0, 2, 3, 10, 12, 13, 14, 22, 23, 29)] == [
            0, 0, 1, 1, 1, 2, 3, 3, 4, 4,
        ]  # fmt: skip


def test_files_in_turn_and_gaps(tmp_path: Path) -> None:
    """Two files; between them a ground that says that nothing was filmed."""
    one, two = (
        film(tmp_path / "a.mp4", [4 * n for n in range(30)]),
        film(tmp_path / "b.mp4", [4 * n for n in range(60)]),
    )
    filmed = [Filmed(one, Span(0, 10), 20, 30), Filmed(two, Span(20, 30), 40, 60)]
    with FootageGround(filmed, WIDE, RATE) as ground:
        assert number_in(ground.picture(9)) == 29
        assert np.array_equal(ground.picture(15), ground.gap)
        assert number_in(ground.picture(20)) == 40
    assert not np.array_equal(ground.gap, plain_ground(WIDE))


@pytest.mark.parametrize(("rotated", "bright"), [(90, "left"), (180, "bottom"), (270, "right"), (-90, "right")])
def test_rotation_is_applied(tmp_path: Path, rotated: int, bright: str) -> None:
    """A file that is to be turned so many degrees anticlockwise: its upper half comes to lie there."""
    clip = film(tmp_path / "a.mp4", [4 * n for n in range(40)], rotated=rotated)
    size = Size(36, 64) if rotated % 180 else WIDE
    with FootageGround([Filmed(clip, Span(0, 40), 0, 40)], size, RATE) as ground:
        picture = ground.picture(39)
    assert picture.shape == (size.height_px, size.width_px, 3)
    halves = {
        "top": picture[: size.height_px // 2 - 3],
        "bottom": picture[size.height_px // 2 + 3 :],
        "left": picture[:, : size.width_px // 2 - 3],
        "right": picture[:, size.width_px // 2 + 3 :],
    }
    assert halves[bright].mean() > 100
    other = {"top": "bottom", "bottom": "top", "left": "right", "right": "left"}[bright]
    assert halves[other].mean() < 10


def test_another_shape_is_shown_whole(tmp_path: Path) -> None:
    """A tall film on a wide ground: all of its height, in the middle, the plain ground beside it."""
    clip = film(tmp_path / "a.mp4", [4 * n for n in range(60)], size=(36, 64))
    with FootageGround([Filmed(clip, Span(0, 60), 0, 60)], WIDE, RATE) as ground:
        picture = ground.picture(59)
    plain = plain_ground(WIDE)
    assert np.array_equal(picture[:, :20], plain[:, :20])
    assert np.array_equal(picture[:, 44:], plain[:, 44:])
    assert picture[4:14, 26:38].mean() > 150
    assert picture[22:34, 26:38].mean() < 12


def test_words_are_drawn_in_the_middle() -> None:
    """What differs from the plain ground lies round the middle."""
    size = Size(640, 360)
    off = np.abs(plain_ground(size, "Not filmed").astype(int) - plain_ground(size)).sum(axis=-1)
    left, top, right, bottom = Image.fromarray((off > 0).astype(np.uint8)).getbbox() or (0, 0, 0, 0)
    assert abs((left + right) / 2 - 320) < 4
    assert abs((top + bottom) / 2 - 180) < 8


def test_a_damaged_stretch_is_passed(tmp_path: Path) -> None:
    """Bytes in the middle of a file are lost: pictures before and after it are there, and nothing falls over."""
    film(tmp_path / "a.mp4", [4 * n for n in range(80)])
    raw = bytearray((tmp_path / "a.mp4").read_bytes())
    begin = raw.index(b"mdat") + 4
    middle = begin + (raw.index(b"moov") - begin) // 2 if raw.index(b"moov") > begin else (begin + len(raw)) // 2
    raw[middle : middle + 600] = bytes(600)
    (tmp_path / "b.mp4").write_bytes(raw)
    clip = read_clip(tmp_path / "b.mp4")
    with FootageGround([Filmed(clip, Span(0, 80), 0, 80)], WIDE, RATE) as ground:
        shown = [number_in(ground.picture(frame)) for frame in range(80)]
    assert shown[:20] == list(range(20))
    assert shown[-5:] == list(range(75, 80))
