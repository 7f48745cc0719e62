"""The file that carries a journal: what is broken, foreign, huge or too new is told with its line."""

from __future__ import annotations

import json
import os
import random
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from advisor.journal import carry
from advisor.journal.events import Document, Event
from advisor.journal.store import Journal
from advisor.problems import UnusableError
from tests.hostile.command import Advisor
from tests.journal import rows
from tests.journal.test_commands import refused

EVENTS = [rows.trial("a"), rows.verdict("b", "a", "better", "größer"), rows.trial("c")]
FIX = Document("fix", {"name": "wet-start.yaml", "text": "what: nothing yet\n"})


@pytest.fixture
def carried(tmp_path: Path) -> Path:
    """A file with three events and a document; its header is line 1."""
    with Journal(tmp_path / "theirs.sqlite3") as journal:
        journal.merge([*EVENTS, FIX])
        carry.write(journal, tmp_path / "carried.jsonl")
    return tmp_path / "carried.jsonl"


def read(path: Path, *, lenient: bool = False) -> tuple[list[Event | Document], carry.Reader]:
    reader = carry.Reader(path, lenient=lenient)
    return list(reader), reader


def refusal(path: Path) -> str:
    """The one sentence of a refusal, with its place; nothing is taken into a journal."""
    mine = path.with_name("mine.sqlite3")
    with Journal(mine if mine.exists() else rows.write(mine, rows.trial("mine"))) as journal:
        with pytest.raises(UnusableError) as error:
            journal.merge(carry.Reader(path))
        assert list(journal.all()) == [rows.trial("mine")]
    (problem,) = error.value.problems
    assert problem.file == str(path)
    return f"{problem.line}: {problem.message}"


def test_the_file_is_lines_of_json_that_anybody_can_check(carried: Path) -> None:
    head, *lines = carried.read_text("utf-8").splitlines()
    told = json.loads(head)
    assert (told["format"], told["version"], told["lines"]) == ("kart journal", 1, len(lines))
    assert [json.loads(line)["kind"] for line in lines] == ["event", "event", "event", "fix"]
    assert json.loads(lines[0])["data"]["body"] == rows.TRIAL
    # worked out with sha256sum from the text that the format describes; it must stay the same for ever
    laps: Any = "laps"
    line = carry.as_line(Event("x", rows.AT, laps, {"n": [1, 2.5, None, "ü"]}))
    assert json.loads(line)["check"] == "aa95c40868e22422"


def test_documents_of_any_kind_are_kept_and_carried_on(carried: Path) -> None:
    items, _ = read(carried)
    assert items == [*EVENTS, FIX]
    with Journal(carried.with_name("mine.sqlite3")) as journal:
        assert journal.merge(items).documents == 1
        assert list(journal.documents("fix")) == [FIX]
        carry.write(journal, carried.with_name("on.jsonl"))
    assert carried.with_name("on.jsonl").read_bytes() == carried.read_bytes()


def altered(line: bytes, **changes: Any) -> bytes:
    """A line with another content, and a check that fits it."""
    found = json.loads(line)
    data = {**found["data"], **changes}
    return carry.as_line(Document(found["kind"], data))


def with_line(number: int, change: Callable[[bytes], bytes]) -> Callable[[bytes], bytes]:
    def run(content: bytes) -> bytes:
        lines = content.splitlines(keepends=True)
        lines[number - 1] = change(lines[number - 1])
        return b"".join(lines)

    return run


def swapped(lines: list[bytes]) -> bytes:
    return b"".join([*lines[:3], *reversed(lines[3:])])


