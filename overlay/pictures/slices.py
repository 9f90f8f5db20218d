"""Coded pictures taken apart and put together slice by slice.

A ProRes frame (published as SMPTE RDD 36) is a frame header, a picture header, a table with the
bytes of every slice, and the slices, row by row. A slice is 16 rows high and 8 macroblocks (128 px)
wide; what is left over at the right edge is cut into slices of 4, 2 and 1 macroblocks. At a fixed
quantiser each slice is coded from its own pixels alone, so that a picture which differs from another
inside a box only is the other's slices with the box's own in their place.
"""

from __future__ import annotations

import struct
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from overlay.units.raster import Box, Size

_FRAME_MARK = b"icpf"
_MACROBLOCK_PX = 16
_SLICE_MACROBLOCKS = 8
_SLICE_PX = _SLICE_MACROBLOCKS * _MACROBLOCK_PX


class StructureError(ValueError):
    """A coded picture is not built in the way that splicing rests on."""


@dataclass(frozen=True)
class CodedFrame:
    """One coded picture: its two headers and its slices, row by row."""

    frame_header: bytes
    picture_header: bytes
    slices: tuple[bytes, ...]

    @classmethod
    def parse(cls, packet: bytes) -> CodedFrame:
        """Take a packet apart. Raises StructureError where it is not one progressive picture of slices."""
        try:
            frame_bytes, mark, header_bytes = struct.unpack_from(">I4sH", packet)
            picture_at = 8 + header_bytes
            header_bits, picture_bytes, slice_count = struct.unpack_from(">BIH", packet, picture_at)
            table_at = picture_at + (header_bits >> 3)
            slice_bytes = struct.unpack_from(f">{slice_count}H", packet, table_at)
        except struct.error as error:
            raise StructureError("a coded picture is cut short") from error
        position = table_at + 2 * slice_count
        ends = {frame_bytes, picture_at + picture_bytes, position + sum(slice_bytes)}
        if mark != _FRAME_MARK or ends != {len(packet)}:
            raise StructureError("a coded picture is not built as RDD 36 says")
        slices = []
        for length in slice_bytes:
            slices.append(packet[position : position + length])
            position += length
        return cls(packet[8:picture_at], packet[picture_at:table_at], tuple(slices))

    @property
    def header_bytes(self) -> int:
        """Bytes before the table."""
        return 8 + len(self.frame_header) + len(self.picture_header)

    def joined(self, table: bytes, data: bytes) -> bytes:
        """A packet with this frame's headers round another table and other slices."""
        picture_bytes = len(self.picture_header) + len(table) + len(data)
        frame_bytes = 8 + len(self.frame_header) + picture_bytes
        return b"".join(
            (
                struct.pack(">I4s", frame_bytes, _FRAME_MARK),
                self.frame_header,
                self.picture_header[:1],
                struct.pack(">I", picture_bytes),
                self.picture_header[5:],
                table,
                data,
            )
        )


