"""Whatever the order of karts, drivers, laptops and clocks: no event is another kart's, the same set says the same."""

from __future__ import annotations

from argparse import Namespace
from dataclasses import dataclass, field, replace
from datetime import timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.cli import places, stamps, waiting
from advisor.journal import belonging, carry, notes, trials
from advisor.journal.notes import Note, note_event
from advisor.journal.store import Journal
from advisor.journal.trials import verdict_event
from advisor.learning import experience
from advisor.model.belonging import kart_name
from advisor.model.case import VERDICTS
from advisor.problems import UnusableError
from tests.diary.paddock import START, Laptop
from tests.journal.rows import IN_MEMORY
from tests.reasoning.minds import patiently

KARTS, SPELT = ("red", "blue", "green"), {"red": "RED", "blue": "karts/blue.yaml", "green": "green"}
FAULTS = ({"balance": "oversteer", "phase": "entry"}, {"balance": "understeer", "phase": "mid"})
TURNS = (("caster", "less"), ("caster", "more"), ("front_track_width", "narrower"))
NOW = START + timedelta(days=3)

steps = st.lists(
    st.tuples(
        st.integers(0, 2),  # which laptop
        st.sampled_from(KARTS),
        st.sampled_from(("Mia", "Tom", "Ida", "")),
        st.sampled_from(("tries", "judges", "notes", "any", "merges", "clock")),
        st.integers(0, 11),
    ),
    min_size=4,
    max_size=30,
)


@dataclass
class Club:
    """Laptops, and what a faithful scribe beside them knows: whose trial each is, and who drove it."""

    laptops: list[Laptop]
    whose: dict[str, str] = field(default_factory=dict)  # trial or entry -> kart
    told: dict[str, str] = field(default_factory=dict)  # verdict -> trial

    def does(self, which: int, kart: str, driver: str, what: str, number: int) -> None:
        laptop = self.laptops[which]
        laptop.wait(minutes=7)
        if what == "clock":
            laptop.ahead = timedelta(hours=(number - 6) * 5)
        elif what == "merges":
            self._merge(self.laptops[number % 3], laptop)
        elif what == "tries":
            lever, way = TURNS[number % 3]
            self.whose[laptop.tries(SPELT[kart], FAULTS[number % 2], lever, way)] = kart
        else:
            options = Namespace(
                kart=None if what == "any" else SPELT[kart], **({"place_driver": driver} if driver else {})
            )
            with laptop.at_work(), Journal(laptop.journal) as journal:
                self._notes(journal, options, kart) if what == "notes" else self._judges(
                    journal, options, number
                )

    def _judges(self, journal: Journal, options: Namespace, number: int) -> None:
        try:
            trial = waiting.chosen(options, journal)
        except UnusableError:
            return  # it is not clear whose it is, and nothing is booked
        if trial is None:
            return
        if options.kart:
            assert trial.kart == kart_name(options.kart) == self.whose[trial.id]
        ident, at = stamps.stamp()
        where = places.place(options, journal, trial.belongs.kart)
        verdict = VERDICTS[number % 3]
        journal.append(verdict_event(ident, journal.stamp(at), trial.id, verdict, "", where=where))
        self.told[ident] = trial.id

    def _notes(self, journal: Journal, options: Namespace, kart: str) -> None:
        ident, at = stamps.stamp()
        where = places.place(options, journal, options.kart)
        journal.append(note_event(ident, journal.stamp(at), Note(f"n{ident}", where, words="hops")))
        self.whose[f"n{ident}"] = kart

    @staticmethod
    def _merge(source: Laptop, target: Laptop) -> None:
        path = target.folder / "carried"
        path.unlink(missing_ok=True)
        with Journal(source.journal) as journal:
            carry.write(journal, path)
        with Journal(target.journal) as journal:
            journal.merge(carry.Reader(path))

    def looks(self, laptop: Laptop) -> None:
        """No event of this laptop's journal is another kart's."""
        with Journal(laptop.journal) as journal:
            for trial in trials.trials(journal):
                assert trial.kart == self.whose[trial.id]
                assert all(p.facts["kart"] == trial.kart for p in trial.past(NOW))
            for kart in KARTS:
                assert all(self.whose[t.id] == kart for t in trials.waiting(journal, kart))
                assert all(self.whose[t.id] == kart for t in trials.found(journal, 99, kart=kart))
                assert all(self.whose[n.entry] == kart for n in notes.runs(journal, 99, kart))
                assert belonging.known(journal, kart, "", NOW).kart in ("", SPELT[kart])
            for _, event in journal.since():
                if event.kind == "verdict":
                    of = self.whose[self.told[event.id]]
                    assert kart_name(event.body["belongs"]["kart"]) == of


@settings(patiently, max_examples=8)
@given(steps, st.randoms(use_true_random=False))
def test_nothing_is_booked_to_another_kart_and_the_order_says_nothing(
    rows: list[tuple[int, str, str, str, int]], chance: object
) -> None:
    with TemporaryDirectory(dir=IN_MEMORY) as folder:
        club = Club([Laptop(Path(folder) / str(i)) for i in range(3)])
        for row in rows:
            club.does(*row)
        for laptop in club.laptops:
            with Journal(laptop.journal):
                pass
            club.looks(laptop)
        heard = [_all_together(club, order, Path(folder)) for order in ((0, 1, 2), (2, 0, 1))]
        assert heard[0] == heard[1]


def _all_together(club: Club, order: tuple[int, ...], folder: Path) -> object:
    """All events on a new machine, taken in in some order: what counts as experience, and what it moves."""
    new = Laptop(folder / "".join(map(str, order)))
    for i in order:
        club._merge(club.laptops[i], new)
    club.looks(new)
    with Journal(new.journal) as journal:
        judged = trials.latest(journal, 200, "judged")
        past = tuple(p for trial in judged for p in trial.past(NOW))
        waits = [t.id for t in trials.waiting(journal)]
    now = {"kart": "red", **FAULTS[0]}
    tried, rest = experience.apart(past, (), now)
    return past, tried, rest, waits, [t.belongs for t in judged]


def test_the_same_set_of_events_gives_the_same_advice(tmp_path: Path) -> None:
    """One long day of three laptops, carried home by three ways."""
    from advisor.reasoning.advise import advise
    from tests.diary.paddock import case_of
    from tests.reasoning.minds import shipped

    club = Club([Laptop(tmp_path / str(i)) for i in range(3)])
    for i in range(24):
        kart = KARTS[i % 3]
        club.does((i * 7) % 3, kart, "Mia", "tries", i * 5)
        club.does((i * 7) % 3, kart, "Mia", "judges", i * 11)
        if i % 5 == 0:
            club.does(i % 3, kart, "", "merges", i + 1)
    case = case_of({"observed": FAULTS[0], "kart_file": "red"})
    said = []
    for order in ((0, 1, 2), (2, 1, 0)):
        past = _all_together(club, order, tmp_path)[0]  # type: ignore[index]
        said.append(advise(shipped(), replace(case, past=past)))
    assert said[0] == said[1]
    assert any("Your own" in line for a in said[0].advice for line in a.why)