BROKEN: dict[str, tuple[Callable[[bytes], bytes], str]] = {
    "nothing": (lambda c: b"", "1: this is not a journal file"),
    "a text": (lambda c: b"loose on entry\n", "1: this is not a journal file"),
    "a binary": (lambda c: os.urandom(5000), "1: this is not a journal file"),
    "other JSON": (lambda c: b'{"format": "laps"}\n', "1: this is not a journal file"),
    "deep": (lambda c: b"[" * 200_000, "1: this is not a journal file"),
    "newer": (
        with_line(1, lambda x: x.replace(b'"version": 1', b'"version": 2')),
        "1: the file was written by a newer",
    ),
    "a version of words": (
        with_line(1, lambda x: x.replace(b'"version": 1', b'"version": "x"')),
        "1: the first line is damaged",
    ),
    "a header without count": (
        with_line(1, lambda x: x.replace(b"lines", b"count")),
        "1: the first line is damaged",
    ),
    "cut at a line": (
        lambda c: b"".join(c.splitlines(keepends=True)[:3]),
        "3: the file ends here, but 2 of its 4 lines",
    ),
    "cut in a line": (lambda c: c[:-20], "5: the line is damaged or cut off"),
    "only a header": (
        lambda c: c.splitlines(keepends=True)[0],
        "1: the file ends here, but 4 of its 4 lines",
    ),
    "a letter": (with_line(3, lambda x: x.replace(b"better", b"bettor")), "3: the line was altered"),
    "a line twice": (with_line(3, lambda x: x + x), "1: the lines are not those"),
    "lines changed about": (lambda c: swapped(c.splitlines(keepends=True)), "1: the lines are not those"),
    "an endless line": (with_line(3, lambda x: b"x" * (carry.LONGEST + 9) + b"\n"), "3: the line is longer"),
    "a deep line": (with_line(3, lambda x: b'{"kind":' * 100_000 + b"\n"), "3: the line is damaged"),
    "no number": (with_line(3, lambda x: b'{"kind": "event", "data": NaN}\n'), "3: the line is damaged"),
    "no object": (with_line(3, lambda x: b"[1]\n"), "3: the line is damaged"),
    "no kind": (with_line(3, lambda x: b'{"data": 1}\n'), "3: the line does not say what it holds"),
    "a path for a kind": (
        with_line(3, lambda x: carry.as_line(Document("../x", 1))),
        "3: the line does not say what it holds",
    ),
    "a verdict of words": (
        with_line(3, lambda x: altered(x, body={"trial": "a", "verdict": "ok"})),
        "3: the verdict makes no sense (verdict",
    ),
    "a body of text": (
        with_line(3, lambda x: altered(x, body="better")),
        "3: the body of an event is an object",
    ),
    "an id of number": (with_line(3, lambda x: altered(x, id=7)), "3: the id of an event"),
    "an id of codes": (with_line(3, lambda x: altered(x, id="\x1b[31m")), "3: the id of an event"),
    "a time of day": (with_line(3, lambda x: altered(x, at="noon")), '3: "noon" is no time'),
    "a 13th month": (with_line(3, lambda x: altered(x, at="2024-13-04T09:30:00+00:00")), "is no time"),
    "a local time": (with_line(3, lambda x: altered(x, at="2024-05-04T09:30:00+02:00")), "is no time"),
    "more than an event": (with_line(3, lambda x: altered(x, by="me")), "3: an event has an id"),
}


def test_whatever_is_broken_is_told_in_a_sentence_and_nothing_is_taken_in(carried: Path) -> None:
    whole = carried.read_bytes()
    for name, (change, sentence) in BROKEN.items():
        carried.write_bytes(change(whole))
        told = refusal(carried)
        assert sentence in told, name
        assert "\n" not in told, name


def test_a_file_that_is_too_large_is_refused_before_it_is_read(carried: Path) -> None:
    with carried.open("r+b") as file:
        file.truncate(carry.LARGEST + 1)  # a hole: it takes no room on the disk
    assert "larger than 2 GB" in refusal(carried)


def test_a_cut_anywhere_loses_only_what_was_cut_off(carried: Path) -> None:
    """Nothing else than whole lines from the file is believed, whatever the cut."""
    whole = carried.read_bytes()
    first = len(whole.splitlines(keepends=True)[0])
    for cut in random.Random(5).sample(range(first, len(whole)), 60):
        carried.write_bytes(whole[:cut])
        items, reader = read(carried, lenient=True)
        assert items == [*EVENTS, FIX][: whole[first:cut].count(b"\n")]
        assert len(items) + reader.lost + reader.unread == 4


