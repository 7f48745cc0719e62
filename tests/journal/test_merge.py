"""Merging: the union of two sets of events, whatever order they come in, and so is all that is derived from them."""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.journal import carry
from advisor.journal.events import Document, Event, as_data, canonical
from advisor.journal.sittings import Sitting, SittingRow, sitting_event, unfinished
from advisor.journal.store import Journal, JournalError
from advisor.journal.trials import Trial, latest, pending, trials
from tests.journal import rows

Item = Event | Document

# Few ids and few moments, so that events meet: the same twice, one id told in two ways, ties, clocks gone astray.
IDS = st.sampled_from([f"{letter}{n}" for letter in "tvs" for n in range(3)])
TIMES = st.sampled_from(
    ["1970-01-01T00:00:02+00:00", rows.AT, "2024-05-04T09:30:00.000001+00:00", "2031-01-01T00:00:00+00:00"]
)


@st.composite
def some_event(draw: st.DrawFn) -> Event:
    ident, at = draw(IDS), draw(TIMES)
    kind = draw(st.sampled_from(["trial", "verdict", "verdict", "sitting", "laps"]))
    body: dict[str, Any] = {"laps": [61.2]}
    if kind == "trial":
        body = {**rows.TRIAL, "complaint": draw(st.sampled_from(["hops", "loose"]))}
    elif kind == "verdict":
        given_word = draw(st.sampled_from(["better", "same", "worse", "dropped"]))
        body = {"trial": draw(IDS), "verdict": given_word, "note": ""}
    elif kind == "sitting":
        row = SittingRow(sitting="s", case={}, asked=draw(st.integers(0, 1)), done=draw(st.booleans()))
        body = sitting_event(ident, at, row).body
    return Event(ident, at, kind, body)  # type: ignore[arg-type]


DOCUMENTS = st.builds(Document, st.just("lap-chart"), st.integers(0, 2))
ITEMS = st.lists(st.one_of(some_event(), some_event(), DOCUMENTS), max_size=7)


@contextmanager
def journals(*holdings: Sequence[Item]) -> Iterator[list[Journal]]:
    """A journal for each of these holdings."""
    with TemporaryDirectory(dir=rows.IN_MEMORY) as folder, ExitStack() as stack:
        found = []
        for i, items in enumerate(holdings):
            journal = stack.enter_context(Journal(Path(folder) / f"{i}.sqlite3"))
            journal.merge(items)
            found.append(journal)
        yield found


@dataclass(frozen=True)
class Picture:
    """All that can be seen of a journal but the order of its rows."""

    lines: list[bytes]
    conflicts: list[str]
    trials: list[Trial]
    pending: Trial | None
    judged: list[Trial]
    unfinished: Sitting | None


def picture(journal: Journal) -> Picture:
    return Picture(
        [carry.as_line(item) for item in journal.all()],
        journal.conflicts(),
        trials(journal),
        pending(journal),
        latest(journal, 2, "judged"),
        unfinished(journal),
    )


@given(ITEMS, ITEMS)
@settings(max_examples=40, deadline=None)
def test_merging_is_commutative_and_idempotent(one: list[Item], other: list[Item]) -> None:
    with journals(one, other, one) as (a, b, also_a):
        a.merge(b.all())
        b.merge(also_a.all())
        seen = picture(a)
        assert seen == picture(b)
        again = a.merge(b.all())
        assert (again.new, again.documents) == (0, 0)
        assert picture(a) == seen


@given(ITEMS, ITEMS, ITEMS)
@settings(max_examples=30, deadline=None)
def test_merging_is_associative(one: list[Item], two: list[Item], three: list[Item]) -> None:
    with journals(one, two, three, one, two, three) as (a, b, c, x, y, z):
        a.merge(b.all())
        a.merge(c.all())
        y.merge(z.all())
        x.merge(y.all())
        assert picture(a) == picture(x)


@given(ITEMS, st.randoms(use_true_random=False))
@settings(max_examples=40, deadline=None)
def test_nothing_depends_on_the_order_and_what_is_derived_is_what_the_events_say(
    items: list[Item], chance: random.Random
) -> None:
    mixed = chance.sample(items, len(items))
    with journals(items, mixed) as (a, b):
        assert picture(a) == picture(b)
        told = by_brute_force([item for item in items if isinstance(item, Event)])
        assert [(t.id, t.complaint, t.verdict, t.dropped) for t in trials(a)] == told
        waiting = [row[0] for row in told if row[2] is None and not row[3]]
        found = pending(a)
        assert (found.id if found else None) == (waiting[-1] if waiting else None)
        judged = [row[0] for row in told if row[2]][-2:]
        assert [t.id for t in latest(a, 2, "judged")] == judged
        before = picture(a)
        a.rebuild()
        assert picture(a) == before


def by_brute_force(events: list[Event]) -> list[tuple[str, str, str | None, bool]]:
    """The trials in order, worked out from the definition: the earliest of an id counts, the latest verdict holds."""
    counting: dict[str, Event] = {}
    for event in sorted(events, key=lambda e: (e.at, e.kind, canonical(as_data(e)["body"]))):
        counting.setdefault(event.id, event)
    in_time = sorted(counting.values(), key=lambda e: (e.at, e.id))
    found = []
    for trial in in_time:
        if trial.kind == "trial":
            given_words = [
                e.body["verdict"] for e in in_time if e.kind == "verdict" and e.body["trial"] == trial.id
            ]
            word = given_words[-1] if given_words else None
            dropped = word == "dropped"
            found.append((trial.id, trial.body["complaint"], None if dropped else word, dropped))
    return found


