"""Themes: a look in a file of its own, or one of those that ship, under what the plan says itself."""

from __future__ import annotations

from pathlib import Path

from overlay.errors import Mistake, PlanError
from overlay.plan.beside import file_beside
from overlay.plan.nearest import did_you_mean
from overlay.plan.source import Source, parse_source, read_bytes

WHERE = ("look", "theme")


def shipped_themes() -> dict[str, Path]:
    """The themes that ship with the tool, by name."""
    return {path.stem: path for path in sorted((Path(__file__).parent / "themes").glob("*.yaml"))}


def theme_file(name: str, source: Source) -> Path:
    """The file of the theme that a plan names. Raises PlanError where there is none."""
    if not name.endswith((".yaml", ".yml")):
        shipped = shipped_themes()
        if name in shipped:
            return shipped[name]
        remedy = did_you_mean(name, [*shipped]) + " A theme of your own is a file that ends in .yaml."
        raise PlanError(source.path, [_at(source, f"there is no theme {name}", remedy)])
    try:
        return file_beside(Path(source.path), name, source.root)
    except ValueError as error:
        raise PlanError(source.path, [_at(source, str(error))]) from None


def read_theme(path: Path) -> Source:
    """A theme file as it is written. Raises PlanError where it holds no keys, or leans on another theme."""
    source = parse_source(read_bytes(path), str(path))
    if not isinstance(source.content, dict):
        raise PlanError(source.path, [source.mistake((1, 1), "a theme begins with keys such as plate: and ink:")])
    if "theme" in source.content:
        place, _ = source.place_of(("theme",), key=True)
        raise PlanError(source.path, [source.mistake(place, "a theme cannot stand on another theme")])
    return source


def _at(source: Source, message: str, remedy: str | None = None) -> Mistake:
    place, _ = source.place_of(WHERE)
    return source.mistake(place, message, remedy)
