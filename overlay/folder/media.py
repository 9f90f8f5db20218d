"""The files that a full build makes for the editor's tracks: told without making any of them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from overlay.folder.names import file_name
from overlay.handoff.tracks import Media, MediaKind
from overlay.timeline.model import SegmentKind, Timeline


def media_of(timeline: Timeline, layers: Iterable[str]) -> Iterator[Media]:
    """Layers, by the names of their outputs; stills; the tones. The same whatever `--only` names."""
    for layer in layers:
        yield Media(layer, layer_path(layer), MediaKind.LAYER)
    yield from preview_still_files(timeline)
    yield Media("tones", "tones/tones.wav", MediaKind.SOUND)


def layer_path(layer: str) -> str:
    """Where a layer stands below the folder."""
    return f"pictures/{layer}.mov"


def preview_still_files(timeline: Timeline) -> tuple[Media, ...]:
    """The still of each block's preview card; it shows the block's id."""
    stills: list[Media] = []
    taken: set[str] = set()
    for segment in timeline.segments:
        if segment.kind is SegmentKind.PREVIEW and segment.block is not None:
            name = file_name(f"preview-{segment.block}", frozenset(taken))
            taken.add(name)
            path = f"pictures/stills/{name}.png"
            stills.append(Media(segment.block_name or name, path, MediaKind.PREVIEW_STILL, segment.block))
    return tuple(stills)