def test_a_flipped_bit_is_never_taken_for_what_was_written(carried: Path) -> None:
    whole = carried.read_bytes()
    first = len(whole.splitlines(keepends=True)[0])
    chance = random.Random(6)
    for _ in range(200):
        at, bit = chance.randrange(first, len(whole)), 1 << chance.randrange(8)
        carried.write_bytes(whole[:at] + bytes([whole[at] ^ bit]) + whole[at + 1 :])
        items, _ = read(carried, lenient=True)
        assert all(item in [*EVENTS, FIX] for item in items)
        with pytest.raises(UnusableError):
            read(carried)


# --- the commands -----------------------------------------------------------------------------------


def test_two_laptops_become_one_journal(advisor: Advisor) -> None:
    theirs = str(advisor.folder / "theirs.sqlite3")
    rows.write(advisor.journal, rows.trial("t1"), rows.verdict("v1", "t1"))
    rows.write(Path(theirs), rows.trial("t1"), rows.trial("t2"))
    assert advisor("journal", "export", "a").out == (
        "Written: a (2 entries)\nOn the other machine type: advisor journal import a\n"
    )
    assert advisor("journal", "export", "b", "--journal", theirs).status == 0
    done = advisor("journal", "import", "b")
    assert (done.status, done.out) == (0, "Taken in: 1 new entry; 1 was here already.\n")
    assert advisor("journal", "import", "a", "--journal", theirs).status == 0
    advisor("journal", "export", "ab"), advisor("journal", "export", "ba", "--journal", theirs)
    assert (advisor.folder / "ab").read_bytes() == (advisor.folder / "ba").read_bytes()


def test_export_overwrites_nothing(advisor: Advisor) -> None:
    rows.write(advisor.journal, rows.trial())
    advisor.write("my notes", "notes")
    refused(advisor("journal", "export", "notes"), "notes:1:1: there is such a file already")
    assert (advisor.folder / "notes").read_text() == "my notes"
    refused(advisor("journal", "export", "none", "--journal", "no-such"), "no journal")
    assert not (advisor.folder / "none").exists()


def test_import_takes_all_or_nothing_unless_it_is_asked_for_the_rest(advisor: Advisor, carried: Path) -> None:
    carried.write_bytes(BROKEN["a letter"][0](carried.read_bytes()))
    refused(advisor("journal", "import", carried.name), "carried.jsonl:3:1: the line was altered")
    assert rows.events(advisor.journal) == []
    done = advisor("journal", "import", carried.name, "--what-can-be-read")
    assert done.status == 0
    assert done.out == (
        "Taken in: 2 new entries, 1 fix; 0 were here already.\n"
        "Not taken in: 1 damaged line (told above).\n"
        "A fix cannot be used here and is only kept in the journal: its name is none\n"
        "that a fix may have\n"
    )
    assert done.err.startswith("carried.jsonl:3:1: the line was altered")
    assert rows.events(advisor.journal) == [EVENTS[0], EVENTS[2]]


def test_import_tells_of_conflicts(advisor: Advisor, carried: Path) -> None:
    rows.write(advisor.journal, rows.trial("a", complaint="it hops"))
    done = advisor("journal", "import", carried.name)
    assert done.status == 0
    assert "1 entry is told in two ways (a): both are kept" in done.out


@pytest.mark.parametrize("name", ["none", "."])
def test_import_of_no_file_is_refused(advisor: Advisor, name: str) -> None:
    refused(advisor("journal", "import", name), "cannot be read")
    assert not advisor.journal.exists()


def test_export_into_no_folder_is_refused(advisor: Advisor) -> None:
    rows.write(advisor.journal, rows.trial())
    refused(advisor("journal", "export", "no/where"), "no/where:1:1: the file cannot be written")
