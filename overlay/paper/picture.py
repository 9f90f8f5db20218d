"""The whole class as a picture: stretches to scale, sides, loads on the hands, speech, and beeps."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction
from html import escape
from itertools import groupby, pairwise
from pathlib import Path

from overlay.paper.sheet import families_of, picture_words, set_picture
from overlay.plan.fields import Hands, Side
from overlay.timeline.layout import Layout
from overlay.timeline.model import BeepKind, Segment, SegmentKind
from overlay.timeline.place import Budget
from overlay.units.clock import format_duration, frame_to_time

WIDTH_PX = 1600
PIXELS_AN_INCH = 144
"""Of the PNG; the drawing counts 96 px an inch, so that it comes out 2400 px wide."""
LONGEST_ROW = Fraction(300)
"""Seconds. A longer class goes on in the next row; all rows are equally long."""
_LEFT, _RIGHT, _TOP, _ROW = 150, 1560, 96, 232
_STRIP, _NAMES, _SIDES, _HANDS, _FULL, _SPEECH, _BEEPS, _CLOCK = 24, 74, 92, 108, 128, 164, 180, 204
"""Where each lane of a row stands, in px from its top; `_FULL` is where speech fills its stretch."""
_INK, _PALE = "#12181f", "#6b7480"
_TICKS = tuple(map(Fraction, (5, 10, 15, 30, 60)))


def timeline_png(svg: str, font_files: Sequence[Path] = ()) -> bytes:
    """The drawing as a PNG picture with these fonts or the tool's own."""
    return set_picture("picture.typ", {"svg": svg, "width_px": WIDTH_PX}, PIXELS_AN_INCH, font_files)


def timeline_svg(layout: Layout, font_files: Sequence[Path] = ()) -> str:
    """The class as an SVG drawing, black on white: nothing depends on colour. Names stand in tooltips in full."""
    return _Drawing(layout, families_of(font_files)).text()


