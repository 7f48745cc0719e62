"""An entry is put to its kart, its time and its place by a new version of it; the old one stays in the journal."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from uuid import uuid1

from advisor.journal import notes, trials
from advisor.journal.notes import Note
from advisor.journal.sittings import sittings
from advisor.journal.store import Journal
from tests.diary.paddock import Laptop


def _runs(laptop: Laptop, kart: str | None = None) -> list[Note]:
    with Journal(laptop.journal, read_only=True) as journal:
        return notes.runs(journal, 99, kart)


def _noted(laptop: Laptop, *options: str, kart: str = "red") -> str:
    """A run is noted; its entry."""
    known = {n.entry for n in _runs(laptop)} if laptop.journal.exists() else set()
    done = laptop("diary", "--kart", kart, *options)
    assert done.status == 0, done
    return next(n.entry for n in _runs(laptop) if n.entry not in known)


def _corrects(laptop: Laptop, entry: str, *options: str) -> Note:
    done = laptop("diary", "--correct", entry[:8], *options)
    assert done.status == 0, done
    return next(n for n in _runs(laptop) if n.entry == entry)


def test_a_note_of_the_wrong_kart_goes_to_the_right_one(laptop: Laptop) -> None:
    _noted(laptop, "--changed", "axle soft", "--words", "hops")
    _noted(laptop, "--changed", "caster 10 deg", "--words", "loose", kart="blue")
    wrong = ("--changed", "front track 1190", "--pressures", "12 12", "--words", "pushes", "--laps", "45.1")
    entry = _noted(laptop.wait(minutes=20), *wrong)
    events = len(laptop.events())
    note = _corrects(laptop.wait(minutes=5), entry, "--kart", "blue")
    assert (note.belongs.kart, note.belongs.driver) == (
        "blue",
        "Tom",
    )  # Mia is who usually drives the red one
    assert (note.words, note.laps, note.cold["front"]) == ("pushes", (45.1,), "12 psi")
    assert note.aside == {
        "caster": "10 deg",
        "front_track_width": "1190 mm",
    }  # the soft axle is on the red one
    assert "axle_stiffness" not in note.setup
    assert len(laptop.events()) == events + 1
    assert [n.words for n in _runs(laptop, "red")] == ["hops"]
    assert "pushes" in laptop("history", "--kart", "blue").out
    assert "pushes" not in laptop("history", "--kart", "red").out
    _noted(laptop.wait(minutes=20), "--words", "hops again")
    assert _runs(laptop, "red")[-1].aside == {"axle_stiffness": "soft"}


def test_a_run_that_went_to_another_kart_leaves_no_setting_behind(laptop: Laptop) -> None:
    laptop("diary", "--kart", "red", "--changed", "rear track 1400", "--words", "pushes")
    laptop.wait(minutes=10)("diary", "--kart", "red", "--changed", "rear track 1370", "--words", "pushes")
    laptop.wait(minutes=10)("diary", "--kart", "red", "--words", "loose mid corner")
    case = laptop.folder / "case.yaml"
    case.write_text("complaint: loose mid corner\n", "utf-8")
    assert "rear track width 1370 mm" in laptop("advise", str(case), "--kart", "red").text
    with Journal(laptop.journal, read_only=True) as journal:
        _, wrong, _ = notes.runs(journal, 3)
    assert laptop("diary", "--correct", wrong.entry[:8], "--kart", "blue").status == 0
    assert "rear track width 1400 mm" in laptop("advise", str(case), "--kart", "red").text
    assert "rear track width 1370 mm" in laptop("advise", str(case), "--kart", "blue").text


def test_with_the_kart_words_can_be_put_right_too(laptop: Laptop) -> None:
    entry = _noted(laptop, "--words", "pushes", "--driver", "Jo")
    note = _corrects(laptop, entry, "--kart", "blue", "--words", "pushes mid", "--session", "heat 2")
    here = note.belongs
    assert (here.kart, here.driver, here.session, note.words) == ("blue", "Jo", "heat 2", "pushes mid")
    done = laptop("diary", "--correct", entry, "--kart", "bleu")
    assert done.status == 1
    assert 'no such kart; did you mean "blue"?' in done.text


def test_a_time_of_day_leaves_the_day_as_it_is(laptop: Laptop) -> None:
    entry = _noted(laptop, "--words", "hops")
    note = _corrects(laptop.wait(days=1), entry, "--time", "14:10")
    assert note.belongs.time == "2024-05-04T14:10:00+00:00"
    note = _corrects(laptop, entry, "--time", "2024-05-03 16:00")
    assert note.belongs.time == "2024-05-03T16:00:00+00:00"
    assert laptop("diary", "--correct", entry, "--time", "noon").status == 1


def test_a_time_of_day_is_of_the_zone_of_the_entry(laptop: Laptop) -> None:
    entry = _noted(laptop, "--words", "hops", "--time", "2024-05-04 10:30", "--zone", "Europe/Berlin")
    assert _corrects(laptop, entry, "--time", "10:10").belongs.time == "2024-05-04T10:10:00+02:00"


def test_the_place_the_driver_or_the_weather_alone(laptop: Laptop) -> None:
    entry = _noted(laptop, "--words", "hops", "--weather", "sunny 24 40 dry")
    note = _corrects(laptop, entry, "--driver", "Ida")
    assert (note.belongs.driver, note.belongs.track, note.words) == ("Ida", "Lakeside", "hops")
    note = _corrects(laptop, entry, "--track", "Hill")
    assert (note.belongs.driver, note.belongs.track) == ("Ida", "Hill")
    note = _corrects(laptop, entry, "--weather", "cloudy 17 22 green")
    assert (note.belongs.weather, note.track_state) == ("cloudy green", "green")
    assert note.conditions == {"air_temperature": "17 degC", "track_temperature": "22 degC"}
    assert len(laptop.events()) == 4
    assert "Hill, Ida" in laptop("history").out


def test_who_drove_is_known_by_the_corrected_entry(laptop: Laptop) -> None:
    entry = _noted(laptop, "--words", "hops", "--driver", "Jo", "--session", "heat 1")
    _corrects(laptop.wait(minutes=5), entry, "--kart", "blue")
    _noted(laptop.wait(minutes=5), "--words", "pushes")
    (note,) = _runs(laptop, "red")
    assert (note.belongs.driver, note.belongs.session) == ("Mia", "")


def test_an_outcome_that_was_told_with_it_stays_where_it_belongs_and_that_is_said(laptop: Laptop) -> None:
    observed = {"balance": "oversteer", "phase": "entry", "track": "dry"}
    trial = laptop.tries("red", observed, "caster", "less", "loose")
    entry = _noted(laptop.wait(minutes=20), "--words", "calm", "--outcome", "better")
    done = laptop("diary", "--correct", entry, "--kart", "blue")
    assert (
        f"stays with the change of red; to put that right: advisor outcome VERDICT --trial {trial[:8]}"
        in done.text
    )


def test_tyres_and_pressures_of_a_run_that_went_to_another_kart_stay_on_no_run_after_it(
    laptop: Laptop,
) -> None:
    first = _noted(laptop, "--tyres", "set 1, 10 laps", "--pressures", "11 12", "--laps", "45.1 45.2")
    wrong = ("--tyres", "set 9, 90 laps", "--pressures", "13 13", "--laps", "45 45 45", "--driver", "Jo")
    wrong_one = _noted(laptop.wait(minutes=20), *wrong)
    after = _noted(laptop.wait(minutes=20), "--words", "loose", "--laps", "45.4")
    told = _noted(laptop.wait(minutes=20), "--pressures", "rear 10", "--words", "hops")
    said = laptop.wait(minutes=5)("diary", "--correct", wrong_one[:8], "--kart", "blue").text
    assert (
        f"Noted of red after it, with Jo driving too: {after[:8]}, {told[:8]}; if somebody else drove" in said
    )
    now = _noted(laptop.wait(minutes=5), "--words", "loose now")
    found = {n.entry: n for n in _runs(laptop)}
    tyres = [(found[e].belongs.tyres, found[e].tyre_laps) for e in (first, wrong_one, after, told, now)]
    assert tyres == [("set 1", 10), ("set 9", 90), ("set 1", 12), ("set 1", 13), ("set 1", 13)]
    cold = [(found[e].cold["front"], found[e].cold["rear"]) for e in (after, told, now)]
    assert cold == [("11 psi", "12 psi"), ("11 psi", "10 psi"), ("11 psi", "10 psi")]
    assert found[after].setup["tyre_pressure_rear"] == "12 psi"
    stands = laptop("whatif", "caster more 1 deg", "--kart", "red").err
    assert "front tyre pressure 11 psi, rear tyre pressure 10 psi" in stands
    assert "front tyre pressure 13 psi" in laptop("whatif", "caster more 1 deg", "--kart", "blue").err


def test_what_a_run_took_over_does_not_go_along_to_another_kart(laptop: Laptop) -> None:
    _noted(laptop, "--tyres", "set 2, 5 laps", "--pressures", "10 10", kart="blue")
    _noted(laptop, "--tyres", "set 1, 10 laps", "--pressures", "11 11", "--laps", "45.1")
    entry = _noted(laptop.wait(minutes=20), "--words", "hops", "--pressures", "front 12")
    note = _corrects(laptop.wait(minutes=5), entry, "--kart", "blue")
    assert (note.belongs.tyres, note.tyre_laps, note.cold) == (
        "set 2",
        5,
        {"front": "12 psi", "rear": "10 psi"},
    )
    assert note.setup["tyre_pressure_rear"] == "10 psi"


def test_a_pressure_that_a_trial_left_on_is_told_by_the_run_after_it(laptop: Laptop) -> None:
    _noted(laptop, "--pressures", "11 11")
    lines = ("pushes mid", "t", "should i lower the front pressures", "lower the front pressures", "q")
    trial = laptop.wait(minutes=10).sits("--kart", "red", lines=lines)
    assert "Written down: Lower the front pressures" in trial.text
    laptop.wait(minutes=10)("outcome", "better", "--kart", "red")
    entry = _noted(laptop.wait(minutes=10), "--words", "loose")
    note = next(n for n in _runs(laptop) if n.entry == entry)
    assert note.cold["front"] != "11 psi"
    assert note.cold["rear"] == "11 psi"
    assert "tyre_pressure_front" not in note.carried


def _sits_on_a_note(laptop: Laptop, words: str, *lines: str) -> str:
    """A run of the red kart is noted, and a sitting opened by it; its entry."""
    done = laptop.sits("diary", "--kart", "red", lines=("", "", "", "", words, "", *lines))
    assert done.status == 0, done
    return _runs(laptop, "red")[-1].entry


def _stands(laptop: Laptop, kart: str) -> str:
    return laptop("whatif", "caster more 1 deg", "--kart", kart).err


def test_what_was_tried_in_the_sitting_of_a_note_goes_along_with_it(laptop: Laptop) -> None:
    (path,) = (laptop.folder / "karts" / "karts").glob("blue.yaml")
    path.write_text(path.read_text("utf-8").replace("12 deg", "10 deg"), "utf-8")
    entry = _sits_on_a_note(laptop, "pushes mid corner, dry", "g", "t", "1", "q")
    laptop.wait(minutes=20)("outcome", "better", "--kart", "red")
    assert "front track width 1190 mm" in _stands(laptop, "red")
    done = laptop.wait(minutes=5)("diary", "--correct", entry[:8], "--kart", "blue")
    assert "Goes along with it: widen the front track (blue, pushes mid corner, dry, today 09:00" in done.text
    assert (_stands(laptop, "red").strip(), "front track width 1190 mm" in _stands(laptop, "blue")) == (
        "",
        True,
    )
    with Journal(laptop.journal, read_only=True) as journal:
        old, new = sorted(trials.latest(journal, 9), key=lambda t: t.kart == "blue")
    assert (old.kart, old.dropped) == ("red", True)
    assert (new.kart, new.verdict, new.by, new.belongs.time) == ("blue", "better", "Tom", old.belongs.time)
    assert (new.case["kart_file"], new.case["setup"]["caster"]) == ("blue", "10 deg")


def test_a_sitting_that_waits_goes_along_with_its_note(laptop: Laptop) -> None:
    entry = _sits_on_a_note(laptop, "pushes mid corner", "g", "1", "q")
    assert "left in the middle" in laptop.sits("--kart", "red", lines=("q",)).text
    laptop.wait(minutes=5)("diary", "--correct", entry[:8], "--kart", "blue")
    assert "left in the middle" not in laptop.sits("--kart", "red", lines=("q",)).text
    assert "left in the middle" in laptop.sits("--kart", "blue", lines=("q",)).text


def test_what_was_left_standing_by_a_note_stands_at_its_kart_and_once(laptop: Laptop) -> None:
    entry = _noted(laptop, "--words", "the brake pedal goes to the floor")
    assert "STOP" in laptop("diary", "--kart", "red", "--laps", "45.1").text
    done = laptop.wait(minutes=5)("diary", "--correct", entry[:8], "--kart", "blue")
    assert "STOP" in done.text
    assert "STOP" not in laptop("diary", "--kart", "red", "--laps", "45.2").text
    assert "STOP" in laptop("diary", "--kart", "blue", "--laps", "45.2").text
    with Journal(laptop.journal, read_only=True) as journal:
        assert [s.row.case["kart_file"] for s in sittings(journal, 9)] == ["blue"]


def test_two_laptops_that_put_one_note_to_the_same_kart_book_its_trial_once(
    laptops: Callable[[str], Laptop],
) -> None:
    one, other = laptops("awning"), laptops("grid")
    entry = _sits_on_a_note(one, "pushes mid corner, dry", "g", "t", "1", "q")
    one("journal", "export", str(one.folder / "a"))
    other("journal", "import", str(one.folder / "a"))
    for minutes, laptop in enumerate((one, other), start=5):
        assert laptop.wait(minutes=minutes)("diary", "--correct", entry[:8], "--kart", "blue").status == 0
    other("journal", "export", str(one.folder / "b"))
    assert one("journal", "import", str(one.folder / "b")).status == 0
    with Journal(one.journal, read_only=True) as journal:
        assert [(t.kart, t.dropped) for t in trials.latest(journal, 9)] == [("red", True), ("blue", False)]


def _exported(laptop: Laptop) -> str:
    path = str(laptop.folder / f"{uuid1()}.jsonl")
    assert laptop("journal", "export", path).status == 0
    return path


def _exchanged(one: Laptop, other: Laptop) -> list[str]:
    """Each journal goes to the other laptop; what the imports said."""
    from_one, from_other = _exported(one), _exported(other)
    return [one("journal", "import", from_other).text, other("journal", "import", from_one).text]


def test_a_note_that_two_laptops_put_to_two_karts_has_its_trial_at_one(
    laptops: Callable[[str], Laptop],
) -> None:
    """Whichever of the two it is, and whoever told what came of it, at the kart that it left or at the other."""
    one, other = laptops("awning"), laptops("grid")
    entry = _sits_on_a_note(one, "pushes mid corner, dry", "g", "t", "1", "q")
    other("journal", "import", _exported(one))
    for minutes, laptop, kart in ((5, one, "blue"), (9, other, "green")):
        assert laptop.wait(minutes=minutes)("diary", "--correct", entry[:8], "--kart", kart).status == 0
    assert one.wait(minutes=20)("outcome", "worse", "--kart", "blue").status == 0
    said = _exchanged(one, other)
    assert all("Crossed out, as the run is of green: widen the front track (blue" in text for text in said)
    assert "Crossed out" not in "".join(_exchanged(one, other))
    for kart in ("green", "blue"):
        if kart == "blue":
            other.wait(minutes=60)("diary", "--correct", entry[:8], "--kart", kart)
            _exchanged(one, other)
        for laptop in (one, other):
            with Journal(laptop.journal, read_only=True) as journal:
                stand = [(t.kart, t.verdict) for t in trials.latest(journal, 9) if not t.dropped]
            assert stand == [(kart, "worse")]


def test_an_outcome_told_of_a_change_whose_note_went_elsewhere_meanwhile_goes_after_it(
    laptops: Callable[[str], Laptop],
) -> None:
    one, other = laptops("awning"), laptops("grid")
    entry = _sits_on_a_note(one, "pushes mid corner, dry", "g", "t", "1", "q")
    other("journal", "import", _exported(one))
    assert one.wait(minutes=5)("diary", "--correct", entry[:8], "--kart", "blue").status == 0
    assert other.wait(minutes=9)("outcome", "better", "--kart", "red").status == 0
    _exchanged(one, other)
    for laptop in (one, other):
        with Journal(laptop.journal, read_only=True) as journal:
            stand = [(t.kart, t.verdict, t.by) for t in trials.latest(journal, 9) if not t.dropped]
        assert stand == [("blue", "better", "Tom")]
        assert "two things were said" not in laptop("history").text


def test_an_outcome_told_with_a_correction_is_of_its_kart_and_of_whoever_drove(laptop: Laptop) -> None:
    observed = {"balance": "oversteer", "phase": "entry", "track": "dry"}
    entry = _noted(laptop, "--words", "pushes", "--driver", "Jo")
    laptop.tries("blue", observed, "caster", "less", "loose")
    done = laptop("diary", "--correct", entry[:8], "--outcome", "better")
    assert done.status == 1
    assert "no change of red waits for an outcome; those of others do" in done.text
    laptop.tries("red", observed, "caster", "less", "loose")
    _noted(laptop.wait(minutes=30), "--words", "hops", "--driver", "Kim")
    assert laptop("diary", "--correct", entry[:8], "--outcome", "better").status == 0
    with Journal(laptop.journal, read_only=True) as journal:
        assert [(t.kart, t.verdict, t.by) for t in trials.latest(journal, 9, "judged")] == [
            ("red", "better", "Jo")
        ]


def test_a_trial_of_a_note_that_was_written_by_hand_goes_along_too(laptop: Laptop) -> None:
    entry = _sits_on_a_note(laptop, "pushes mid corner, dry", "g", "t", "1", "q")
    with Journal(laptop.journal) as journal:
        (trial,) = trials.latest(journal, 9)
        odd = replace(trial, case={**trial.case, "setup": ["soft"]})
        journal.append(trials.anew(odd, "e" * 32, trial.at, trial.belongs))
    done = laptop.wait(minutes=5)("diary", "--correct", entry[:8], "--kart", "blue")
    assert done.status == 0, done
    assert done.text.count("Goes along with it") == 2


def test_a_note_goes_from_a_kart_whose_file_is_gone(laptop: Laptop) -> None:
    entry = _noted(laptop, "--words", "pushes", "--driver", "Jo")
    _noted(laptop.wait(minutes=20), "--words", "hops", "--driver", "Jo")
    (path,) = (laptop.folder / "karts" / "karts").glob("red.yaml")
    path.unlink()
    done = laptop.wait(minutes=5)("diary", "--correct", entry[:8], "--kart", "blue")
    assert done.status == 0, done
    assert "with Jo driving too" in done.text
