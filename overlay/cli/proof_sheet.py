"""The class on the terminal: its strip to scale, a table of its blocks, the figures below."""

from __future__ import annotations

import os
import sys
import textwrap

from overlay.plan.advice import Finding, Weight
from overlay.timeline.model import Segment, SegmentKind, Timeline
from overlay.timeline.strip import strip_of
from overlay.timeline.summary import BlockRow, Summary, summarize
from overlay.units.clock import format_duration

_ROWS = 2
_NARROWEST, _WIDEST = 66, 120
# Shape tells the kinds apart; colour only helps.
_FULL = {SegmentKind.WORK: "█", SegmentKind.REST: "·", SegmentKind.PREVIEW: "▒"}
_PLAIN = {SegmentKind.WORK: "#", SegmentKind.REST: ".", SegmentKind.PREVIEW: "/"}
_OTHER = "-"
# Standard terminal colours (ECMA-48 SGR): yellow, cyan, magenta.
_COLORS = {SegmentKind.WORK: "33", SegmentKind.REST: "36", SegmentKind.PREVIEW: "35"}
_BOLD, _RED, _YELLOW = "1", "1;31", "33"
_HEADINGS = ("Side", "Hands", "Rounds", "Length", "Work")


class ProofSheet:
    """Lines for a terminal of a width, in its character set, with or without colour."""

    def __init__(self, width: int, *, is_colored: bool, has_blocks: bool) -> None:
        self.width = max(_NARROWEST, min(width, _WIDEST))
        self.is_colored = is_colored
        self.shapes = _FULL if has_blocks else _PLAIN

    @classmethod
    def for_terminal(cls) -> ProofSheet:
        """As standard output can show it; NO_COLOR and a pipe mean no colour."""
        is_colored = sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
        try:
            "".join(_FULL.values()).encode(sys.stdout.encoding or "ascii")
            has_blocks = True
        except (UnicodeEncodeError, LookupError):
            has_blocks = False
        return cls(_terminal_width(), is_colored=is_colored, has_blocks=has_blocks)

    def lines(self, timeline: Timeline, findings: tuple[Finding, ...]) -> list[str]:
        """The whole sheet."""
        summary = summarize(timeline)
        rate = f"{float(timeline.rate.value):.5g}"
        return [
            self._styled(f"{timeline.title}: {format_duration(summary.duration)}", _BOLD),
            f"{timeline.size} at {rate}, {timeline.counting.value}, from {timeline.frame_to_label(0)}",
            *(["A leader with a sync pop stands before it."] if timeline.class_start else []),
            "",
            *self._strip(timeline),
            "",
            *self._table(timeline, summary),
            "",
            *_figures(summary),
            "",
            *(line for finding in findings for line in self._finding(finding)),
            _verdict(findings),
        ]

    def _styled(self, text: str, style: str) -> str:
        return f"\x1b[{style}m{text}\x1b[0m" if self.is_colored and text else text

    def _strip(self, timeline: Timeline) -> list[str]:
        """Rows of cells, the blocks' numbers above where they begin, and what the shapes mean."""
        strip = strip_of(timeline, self.width * _ROWS)
        blocks = list(dict.fromkeys(segment.block for segment in strip.cells if segment.block))
        lines: list[str] = []
        before: Segment | None = None
        a_row = -(-len(strip.cells) // -(-len(strip.cells) // self.width))
        for start in range(0, len(strip.cells), a_row):
            numbers, row = "", ""
            for column, segment in enumerate(strip.cells[start : start + a_row]):
                if segment.block and (before is None or before.block != segment.block):
                    numbers = numbers.ljust(column) + str(blocks.index(segment.block) + 1)
                row += self._styled(self.shapes.get(segment.kind, _OTHER), _COLORS.get(segment.kind, "0"))
                before = segment
            lines += [numbers, row]
        legend = ", ".join(f"{shape} {kind.value}" for kind, shape in self.shapes.items())
        what = f"{legend}, {_OTHER} opening and closing; one cell is {format_duration(strip.cell)}"
        return [*lines, *textwrap.wrap(what, self.width)]

    def _table(self, timeline: Timeline, summary: Summary) -> list[str]:
        cells = [_cells(row) for row in summary.blocks]
        widths = [max(map(len, column)) for column in zip(_HEADINGS, *cells, strict=True)]
        left = len(str(len(cells))) + 2 + len(timeline.frame_to_label(0)) + 2
        name_width = max(12, self.width - left - sum(widths) - 2 * len(widths))
        ends = [*("<" for _ in range(2)), *(">" for _ in range(3))]

        def line(front: str, name: str, row: tuple[str, ...]) -> str:
            tail = "".join(f"  {cell:{end}{width}}" for cell, end, width in zip(row, ends, widths, strict=True))
            return f"{front:{left}}{name:{name_width}}{tail}".rstrip()

        lines = [self._styled(line(" " * (len(str(len(cells))) + 2) + "Starts", "Block", _HEADINGS), _BOLD)]
        for number, (row, row_cells) in enumerate(zip(summary.blocks, cells, strict=True), 1):
            front = f"{number:>{len(str(len(cells)))}}  {timeline.frame_to_label(row.start_frame)}"
            names = textwrap.wrap(row.name or row.block, name_width)
            lines.append(line(front, names[0], row_cells))
            exercises = textwrap.wrap(", ".join(row.exercises), self.width - left)
            lines += [" " * left + text for text in (*names[1:], *exercises)]
        return lines

    def _finding(self, finding: Finding) -> list[str]:
        style = _RED if finding.weight is Weight.FINDING else _YELLOW
        lines = f", line {finding.lines[0]}" if len(finding.lines) == 1 else ""
        text = f"{finding.place}{lines}: {finding.text} ({finding.name})"
        first, *more = textwrap.wrap(text, self.width - 9, break_on_hyphens=False) or [""]
        return [f"{self._styled(f'{finding.weight.value:8}', style)} {first}", *(" " * 9 + line for line in more)]


def _terminal_width() -> int:
    """COLUMNS where it is set, else the terminal's width, else 80."""
    columns = os.environ.get("COLUMNS", "")
    if columns.isdecimal() and int(columns):
        return int(columns)
    try:
        return os.get_terminal_size(sys.stdout.fileno()).columns
    except (OSError, ValueError):
        return 80


def _cells(row: BlockRow) -> tuple[str, ...]:
    return (
        row.side.value if row.side else "",
        "/".join(hands.value for hands in row.hands),
        str(row.rounds),
        format_duration(row.duration),
        format_duration(row.work),
    )


def _figures(summary: Summary) -> list[str]:
    sides = ", ".join(f"{side.value} {format_duration(work)}" for side, work in summary.work_by_side.items())
    return [
        f"Work in all: {format_duration(summary.work)}. On a side: {sides}.",
        f"To lay out: {', '.join(summary.equipment) or 'nothing'}.",
    ]


def _verdict(findings: tuple[Finding, ...]) -> str:
    """The last line: how much is to be mended."""
    count = sum(finding.weight is Weight.FINDING for finding in findings)
    return f"To mend: {count}. Remarks: {len(findings) - count}." if findings else "Nothing to mend."
