"""What passes between a build and its writers: the job, the files, and a row of the table of outputs."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache, cached_property, partial
from hashlib import blake2b
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeGuard

from overlay.plan.advice import Finding
from overlay.plan.session import Session
from overlay.timeline.layout import Layout, Moved, lay_out
from overlay.timeline.model import Timeline

if TYPE_CHECKING:
    from overlay.handoff.tracks import Piece
    from overlay.pictures.fonts import Fonts
    from overlay.pictures.frames import Layer
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
    root: Path | None = None
    """The folder that no file of the plan stands outside of, None for the usual one (`plan/beside.py`)."""

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

    @cached_property
    def layer(self) -> Callable[[str], Layer]:
        """A layer by its name, laid out once for every output that shows it."""
        return cache(lambda name: self.layer_recipe(name)())

    def layer_recipe(self, name: str) -> Callable[[], Layer]:
        """What makes a layer, here or in another process: its name, or `all` of those there are in one."""
        from overlay.pictures.fonts import SHIPPED
        from overlay.pictures.layers import join_layers, make_layer

        shapes = self.timeline, self.session.look, self.session.view, self.fonts or SHIPPED, self.plan, self.root
        return (
            partial(join_layers, tuple(self.layers), *shapes) if name == "all" else partial(make_layer, name, *shapes)
        )


@dataclass(frozen=True)
class File:
    """One file to write: its path below the folder, its content in pieces, what the manifest tells
    of it beside its size, and how to check it once it is written. Where `same_as` is the path of a file
    that was written before, this is that file again.

    A row gives its files at once; what takes time is done when content or details are asked for. `inputs`
    are the values that content and details are made from and from nothing else, equal by their `repr`
    where they are equal: a file that the same inputs made before is not made again. None where making it
    costs nothing. `inputs_sha256` is their sum, where the file was made on another machine.
    """

    path: str
    content: Iterable[bytes]
    details: Callable[[], Mapping[str, Any]] | None = None
    check: Callable[[Path], None] | None = None
    same_as: str | None = None
    inputs: tuple[object, ...] | None = None
    inputs_sha256: str | None = None


def later(write: Callable[..., bytes | str | Iterable[bytes]], *values: object) -> Iterator[bytes]:
    """What a writer makes of some values, once it is asked for."""
    made = write(*values)
    if isinstance(made, str):
        yield made.encode("utf-8")
    elif isinstance(made, bytes):
        yield made
    else:
        yield from made


def made_by(path: str, write: Callable[..., bytes | str | Iterable[bytes]], *inputs: object) -> File:
    """A file whose content is a function of some values, and of nothing else: they are its inputs.

    A tuple of paths stands for what these files hold.

    >>> b"".join(made_by("a.txt", "-".join, ("b", "c")).content)
    b'b-c'
    """
    held = [file_sums(value) if _are_files(value) else value for value in inputs]
    return File(path, later(write, *inputs), inputs=(write.__qualname__, *held))


def file_sums(files: Iterable[Path]) -> tuple[str, ...]:
    """What files hold, by their sums."""
    return tuple(blake2b(file.read_bytes()).hexdigest() for file in files)


def _are_files(value: object) -> TypeGuard[tuple[Path, ...]]:
    return isinstance(value, tuple) and any(isinstance(each, Path) for each in value)


@dataclass(frozen=True)
class Output:
    """One row of the table.

    `draws` says that words of the plan are set in the tool's fonts, `on_request` that it is only made
    when it is named, `ahead` that its files are made before their turn, beside others.
    """

    name: str
    kind: str
    make: Callable[[Job], Iterator[File]]
    draws: bool = False
    on_request: bool = False
    ahead: bool = False