@given(ITEMS, ITEMS)
@settings(max_examples=15, deadline=None)
def test_equal_journals_give_equal_files_and_a_file_gives_the_journal(
    one: list[Item], other: list[Item]
) -> None:
    with journals(one, other, []) as (a, b, empty):
        folder = a.path.parent
        for journal, name in ((a, "a"), (b, "b")):
            carry.write(journal, folder / name)
        a.merge(carry.Reader(folder / "b"))
        b.merge(carry.Reader(folder / "a"))
        carry.write(a, folder / "ab")
        carry.write(b, folder / "ba")
        assert (folder / "ab").read_bytes() == (folder / "ba").read_bytes()
        empty.merge(carry.Reader(folder / "ab"))
        assert picture(empty) == picture(a)


@given(
    st.lists(st.tuples(st.booleans(), st.sampled_from(["write", "write", "merge"])), max_size=12),
    st.tuples(st.integers(-400, 400), st.integers(-400, 400)),
    st.integers(-3, 3),
)
@settings(max_examples=30, deadline=None)
def test_what_was_known_comes_before_what_was_written_after_it(
    steps: list[tuple[bool, str]], days_wrong: tuple[int, int], drift: int
) -> None:
    """Two laptops whose clocks are wrong by hundreds of days, and may run backwards."""
    now = datetime(2024, 5, 4, 9, 30, tzinfo=UTC)
    with journals([], []) as pair:
        for i, (which, what) in enumerate(steps):
            here, there = pair[which], pair[not which]
            if what == "merge":
                here.merge(there.all())
                continue
            clock = now + timedelta(days=days_wrong[which], seconds=drift * i)
            known = [event.moment for _, event in here.since()]
            event = rows.trial(f"t{99 - i}")  # ids fall, so that they do not help
            event = Event(
                event.id, here.stamp(clock.isoformat(timespec="microseconds")), event.kind, event.body
            )
            assert all(event.moment > moment for moment in known)
            here.append(event)


def test_a_correction_holds_although_the_clock_was_put_back(tmp_path: Path) -> None:
    with Journal(rows.write(tmp_path / "j", rows.trial())) as journal:
        journal.append(Event("v1", "2031-01-01T00:00:00+00:00", "verdict", rows.verdict(given="better").body))
        at = journal.stamp("1970-01-01T00:00:00+00:00")
        assert at == "2031-01-01T00:00:00.000001+00:00"
        journal.append(Event("v0", at, "verdict", rows.verdict(given="worse").body))
        assert [t.verdict for t in trials(journal)] == ["worse"]


@pytest.mark.parametrize("latest_at", ["9999-12-31T23:59:59.999999+00:00", "tomorrow"])
def test_a_time_that_nothing_comes_after_does_not_stop_the_journal(tmp_path: Path, latest_at: str) -> None:
    with Journal(tmp_path / "j") as journal:
        journal.append(Event("t1", latest_at, "trial", rows.TRIAL))
        assert journal.stamp(rows.AT) == rows.AT


def test_a_verdict_whose_trial_comes_later_in_the_file_counts(tmp_path: Path) -> None:
    with Journal(rows.write(tmp_path / "j", rows.verdict(), rows.trial())) as journal:
        assert [t.verdict for t in trials(journal)] == ["worse"]
        assert pending(journal) is None
        assert [t.verdict for t in latest(journal, 1, "judged")] == ["worse"]


def test_of_two_texts_of_one_id_both_are_kept_and_the_same_one_counts_everywhere(tmp_path: Path) -> None:
    mine, theirs = rows.trial(complaint="hops"), rows.trial(complaint="loose")
    with journals([mine], [theirs]) as (a, b):
        merged = a.merge([theirs])
        assert merged.conflicts == ("t1",)
        b.merge([mine])
        assert [t.complaint for t in trials(a)] == [t.complaint for t in trials(b)]
        assert len(list(a.all())) == 2
        assert next(iter(a._db.execute("SELECT body FROM event")))[0] != canonical(theirs.body)
        assert a.merge([theirs]).conflicts == ("t1",)  # it is told again, and kept once
        assert len(list(a.all())) == 2


def test_a_merge_that_breaks_off_leaves_nothing(tmp_path: Path) -> None:
    def breaks_off() -> Iterator[Item]:
        yield rows.trial("new")
        yield Document("lap-chart", 1)
        raise JournalError("the stick was pulled")

    with Journal(rows.write(tmp_path / "j", rows.trial())) as journal:
        with pytest.raises(JournalError, match="stick"):
            journal.merge(breaks_off())
        assert list(journal.all()) == [rows.trial()]
        journal.append(rows.trial("t2"))


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE document SET body = '1'",
        "DELETE FROM document",
        "REPLACE INTO document SELECT * FROM document",
    ],
)
def test_no_document_is_ever_changed_or_deleted(tmp_path: Path, statement: str) -> None:
    with Journal(tmp_path / "j") as journal:
        journal.merge([Document("lap-chart", {"laps": [61.2]})])
        with pytest.raises(Exception, match="append-only"):
            journal._db.execute(statement)
        assert list(journal.documents("lap-chart")) == [Document("lap-chart", {"laps": [61.2]})]


def test_half_characters_of_another_journal_are_not_lost(tmp_path: Path) -> None:
    """No text of a database can hold them; some phones write them all the same."""
    laps: Any = "laps"
    odd = Event("x", rows.AT, laps, {"note": "\ud83c", "\udfff": 1})
    with journals([odd], []) as (a, b):
        carry.write(a, a.path.with_name("file"))
        b.merge(carry.Reader(a.path.with_name("file")))
        assert list(b.all()) == [odd]
