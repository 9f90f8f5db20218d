"""Splicing against the encoder itself: put together from boxes, or coded whole, to the byte."""

from __future__ import annotations

import struct
from functools import cache

import numpy as np
import pytest
from PIL import Image

from overlay.pictures.coding import Encoder, SliceCoder
from overlay.pictures.slices import CodedFrame, SliceGrid, StructureError
from overlay.units.raster import Box, Size

SHAPES = ["1920x1080", "1080x1920", "1280x720", "640x360", "1080x1080", "1080x1350"]
NARROW_COLUMNS = ["1072x640", "656x362", "722x402"]  # 4 + 2 + 1, 1 and 4 + 2 macroblocks left over
BOXES = dict.fromkeys(SHAPES, 34) | dict.fromkeys(NARROW_COLUMNS, 12)  # over 200 in all


@cache
def _encoder(size: Size) -> Encoder:
    return Encoder(size)


def _encode(picture: Image.Image) -> bytes:
    return _encoder(Size(*picture.size)).encode(picture)


def _blank(size: Size) -> Image.Image:
    return Image.new("RGBA", (size.width_px, size.height_px))


def _random_picture(rng: np.random.Generator, box: Box) -> Image.Image:
    """Coarse or fine noise in all four channels, or a plain colour."""
    grain = int(rng.choice([1, 5, 40, 4000]))
    shape = (-(-box.height_px // grain), -(-box.width_px // grain), 4)
    noise = rng.integers(0, 256, shape, dtype=np.uint8).repeat(grain, 0).repeat(grain, 1)
    return Image.fromarray(np.ascontiguousarray(noise[: box.height_px, : box.width_px]))


def _random_boxes(rng: np.random.Generator, size: Size) -> list[Box]:
    """One to four boxes that share no slice, any of which may reach an edge."""
    grid, boxes, taken = SliceGrid(size), [], np.zeros((size.height_px, size.width_px), bool)
    for _ in range(4):
        left, top = int(rng.integers(0, size.width_px)), int(rng.integers(0, size.height_px))
        right = min(size.width_px, left + int(rng.integers(1, 600)))
        bottom = min(size.height_px, top + int(rng.integers(1, 300)))
        grown = grid.grow(Box(left, top, right, bottom))
        area = np.s_[grown.top : grown.bottom, grown.left : grown.right]
        if not taken[area].any():
            taken[area] = True
            boxes.append(Box(left, top, right, bottom))
    return boxes


@pytest.mark.parametrize("shape", BOXES)
def test_spliced_is_whole_to_the_byte(shape: str) -> None:
    """Random pictures in random boxes: the packet is the one that the encoder makes of the whole."""
    size, rng, count = Size.parse(shape), np.random.default_rng(list(BOXES).index(shape)), 0
    blank = CodedFrame.parse(_encode(_blank(size)))
    while count < BOXES[shape]:
        boxes, whole, coder, seen = _random_boxes(rng, size), _blank(size), SliceCoder(size), {}
        for box in boxes:
            picture, grown = _random_picture(rng, box), coder.grid.grow(box)
            whole.paste(picture, (box.left, box.top))
            alone = Image.new("RGBA", (grown.width_px, grown.height_px))
            alone.paste(picture, (box.left - grown.left, box.top - grown.top))
            seen |= coder.see(alone, grown)
        slices = list(blank.slices)
        for place, key in seen.items():
            slices[place] = coder.slice(key)
        assert blank.packet(slices) == _encode(whole), boxes
        count += len(boxes)


def test_nothing_to_show_is_the_blank_picture() -> None:
    """A blank picture has no slice that must be coded, and its own slices make its packet."""
    size = Size.parse("656x362")
    coder, blank = SliceCoder(size), _encode(_blank(size))
    assert coder.see(_blank(size), Box(0, 0, 656, 362)) == {}
    frame = CodedFrame.parse(blank)
    assert frame.packet(frame.slices) == blank
    assert frame.byte_count == len(blank)


def test_what_was_seen_is_not_coded_again(monkeypatch: pytest.MonkeyPatch) -> None:
    """A picture that differs in one slice sends one slice to the encoder."""
    sent: list[int] = []
    encode = Encoder.encode
    monkeypatch.setattr(Encoder, "encode", lambda self, picture: sent.append(picture.height) or encode(self, picture))
    coder, box = SliceCoder(Size.parse("640x360")), Box(0, 0, 256, 64)
    picture = Image.effect_noise((256, 64), 90).convert("RGBA")
    first = coder.see(picture, box)
    coder.slice(first[0])
    picture.putpixel((200, 40), (1, 2, 3, 4))
    second = coder.see(picture, box)
    coder.slice(second[2 * 5 + 1])
    assert sent == [8 * 16, 16]
    assert {place for place in first if first[place] != second[place]} == {2 * 5 + 1}


def test_the_frame_header_says_what_it_is() -> None:
    """4:4:4, progressive, BT.709 three times, 16-bit alpha: the fields of RDD 36's frame header."""
    header = CodedFrame.parse(_encode(_blank(Size.parse("640x360")))).frame_header
    header_bytes, version, _, width, height, flags, _, *color, alpha = struct.unpack_from(">HH4sHHBBBBBB", header)
    assert (header_bytes, version, width, height) == (len(header), 1, 640, 360)
    assert flags >> 6 == 3
    assert flags >> 2 & 3 == 0
    assert color == [1, 1, 1]
    assert alpha & 15 == 2


@pytest.mark.parametrize(
    ("shape", "box", "grown"),
    [
        ("1920x1080", Box(640, 160, 768, 176), Box(640, 160, 768, 176)),
        ("1920x1080", Box(641, 161, 769, 177), Box(640, 160, 896, 192)),
        ("1920x1080", Box(1800, 1070, 1810, 1079), Box(1792, 1056, 1920, 1080)),
        ("1080x1080", Box(1000, 0, 1030, 8), Box(896, 0, 1080, 16)),
        ("1072x640", Box(1071, 0, 1072, 1), Box(1056, 0, 1072, 16)),
    ],
)
def test_boxes_grow_to_the_grid(shape: str, box: Box, grown: Box) -> None:
    """Out to whole slices, as far as the picture goes."""
    assert SliceGrid(Size.parse(shape)).grow(box) == grown


@pytest.mark.parametrize("shape", BOXES)
def test_the_encoder_cuts_on_the_same_grid(shape: str) -> None:
    """As many slices as the grid has."""
    grid = SliceGrid(Size.parse(shape))
    assert len(CodedFrame.parse(_encode(_blank(grid.size))).slices) == grid.column_count * grid.row_count


@pytest.mark.parametrize("shape", [*SHAPES, *NARROW_COLUMNS])
def test_the_boxes_of_the_slices_tile_the_picture(shape: str) -> None:
    """Every pixel is in the box of one slice, and the box of a slice grows no further."""
    grid = SliceGrid(Size.parse(shape))
    seen = np.zeros((grid.size.height_px, grid.size.width_px), int)
    for place in range(grid.slice_count):
        box = grid.box_of(place)
        seen[box.top : box.bottom, box.left : box.right] += 1
        assert grid.grow(box) == box
    assert (seen == 1).all()


def test_another_structure_is_refused() -> None:
    """Cut short, longer than it says, another mark, another size: never spliced in silence."""
    size = Size.parse("640x360")
    blank = _encode(_blank(size))
    for broken in (b"", blank[:100], blank[:-1], blank + b"\0", blank.replace(b"icpf", b"icpg", 1)):
        with pytest.raises(StructureError):
            CodedFrame.parse(broken)
