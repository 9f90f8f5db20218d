"""A plan file as plain text, lists and keys, every one with its place.

YAML 1.2 by the events of ruamel.yaml's reader. No scalar is given a type here: what is written is
what is passed on. Aliases are copied, never shared. Directives, tags, merge keys and anything out
of proportion are refused.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from overlay.errors import MachineError, Mistake, PlanError, UsageError

LARGEST_BYTES = 2 * 1024 * 1024
DEEPEST = 12
MOST_VALUES = 200_000
MOST_COPIED = 10_000
"""Values that aliases may add: more is not a class but a trick."""
_LINE_END = re.compile("\r\n|[\n\r\x85\u2028\u2029]")
"""What the reader counts as the end of a line."""

Path_ = tuple[str | int, ...]
Place = tuple[int, int]


@dataclass
class Source:
    """A plan's content, and where each part of it stands.

    `values` maps the way to a value, such as `("blocks", 0, "side")`, to its line and column,
    counted from 1; `keys` does the same for the key in front of it. `shared` are the files that the plan takes
    parts from, each with the way at which it joins and how many steps of that way it leaves out; `root` is the
    folder that none of them may stand outside of, None for the usual one (`beside.py`).
    """

    path: str
    lines: list[str]
    content: Any = None
    values: dict[Path_, Place] = field(default_factory=dict)
    keys: dict[Path_, Place] = field(default_factory=dict)
    shared: dict[Path_, tuple[Source, int]] = field(default_factory=dict)
    root: Path | None = None

    @property
    def shared_files(self) -> tuple[Source, ...]:
        """The files that the plan takes parts from, each once."""
        return tuple({file.path: file for file, _ in self.shared.values()}.values())

    def line(self, place: Place) -> str:
        """The line of a place as it is written; empty where there is none."""
        return self.lines[place[0] - 1] if 0 < place[0] <= len(self.lines) else ""

    def mistake(self, place: Place, message: str, remedy: str | None = None) -> Mistake:
        return Mistake(*place, message, remedy, self.line(place) if place[0] else None)

    def find(self, text: str) -> Place:
        """The first place where a text is written; line 0 where it is not."""
        found = ((number, line.find(text) + 1) for number, line in enumerate(self.lines, 1) if text in line)
        return next(found, (0, 0))

    def place_of(self, way: Path_, *, key: bool = False) -> tuple[Place, Path_]:
        """The place of a value (or of its key), or of the nearest thing around it that is written."""
        while way:
            if key and way in self.keys:
                return self.keys[way], way
            if way in self.values:
                return self.values[way], way
            way = way[:-1]
        return self.values.get((), (1, 1)), ()

    def mistake_at(
        self, way: Path_, message: str, remedy: str | None = None, *, key: bool = False, at: str | None = None
    ) -> Mistake:
        """A mistake at the place of a value (or of its key), in the plan or in the file that it is shared from.

        Where `at` is a text, its first place in any of these files is meant, and the way is nothing.
        """
        if at is not None:
            files = [self, *self.shared_files]
            file = next((file for file in files if file.find(at)[0]), self)
            place = file.find(at)
        else:
            file, inner = self.written_in(way)
            place, _ = file.place_of(inner, key=key)
        mistake = file.mistake(place, message, remedy)
        return mistake if file is self else mistake._replace(path=file.path)

    def lines_of(self, way: Path_, *, key: bool = False) -> tuple[int, ...]:
        """The plan's line of a value (or of its key); none where it stands in a shared file."""
        file, _ = self.written_in(way)
        return (self.place_of(way, key=key)[0][0],) if file is self else ()

    def written_in(self, way: Path_) -> tuple[Source, Path_]:
        """The file in which something is written, and the way to it there."""
        for length in range(len(way), 0, -1):
            front = way[:length]
            if length == len(way) and front in self.values:
                break
            if front in self.shared:
                file, left_out = self.shared[front]
                return file, way[left_out:]
            if front in self.values:
                break
        return self, way


