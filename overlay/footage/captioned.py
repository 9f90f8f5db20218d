"""The captions of a finished cut, embedded or in a file, against those of the plan.

Words are compared by letters and digits alone, because programs change quotes, dashes and line breaks.
"""

from __future__ import annotations

import re
import statistics
import unicodedata
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any

from overlay.errors import MachineError
from overlay.footage.sound import Footage
from overlay.timeline.model import Cue, Timeline
from overlay.units.clock import frame_to_ms

if TYPE_CHECKING:
    import av

LEAST_ALIKE = 0.25
"""Share of a language's captions that must be there for them to be taken as that language's."""
_APART_MS = 5000
"""Milliseconds from its place, once what is common to all is taken off, within which a caption is looked for."""
_TTML = (".ttml", ".xml", ".dfxp", ".itt")
_MARKUP = re.compile(r"</?[a-z]+[^>]*>|\{\\[^}]*\}", re.IGNORECASE)
"""Italics, colours and places that programs write into SubRip."""


@dataclass(frozen=True)
class Caption:
    """One caption as a reader shows it, in milliseconds from the first picture or from the file's zero."""

    start_ms: float
    end_ms: float
    text: str


@dataclass(frozen=True)
class Track:
    """Captions from one place: a stream of the cut, or a file. `captions` is None where they are no text."""

    name: str
    captions: tuple[Caption, ...] | None
    is_embedded: bool


@dataclass(frozen=True)
class Pair:
    """A caption of the plan and the one that shows it; later than planned by so much, at its start and at its end."""

    cue: Cue
    start_error_ms: float
    end_error_ms: float

    @property
    def worst_ms(self) -> float:
        """The larger of both errors, with its sign."""
        return max(self.start_error_ms, self.end_error_ms, key=abs)


@dataclass(frozen=True)
class Compared:
    """A track against the plan. `language` is None where it is in none of the plan's languages.

    `shift_ms` is by how much all of it is late; errors of pairs hold it too.
    """

    track: Track
    language: str | None
    pairs: tuple[Pair, ...] = ()
    missing: tuple[Cue, ...] = ()
    extra: tuple[Caption, ...] = ()
    shift_ms: float = 0.0

    @property
    def worst_ms(self) -> float:
        return max((pair.worst_ms for pair in self.pairs), key=abs, default=0.0)


def tracks_of(cut: Path, files: Sequence[Path]) -> list[Track]:
    """What captions a cut and further files have. Raises MachineError for a file that cannot be read."""
    return [*_embedded(cut), *(Track(file.name, tuple(_from_file(file)), False) for file in files)]


def compared(timeline: Timeline, track: Track, zero_ms: Callable[[Cue], float]) -> Compared:
    """A track against the plan's captions of the language that it is in.

    `zero_ms` tells for a caption where class frame 0 would fall for it, in milliseconds on the track's clock.
    """
    if track.captions is None:
        return Compared(track, None)
    shown = [key_of(caption.text) for caption in track.captions]
    alike = {}
    for language in timeline.languages:
        planned = {key_of(cue.text) for cue in timeline.cues if cue.language == language}
        alike[language] = len(planned.intersection(shown)) / max(len(planned), 1)
    language = max(alike, key=lambda each: alike[each])
    if alike[language] < LEAST_ALIKE:
        return Compared(track, None)
    cues = [cue for cue in timeline.cues if cue.language == language]
    return _compared(track, language, cues, timeline, zero_ms)


def key_of(text: str) -> str:
    """The letters and digits of a text, small.

    >>> key_of("Sit tall…\\nbefore you pull.") == key_of("SIT TALL before you pull")
    True
    """
    return "".join(sign for sign in unicodedata.normalize("NFKC", text).casefold() if sign.isalnum())