@dataclass(frozen=True)
class SliceGrid:
    """Where the slices of a picture of a size lie."""

    size: Size

    @property
    def column_count(self) -> int:
        """Columns of slices, the narrow ones included.

        >>> SliceGrid(Size(1920, 1080)).column_count, SliceGrid(Size(360, 640)).column_count
        (15, 5)
        """
        whole, rest = divmod(-(-self.size.width_px // _MACROBLOCK_PX), _SLICE_MACROBLOCKS)
        return whole + rest.bit_count()

    @property
    def row_count(self) -> int:
        """Rows of slices."""
        return -(-self.size.height_px // _MACROBLOCK_PX)

    def grow(self, box: Box) -> Box:
        """The least box round another that can be coded on its own.

        A box that reaches into the narrow columns at the right edge takes all of them, because
        on its own it would be cut into other ones.

        >>> SliceGrid(Size(1920, 1080)).grow(Box(704, 801, 1216, 1079))
        Box(left=640, top=800, right=1280, bottom=1080)
        """
        return Box(
            box.left // _SLICE_PX * _SLICE_PX,
            box.top // _MACROBLOCK_PX * _MACROBLOCK_PX,
            min(-(-box.right // _SLICE_PX) * _SLICE_PX, self.size.width_px),
            min(-(-box.bottom // _MACROBLOCK_PX) * _MACROBLOCK_PX, self.size.height_px),
        )

    def columns(self, grown: Box) -> range:
        """The columns of slices that a grown box covers."""
        reaches_the_edge = grown.right == self.size.width_px
        return range(grown.left // _SLICE_PX, self.column_count if reaches_the_edge else grown.right // _SLICE_PX)

    def rows(self, grown: Box) -> range:
        """The rows of slices that a grown box covers."""
        return range(grown.top // _MACROBLOCK_PX, -(-grown.bottom // _MACROBLOCK_PX))


@dataclass(frozen=True)
class Patch:
    """The slices of a box: for each of its rows the piece of the table and the slices it counts."""

    rows: tuple[tuple[bytes, bytes], ...]

    @classmethod
    def cut(cls, slices: Sequence[bytes], column_count: int) -> Patch:
        """Take slices row by row, `column_count` to a row."""
        rows = (slices[start : start + column_count] for start in range(0, len(slices), column_count))
        return cls(tuple((struct.pack(f">{len(row)}H", *map(len, row)), b"".join(row)) for row in rows))

    @property
    def byte_count(self) -> int:
        return sum(len(table) + len(data) for table, data in self.rows)


class Splicer:
    """Puts patches into the blank picture.

    `boxes` tell where the patches go, in the order in which `packet` takes them; `grown` is what to
    code for each. Raises ValueError where two boxes share a slice or one is not inside the picture,
    StructureError where the blank picture has not the slices that its size asks for.
    """

    def __init__(self, size: Size, boxes: Sequence[Box], blank: bytes) -> None:
        grid = SliceGrid(size)
        self.grown = tuple(grid.grow(box) for box in boxes)
        _refuse_misplaced(size, boxes, self.grown)
        self._frame = CodedFrame.parse(blank)
        width, slices = grid.column_count, self._frame.slices
        if len(slices) != width * grid.row_count:
            raise StructureError(f"a coded picture of {size} has {len(slices)} slices, not {width * grid.row_count}")
        areas = [(grid.rows(box), grid.columns(box)) for box in self.grown]
        self._empty = [
            Patch.cut([slices[row * width + column] for row in rows for column in columns], len(columns))
            for rows, columns in areas
        ]
        # A picture is pieces in reading order, each a row of a patch; what no box owns is one more patch.
        self._pieces: list[tuple[int, int]] = []
        ground: list[tuple[bytes, bytes]] = []
        for row in range(grid.row_count):
            column = 0
            across = sorted((columns.start, part) for part, (rows, columns) in enumerate(areas) if row in rows)
            for left, part in [*across, (width, len(areas))]:
                if column < left:
                    self._pieces.append((len(areas), len(ground)))
                    ground += Patch.cut(slices[row * width + column : row * width + left], left - column).rows
                if part < len(areas):
                    rows, columns = areas[part]
                    self._pieces.append((part, row - rows.start))
                    column = columns.stop
        self._ground = Patch(tuple(ground))

    def cut(self, part: int, packet: bytes) -> Patch:
        """The patch of a box from its picture, coded on its own at the grown size.

        Raises StructureError where the coded picture has not the slices that the box covers.
        """
        grown = self.grown[part]
        grid = SliceGrid(Size(grown.width_px, grown.height_px))
        patch = Patch.cut(CodedFrame.parse(packet).slices, grid.column_count)
        if [len(table) for table, _ in patch.rows] != [len(table) for table, _ in self._empty[part].rows]:
            raise StructureError(f"the box {grown} is coded in other slices than the picture's")
        return patch

    def packet(self, patches: Sequence[Patch | None]) -> bytes:
        """The coded picture that shows these patches, nothing where one is None."""
        sources = [*self._shown(patches), self._ground]
        pieces = [sources[source].rows[row] for source, row in self._pieces]
        return self._frame.joined(b"".join(table for table, _ in pieces), b"".join(data for _, data in pieces))

    def packet_bytes(self, patches: Sequence[Patch | None]) -> int:
        """How long the packet of these patches is."""
        return self._frame.header_bytes + self._ground.byte_count + sum(p.byte_count for p in self._shown(patches))

    def _shown(self, patches: Sequence[Patch | None]) -> list[Patch]:
        return [patch or empty for patch, empty in zip(patches, self._empty, strict=True)]


def _refuse_misplaced(size: Size, boxes: Sequence[Box], grown: Sequence[Box]) -> None:
    for box in boxes:
        if not (0 <= box.left < box.right <= size.width_px and 0 <= box.top < box.bottom <= size.height_px):
            raise ValueError(f"{box} is not inside a picture of {size}")
    for (one, a), (other, b) in combinations(zip(boxes, grown, strict=True), 2):
        if a.left < b.right and b.left < a.right and a.top < b.bottom and b.top < a.bottom:
            raise ValueError(f"{one} and {other} share a coded slice")
