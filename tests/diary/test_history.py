"""What the journal shows: by kart, track, fault, lever and day; since when it is not good any more; written out."""

from __future__ import annotations

import csv
import io
import json

import pytest

from advisor.journal.past import differences, in_order
from tests.diary.paddock import Laptop

LOOSE = {"balance": "oversteer", "phase": "entry", "track": "dry"}
PUSH = {"balance": "understeer", "phase": "mid", "track": "dry"}


def _options(told: dict[str, str]) -> list[str]:
    return [word for name, text in told.items() for word in (f"--{name}", text)]


@pytest.fixture
def season(laptop: Laptop) -> Laptop:
    """Two days of two karts."""
    first = laptop.tries("red", LOOSE, "caster", "less", "loose on the way in")
    laptop.wait(minutes=20).judges(first, "better", "calm now")
    good = {"words": "good", "laps": "45.1 45.0", "pressures": "11 > 14", "weather": "cloudy 17 22"}
    good |= {"tyres": "set 1, 20 laps"}
    laptop.wait(minutes=10)("diary", "--kart", "red", *_options(good))
    laptop.wait(hours=1).judges(laptop.tries("blue", PUSH, "front_track_width", "wider", "pushes"), "worse")
    bad = {"words": "loose", "laps": "45.6 45.5 47.0", "pressures": "12 > 15.5", "weather": "sunny 24 41"}
    bad |= {"track": "Hill", "changed": "rear track 1380"}
    laptop.wait(days=1)("diary", "--kart", "red", *_options(bad))
    return laptop


def _shown(season: Laptop, *options: str) -> str:
    done = season("history", *options)
    assert done.status == 0, done
    return done.out


def test_everything_is_told_by_day_and_kart(season: Laptop) -> None:
    shown = _shown(season)
    heads = [line for line in shown.splitlines() if line[:1].isdigit()]
    assert heads == [
        "4 May 2024, red, Lakeside, Mia",
        "4 May 2024, blue, Lakeside, Tom",
        "5 May 2024, red, Hill, Mia",
    ]
    words = " ".join(shown.split())
    assert 'take caster off against "loose on the way in" better: "calm now" (a cure was given' in words
    assert "pressures: cold 11 11 psi, hot 14 14 psi (front, rear)" in words
    assert "3 laps, best 45.50 s, median 45.60 s" in words
    assert "setup since: rear track width 1390 mm -> 1380 mm" in words


@pytest.mark.parametrize(
    ("options", "there", "not_there"),
    [
        (["--kart", "RED"], "loose on the way in", "pushes"),
        (["--track", "hill"], "1380", "45.00"),
        (["--fault", "oversteer"], "take caster off", "widen the front"),
        (["--fault", "loose on entry"], "take caster off", "widen the front"),
        (["--lever", "front track width"], "widen the front", "caster off"),
        (["--lever", "caster"], "take caster off", "widen the front"),
        (["--day", "2024-05-05"], "sunny", "cloudy"),
        (["--last", "1"], "sunny", "cloudy"),
    ],
)
def test_what_is_asked_for_is_shown_and_nothing_else(
    season: Laptop, options: list[str], there: str, not_there: str
) -> None:
    shown = " ".join(_shown(season, *options).split())
    assert there in shown
    assert not_there not in shown


def test_trial_ids_are_where_they_are_needed(season: Laptop) -> None:
    ident = next(e.id for e in season.events() if e.kind == "trial")
    assert f"tried {ident[:8]}" in _shown(season)
    assert season("outcome", "same", "--trial", ident[:8]).status == 0


def test_since_when_it_is_not_good_any_more(season: Laptop) -> None:
    words = " ".join(_shown(season, "--good", "--kart", "red").split())
    assert "Last good: 4 May 2024, red, Lakeside, Mia, 09:30" in words
    for change in (
        "rear track width: 1390 mm then, 1380 mm now",
        "hot front: 14 psi then, 15.5 psi now",
        "track temperature: 22 °C then, 41 °C now",
        "place: Lakeside then, Hill now",
        "laps on the tyres: 20 then, 22 now",
    ):
        assert change in words
    assert "no proof" in words
    assert "Nothing here was ever good" in _shown(season, "--good", "--kart", "blue")


@pytest.mark.parametrize("width", [40, 80])
def test_runs_stand_side_by_side_with_the_warning_and_fit(season: Laptop, width: int) -> None:
    season.width = width
    shown = _shown(season, "--trend", "--kart", "red")
    assert max(map(len, shown.splitlines())) <= width
    assert "What moved together is no proof" in " ".join(shown.split())
    rows = [line.split() for line in shown.splitlines()]
    assert any({"45.00", "45.05", "14"} <= set(row) for row in rows)
    assert any({"45.50", "45.60", "15.5"} <= set(row) for row in rows)
    for option in ("--good", "--last=9"):
        assert max(map(len, _shown(season, option).splitlines())) <= width


def test_everything_is_written_out_as_json_and_as_a_table(season: Laptop) -> None:
    path = season.folder / "all.json"
    assert season("history", "--json", str(path)).status == 0
    rows = json.loads(path.read_text("utf-8"))
    assert [row["kind"] for row in rows] == ["tried", "noted", "tried", "noted"]
    assert rows[1]["laps"] == [45.1, 45.0]
    assert rows[1]["laps_typed"] == "45.1 45.0"
    assert rows[0]["outcome"] == "better"
    assert season("history", "--json", str(path)).status == 1  # never overwritten
    table = list(csv.DictReader(io.StringIO(_shown(season, "--csv", "-"))))
    assert [row["id"] for row in table] == [row["id"] for row in rows]
    assert table[3]["setup.rear_track_width"] == "1380 mm"
    assert table[3]["pressures.hot front"] == "15.5 psi"
    assert table[1]["laps"] == "45.1 45"


def test_text_that_a_spreadsheet_would_run_is_none_in_the_table(laptop: Laptop) -> None:
    laptop("diary", "--kart", "red", "--words", "=HYPERLINK(1)")
    (row,) = csv.DictReader(io.StringIO(_shown(laptop, "--csv", "-")))
    assert row["said"] == "'=HYPERLINK(1)"


@pytest.mark.parametrize(
    ("options", "piece"),
    [
        (["--lever", "wings"], 'no lever is called "wings"'),
        (["--lever", "track"], '"track" may be front_track_width, rear_track_width'),
        (["--fault", "breakfast"], '"breakfast" is no fault that is understood'),
        (["--kart", "nobody"], "Nothing in the journal fits"),
    ],
)
def test_what_cannot_be_shown_is_said(season: Laptop, options: list[str], piece: str) -> None:
    done = season("history", *options)
    assert done.status == 1
    assert piece in done.text


def test_an_empty_journal_is_no_accident(laptop: Laptop) -> None:
    assert laptop("history").status == 1


def test_what_only_one_of_two_days_tells_is_no_difference(season: Laptop) -> None:
    from advisor.journal import lately, notes, trials
    from advisor.journal.store import Journal

    with Journal(season.journal) as journal:
        items = in_order(trials.found(journal, 9, kart="red"), notes.runs(journal, 9, "red"))
        good = lately.latest(journal, "red", season.now, {}, good=True)
    assert [i.kind for i in items] == ["tried", "noted", "noted"]
    assert good == items[1]
    assert "caster" not in {c.what for c in differences(items[0], items[2])}  # the trial told no setup
