"""The files that a full build makes for the editor's tracks: told without making any of them."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from overlay.errors import UsageError
from overlay.folder.names import file_name
from overlay.handoff.tracks import Media, MediaKind, OwnFrames, Piece, Source
from overlay.plan.carriers import Carrier
from overlay.timeline.changes import CardState, PreviewState, TitleState, card_changes, title_changes
from overlay.timeline.model import Timeline
from overlay.units.clock import nearest

if TYPE_CHECKING:
    from overlay.footage.conform import Filmed


def media_of(timeline: Timeline, layers: Sequence[str], carrier: Carrier = Carrier.PRORES) -> Iterator[Media]:
    """Layers, by the names of their outputs; stills; the tones. The same whatever `--only` names."""
    for layer in layers:
        yield Media(layer, carrier.paths(layer)[0], MediaKind.LAYER)
    yield from still_files(timeline, layers)
    yield Media("tones", "tones/tones.wav", MediaKind.SOUND)


def still_files(timeline: Timeline, layers: Sequence[str]) -> Iterator[Media]:
    """A still for each distinct title, preview and card of the layers that are made, by its state."""
    if "titles" in layers:
        titles = (state for _, state in title_changes(timeline) if state.name)
        yield from _numbered("title", MediaKind.TITLE_STILL, titles)
    if "previews" in layers:
        cards = (state for _, state in card_changes(timeline) if state is not None)
        yield from _numbered("preview", MediaKind.PREVIEW_STILL, cards)


def take_pieces(filmed: Iterable[Filmed], timeline: Timeline, folder: Path) -> Iterator[Piece]:
    """Footage at its place in the class, its files named from the folder of the assets.

    Raises UsageError for a file that no path leads to from there.
    """
    for each in filmed:
        clip, rate = each.clip, timeline.rate
        own = None
        start_frame = clip.start_frame
        if clip.is_steady and clip.frame_rate != rate.value:
            own = OwnFrames(clip.frame_rate, clip.start_frame, clip.frame_count)
            start_frame = nearest(clip.start_frame / clip.frame_rate * rate.value)
        path = _path_from(folder, clip.path)
        source = Source(path, start_frame, each.frame_count, clip.has_sound, own)
        yield Piece(source.file_name, source, each.span, each.first_frame)


def _path_from(folder: Path, file: Path) -> str:
    try:
        return Path(os.path.relpath(file.resolve(), folder.resolve())).as_posix()
    except ValueError:
        remedy = "Name a folder on the drive of the footage with --out."
        raise UsageError(f"{file} is on another drive than the folder {folder}.", remedy=remedy) from None


def _numbered(what: str, kind: MediaKind, states: Iterable[TitleState | PreviewState | CardState]) -> Iterator[Media]:
    for number, state in enumerate(dict.fromkeys(states), 1):
        words = f"card {state.kind.value}" if isinstance(state, CardState) else state.name or "block"
        yield Media(words, f"pictures/stills/{file_name(f'{what}-{number:03}-{words}')}.png", kind, state)
