"""The fonts of a class: the family that ships with the tool or the plan's own, and what helps it out."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from functools import cache
from hashlib import blake2b
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from overlay.errors import MachineError
from overlay.plan.beside import file_beside
from overlay.plan.look import BOLD, REGULAR, Look, font_folder

if TYPE_CHECKING:
    import uharfbuzz

_HEADS = (b"\0\1\0\0", b"OTTO", b"true", b"ttcf")
"""How a TrueType or OpenType file or collection begins (OpenType 1.9.1, Organization of an OpenType Font)."""


class Face(NamedTuple):
    """A font file in one of its weights; a collection is read for its first font. `held` is the sum of what is in it,
    so that what is remembered of a file is not taken for another one of its name; empty for the tool's own."""

    path: Path
    weight: int
    held: str = ""


@dataclass(frozen=True)
class Fonts:
    """What text is set with: a family of a regular and a bold file, then further files in their order.

    None stands for the tool's own file. The weights are places on a variable font's axis `wght` (OpenType:
    400 regular, 700 bold). `language` is the BCP 47 tag of what is set. `held` are the sums of what is in the files.

    >>> [path.name for path in SHIPPED.files]
    ['NotoSans-Regular.ttf', 'NotoSans-Bold.ttf']
    """

    regular: Path | None = None
    bold: Path | None = None
    further: tuple[Path, ...] = ()
    language: str = field(default="und", kw_only=True)
    regular_weight: int = field(default=400, kw_only=True)
    bold_weight: int = field(default=700, kw_only=True)
    held: tuple[tuple[Path, str], ...] = field(default=(), kw_only=True)

    def __repr__(self) -> str:
        """By what the files hold, not by where they stand: it is a part of keys (`Part.shaped_by`)."""
        held = dict(self.held)
        files = [held.get(path, str(path)) if path else None for path in (self.regular, self.bold, *self.further)]
        return f"Fonts({files}, {self.language!r}, {self.regular_weight}, {self.bold_weight})"

    def faces(self, role: str) -> tuple[Face, ...]:
        """The faces of a role (REGULAR or BOLD), in the order in which they are asked for a character."""
        own, weight = (self.bold, self.bold_weight) if role == BOLD else (self.regular, self.regular_weight)
        family = own if own is not None else font_folder() / role
        held = dict(self.held)
        return tuple(Face(path, weight, held.get(path, "")) for path in (family, *self.further))

    @property
    def files(self) -> tuple[Path, ...]:
        """Every font file in play, each once: for whatever sets pages with the same fonts."""
        return tuple(dict.fromkeys(face.path for role in (REGULAR, BOLD) for face in self.faces(role)))


SHIPPED = Fonts()
"""The family in fonts/ alone."""


def fonts_of(look: Look, plan: Path, language: str = "und", root: Path | None = None) -> Fonts:
    """The fonts of a look, whose files stand beside the plan or above it. Raises ValueError as `usable_font` does."""
    files = {way: usable_font(plan, name, root) for way, name in fonts_named(look)}
    regular = files.get(("family", "regular"))
    bold = files.get(("family", "bold"), regular)
    further = tuple(path for way, path in files.items() if way[0] == "fonts")
    held = tuple((path, blake2b(path.read_bytes()).hexdigest()) for path in dict.fromkeys(files.values()))
    fonts = Fonts(regular, bold, further, language=language, held=held)
    if look.family is None:
        return fonts
    return replace(fonts, regular_weight=look.family.regular_weight, bold_weight=look.family.bold_weight)


def fonts_named(look: Look) -> Iterator[tuple[tuple[str | int, ...], str]]:
    """The font files that a look names, each with the way to it below `look`."""
    if look.family is not None:
        yield ("family", "regular"), look.family.regular
        if look.family.bold is not None:
            yield ("family", "bold"), look.family.bold
    for number, name in enumerate(look.fonts):
        yield ("fonts", number), name


