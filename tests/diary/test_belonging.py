"""Every event belongs to a kart, and an outcome is never booked to another one."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest

from advisor.journal import belonging, trials, verdicts
from advisor.journal.store import Journal
from advisor.model.belonging import Belonging, kart_name
from tests.diary.paddock import START, Laptop
from tests.journal import rows

LOOSE = {"balance": "oversteer", "phase": "entry", "track": "dry"}
PUSH = {"balance": "understeer", "phase": "mid", "track": "dry"}
CASE = "observed: {balance: oversteer, phase: entry, track: dry}\nsetup: {tyres: {kind: slick, compound: medium}}\n"


def _verdicts(laptop: Laptop) -> dict[str, str | None]:
    with Journal(laptop.journal, read_only=True) as journal:
        return {t.belongs.kart: t.verdict for t in trials.trials(journal)}


@pytest.mark.parametrize(
    ("name", "same"),
    [
        ("red", "Red"),
        ("red", "karts/red.yaml"),
        ("red", "C:\\karts\\RED.yml"),
        ("the  red one", "the red one"),
    ],
)
def test_a_kart_is_the_same_however_it_is_written(name: str, same: str) -> None:
    assert kart_name(name) == kart_name(same)
    assert kart_name(name) != kart_name("blue")


def test_a_trial_of_the_first_version_belongs_to_the_kart_of_its_case(tmp_path: Path) -> None:
    path = rows.write(
        tmp_path / "j", rows.trial("t1", case={**rows.TRIAL["case"], "kart_file": "karts/Red.yaml"})
    )
    with Journal(path) as journal:
        (trial,) = trials.trials(journal)
        assert (trial.kart, trial.belongs.time) == ("red", rows.AT)
        assert trials.pending(journal, "red") == trial
        assert trials.pending(journal, "blue") is None
    with Journal(rows.old(tmp_path / "old")) as journal:
        assert [t.kart for t in trials.trials(journal)] == ["", ""]


# --- what waits is named, and belongs to one kart -----------------------------------------------------


def test_an_outcome_of_another_kart_is_refused_and_what_waits_is_named(laptop: Laptop) -> None:
    ident = laptop.tries("red", LOOSE, "caster", "less", "loose on the way in")
    done = laptop("outcome", "better", "--kart", "blue")
    assert done.status == 1
    assert "no change of blue waits for an outcome" in done.text
    assert f"(red, loose on the way in, today 09:00, {ident[:8]})" in done.text
    assert _verdicts(laptop) == {"red": None}


def test_where_several_karts_wait_it_is_asked_which(laptop: Laptop) -> None:
    red, _ = laptop.tries("red", LOOSE, "caster", "less"), laptop.wait(minutes=5)
    laptop.tries("blue", PUSH, "caster", "more")
    done = laptop("outcome", "worse")
    assert done.status == 1
    assert (
        "changes of several karts wait for an outcome; say whose it is, with --kart or --trial" in done.text
    )
    assert _verdicts(laptop) == {"red": None, "blue": None}
    assert "Written down for take caster off (red" in laptop("outcome", "worse", "--kart", "RED").text
    assert _verdicts(laptop) == {"red": "worse", "blue": None}
    assert laptop("outcome", "same", "--trial", red[:6], "--kart", "blue").status == 1
    assert "Written down for add caster (blue" in laptop("outcome", "better").text  # the only one left
    assert _verdicts(laptop) == {"red": "worse", "blue": "better"}


def test_laps_are_booked_to_the_kart_that_is_named(laptop: Laptop) -> None:
    laptop.tries("red", LOOSE, "caster", "less")
    laptop.wait(minutes=1).tries("blue", PUSH, "caster", "more")
    laps = ["--a", "45.5", "45.4", "45.45", "--b", "45.2", "45.1", "45.15", "--a", "45.5", "45.4", "45.44"]
    assert laptop("judge", *laps, "--driver", "better", "--record").status == 1
    assert _verdicts(laptop) == {"red": None, "blue": None}
    assert laptop("judge", *laps, "--driver", "better", "--record", "--kart", "red").status == 0
    assert _verdicts(laptop) == {"red": "better", "blue": None}


def test_a_sitting_is_gone_on_with_by_its_own_kart(tmp_path: Path) -> None:
    from advisor.journal.sittings import SittingRow, sitting_event, unfinished

    with Journal(tmp_path / "j") as journal:
        for i, kart in enumerate(("red", "blue")):
            row = SittingRow(sitting=kart, complaint=f"{kart} slides", case={"kart_file": kart})
            journal.append(sitting_event(f"s{i}", f"2024-05-04T09:0{i}:00+00:00", row))
        journal.append(rows.trial("t", case={"kart_file": "blue"}, belongs={"kart": "blue"}))
        for kart, complaint in (("red", "red slides"), ("blue", None), ("green", None)):
            left = unfinished(journal, kart)
            assert (left.row.complaint if left else None) == complaint


# --- who, where, on what: asked once a day --------------------------------------------------------------


def test_what_was_told_is_carried_to_the_end_of_the_day_and_no_further(laptop: Laptop) -> None:
    laptop(
        "diary",
        "--kart",
        "red",
        "--driver",
        "Tom",
        "--session",
        "heat 1",
        "--tyres",
        "set 2",
        "--words",
        "hops",
    )
    laptop.wait(hours=1)("diary", "--kart", "red", "--words", "hops")
    laptop.wait(days=1)("diary", "--kart", "red", "--words", "hops")
    told = [belonging.belongs(e) for e in laptop.events()]
    assert [(b.kart, b.driver, b.track, b.session) for b in told] == [
        ("red", "Tom", "Lakeside", "heat 1"),
        ("red", "Tom", "Lakeside", "heat 1"),
        ("red", "Mia", "Lakeside", ""),  # the kart file's again
    ]
    assert [b.day for b in told] == ["2024-05-04", "2024-05-04", "2024-05-05"]


def test_the_verdict_tells_who_said_it_and_when(laptop: Laptop) -> None:
    laptop.tries("red", LOOSE, "caster", "less")
    assert laptop.wait(minutes=20)("outcome", "same", "--driver", "Ida").status == 0
    assert laptop.events()[-1].body["belongs"] == {
        "kart": "red",
        "driver": "Ida",
        "track": "Lakeside",
        "time": "2024-05-04T09:20:00+00:00",
    }


# --- clocks -------------------------------------------------------------------------------------------------


def test_a_trial_dated_in_the_future_is_told_and_does_not_count(laptops: Callable[[str], Laptop]) -> None:
    ours, theirs = laptops("ours"), laptops("theirs")
    theirs.ahead = timedelta(days=400)
    for _ in range(4):
        theirs.judges(theirs.wait(hours=1).tries("red", LOOSE, "caster", "less"), "worse")
    theirs("journal", "export", str(theirs.folder / "carried"))
    case = ours.folder / "case.yaml"
    case.write_text(CASE, "utf-8")
    advise = ("advise", str(case), "--kart", "red", "--json", "--journal", str(ours.journal))
    ours.tries("red", PUSH, "caster", "more")
    before = json.loads(ours(*advise).out)
    told = ours("journal", "import", str(theirs.folder / "carried"))
    assert "4 trials are dated in the future and do not count until then" in told.text
    after = json.loads(ours(*advise).out)
    assert after["advice"] == before["advice"]
    (warning,) = [w for w in after["warnings"] if "dated in the future" in w]
    assert warning.startswith("4 trials are dated in the future and do not count until then")
    # what is written here afterwards is of today, although it comes after theirs in the order of events
    assert ours.wait(minutes=20)("outcome", "worse").status == 0
    assert ours.events()[-1].at > "2025"
    assert ours.events()[-1].body["belongs"]["time"].startswith("2024-05-04")
    assert json.loads(ours(*advise).out)["warnings"] != before["warnings"]


def test_a_clock_that_is_a_little_ahead_is_believed(laptop: Laptop) -> None:
    laptop.judges(laptop.tries("red", LOOSE, "caster", "less"), "worse")
    with Journal(laptop.journal) as journal:
        (trial,) = trials.latest(journal, 1, "judged")
    assert not trial.is_to_come(START - timedelta(minutes=4))
    assert trial.is_to_come(START - timedelta(minutes=6))


# --- two verdicts of one trial -----------------------------------------------------------------------------


def test_two_verdicts_from_two_laptops_are_shown_until_a_person_settles_them(
    laptops: Callable[[str], Laptop],
) -> None:
    one, two = laptops("one"), laptops("two")
    ident = one.tries("red", LOOSE, "caster", "less", "loose on the way in")
    one("journal", "export", str(one.folder / "first"))
    two("journal", "import", str(one.folder / "first"))
    one.wait(minutes=20)("outcome", "better", "--driver", "Mia", "--note", "calm now")
    two.wait(minutes=30)("outcome", "worse", "--driver", "Tom")
    one("journal", "export", str(one.folder / "second"))
    told = two("journal", "import", str(one.folder / "second")).text
    assert "two things were said of take caster off (red, loose on the way in" in told
    assert '"better" by Mia (today 09:20: calm now) but "worse" by Tom (today 09:30)' in told
    case = two.folder / "case.yaml"
    case.write_text(CASE, "utf-8")
    advise = ("advise", str(case), "--kart", "red", "--journal", str(two.journal))
    assert "two things were said" in two(*advise).text
    assert "two things were said" in two("history").text
    assert (
        "which settles it (better and worse were said)"
        in two.wait(minutes=1)("outcome", "better", "--trial", ident[:8]).text
    )
    with Journal(two.journal) as journal:
        assert verdicts.disputes(journal) == []
        assert [t.verdict for t in trials.trials(journal)] == ["better"]
    assert "two things were said" not in two(*advise).text
    # and the other machine learns of it
    two("journal", "export", str(two.folder / "third"))
    one("journal", "import", str(two.folder / "third"))
    with Journal(one.journal) as journal:
        assert verdicts.disputes(journal) == []


def test_a_correction_is_no_dispute_and_the_same_said_twice_is_none(laptop: Laptop) -> None:
    ident = laptop.tries("red", LOOSE, "caster", "less")
    laptop("outcome", "better")
    done = laptop.wait(minutes=1)("outcome", "worse", "--trial", ident)
    assert "worse, instead of better" in done.text
    with Journal(laptop.journal) as journal:
        assert verdicts.disputes(journal) == []
        assert [t.verdict for t in trials.trials(journal)] == ["worse"]
        journal.append(rows.verdict("other", ident, "worse"))
        assert verdicts.disputes(journal) == []
        journal.append(rows.verdict("another", ident, "same"))
        assert [[s.verdict for s in d.said] for d in verdicts.disputes(journal)] == [
            ["worse", "same", "worse"]
        ]
        before = journal.ask("SELECT * FROM derived_dispute")
        journal.rebuild()
        assert journal.ask("SELECT * FROM derived_dispute") == before


def test_belonging_that_makes_no_sense_is_left_out() -> None:
    event = rows.trial("t", belongs={"kart": 3, "driver": ["x"]})
    assert belonging.belongs(event) == Belonging(time=rows.AT)