def read_bytes(path: Path) -> bytes:
    """A plan file's bytes. Raises UsageError where there is none, MachineError where it cannot be read."""
    try:
        if path.is_dir():
            raise UsageError(
                f"{path} is a folder, not a plan.", remedy="Name the plan file, for example desk-break.yaml."
            )
        return path.read_bytes()
    except FileNotFoundError:
        raise UsageError(f"There is no plan {path}.", remedy=_what_there_is(path)) from None
    except OSError as error:
        remedy = "Check its name, and that it may be read."
        raise MachineError(f"The plan {path} cannot be read: {error.strerror}.", remedy=remedy) from None


def _what_there_is(path: Path) -> str:
    """For a plan that is not there: the file that was most likely meant, or how to start one."""
    from overlay.plan.nearest import nearest_name

    try:
        names = [each.name for each in path.parent.iterdir() if each.suffix in (".yaml", ".yml")]
    except OSError:
        names = []
    near = nearest_name(path.name, names)
    return f"Did you mean {path.with_name(near)}?" if near else "Check the name, or start one with: overlay new FILE"


def parse_source(raw: bytes, path: str) -> Source:
    """A plan's content with its places. The text is UTF-8, with or without a byte-order mark, any line ends.

    Raises PlanError with the place of everything that cannot be read.

    >>> parse_source(b"title: No", "a.yaml").content
    {'title': 'No'}
    """
    if len(raw) > LARGEST_BYTES:
        raise PlanError(
            path, [Mistake(0, 0, f"the file is larger than {LARGEST_BYTES // 1024 // 1024} MB: no plan is")]
        )
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        column = error.start - (raw.rfind(b"\n", 0, error.start) + 1) + 1
        message = "the file is not plain text in UTF-8"
        raise PlanError(path, [Mistake(line, column, message, "Save it again as UTF-8.")]) from None
    source = Source(path, _LINE_END.split(text))
    if not text.strip():
        raise PlanError(path, [Mistake(1, 1, "the file is empty", "Start a plan with: overlay new FILE")])
    _Builder(source).build(text)
    return source