def usable_font(plan: Path, name: str, root: Path | None = None) -> Path:
    """Where a font file that a plan names stands, looked at from end to end.

    Raises ValueError, in words for the plan's writer, where it is missing, broken or no font.
    """
    from fontTools.ttLib.sfnt import SFNTReader

    path = file_beside(plan, name, root)
    try:
        with path.open("rb") as file:
            is_font = file.read(4) in _HEADS
            file.seek(0)
            reader = SFNTReader(file, fontNumber=0) if is_font else {}
            tags = {tag for tag in reader.keys() if reader[tag] is not None}  # noqa: SIM118 (no mapping)
    except Exception:  # what a broken file can set off has no end
        raise ValueError(f"{name} is a broken font: get the file again") from None
    if not is_font:
        raise ValueError(f"{name} is not a TrueType or OpenType font: take a .ttf or .otf file")
    if not tags & {"glyf", "CFF ", "CFF2"}:
        raise ValueError(f"{name} has no outlines to draw: take another font")
    if not {"cmap", "head", "hhea", "hmtx", "maxp"} <= tags or not _characters(
        Face(path, 400, blake2b(path.read_bytes()).hexdigest())
    ):
        raise ValueError(f"{name} is a broken font: get the file again")
    return path


@cache
def _opened(face: Face) -> uharfbuzz.Face:
    import uharfbuzz

    try:
        return uharfbuzz.Face(uharfbuzz.Blob.from_file_path(str(face.path)))
    except Exception:  # the library says no more than that it could not
        raise MachineError(f"The font {face.path.name} is missing.", remedy="Install the tool again.") from None


@cache
def font(face: Face, size_px: int) -> uharfbuzz.Font:
    """A face at a size in pixels an em; its lengths count in 64ths of a pixel.

    Raises MachineError where the file is gone.
    """
    import uharfbuzz

    opened = _opened(face)
    sized = uharfbuzz.Font(opened)
    sized.scale = (size_px * 64, size_px * 64)
    axis = next((axis for axis in opened.axis_infos if axis.tag == "wght"), None)
    if axis is not None:
        sized.set_variations({"wght": min(max(face.weight, axis.min_value), axis.max_value)})
    return sized


@cache
def _characters(face: Face) -> frozenset[int]:
    return frozenset(_opened(face).unicodes)


def clusters_of(text: str) -> tuple[str, ...]:
    """The characters of a text, each with its marks: what is never torn apart (UAX 29).

    >>> [len(cluster) for cluster in clusters_of("a🏽e\u0301")]
    [2, 2]
    """
    if text.isascii():
        return tuple(text)
    from uniseg.graphemecluster import grapheme_clusters

    return tuple(grapheme_clusters(text))


def covers(face: Face, cluster: str) -> bool:
    """Whether a face can draw a whole grapheme cluster, as it is written, composed or taken apart.

    >>> [covers(SHIPPED.faces(BOLD)[0], cluster) for cluster in ("Ż", "Z\\u0307", "深")]
    [True, True, False]
    """
    return not _lacks(face, cluster)


def _lacks(face: Face, cluster: str) -> frozenset[str]:
    known = _characters(face)
    ways = (cluster, unicodedata.normalize("NFC", cluster), unicodedata.normalize("NFD", cluster))
    lacking = [frozenset(c for c in way if ord(c) not in known and not _is_unseen(c)) for way in ways]
    return min(lacking, key=len)


def _is_unseen(character: str) -> bool:
    """Whether a character has no ink of its own: spaces, joiners, marks of direction, variation selectors."""
    return (
        character.isspace()
        or unicodedata.category(character) == "Cf"
        or "\ufe00" <= character <= "\ufe0f"
        or "\U000e0100" <= character <= "\U000e01ef"
        or character == "\u034f"
    )


def missing_characters(texts: Iterable[str], fonts: Fonts = SHIPPED) -> tuple[str, ...]:
    """The characters that no font in play has, in code-point order; nothing is drawn with these.

    A character with its marks is drawn by one font: a mark that only another one has is missing too.

    >>> missing_characters(["Żuraw, Ñandú, ½"]), missing_characters(["深"])
    ((), ('深',))
    """
    clusters = {cluster for text in set(texts) for cluster in clusters_of(text)}
    missing: set[str] = set()
    for role in (REGULAR, BOLD):
        faces = fonts.faces(role)
        for cluster in clusters:
            if not any(covers(face, cluster) for face in faces):
                missing |= min((_lacks(face, cluster) for face in faces), key=len)
    return tuple(sorted(missing))
