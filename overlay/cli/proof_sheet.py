"""The class on the terminal: a table of its blocks, and the figures below."""

from __future__ import annotations

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from overlay.cli.messages import say
from overlay.timeline.model import Timeline
from overlay.timeline.summary import Summary, summarize
from overlay.units.clock import format_duration


def show_proof(timeline: Timeline) -> None:
    """Print the laid-out class on standard output."""
    summary = summarize(timeline)
    rate = f"{float(timeline.rate.value):.5g}"
    say(f"{timeline.title}: {format_duration(summary.duration)}")
    say(f"{timeline.size} at {rate}, {timeline.counting.value}, from {timeline.frame_to_label(0)}")
    console = Console(highlight=False, emoji=False, markup=False)
    console.print(_table(timeline, summary))
    for line in figures(summary):
        say(line)


def _table(timeline: Timeline, summary: Summary) -> Table:
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False)
    table.add_column("Starts", no_wrap=True)
    table.add_column("Block", ratio=1)
    for heading in ("Side", "Hands"):
        table.add_column(heading, no_wrap=True)
    for heading in ("Rounds", "Length", "Work"):
        table.add_column(heading, justify="right", no_wrap=True)
    for row in summary.blocks:
        name = Text(row.name or row.block, style="bold")
        cells = (
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