class _Builder:
    """Turns the reader's events into content and places."""

    def __init__(self, source: Source) -> None:
        self.source = source
        self.anchors: dict[str, tuple[Any, Path_]] = {}
        self.text_anchors: dict[str, Place] = {}
        self.value_count = 0
        self.copied_count = 0
        self.used_anchors: set[str] = set()
        self.mistakes: list[Mistake] = []

    def build(self, text: str) -> None:
        from ruamel.yaml import YAML
        from ruamel.yaml.error import MarkedYAMLError, YAMLError

        events = YAML(typ="safe", pure=True).parse(text)
        try:
            self._document(events)
        except MarkedYAMLError as error:
            from overlay.plan.slips import slip_of

            place, message, remedy = slip_of(error, self.source.lines)
            raise PlanError(self.source.path, [self.source.mistake(place, message, remedy)]) from None
        except YAMLError as error:
            raise PlanError(self.source.path, [self._unreadable(text, error)]) from None
        for anchor in self.text_anchors.keys() - self.used_anchors:
            # Nobody points to it, so the & was meant to be read.
            message = f"&{anchor} is not read as part of the text"
            self.mistakes.append(self.source.mistake(self.text_anchors[anchor], message, "Put quotes round the text."))
        if self.mistakes:
            raise PlanError(self.source.path, self.mistakes)

    def _document(self, events: Iterator[Any]) -> None:
        from ruamel.yaml import events as kinds

        for event in events:
            if isinstance(event, kinds.DocumentStartEvent):
                if event.version or event.tags:
                    self._refuse(event, "a line that begins with % is not part of a plan", "Remove it.")
                if self.source.content is not None:
                    self._refuse(event, "a second document begins here", "Keep one plan in a file: remove the ---")
            elif isinstance(event, kinds.NodeEvent):
                self.source.content = self._value(event, events, (), 0)

    def _value(self, event: Any, events: Iterator[Any], way: Path_, depth: int) -> Any:
        from ruamel.yaml import events as kinds

        self.value_count += 1
        if self.value_count > MOST_VALUES or depth > DEEPEST:
            self._refuse(event, "the plan is nested too deeply or repeats itself too often to be one class")
        self.source.values[way] = _place(event)
        if isinstance(event, kinds.AliasEvent):
            if event.anchor not in self.anchors:
                self._refuse(event, f"*{event.anchor} points to nothing", "Put quotes round a text that begins with *")
            self.used_anchors.add(event.anchor)
            return self._copied(event, *self.anchors[event.anchor], way)
        if event.tag is not None and event.tag != "!":
            self._refuse(event, "a word that begins with ! is not part of a plan", "Put quotes round the text.")
        if isinstance(event, kinds.ScalarEvent):
            value: Any = event.value
            if not value and not event.style and way in self.source.keys:
                # Where nothing is written the reader is already at what comes next.
                self.source.values[way] = self.source.keys[way]
        elif isinstance(event, kinds.SequenceStartEvent):
            value = []
            while not isinstance(item := next(events), kinds.SequenceEndEvent):
                value.append(self._value(item, events, (*way, len(value)), depth + 1))
        else:
            value = self._keys(events, way, depth)
        if event.anchor is not None:
            self.anchors[event.anchor] = (value, way)
            if isinstance(value, str):
                self.text_anchors[event.anchor] = _place(event)
        return value

    def _keys(self, events: Iterator[Any], way: Path_, depth: int) -> dict[str, Any]:
        from ruamel.yaml import events as kinds

        found: dict[str, Any] = {}
        while not isinstance(key := next(events), kinds.MappingEndEvent):
            if not isinstance(key, kinds.ScalarEvent):
                self._refuse(key, "a list or brackets stand where a key belongs", "Put quotes round the text.")
            if key.value == "<<" and not key.style:
                self._refuse(key, "<< is not part of a plan", "Use mirror:, or write the keys out.")
            inner = (*way, key.value)
            if key.value in found:
                first = self.source.keys[inner][0]
                self.mistakes.append(
                    self.source.mistake(
                        _place(key), f"{key.value} stands here twice, first in line {first}", "Keep one of them."
                    )
                )
            self.source.keys.setdefault(inner, _place(key))
            found[key.value] = self._value(next(events), events, inner, depth + 1)
        return found

    def _copied(self, event: Any, value: Any, origin: Path_, way: Path_) -> Any:
        """A copy of what an anchor names; the places point to where it is written."""
        if isinstance(value, str):
            return value
        self.copied_count += 1
        if self.copied_count > MOST_COPIED or len(way) > DEEPEST:
            self._refuse(event, "the plan is nested too deeply or repeats itself too often to be one class")
        steps = value.items() if isinstance(value, dict) else enumerate(value)
        copied = {}
        for step, inner in steps:
            self.source.values[(*way, step)] = self.source.values[(*origin, step)]
            if (*origin, step) in self.source.keys:
                self.source.keys[(*way, step)] = self.source.keys[(*origin, step)]
            copied[step] = self._copied(event, inner, (*origin, step), (*way, step))
        return copied if isinstance(value, dict) else list(copied.values())

    def _refuse(self, event: Any, message: str, remedy: str | None = None) -> None:
        mistakes = [*self.mistakes, self.source.mistake(_place(event), message, remedy)]
        raise PlanError(self.source.path, mistakes)

    def _unreadable(self, text: str, error: Exception) -> Mistake:
        position = getattr(error, "position", 0) or 0
        line = text.count("\n", 0, position) + 1
        column = position - (text.rfind("\n", 0, position) + 1) + 1
        return self.source.mistake((line, column), "a character here cannot be printed", "Remove it.")


def _place(event: Any) -> Place:
    return event.start_mark.line + 1, event.start_mark.column + 1
