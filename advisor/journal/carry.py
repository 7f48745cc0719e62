"""Journals carried from one machine to another in one text file, and merged there.

The file is UTF-8 with one JSON object on each line. The first is the header:

    {"format": "kart journal", "version": 1, "lines": N, "sha256": DIGEST}

N lines follow it; DIGEST is the SHA-256 of all their bytes in hexadecimal. Each of them is

    {"kind": KIND, "data": DATA, "check": CHECK}

CHECK is the first sixteen digits of the SHA-256 of [KIND, DATA] as `events.canonical` writes it. KIND "event" has as
data an event's id, at, kind and body. Lines of other kinds are documents: they are kept as they are, whether this
version knows their kind or not, and are written out again. Equal journals give equal files.
"""

from __future__ import annotations

import json
import os
import re
from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime
from hashlib import sha256
from heapq import merge as in_order
from itertools import chain
from pathlib import Path
from typing import IO, Any, NoReturn

from advisor import disk
from advisor.journal import notes
from advisor.journal.events import TWIN, Document, Event, JournalError, SenseError, as_data, canonical
from advisor.journal.files import RESCUE
from advisor.journal.store import Journal
from advisor.journal.trials import check
from advisor.problems import Problem, UnusableError, shown

FORMAT, VERSION = "kart journal", 1
LONGEST = 4_000_000  # bytes of a line; the longest that the program writes are a few thousand
LARGEST = 2_000_000_000  # bytes of a file: more than a million trials
TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d{1,6})?\+00:00")
NAME = re.compile(r"[\w.:+-]{1,200}", re.ASCII)


def write(journal: Journal, path: Path, beside: Iterable[Document] = ()) -> int:
    """Write everything in a journal, and documents beside it, to a new file; returns the lines after the header.

    Raises UnusableError if there is such a file or it cannot be made, OSError, JournalError; then no file is left.
    """
    try:
        file = path.open("xb")
    except FileExistsError:
        refuse(path, 1, "there is such a file already, and it is left as it is; choose another name")
    except (OSError, ValueError) as error:
        refuse(path, 1, f"the file cannot be written: {getattr(error, 'strerror', None) or error}")
    try:
        with file:
            lines = _write(journal, file, beside)
            file.flush()
            os.fsync(file.fileno())
    except BaseException:
        with suppress(OSError):
            path.unlink()
        raise
    return lines


def _write(journal: Journal, file: IO[bytes], beside: Iterable[Document]) -> int:
    """The header has its place first, and is filled in when the lines have been counted."""
    file.write(_header(0, ""))
    digest, lines = sha256(), 0
    for item in _all(journal, beside):
        try:
            line = as_line(item)
        except ValueError as error:
            raise JournalError(
                f"an entry of the journal {journal.path} makes no sense ({error}); {RESCUE}"
            ) from error
        digest.update(line)
        file.write(line)
        lines += 1
    file.seek(0)
    file.write(_header(lines, digest.hexdigest()))
    return lines


def _all(journal: Journal, beside: Iterable[Document]) -> Iterator[Event | Document]:
    """Events, then all documents in the order of their digests, each once."""
    inside = journal.all()
    first: Document | None = None
    for item in inside:
        if isinstance(item, Document):
            first = item
            break
        yield item
    documents = chain([first] if first else [], (d for d in inside if isinstance(d, Document)))
    last = ""
    for document in in_order(documents, sorted(beside, key=_digest), key=_digest):
        if document.digest != last:
            yield document
        last = document.digest


def _digest(document: Document) -> str:
    return document.digest


def _header(lines: int, digest: str) -> bytes:
    """Always of the same length; blanks before the line's end make up for short numbers."""
    text = json.dumps({"format": FORMAT, "version": VERSION, "lines": lines, "sha256": digest})
    return f"{text:<160}\n".encode()


def as_line(item: Event | Document) -> bytes:
    """A line of the file. Raises ValueError on what JSON cannot say."""
    kind, data = (TWIN, as_data(item)) if isinstance(item, Event) else (item.kind, item.body)
    line = {"kind": kind, "data": data, "check": _check(kind, data)}
    return (json.dumps(line) + "\n").encode()


def _check(kind: str, data: Any) -> str:
    return sha256(canonical([kind, data]).encode()).hexdigest()[:16]


# --- reading ----------------------------------------------------------------------------------------


class _LineError(ValueError):
    """What is wrong with a line, in words."""


