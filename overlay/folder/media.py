"""The files that a full build makes for the editor's tracks: told without making any of them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from overlay.folder.names import file_name
from overlay.handoff.tracks import Media, MediaKind
from overlay.timeline.changes import CardState, PreviewState, TitleState, card_changes, title_changes
from overlay.timeline.model import Timeline


def media_of(timeline: Timeline, layers: Sequence[str]) -> Iterator[Media]:
    """Layers, by the names of their outputs; stills; the tones. The same whatever `--only` names."""
    for layer in layers:
        yield Media(layer, layer_path(layer), MediaKind.LAYER)
    yield from still_files(timeline, layers)
    yield Media("tones", "tones/tones.wav", MediaKind.SOUND)


def layer_path(layer: str) -> str:
    """Where a layer stands below the folder."""
    return f"pictures/{layer}.mov"


def still_files(timeline: Timeline, layers: Sequence[str]) -> Iterator[Media]:
    """A still for each distinct title, preview and card of the layers that are made, by its state."""
    if "titles" in layers:
        titles = (state for _, state in title_changes(timeline) if state.name)
        yield from _numbered("title", MediaKind.TITLE_STILL, titles)
    if "previews" in layers:
        cards = (state for _, state in card_changes(timeline) if state is not None)
        yield from _numbered("preview", MediaKind.PREVIEW_STILL, cards)


def _numbered(what: str, kind: MediaKind, states: Iterable[TitleState | PreviewState | CardState]) -> Iterator[Media]:
    for number, state in enumerate(dict.fromkeys(states), 1):
        words = f"card {state.kind.value}" if isinstance(state, CardState) else state.name or "block"
        yield Media(words, f"pictures/stills/{file_name(f'{what}-{number:03}-{words}')}.png", kind, state)
