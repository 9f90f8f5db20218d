"""Coded pictures taken apart and put together slice by slice.

A ProRes frame (published as SMPTE RDD 36) is a frame header, a picture header, a table with the
bytes of every slice, and the slices, row by row. A slice is 16 rows high and 8 macroblocks (128 px)
wide; what is left over at the right edge is cut into slices of 4, 2 and 1 macroblocks. At a fixed
quantiser each slice is coded from its own pixels alone, wherever it stands: a picture is a table of
slices, any of which can be coded by itself and used again.
"""

from __future__ import annotations

import struct
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from overlay.units.raster import Box, Size

_FRAME_MARK = b"icpf"
SLICE_HEIGHT_PX = 16
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

    @cached_property
    def byte_count(self) -> int:
        """The length of this picture's packet."""
        return 8 + len(self.frame_header) + len(self.picture_header) + sum(2 + len(data) for data in self.slices)

    def packet(self, slices: Sequence[bytes]) -> bytes:
        """The packet of a picture with these headers and other slices, as many."""
        table, data = struct.pack(f">{len(slices)}H", *map(len, slices)), b"".join(slices)
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

    @cached_property
    def columns(self) -> tuple[tuple[int, int], ...]:
        """Where each column of slices begins and how wide its slices are coded, in pixels.

        The last one may reach beyond the picture, up to a whole macroblock.

        >>> SliceGrid(Size(360, 640)).columns
        ((0, 128), (128, 128), (256, 64), (320, 32), (352, 16))
        """
        whole, rest = divmod(-(-self.size.width_px // _MACROBLOCK_PX), _SLICE_MACROBLOCKS)
        widths = [_SLICE_PX] * whole + [_MACROBLOCK_PX * part for part in (4, 2, 1) if rest & part]
        return tuple((sum(widths[:number]), width) for number, width in enumerate(widths))

    @property
    def column_count(self) -> int:
        """Columns of slices, the narrow ones included.

        >>> SliceGrid(Size(1920, 1080)).column_count, SliceGrid(Size(360, 640)).column_count
        (15, 5)
        """
        return len(self.columns)

    @property
    def row_count(self) -> int:
        """Rows of slices."""
        return -(-self.size.height_px // SLICE_HEIGHT_PX)

    @property
    def slice_count(self) -> int:
        """All slices of a picture."""
        return self.row_count * self.column_count

    def columns_of(self, box: Box) -> range:
        """The columns that a box touches."""
        touched = [n for n, (left, width) in enumerate(self.columns) if left < box.right and box.left < left + width]
        return range(touched[0], touched[-1] + 1)

    def rows_of(self, box: Box) -> range:
        """The rows that a box touches."""
        return range(box.top // SLICE_HEIGHT_PX, -(-box.bottom // SLICE_HEIGHT_PX))

    def grow(self, box: Box) -> Box:
        """The least box of whole slices round another, as far as the picture goes.

        >>> SliceGrid(Size(1920, 1080)).grow(Box(704, 801, 1216, 1079))
        Box(left=640, top=800, right=1280, bottom=1080)
        """
        rows, columns = self.rows_of(box), self.columns_of(box)
        right = sum(self.columns[columns[-1]])
        return Box(
            self.columns[columns[0]][0],
            rows.start * SLICE_HEIGHT_PX,
            min(right, self.size.width_px),
            min(rows.stop * SLICE_HEIGHT_PX, self.size.height_px),
        )

    def box_of(self, place: int) -> Box:
        """The box of a slice by its place, counted row by row, as far as the picture goes."""
        row, column = divmod(place, self.column_count)
        left, width = self.columns[column]
        top = row * SLICE_HEIGHT_PX
        return Box(
            left,
            top,
            min(left + width, self.size.width_px),
            min(top + SLICE_HEIGHT_PX, self.size.height_px),
        )