@dataclass(slots=True)
class Reader:
    """A file that may come from anywhere. Iterate over it for what it holds; nothing is believed unchecked.

    Raises UnusableError at the first line that cannot be read, or, if it is `lenient`, lists it in `bad`.
    """

    path: Path
    lenient: bool = False
    bad: list[Problem] = field(default_factory=list)
    lost: int = 0  # lines that the header promises and the file does not hold
    unread: int = 0  # lines that are there and cannot be read

    def look(self) -> None:
        """Refuse a file that plainly is none of ours, before anything is made ready for it."""
        with self._open() as file:
            self._head(file)

    def _open(self) -> IO[bytes]:
        try:
            disk.plain(self.path)  # it is read twice
            return self.path.open("rb")
        except (OSError, ValueError) as error:
            refuse(self.path, 1, f"the file cannot be read: {getattr(error, 'strerror', None) or error}")

    def __iter__(self) -> Iterator[Event | Document]:
        self.bad.clear()
        self.lost = self.unread = 0
        with self._open() as file:
            if os.fstat(file.fileno()).st_size > LARGEST:
                refuse(
                    self.path, 1, f"the file is larger than {LARGEST // 10**9} GB; nothing was read from it"
                )
            promised, digest = self._head(file)
            found, number = sha256(), 1
            for number, line in enumerate(_lines(file), start=2):
                found.update(line)
                yield from self._item(number, line)
        self._end(number, promised, found.hexdigest() == digest)

    def _item(self, number: int, line: bytes) -> Iterable[Event | Document]:
        try:
            return [from_line(line)]
        except ValueError as error:
            self._problem(number, str(error))
            self.unread += 1
            return []

    def _head(self, file: IO[bytes]) -> tuple[int, str]:
        head = _parsed(file.readline(LONGEST))
        if not isinstance(head, dict) or head.get("format") != FORMAT:
            refuse(
                self.path, 1, "this is not a journal file of this program (advisor journal export writes one)"
            )
        version, lines = head.get("version"), head.get("lines")
        if isinstance(version, int) and version > VERSION:
            refuse(
                self.path, 1, "the file was written by a newer version of this program; update the program"
            )
        if type(version) is not int or version < 1 or type(lines) is not int or lines < 0:
            self._problem(1, "the first line is damaged: it must tell the version and how many lines follow")
            return 0, ""
        return lines, str(head.get("sha256"))

    def _end(self, last: int, promised: int, same: bool) -> None:
        """Compare with what the header promised."""
        count = last - 1
        self.lost = max(0, promised - count)
        if count < promised:
            self._problem(
                last, f"the file ends here, but {promised - count} of its {promised} lines are missing"
            )
        elif not same and not self.bad:
            self._problem(1, "the lines are not those that the first line tells of")

    def _problem(self, number: int, text: str) -> None:
        if not self.lenient:
            refuse(
                self.path,
                number,
                f"{text}; nothing was taken in (copy the file again, or add --what-can-be-read)",
            )
        self.bad.append(Problem(str(self.path), number, 1, text))


def refuse(path: Path, line: int, text: str) -> NoReturn:
    """One sentence with its place."""
    raise UnusableError([Problem(str(path), line, 1, text)])


def _lines(file: IO[bytes]) -> Iterator[bytes]:
    """Lines with their ends; one that is too long is cut, and the rest of it is passed over."""
    while line := file.readline(LONGEST + 1):
        yield line
        while not line.endswith(b"\n") and (line := file.readline(LONGEST + 1)):
            pass


def _parsed(line: bytes) -> Any:
    """JSON data, or None."""
    try:
        return json.loads(line.decode("utf-8"), parse_constant=_no_number)
    except (ValueError, RecursionError):
        return None


def _no_number(name: str) -> NoReturn:
    raise ValueError(name)


def from_line(line: bytes) -> Event | Document:
    """What a line holds. Raises ValueError with what is wrong, in words."""
    if len(line) > LONGEST:
        raise _LineError(f"the line is longer than {LONGEST} letters")
    found = _parsed(line)
    if not isinstance(found, dict) or not line.endswith(b"\n"):
        raise _LineError("the line is damaged or cut off")
    kind, data = found.get("kind"), found.get("data")
    if not isinstance(kind, str) or not NAME.fullmatch(kind):
        raise _LineError("the line does not say what it holds (kind)")
    if found.get("check") != _check_or_none(kind, data):
        raise _LineError("the line was altered: it does not fit its check")
    return _event(data) if kind == TWIN else Document(kind, data)


def _check_or_none(kind: str, data: Any) -> str | None:
    try:
        return _check(kind, data)
    except ValueError:
        return ""


def _event(data: Any) -> Event:
    if not isinstance(data, dict) or set(data) != {"id", "at", "kind", "body"}:
        raise _LineError("an event has an id, a time (at), a kind and a body, and nothing else")
    if not isinstance(data["body"], dict):
        raise _LineError("the body of an event is an object")
    for key in ("id", "kind"):
        if not isinstance(data[key], str) or not NAME.fullmatch(data[key]):
            raise _LineError(f"the {key} of an event is a word of plain letters and digits")
    if not _is_time(data["at"]):
        raise _LineError(f'"{shown(data["at"])}" is no time such as 2024-05-04T09:30:00+00:00')
    event = Event(**data)
    try:
        notes.check(event) if event.kind == "note" else check(event)
    except SenseError as error:
        raise _LineError(f"the {event.kind} makes no sense ({error})") from error
    return event


def _is_time(text: Any) -> bool:
    if not isinstance(text, str) or not TIME.fullmatch(text):
        return False
    with suppress(ValueError):
        datetime.fromisoformat(text)
        return True
    return False