def _compared(
    track: Track, language: str, cues: Sequence[Cue], timeline: Timeline, zero_ms: Callable[[Cue], float]
) -> Compared:
    starts = {cue: frame_to_ms(cue.span.start_frame, timeline.rate) + zero_ms(cue) for cue in cues}
    by_text: dict[str, list[Caption]] = {}
    for caption in track.captions or ():
        by_text.setdefault(key_of(caption.text), []).append(caption)
    shift_ms = _shift(cues, starts, by_text)
    pairs, missing = [], []
    for cue in cues:
        same = by_text.get(key_of(cue.text), [])
        near = min(same, key=lambda caption: abs(caption.start_ms - starts[cue] - shift_ms), default=None)
        if near is None or abs(near.start_ms - starts[cue] - shift_ms) > _APART_MS:
            missing.append(cue)
            continue
        same.remove(near)
        end_ms = frame_to_ms(cue.span.end_frame, timeline.rate) + zero_ms(cue)
        pairs.append(Pair(cue, near.start_ms - starts[cue], near.end_ms - end_ms))
    left = sorted((each for same in by_text.values() for each in same), key=lambda caption: caption.start_ms)
    return Compared(track, language, tuple(pairs), tuple(missing), tuple(left), shift_ms)


def _shift(cues: Sequence[Cue], starts: dict[Cue, float], by_text: dict[str, list[Caption]]) -> float:
    """By how much captions are late in the middle, told by texts that occur once."""
    keys = [key_of(cue.text) for cue in cues]
    late = [
        by_text[key][0].start_ms - starts[cue]
        for cue, key in zip(cues, keys, strict=True)
        if keys.count(key) == 1 and len(by_text.get(key, ())) == 1
    ]
    return statistics.median(late) if late else 0.0


def _embedded(cut: Path) -> Iterator[Track]:
    """The streams of captions in a cut, on the clock of its picture."""
    import av

    with Footage(cut) as footage:
        zero = footage.zero
    with av.open(str(cut), metadata_errors="replace") as container:
        count = len(container.streams.subtitles)
    for number in range(count):
        with av.open(str(cut), metadata_errors="replace") as container:
            name = "captions in the cut" if count == 1 else f"captions in the cut, track {number + 1}"
            try:
                captions = tuple(_decoded(container, container.streams.subtitles[number], zero))
            except (av.error.FFmpegError, LookupError):
                captions = ()
            yield Track(name, captions or None, True)


def _from_file(path: Path) -> Iterator[Caption]:
    import av

    try:
        if path.suffix.lower() == ".srt":
            yield from _from_srt(path.read_bytes().decode("utf-8-sig"))
        elif path.suffix.lower() in _TTML:
            yield from _from_ttml(path)
        else:
            with av.open(str(path), metadata_errors="replace") as container:
                yield from _decoded(container, container.streams.subtitles[0], Fraction(0))
    except FileNotFoundError:
        raise MachineError(f"There is no file {path}.", remedy="Check the name of the captions.") from None
    except (av.error.FFmpegError, OSError, ValueError, LookupError):
        raise MachineError(
            f"{path} cannot be read as captions.", remedy="Give a file of SubRip, WebVTT or TTML, stored as UTF-8."
        ) from None


def _decoded(
    container: av.container.InputContainer, stream: av.subtitles.stream.SubtitleStream, zero: Fraction
) -> Iterator[Caption]:
    """What FFmpeg makes of text captions of any form."""
    for packet in container.demux(stream):
        if packet.pts is None or packet.duration is None or packet.time_base is None:
            continue
        base = Fraction(packet.time_base.numerator, packet.time_base.denominator)
        start_ms = float((packet.pts * base - zero) * 1000)
        texts: list[Any] = [each for each in packet.decode() if hasattr(each, "dialogue")]
        text = "\n".join(each.dialogue.decode("utf-8", "replace") for each in texts)
        if text.strip():
            yield Caption(start_ms, start_ms + float(packet.duration * base * 1000), text)


def _from_srt(text: str) -> Iterator[Caption]:
    import srt

    for each in srt.parse(text):
        yield Caption(each.start.total_seconds() * 1000, each.end.total_seconds() * 1000, _MARKUP.sub("", each.content))


def _from_ttml(path: Path) -> Iterator[Caption]:
    """By way of SubRip, which is what is left of a document once its times are worked out."""
    from xml.etree import ElementTree

    import ttconv.imsc.reader
    import ttconv.srt.writer

    try:
        document = ttconv.imsc.reader.to_model(ElementTree.parse(path))
    except ElementTree.ParseError:
        raise ValueError from None
    if document is None:
        raise ValueError
    yield from _from_srt(ttconv.srt.writer.from_model(document))