class _Drawing:
    def __init__(self, layout: Layout, families: Sequence[str]) -> None:
        self.layout = layout
        self.families = escape(
            ", ".join([*(f"'{family}'" for family in families), "sans-serif"]).replace('"', ""), quote=False
        )
        self.timeline = timeline = layout.timeline
        self.row_count = -(-timeline.duration // LONGEST_ROW)
        self.row = timeline.duration / self.row_count
        self.height_px = _TOP + _ROW * self.row_count + 44
        self.parts: list[str] = []

    def text(self) -> str:
        self._head()
        for number in range(self.row_count):
            self._lanes(number)
        for block, some in groupby(self.timeline.segments, key=lambda segment: segment.block or segment.kind):
            self._block(block, list(some))
        for segment in self.timeline.segments:
            self._segment(segment)
        for budget in self.layout.budgets:
            if budget.language == self.timeline.language and budget.needs:
                self._speech(budget)
        for beep in self.timeline.beeps:
            x, top = self._at(frame_to_time(beep.frame, self.timeline.rate))
            self.parts.append(_BEEP_SHAPES[beep.kind](x, top + _BEEPS))
        self._legend()
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH_PX}" height="{self.height_px}" '
            f'viewBox="0 0 {WIDTH_PX} {self.height_px}" font-family="{self.families}" fill="{_INK}" '
            f'xml:lang="{escape(self.timeline.language)}">\n'
            f"<title>{escape(self.timeline.title, quote=False)}</title>\n{_HATCHES}"
            f'<rect width="{WIDTH_PX}" height="{self.height_px}" fill="#ffffff"/>\n'
            + "\n".join(self.parts)
            + "\n</svg>\n"
        )

    def _at(self, time: Fraction) -> tuple[float, int]:
        """The place of a time: px from the left, and the top of its row."""
        number = min(time // self.row, self.row_count - 1)
        return float(_LEFT + (_RIGHT - _LEFT) * (time - number * self.row) / self.row), _TOP + _ROW * number

    def _pieces(self, start: Fraction, end: Fraction) -> Iterator[tuple[float, float, int]]:
        """A stretch of time as pieces of rows: from, to, and the row's top, in px."""
        edges = [start, *(self.row * n for n in range(1, self.row_count) if start < self.row * n < end), end]
        for one, other in pairwise(edges):
            x, top = self._at(one)
            yield x, x + float((_RIGHT - _LEFT) * (other - one) / self.row), top

    def _head(self) -> None:
        timeline = self.timeline
        self._words(40, 44, timeline.title, 26, bold=True, most_px=WIDTH_PX - 80)
        length = format_duration(timeline.lasts)
        self._words(40, 70, f"{length} · {picture_words(timeline)}", 14, fill=_PALE)

    def _lanes(self, number: int) -> None:
        top, words = _TOP + _ROW * number, self.timeline.phrases.paper
        for lane, name in ((_SIDES, "sides"), (_HANDS, "hands"), (_SPEECH - 10, "speech"), (_BEEPS + 5, "beeps")):
            self._words(40, top + lane + 4, words[name], 12, fill=_PALE, most_px=_LEFT - 42)
        self._line(_LEFT, top + _SPEECH, _RIGHT, top + _SPEECH, _PALE, 1)
        dashes = ' stroke-dasharray="3 4"'
        self._line(_LEFT, top + _FULL, _RIGHT, top + _FULL, _PALE, 1, dashes)
        self._words(_RIGHT + 6, top + _FULL + 4, words["full"], 11, fill=_PALE)
        tick = next((tick for tick in _TICKS if self.row / tick <= 12), Fraction(60))
        first = -(-(self.row * number - self.timeline.class_start) // tick)
        for n in range(first, (self.row * (number + 1) - self.timeline.class_start) // tick + 1):
            x, row_top = self._at(self.timeline.class_start + n * tick)
            if n >= 0 and row_top == top:
                self._line(x, top + _CLOCK - 12, x, top + _CLOCK - 6, _PALE, 1)
                self._words(x, top + _CLOCK + 6, format_duration(n * tick), 11, fill=_PALE, anchor="middle")

    def _block(self, block: object, segments: list[Segment]) -> None:
        first = segments[0]
        name = first.block_name or first.block or getattr(self.timeline.phrases, first.kind.value)
        for index, (x, to, top) in enumerate(self._pieces(first.start, segments[-1].end)):
            self._line(x, top + 2, x, top + _STRIP, _PALE, 1)
            self._words(x + 5, top + 14, name if index == 0 else f"… {name}", 13, bold=True, most_px=to - x - 8)

    def _segment(self, segment: Segment) -> None:
        move = segment.move if segment.kind is SegmentKind.WORK else None
        name = move.name if move else getattr(self.timeline.phrases, segment.kind.value)
        for x, to, top in self._pieces(segment.start, segment.end):
            shape = _SHAPES.get(segment.kind, _thin)
            tip = f"<title>{escape(f'{name}, {format_duration(segment.duration)}', quote=False)}</title>"
            self.parts.append(shape(x + 0.75, top + _STRIP, max(0.5, to - x - 1.5), 34, tip))
            if move:
                self._words(x + 2, top + _NAMES, name, 11, most_px=to - x - 3)
            if move and segment.side:
                self._side(segment.side, x, to, top + _SIDES)
            if move and move.hands is Hands.LOADED:
                self.parts.append(_rect(x, top + _HANDS - 5, to - x, 9, f'fill="{_INK}"'))

    def _side(self, side: Side, x: float, to: float, y: int) -> None:
        """A line with an arrow that points to the side, and the word where there is room."""
        point, base = (x + 1, x + 9) if side is Side.LEFT else (to - 1, to - 9)
        self._line(x + 4, y, to - 4, y, _INK, 2)
        self.parts.append(_polygon((point, y), (base, y - 5), (base, y + 5)))
        word, middle = self.timeline.phrases.side(side), (x + to) / 2
        wide = _width_px(word, 11)
        if to - x > wide + 30:
            self.parts.append(_rect(middle - wide / 2 - 4, y - 7, wide + 8, 14, 'fill="#ffffff"'))
            self._words(middle, y + 4, word, 11, anchor="middle")

    def _speech(self, budget: Budget) -> None:
        """A bar as high as the words fill their time; over the line it is too much, and marked."""
        share = budget.needs / budget.has if budget.has else Fraction(2)
        is_over = bool(budget.words_over)
        height = float(min(share, Fraction(5, 4))) * (_SPEECH - _FULL)
        for x, to, top in self._pieces(budget.segment.start, budget.segment.end):
            look = f'fill="url(#over)" stroke="{_INK}" stroke-width="2"' if is_over else f'fill="{_PALE}"'
            self.parts.append(_rect(x + 1.5, top + _SPEECH - height, max(0.5, to - x - 3), height, look))
            if is_over:
                self._words((x + to) / 2, top + _SPEECH - height - 3, "!", 15, bold=True, anchor="middle")

    def _legend(self) -> None:
        phrases, y = self.timeline.phrases, self.height_px - 26
        x = 40.0
        for kind, shape in _SHAPES.items():
            self.parts.append(shape(x, y - 11, 34, 13, ""))
            x = self._legend_word(x + 42, y, getattr(phrases, kind.value))
        for beep in BeepKind:
            if any(each.kind is beep for each in self.timeline.beeps):
                self.parts.append(_BEEP_SHAPES[beep](x + 4, y - 10))
                x = self._legend_word(x + 26, y, phrases.paper[f"beep_{beep.value}"])

    def _legend_word(self, x: float, y: float, word: str) -> float:
        self._words(x, y, word, 12)
        return x + _width_px(word, 12) + 26

    def _words(
        self,
        x: float,
        y: float,
        text: str,
        size_px: int,
        *,
        bold: bool = False,
        fill: str = _INK,
        anchor: str = "start",
        most_px: float | None = None,
    ) -> None:
        """One line of text, cut short where it would be wider than there is room; nothing where little is left."""
        if most_px is not None and _width_px(text, size_px) > most_px:
            letters = int(most_px / (size_px * _EM)) - 1
            if letters < 3:
                return
            text = text[:letters].rstrip() + "…"
        weight = ' font-weight="bold"' if bold else ""
        where = f' text-anchor="{anchor}"' if anchor != "start" else ""
        place = f'x="{x:.2f}" y="{y:.2f}" font-size="{size_px}" fill="{fill}"{weight}{where}'
        self.parts.append(f"<text {place}>{escape(text, quote=False)}</text>")

    def _line(self, x: float, y: float, to_x: float, to_y: float, color: str, width_px: int, more: str = "") -> None:
        self.parts.append(
            f'<line x1="{x:.2f}" y1="{y:.2f}" x2="{to_x:.2f}" y2="{to_y:.2f}" '
            f'stroke="{color}" stroke-width="{width_px}"{more}/>'
        )


_EM = 0.6
"""What a letter is wide at most on the average, as a share of the size: enough for bold words."""


def _width_px(text: str, size_px: int) -> float:
    return len(text) * size_px * _EM


def _rect(x: float, y: float, width: float, height: float, look: str, tip: str = "") -> str:
    return f'<rect x="{x:.2f}" y="{y:.2f}" width="{width:.2f}" height="{height:.2f}" {look}>{tip}</rect>'


def _polygon(*points: tuple[float, float]) -> str:
    return f'<polygon points="{" ".join(f"{x:.2f},{y:.2f}" for x, y in points)}"/>'


Shape = Callable[[float, float, float, float, str], str]


def _hollow(x: float, y: float, width: float, height: float, tip: str) -> str:
    look = f'fill="#ffffff" stroke="{_INK}" stroke-width="1.5"'
    return _rect(x + 0.75, y + 0.75, max(0.1, width - 1.5), height - 1.5, look, tip)


def _hatched(x: float, y: float, width: float, height: float, tip: str) -> str:
    look = f'fill="url(#preview)" stroke="{_INK}" stroke-width="1.5"'
    return _rect(x + 0.75, y + 0.75, max(0.1, width - 1.5), height - 1.5, look, tip)


def _filled(x: float, y: float, width: float, height: float, tip: str) -> str:
    return _rect(x, y, width, height, f'fill="{_INK}"', tip)


def _thin(x: float, y: float, width: float, height: float, tip: str) -> str:
    return _rect(x, y + height * 0.4, width, height * 0.2, f'fill="{_INK}"', tip)


_SHAPES: dict[SegmentKind, Shape] = {
    SegmentKind.PREVIEW: _hatched,
    SegmentKind.WORK: _filled,
    SegmentKind.REST: _hollow,
}


def _bars(count: int, width: float, gap: float) -> Callable[[float, float], str]:
    return lambda x, y: "".join(_rect(x + n * (width + gap), y, width, 10, f'fill="{_INK}"') for n in range(count))


def _round(radius: float, look: str) -> Callable[[float, float], str]:
    return lambda x, y: f'<circle cx="{x:.2f}" cy="{y + 5:.2f}" r="{radius}" {look}/>'


_BEEP_SHAPES: dict[BeepKind, Callable[[float, float], str]] = {
    BeepKind.POP: lambda x, y: _polygon((x, y), (x + 5, y + 5), (x, y + 10), (x - 5, y + 5)),
    BeepKind.READY: _round(1.6, f'fill="{_INK}"'),
    BeepKind.START: lambda x, y: _polygon((x, y), (x, y + 10), (x + 10, y + 5)),
    BeepKind.CHANGE: _bars(2, 3, 2),
    BeepKind.STOP: _bars(1, 9, 0),
    BeepKind.HALF: _round(4, f'fill="none" stroke="{_INK}" stroke-width="1.5"'),
    BeepKind.LAST: _bars(4, 1.2, 1.6),
    BeepKind.FINISH: _bars(3, 5, 2),
}
"""The same shapes as in the margin of the script (`script.typ`)."""
_HATCHES = "".join(
    f'<pattern id="{name}" width="{step}" height="{step}" patternUnits="userSpaceOnUse" '
    f'patternTransform="rotate({angle})"><rect width="{step}" height="{step}" fill="#ffffff"/>'
    f'<rect width="{step * 0.4:g}" height="{step}" fill="{_INK}"/></pattern>\n'
    for name, step, angle in (("preview", 6, 45), ("over", 4, -45))
)
