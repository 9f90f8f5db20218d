"""What passes between a build and its writers: the job, the files, and a row of the table of outputs."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from overlay.plan.advice import Finding
from overlay.plan.session import Session
from overlay.timeline.layout import Layout, Moved, lay_out
from overlay.timeline.model import Timeline

if TYPE_CHECKING:
    from overlay.handoff.tracks import Piece
    from overlay.pictures.fonts import Fonts
    from overlay.pictures.means import Means

LAYERS = ("timer", "titles", "previews", "progress")
"""The layers by name, the later ones above."""


@dataclass(frozen=True)
class Job:
    """What every writer may ask for: `plan` is the file beside which images stand, `fonts` what words are
    drawn with (the tool's own where it is None); `unprinted` are the languages that these fonts cannot print,
    `findings` what was noticed."""

    session: Session
    layout: Layout
    plain_mov: bool = False
    plan: Path = Path("plan.yaml")
    fonts: Fonts | None = None
    unprinted: frozenset[str] = frozenset()
    findings: tuple[Finding, ...] = ()
    means: Means | None = None
    """With what pictures are coded: in this process alone and with no memory where it is None."""
    moved: Moved | None = None
    """What put the class on the footage's clock, where there are takes."""
    takes: tuple[Piece, ...] = ()

    @property
    def timeline(self) -> Timeline:
        return self.layout.timeline

    @property
    def font_files(self) -> tuple[Path, ...]:
        """The files of the fonts that pages are set with; none where they are the tool's own."""
        return self.fonts.files if self.fonts is not None else ()

    @property
    def printed_in(self) -> list[str]:
        """The languages that a script is made in."""
        return [language for language in self.timeline.languages if language not in self.unprinted]

    def layout_in(self, language: str) -> Layout:
        """The class with everything named in one of its languages."""
        return self.layout if language == self.timeline.language else lay_out(self.session, language, self.moved)

    @property
    def layers(self) -> list[str]:
        """The layers that the look does not switch off."""
        return [name for name in LAYERS if getattr(self.session.look, name).show]


@dataclass(frozen=True)
class File:
    """One file to write: its path below the folder, its content in pieces, what the manifest tells
    of it beside its size, and how to check it once it is written. Where `same_as` is the path of a file
    that was written before, this is that file again. `known_sha256` is the sum that the content will
    have, where an earlier build made the same: a file that has it already need not be made again; a file
    that is made is told its sum by `made`."""

    path: str
    content: Iterable[bytes]
    details: Mapping[str, Any] | None = None
    check: Callable[[Path], None] | None = None
    same_as: str | None = None
    known_sha256: str | None = None
    made: Callable[[str], None] | None = None


@dataclass(frozen=True)
class Output:
    """One row of the table.

    `draws` says that words of the plan are set in the tool's fonts, `on_request` that it is only made
    when it is named.
    """

    name: str
    kind: str
    make: Callable[[Job], Iterator[File]]
    draws: bool = False
    on_request: bool = False
