"""What every sheet shares: setting a template of this room with data, and the data that heads each page."""

from __future__ import annotations

import json
import shutil
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from overlay.errors import MachineError
from overlay.plan.fields import Side
from overlay.plan.look import font_folder
from overlay.plan.paper import PaperSettings, PaperSize
from overlay.timeline.model import Segment, Timeline
from overlay.units.clock import format_duration
from overlay.units.rate import Counting
from overlay.words.sides import fill

FAMILY = "Noto Sans"
_TYPST_PAPER = {PaperSize.A4: "a4", PaperSize.LETTER: "us-letter"}
_LONGEST_HEAD = 60
"""Characters of a title in a running head; the whole title stands on the first page."""
_MOST_PARTS = 300
"""Parts of the strip in the head of a page: more than one to a millimetre."""


def set_pages(template: str, data: dict[str, Any], font_files: Sequence[Path] = ()) -> bytes:
    """A template of this room as a tagged PDF (PDF/UA-1, ISO 14289-1).

    `font_files` are asked for a character in their order; none means the tool's own, and no other font is
    there. The same data gives the same bytes. Raises MachineError where the page cannot be set.
    """
    return _compiled(template, data, font_files, format="pdf", pdf_standards=["ua-1"])


def set_picture(template: str, data: dict[str, Any], pixels_an_inch: int, font_files: Sequence[Path] = ()) -> bytes:
    """A template of one page as a PNG picture."""
    return _compiled(template, data, font_files, format="png", ppi=pixels_an_inch)


def _compiled(template: str, data: dict[str, Any], font_files: Sequence[Path], **form: Any) -> bytes:
    import typst

    folder = Path(__file__).parent
    with _fonts(font_files) as (fonts, families):
        try:
            made = typst.compile(
                str(folder / template),
                root=str(folder),
                font_paths=fonts,
                ignore_system_fonts=True,
                sys_inputs={"class": json.dumps({**data, "fonts": families}, ensure_ascii=False)},
                **form,
            )
        except typst.TypstError as error:
            raise MachineError(f"The page {template} could not be set: {error}") from error
    return bytes(made)


@contextmanager
def _fonts(files: Sequence[Path]) -> Iterator[tuple[Any, list[str]]]:
    """Fonts as typst takes them, a folder, and the names of their families in the files' order."""
    import typst

    with TemporaryDirectory() as folder:
        copies = [Path(folder, f"{number}{path.suffix}") for number, path in enumerate(files)]
        for path, copy in zip(files, copies, strict=True):
            shutil.copyfile(path, copy)
        fonts = typst.Fonts(False, False, [folder if files else str(font_folder())])
        family_of = {Path(font.path).name: font.family for font in fonts.fonts() if font.path}
        yield fonts, list(dict.fromkeys(family_of[copy.name] for copy in copies if copy.name in family_of)) or [FAMILY]


def families_of(font_files: Sequence[Path]) -> list[str]:
    """The names of the families of font files, each once, in their order."""
    with _fonts(font_files) as (_, families):
        return families


def sheet_data(timeline: Timeline, paper: PaperSettings) -> dict[str, Any]:
    """What `sheet.typ` takes: the words, the strip in frames, the running head and the foot."""
    title = timeline.title
    return {
        "paper": _TYPST_PAPER[paper.size],
        "title": title,
        "running-title": shortened(title, _LONGEST_HEAD),
        **_language(timeline.language),
        "words": dict(timeline.phrases.paper),
        "sides": {side.value: timeline.phrases.side(side) for side in Side},
        "caution": timeline.phrases.caution,
        "settings": " · ".join((format_duration(timeline.lasts), picture_words(timeline))),
        "frames": timeline.frame_count,
        "strip": _strip(timeline),
    }


def _strip(timeline: Timeline) -> list[dict[str, Any]]:
    """The class as a strip that heads every page: its stretches, or where no pen draws so many, as many parts of one
    length, each of the kind that has most of it."""
    segments = [segment for segment in timeline.segments if segment.span.frame_count]
    if len(segments) <= _MOST_PARTS:
        return [{"kind": segment.kind.value, "frames": segment.span.frame_count} for segment in segments]
    shares: list[Counter[str]] = [Counter() for _ in range(_MOST_PARTS)]
    for segment in segments:
        frame = segment.span.start_frame
        while frame < segment.span.end_frame:
            part = frame * _MOST_PARTS // timeline.frame_count
            until = min(segment.span.end_frame, -(-(part + 1) * timeline.frame_count // _MOST_PARTS))
            shares[part][segment.kind.value] += until - frame
            frame = until
    return [{"kind": share.most_common(1)[0][0], "frames": share.total()} for share in shares]


def shortened(text: str, most: int) -> str:
    """A text of at most so many characters, for a head that comes again on every page; the whole stands elsewhere.

    >>> shortened("Side-on, whole chair in frame", 10), shortened("Side-on", 10)
    ('Side-on, w…', 'Side-on')
    """
    return text if len(text) <= most else f"{text[:most].rstrip()}…"


def put(phrase: str, **values: object) -> str:
    """A phrase with its slots filled.

    >>> put("{needs} of {has} s", needs=24, has=30)
    '24 of 30 s'
    """
    return fill(phrase, {name: str(value) for name, value in values.items()})


def picture_words(timeline: Timeline) -> str:
    """Size, rate, counting and first label, in the trade's way of writing them."""
    words = timeline.phrases.paper
    rate = put(words["frame_rate"], rate=f"{float(timeline.rate.value):.5g}")
    counting = words["drop_frame" if timeline.counting is Counting.DROP else "non_drop"]
    size = f"{timeline.size.width_px} × {timeline.size.height_px}"
    return f"{size} · {rate} · {counting} · {timeline.frame_to_label(0)}"


def marks_of(segments: Iterable[Segment]) -> list[list[int]]:
    """The stretches of the class that stand on a page, in frames."""
    return [[segment.span.start_frame, segment.span.end_frame] for segment in segments]


def round_words(timeline: Timeline, segments: Iterable[Segment]) -> str | None:
    """`Round 1 of 2`, or `Round 1–2 of 2` where a shot goes on; None where there is one round."""
    phrases = timeline.phrases
    numbered = [segment for segment in segments if segment.round and segment.rounds and segment.rounds > 1]
    if not numbered:
        return None
    rounds = [segment.round or 1 for segment in numbered]
    span = f"{min(rounds)}" if min(rounds) == max(rounds) else f"{min(rounds)}–{max(rounds)}"
    return f"{phrases.round} {span} {phrases.of} {numbered[0].rounds}"


def _language(tag: str) -> dict[str, str | None]:
    """A BCP 47 tag as the two that a page takes: language, and a region of two letters if there is one."""
    language, *subtags = tag.split("-")
    region = next((subtag.lower() for subtag in subtags if len(subtag) == 2 and subtag.isalpha()), None)
    return {"language": language, "region": region}
