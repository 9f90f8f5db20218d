"""Images that a plan brings: what is taken, what is refused, and what comes out."""

from __future__ import annotations

import io
import struct
import zlib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image, ImageCms, ImageDraw

from overlay.pictures import images
from overlay.pictures.images import SPREAD_PX, image_beside, open_image, scaled_into


def saved(folder: Path, picture: Image.Image, name: str, **options: Any) -> Path:
    picture.save(folder / name, **options)
    return folder / name


def photograph(width_px: int = 60, height_px: int = 40) -> Image.Image:
    """Red on the left, blue on the right, a green upper row."""
    picture = Image.new("RGB", (width_px, height_px), (200, 30, 30))
    picture.paste((30, 30, 200), (width_px // 2, 0, width_px, height_px))
    picture.paste((30, 200, 30), (0, 0, width_px, height_px // 4))
    return picture


@pytest.mark.parametrize("name", ["a.png", "a.jpg", "a.webp"])
def test_three_formats_are_taken(name: str, tmp_path: Path) -> None:
    """By what they hold; each comes out as RGBA, opaque, with nothing that the file told of itself."""
    path = saved(tmp_path, photograph(), name, quality=95)
    picture = image_beside(tmp_path / "plan.yaml", name)
    assert (picture.mode, picture.size, picture.info) == ("RGBA", (60, 40), {})
    assert picture.getchannel("A").getextrema() == (255, 255)
    assert np.abs(np.asarray(picture.convert("RGB")).astype(int) - np.asarray(photograph())).mean() < 6
    assert open_image(path.rename(tmp_path / "other.dat")).size == (60, 40)


@pytest.mark.parametrize("turned", range(1, 9))
@pytest.mark.parametrize("kind", ["jpg", "png", "webp"])
def test_an_image_is_turned_upright(turned: int, kind: str, tmp_path: Path) -> None:
    """The eight orientations of EXIF, each made by hand from an upright picture by numpy."""
    upright = np.asarray(photograph(64, 48))
    # How a stored row and column relate to the upright picture (EXIF 2.32, tag 0x0112).
    stored = {
        1: upright,
        2: upright[:, ::-1],
        3: upright[::-1, ::-1],
        4: upright[::-1],
        5: upright.swapaxes(0, 1),
        6: np.rot90(upright, 1),
        7: np.rot90(upright, 2).swapaxes(0, 1),
        8: np.rot90(upright, -1),
    }[turned]
    exif = Image.Exif()
    exif[0x0112] = turned
    path = saved(tmp_path, Image.fromarray(np.ascontiguousarray(stored)), f"a.{kind}", exif=exif.tobytes(), quality=95)
    picture = open_image(path)
    assert picture.size == (64, 48)
    assert np.abs(np.asarray(picture.convert("RGB")).astype(int) - upright).mean() < 6


def test_notes_that_cannot_be_read_do_no_harm(tmp_path: Path) -> None:
    """A file whose EXIF is garbage is shown as it is stored."""
    path = saved(tmp_path, photograph(), "a.jpg", exif=b"Exif\0\0garbage" + bytes(range(200)))
    assert open_image(path).size == (60, 40)


def test_transparency_is_kept(tmp_path: Path) -> None:
    """Of RGBA, of grey with alpha, of a palette, and of one colour that stands for nothing."""
    soft = photograph().convert("RGBA")
    soft.putalpha(Image.linear_gradient("L").resize(soft.size))
    for kind in ("png", "webp"):
        picture = open_image(saved(tmp_path, soft, f"soft.{kind}", lossless=True))
        assert np.array_equal(np.asarray(picture.getchannel("A")), np.asarray(soft.getchannel("A")))
    picture = open_image(saved(tmp_path, soft.convert("LA"), "grey.png"))
    assert np.array_equal(np.asarray(picture.getchannel("A")), np.asarray(soft.getchannel("A")))
    palette = photograph().quantize(8)
    clear = palette.getpixel((5, 35))
    picture = open_image(saved(tmp_path, palette, "palette.png", transparency=clear))
    assert picture.getpixel((5, 35))[3] == 0
    assert picture.getpixel((50, 35))[3] == 255
    picture = open_image(saved(tmp_path, photograph(), "key.png", transparency=(200, 30, 30)))
    assert picture.getpixel((5, 35))[3] == 0
    assert picture.getpixel((50, 35)) == (30, 30, 200, 255)


def test_sixteen_bits_become_eight(tmp_path: Path) -> None:
    """To the nearest, over the whole range: 65535 is 255 and 32896 is 128."""
    values = np.array([[0, 128, 129, 32896, 65535, 1000]], dtype=np.uint16)
    path = saved(tmp_path, Image.fromarray(values), "a.png")
    assert (
        [pixel[0] for pixel in open_image(path).get_flattened_data()]
        if hasattr(Image.Image, "get_flattened_data")
        else [pixel[0] for pixel in open_image(path).getdata()] == [0, 0, 1, 128, 255, 4]
    )


def test_one_grey_of_sixteen_bits_may_be_clear(tmp_path: Path) -> None:
    """PNG's tRNS for a grey of 16 bits, written by hand: Pillow writes none."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    rows = b"\0" + struct.pack(">3H", 0, 1000, 65535)
    (tmp_path / "a.png").write_bytes(
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", struct.pack(">IIBBBBB", 3, 1, 16, 0, 0, 0, 0))
        + chunk(b"tRNS", struct.pack(">H", 1000))
        + chunk(b"IDAT", zlib.compress(rows))
        + chunk(b"IEND", b"")
    )
    picture = open_image(tmp_path / "a.png")
    assert [picture.getpixel((x, 0))[3] for x in range(3)] == [255, 0, 255]


@pytest.mark.parametrize("mode", ["1", "L", "P", "CMYK", "YCbCr"])
def test_other_kinds_of_colour_become_rgba(mode: str, tmp_path: Path) -> None:
    """Black and white stay black and white."""
    picture = Image.new("L", (40, 20), 0)
    picture.paste(255, (20, 0, 40, 20))
    name = "a.jpg" if mode in ("CMYK", "YCbCr") else "a.png"
    opened = open_image(saved(tmp_path, picture.convert("RGB").convert(mode), name, quality=95))
    assert opened.mode == "RGBA"
    assert max(opened.getpixel((4, 10))[:3]) <= 4
    assert min(opened.getpixel((35, 10))[:3]) >= 251


def profile_of(space: str) -> bytes:
    return ImageCms.ImageCmsProfile(ImageCms.createProfile(space)).tobytes()


def test_a_colour_profile_is_brought_to_srgb(tmp_path: Path) -> None:
    """A profile whose red and blue are changed round: what is stored blue is shown red. sRGB stays as it is."""
    swapped = bytearray(profile_of("sRGB"))
    places = {}
    for number in range(struct.unpack_from(">I", swapped, 128)[0]):
        tag, offset, size = struct.unpack_from(">4sII", swapped, 132 + 12 * number)
        places[tag] = (offset, size)
    (red, length), (blue, _) = places[b"rXYZ"], places[b"bXYZ"]
    swapped[red : red + length], swapped[blue : blue + length] = (
        swapped[blue : blue + length],
        swapped[red : red + length],
    )
    stored = Image.new("RGBA", (8, 8), (0, 0, 255, 128))
    shown = open_image(saved(tmp_path, stored, "a.png", icc_profile=bytes(swapped)))
    assert np.abs(np.array(shown.getpixel((4, 4))) - (255, 0, 0, 128)).max() <= 2
    same = open_image(saved(tmp_path, photograph(), "b.png", icc_profile=profile_of("sRGB")))
    assert np.abs(np.asarray(same.convert("RGB")).astype(int) - np.asarray(photograph())).max() <= 1


def test_a_profile_that_does_not_fit_is_left_alone(tmp_path: Path) -> None:
    """Garbage, or a profile for other channels: the pixels are shown as they are."""
    for number, profile in enumerate((b"garbage", profile_of("LAB"), profile_of("sRGB")[:200])):
        shown = open_image(saved(tmp_path, photograph(), f"{number}.png", icc_profile=profile))
        assert np.array_equal(np.asarray(shown.convert("RGB")), np.asarray(photograph()))
    grey = open_image(saved(tmp_path, photograph().convert("L"), "g.png", icc_profile=profile_of("sRGB")))
    assert grey.getpixel((5, 35))[0] == pytest.approx(photograph().convert("L").getpixel((5, 35)), abs=2)


@pytest.mark.parametrize("kind", ["GIF", "BMP", "TIFF", "PPM", "ICO", "EPS"])
def test_another_format_is_refused_whatever_it_is_called(kind: str, tmp_path: Path) -> None:
    """Its readers are never asked: most have more ways to go wrong."""
    path = saved(tmp_path, photograph(), "a.png", format=kind)
    with pytest.raises(ValueError, match=r"a\.png is not a PNG, JPEG or WebP image"):
        open_image(path)


@pytest.mark.parametrize(
    "content", [b"hello", b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff", b"RIFF\x10\0\0\0WEBPVP8 ", b"<svg/>"]
)
def test_what_is_no_image_is_refused(content: bytes, tmp_path: Path) -> None:
    (tmp_path / "a.png").write_bytes(content)
    with pytest.raises(ValueError, match=r"a\.png is (not|broken)"):
        open_image(tmp_path / "a.png")


@pytest.mark.parametrize("kind", ["png", "jpg", "webp"])
@pytest.mark.parametrize("part", [0.3, 0.6, 0.95])
def test_an_image_that_was_cut_off_is_refused(kind: str, part: float, tmp_path: Path) -> None:
    """A copy that stopped half-way, wherever it stopped: never half a picture."""
    noise = Image.fromarray(np.random.default_rng(3).integers(0, 255, (120, 160, 3), dtype=np.uint8))
    path = saved(tmp_path, noise, f"a.{kind}")
    path.write_bytes(path.read_bytes()[: int(path.stat().st_size * part)])
    with pytest.raises(ValueError, match="is broken"):
        open_image(path)


def test_a_moving_image_is_refused(tmp_path: Path) -> None:
    """APNG and WebP of several pictures."""
    for kind in ("png", "webp"):
        path = saved(
            tmp_path, photograph(), f"a.{kind}", save_all=True, append_images=[Image.new("RGB", (60, 40))], duration=99
        )
        with pytest.raises(ValueError, match="moves"):
            open_image(path)


def test_a_photograph_with_a_second_one_inside_is_taken(tmp_path: Path) -> None:
    """Telephones keep depth or a second eye in the same JPEG (MPO); the first picture is the photograph."""
    path = saved(
        tmp_path, photograph(), "a.jpg", format="MPO", save_all=True, append_images=[Image.new("RGB", (60, 40))]
    )
    assert np.abs(np.asarray(open_image(path).convert("RGB")).astype(int) - np.asarray(photograph())).mean() < 8


@pytest.mark.parametrize(("width", "height"), [(8000, 7000), (60_000, 60_000), (2**31 - 1, 2**31 - 1), (40_000, 10)])
def test_a_huge_image_is_refused_before_it_is_unpacked(
    width: int, height: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A few bytes that would unpack to gigabytes: only the size in the file's head is looked at."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    def unpacked(*_: object) -> None:
        raise AssertionError("unpacked")

    (tmp_path / "a.png").write_bytes(
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0))
        + chunk(b"IDAT", zlib.compress(bytes(1000)))
        + chunk(b"IEND", b"")
    )
    monkeypatch.setattr("PIL.ImageFile.ImageFile.load", unpacked)
    with pytest.raises(ValueError, match="more than 50 million pixels"):
        open_image(tmp_path / "a.png")


def test_a_text_that_unpacks_without_end_is_refused(tmp_path: Path) -> None:
    """A PNG whose note is a bomb of its own."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    whole = io.BytesIO()
    photograph().save(whole, "PNG")
    bomb = chunk(b"zTXt", b"note\0\0" + zlib.compress(bytes(200_000_000), 9))
    raw = whole.getvalue()
    (tmp_path / "a.png").write_bytes(raw[:33] + bomb + raw[33:])
    with pytest.raises(ValueError, match="is broken"):
        open_image(tmp_path / "a.png")


def test_a_file_that_is_gone_is_told(tmp_path: Path) -> None:
    """In words, not as a trace."""
    with pytest.raises(ValueError, match="cannot be read"):
        open_image(tmp_path / "none.png")
    with pytest.raises(ValueError, match=r"there is no file none\.png beside the plan"):
        image_beside(tmp_path / "plan.yaml", "none.png")


@pytest.mark.parametrize(
    ("room", "size"), [((30, 30), (30, 20)), ((300, 40), (60, 40)), ((120, 300), (120, 80)), ((1, 1), (1, 1))]
)
def test_an_image_fits_its_room_in_its_own_proportions(room: tuple[int, int], size: tuple[int, int]) -> None:
    assert scaled_into(photograph().convert("RGBA"), *room).size == size


def disc(size_px: int, color: tuple[int, int, int]) -> Image.Image:
    """A disc with a soft edge; what cannot be seen is green, as careless programs leave it."""
    mask = Image.new("L", (size_px * 4, size_px * 4))
    ImageDraw.Draw(mask).ellipse((size_px, size_px, size_px * 3, size_px * 3), fill=255)
    mask = mask.reduce(4)
    pixels = np.zeros((size_px, size_px, 4), dtype=np.uint8)
    pixels[..., :3] = (0, 255, 0)
    pixels[np.asarray(mask) > 0, :3] = color
    pixels[..., 3] = np.asarray(mask)
    return Image.fromarray(pixels)


@pytest.mark.parametrize("target_px", [40, 97, 333])
@pytest.mark.parametrize("ground", [0, 128, 255])
def test_nothing_bleeds_in_from_what_cannot_be_seen(target_px: int, ground: int) -> None:
    """Smaller and larger, laid over black, grey and white: within 2 levels of the ideal, which is worked out
    in floating point from the disc's one colour and its alpha alone."""
    color = (220, 40, 90)
    scaled = scaled_into(disc(200, color), target_px, target_px)
    laid = Image.new("RGBA", scaled.size, (ground, ground, ground, 255))
    laid.alpha_composite(scaled)
    alpha = np.asarray(scaled.getchannel("A"), dtype=float)[..., None] / 255
    ideal = alpha * np.array(color) + (1 - alpha) * ground
    assert np.abs(np.asarray(laid.convert("RGB")) - ideal).max() <= 2


def test_colours_run_on_under_a_soft_edge_and_end() -> None:
    """At least 8 px beyond the ink in the ink's own colour; black further out."""
    color = (220, 40, 90)
    pixels = np.asarray(scaled_into(disc(200, color), 200, 200)).astype(int)
    inked = np.argwhere(pixels[100, :, 3] > 0).ravel()
    first = inked[0]
    assert np.abs(pixels[100, first - 8 : first, :3] - color).max() <= 1
    assert pixels[100, : first - SPREAD_PX - 1, :3].max() == 0
    assert np.abs(pixels[pixels[..., 3] > 0][:, :3] - color).max() <= 1


def test_an_image_without_a_single_seen_pixel_is_black_and_clear() -> None:
    """Nothing to spread."""
    scaled = scaled_into(Image.new("RGBA", (10, 10), (255, 255, 255, 0)), 20, 20)
    assert scaled.getextrema() == ((0, 0),) * 4


def test_the_limits_are_those_that_the_reference_tells() -> None:
    """The plan reference names the figure."""
    import overlay

    text = (Path(overlay.__file__).parent / "plan" / "README.md").read_text("utf-8")
    assert f"{images.MOST_PIXELS // 1_000_000} million pixels" in text
