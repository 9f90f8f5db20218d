"""The class on the terminal: its strip to scale, a table of its blocks, the figures below."""

from __future__ import annotations

import sys

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from overlay.plan.advice import Finding, Weight
from overlay.timeline.model import SegmentKind, Timeline
from overlay.timeline.strip import strip_of
from overlay.timeline.summary import Summary, summarize
from overlay.units.clock import format_duration

_ROWS = 2
# Shape tells the kinds apart; colour only helps.
_FULL = {SegmentKind.WORK: "█", SegmentKind.REST: "·", SegmentKind.PREVIEW: "▒"}
_PLAIN = {SegmentKind.WORK: "#", SegmentKind.REST: ".", SegmentKind.PREVIEW: "/"}
_COLORS = {SegmentKind.WORK: "yellow", SegmentKind.REST: "cyan", SegmentKind.PREVIEW: "magenta"}


def show_proof(timeline: Timeline, findings: tuple[Finding, ...]) -> None:
    """Print the laid-out class and what was noticed on standard output."""
    console = Console(highlight=False, emoji=False, markup=False, soft_wrap=False)
    summary = summarize(timeline)
    rate = f"{float(timeline.rate.value):.5g}"
    console.print(Text(f"{timeline.title}: {format_duration(summary.duration)}", style="bold"))
    console.print(Text(f"{timeline.size} at {rate}, {timeline.counting.value}, from {timeline.frame_to_label(0)}"))
    console.print()
    for line in strip_lines(timeline, max(20, min(console.width, 120)), _shapes()):
        console.print(line)
    console.print(_table(timeline, summary))
    for figure in figures(summary):
        console.print(Text(figure))
    console.print()
    for finding in findings:
        console.print(finding_text(finding))
    console.print(Text(verdict(findings)))


def _shapes() -> dict[SegmentKind, str]:
    """Block characters where the terminal's character set has them, plain ones elsewhere."""
    try:
        "".join(_FULL.values()).encode(sys.stdout.encoding or "ascii")
    except (UnicodeEncodeError, LookupError):
        return _PLAIN
    return _FULL


def strip_lines(timeline: Timeline, width: int, shapes: dict[SegmentKind, str]) -> list[Text]:
    """The strip in rows of at most `width` cells, the blocks' numbers above where they begin."""
    strip = strip_of(timeline, width * _ROWS)
    blocks = list(dict.fromkeys(segment.block for segment in strip.cells if segment.block))
    lines: list[Text] = []
    for start in range(0, len(strip.cells), width):
        numbers, row = "", Text()
        for number in range(start, min(start + width, len(strip.cells))):
            segment = strip.cells[number]
            begins = segment.block and (number == 0 or strip.cells[number - 1].block != segment.block)
            if begins:
                numbers = numbers.ljust(number - start) + str(blocks.index(str(segment.block)) + 1)
            row.append(shapes.get(segment.kind, "-"), style=_COLORS.get(segment.kind, ""))
        lines += [Text(numbers), row]
    legend = f"{shapes[SegmentKind.WORK]} work  {shapes[SegmentKind.REST]} rest  {shapes[SegmentKind.PREVIEW]} preview"
    return [*lines, Text(f"{legend}  - opening and closing  one cell: {format_duration(strip.cell)}")]


def _table(timeline: Timeline, summary: Summary) -> Table:
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False)
    table.add_column("", no_wrap=True, justify="right")
    table.add_column("Starts", no_wrap=True)
    table.add_column("Block", ratio=1)
    for heading in ("Side", "Hands"):
        table.add_column(heading, no_wrap=True)
    for heading in ("Rounds", "Length", "Work"):
        table.add_column(heading, justify="right", no_wrap=True)
    for number, row in enumerate(summary.blocks, 1):
        name = Text(row.name or row.block, style="bold")
        cells = (
            Text(str(number)),
            Text(timeline.frame_to_label(row.start_frame)),
            name.append(Text(f"\n{', '.join(row.exercises)}", style="not bold")),
            Text(row.side.value if row.side else ""),
            Text("/".join(hands.value for hands in row.hands)),
            Text(str(row.rounds)),
            Text(format_duration(row.duration)),
            Text(format_duration(row.work)),
        )
        table.add_row(*cells)
    return table


def figures(summary: Summary) -> list[str]:
    """The figures below the table, a line each."""
    sides = ", ".join(f"{side.value} {format_duration(work)}" for side, work in summary.work_by_side.items())
    return [
        f"Work in all: {format_duration(summary.work)}. On a side: {sides}.",
        f"To lay out: {', '.join(summary.equipment) or 'nothing'}.",
    ]


def finding_text(finding: Finding) -> Text:
    """One finding: what weight, where, what, and its short name."""
    style = "bold red" if finding.weight is Weight.FINDING else "yellow"
    lines = f", line {finding.lines[0]}" if len(finding.lines) == 1 else ""
    text = Text(f"{finding.weight.value:8}", style=style)
    return text.append(Text(f" {finding.place}{lines}: {finding.text} ({finding.name})", style="not bold default"))


def verdict(findings: tuple[Finding, ...]) -> str:
    """The last line: how much is to be mended."""
    count = sum(finding.weight is Weight.FINDING for finding in findings)
    if not findings:
        return "Nothing to mend."
    remarks = len(findings) - count
    return f"To mend: {count}. Remarks: {remarks}."
