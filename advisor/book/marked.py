"""YAML with the position of every key and value, and nothing in it that could run, loop or explode.

Built on PyYAML's event stream rather than its composer: events cost no recursion, so that depth can
be bounded here; anchors, aliases and tags are refused outright; duplicate keys are reported; and only
the JSON types are recognised (YAML 1.2 core schema, section 10.3), so that `no` stays a word and
`1e3` is a number.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from math import isfinite
from pathlib import Path
from typing import Any

import yaml

from advisor import disk
from advisor.problems import Problem, printable

MAX_BYTES = 1_000_000
MAX_DEPTH = 24
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f]")
_INT = re.compile(r"[-+]?[0-9]+\Z")
_FLOAT = re.compile(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?\Z")
_PLAIN = {"": None, "~": None, "null": None, "true": True, "false": False}
# What a person most likely did, by a piece of the parser's own words.
_LIKELY = {
    "mapping values": "too many blanks before this line, no colon in the one above, or a second colon in a text",
    "did not find expected key": "this line begins further left or right than those around it",
    "tab character": "use blanks instead of a tab",
    "cannot start any token": "use blanks instead of a tab; a text that begins with a sign stands in quotes",
    "end of stream": "a quotation mark is not closed",
    "expected ','": "a bracket is not closed, or a comma is missing",
}
_Loader: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

Position = tuple[int, int]


@dataclass
class Marked:
    """A parsed document: its data, and where each key and value of each container stands."""

    file: str
    data: Any = None
    problems: list[Problem] = field(default_factory=list)
    _keys: dict[int, dict[Any, Position]] = field(default_factory=dict)
    _values: dict[int, dict[Any, Position]] = field(default_factory=dict)
    _root: Position = (1, 1)

    @property
    def readable(self) -> bool:
        """True when there is data to go on with: a key that stands twice is told, and the first one counts."""
        return all(p.code == "duplicate_key" for p in self.problems)

    def at(self, path: tuple[Any, ...], key: bool = False) -> Position:
        """Position of the value at `path` (of its key with `key`); of the nearest parent if it is missing."""
        here, best = self.data, self._root
        for i, step in enumerate(path):
            table = self._keys if key and i == len(path) - 1 else self._values
            spot = table.get(id(here), {}).get(step) or self._values.get(id(here), {}).get(step)
            if spot is None:
                break
            best = spot
            here = here[step]
        return best

    def problem(
        self, path: tuple[Any, ...], message: str, code: str = "invalid", *, key: bool = False
    ) -> Problem:
        line, column = self.at(path, key)
        return Problem(self.file, line, column, printable(message), code)


def read(path: Path, name: str | None = None) -> Marked:
    """Read a file. Never raises for what is in it: every fault is a problem of the result."""
    name = name or str(path)
    try:
        raw = disk.read(path, MAX_BYTES + 1)
    except OSError as error:
        reason = error.strerror or error
        if isinstance(error, IsADirectoryError):
            reason = "it is a folder (directory), not a file"
        return Marked(name, problems=[Problem(name, 1, 1, f"cannot be read: {reason}", "unreadable")])
    if len(raw) > MAX_BYTES:
        message = f"is larger than {MAX_BYTES // 1000} kB; a case or knowledge file is a page or two of text"
        return Marked(name, problems=[Problem(name, 1, 1, message, "too_large")])
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = raw[: error.start]
        line, column = before.count(b"\n") + 1, error.start - before.rfind(b"\n")
        message = "is not UTF-8 text; save it as UTF-8 (a binary file was given, perhaps)"
        return Marked(name, problems=[Problem(name, line, column, message, "not_text")])
    return parse(text, name)


def parse(text: str, name: str) -> Marked:
    """Parse one YAML document; see `read`."""
    marked = Marked(name)
    control = _CONTROL.search(text)
    if control:
        start = control.start()
        position = text.count("\n", 0, start) + 1, start - text.rfind("\n", 0, start)
        message = f"control code {ord(control[0]):#04x} in the text; remove it"
        marked.problems.append(Problem(name, *position, message, "control_code"))
        return marked
    loader = _Loader(text)
    try:
        _Builder(marked).build(loader)
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        line, column = (mark.line + 1, mark.column + 1) if mark else (1, 1)
        words = str(error.problem or error.context)
        likely = next((f" ({text})" for piece, text in _LIKELY.items() if piece in words), "")
        message = printable(f"is not valid YAML: {words}{likely}")
        marked.problems.append(Problem(name, line, column, message, "syntax"))
    except yaml.YAMLError as error:
        first = printable(str(error).splitlines()[0])
        marked.problems.append(Problem(name, 1, 1, f"is not valid YAML: {first}", "syntax"))
    except _RefusedError as refused:
        marked.problems.append(Problem(name, *refused.position, refused.message, refused.code))
    finally:
        loader.dispose()
    return marked


class _RefusedError(Exception):
    def __init__(self, position: Position, message: str, code: str) -> None:
        super().__init__(message)
        self.position, self.message, self.code = position, message, code


class _Builder:
    """Builds data and positions from parser events with a stack of its own."""

    def __init__(self, marked: Marked) -> None:
        self.marked = marked
        self.stack: list[Any] = []
        self.pending: list[Any] = []  # the key waiting for its value, one for each open container
        self.left_out: list[Any] = []  # held until the end, so that no other container takes over their ids
        self.started = False

    def build(self, loader: Any) -> None:
        documents = 0
        while loader.check_event():
            event = loader.get_event()
            position = (event.start_mark.line + 1, event.start_mark.column + 1)
            if isinstance(event, yaml.DocumentStartEvent):
                documents += 1
                if documents > 1:
                    raise _RefusedError(
                        position, "holds a second document (---); keep one for each file", "documents"
                    )
            elif isinstance(event, yaml.AliasEvent):
                raise _RefusedError(position, "uses an alias (*); write the value out", "alias")
            elif isinstance(event, yaml.NodeEvent):
                self._node(event, position)
            elif isinstance(event, yaml.CollectionEndEvent):
                self.stack.pop()
                self.pending.pop()

    def _node(self, event: Any, position: Position) -> None:
        if event.anchor is not None:
            raise _RefusedError(position, "uses an anchor (&); write the value out", "anchor")
        if event.tag is not None:
            raise _RefusedError(
                position, f"uses the tag {printable(event.tag)[:60]}; write plain values", "tag"
            )
        if isinstance(event, yaml.ScalarEvent):
            self._place(event.value if self._wants_key() else _scalar(event), position)
            return
        container: Any = {} if isinstance(event, yaml.MappingStartEvent) else []
        if len(self.stack) >= MAX_DEPTH:
            raise _RefusedError(position, f"is nested deeper than {MAX_DEPTH} levels", "depth")
        if self._wants_key():
            raise _RefusedError(position, "has a list or mapping as a key; a key is one word", "key")
        self._place(container, position)
        self.stack.append(container)
        self.pending.append(None)

    def _wants_key(self) -> bool:
        return bool(self.stack) and isinstance(self.stack[-1], dict) and self.pending[-1] is None

    def _place(self, value: Any, position: Position) -> None:
        if not self.stack:
            self.marked.data, self.marked._root = value, position
            return
        parent = self.stack[-1]
        keys = self.marked._keys.setdefault(id(parent), {})
        values = self.marked._values.setdefault(id(parent), {})
        if isinstance(parent, list):
            values[len(parent)] = position
            parent.append(value)
        elif self.pending[-1] is None:
            key = value if isinstance(value, str) else str(value)
            if key in parent or key in keys:
                first = keys[key]
                message = (
                    f'the key "{printable(key)[:40]}" stands here again; the first is at line {first[0]}'
                )
                self.marked.problems.append(Problem(self.marked.file, *position, message, "duplicate_key"))
            keys.setdefault(key, position)
            self.pending[-1] = (key,)
        else:
            (key,) = self.pending[-1]
            self.pending[-1] = None
            if key not in parent:  # after a duplicate the first value stands, so that positions stay true
                parent[key] = value
                values[key] = position
            else:
                self.left_out.append(value)


def _scalar(event: Any) -> Any:
    text = event.value
    if event.style is not None and event.style != "":
        return text
    if text in _PLAIN:
        return _PLAIN[text]
    if _INT.match(text) and len(text) < 20:
        return int(text)
    if _FLOAT.match(text) and isfinite(number := float(text)):
        return number
    return text
