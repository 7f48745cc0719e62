"""What a sitting works with: the journal, the knowledge, the karts on file, and how to write an event."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path
from typing import Literal

from advisor.app import named
from advisor.interview.steps import State, begin
from advisor.journal.events import Event
from advisor.journal.notes import Note, note_event
from advisor.journal.sittings import Sitting, SittingRow, asked, before, sitting_event, sittings, unfinished
from advisor.journal.store import Journal
from advisor.journal.trials import Trial, anew, counted, latest, pending, trial_event, verdict_event, waiting
from advisor.journal.verdicts import of
from advisor.karts import noted, on_file
from advisor.karts.on_file import Kart
from advisor.karts.written import as_data, case_from_data
from advisor.model.advice import Advice
from advisor.model.belonging import Belonging
from advisor.model.case import Case, Laps, Past, Verdict
from advisor.problems import UnusableError
from advisor.reasoning.weighing import Mind

REMEMBERED = 200  # trials that count as experience, the latest; more would move nothing much
SITTINGS = 200  # of which it counts what was answered, the latest
LISTED = 9  # sittings that can be opened again, the latest
LONGEST = 8000  # letters of a complaint that are kept


def nowhere(kart: str, _: Kart | None) -> Belonging:
    """Where an event belongs if nothing but its kart is told."""
    return Belonging(kart=kart)


def nothing_more(_: Trial) -> tuple[str, ...]:
    """What there is to say after an outcome where no fixes are on file."""
    return ()


@dataclass
class Workspace:
    """A journal and a mind at hand. `fresh` gives an id and the time now; `title` is what was said first.

    `where`: where an event of a kart belongs, given its file; `looked_again`: what an outcome does to the team's
    fixes. `kart`: on file, once it is known which.
    """

    journal: Journal
    karts: Path
    mind: Mind
    fresh: Callable[[], tuple[str, str]]
    where: Callable[[str, Kart | None], Belonging] = nowhere
    looked_again: Callable[[Trial], tuple[str, ...]] = nothing_more
    kart: Kart | None = None
    sitting: str = ""
    title: str = ""
    trial: str = ""  # the change that was chosen last in this sitting
    latest: str = ""  # the event that tells how far this sitting has come
    _past: tuple[Past, ...] | None = field(default=None, repr=False)

    def stamp(self) -> tuple[str, str]:
        """A fresh id, and the time now or, where a clock was wrong, just after all that is known."""
        ident, now = self.fresh()
        return ident, self.journal.stamp(now)

    # --- what the journal tells ------------------------------------------------------------------

    @property
    def past(self) -> tuple[Past, ...]:
        """What the team has tried so far, as experience."""
        if self._past is None:
            judged, _ = counted(latest(self.journal, REMEMBERED, "judged"), self.now)
            self._past = tuple(past for trial in judged for past in trial.past(self.now))
        return self._past

    @property
    def now(self) -> datetime:
        """The time."""
        return datetime.fromisoformat(self.fresh()[1])

    def place(self, kart: str) -> Belonging:
        """Where an event of this kart belongs now."""
        return self.where(kart, self.kart)

    def standing(self, case: Case) -> tuple[Case, str]:
        """The case of a kart file as the kart stands now by the diary, and what of the diary counts, in words."""
        time = self.place(case.kart_file).time
        now, told = noted.as_it_stands(self.journal, case, self.mind.book, time, self.now)
        if told is None:
            return now, ""
        when = f" ({named.when(told.note.belongs.time, self.now)})" if told.note.entry else ""
        return now, noted.words(told, self.mind.book, when)

    def waiting(self, kart: str | None = None) -> Trial | None:
        """The latest change that waits for its outcome, of one kart if it is named."""
        return pending(self.journal, kart)

    def each_waiting(self) -> list[Trial]:
        """The latest change of each kart that waits for its outcome."""
        return list({trial.kart: trial for trial in waiting(self.journal)}.values())

    def left(self, kart: str | None = None) -> Sitting | None:
        """The latest sitting that was left before its end, of one kart if it is named."""
        return unfinished(self.journal, kart)

    def sittings(self) -> list[Sitting]:
        """The latest sittings, the latest first."""
        return sittings(self.journal, LISTED)

    def find(self, ident: str) -> Trial | None:
        """A trial of the latest by its id."""
        return next((t for t in latest(self.journal, REMEMBERED) if t.id == ident), None)

    def case(self, data: dict[str, object], sitting: str = "") -> Case | None:
        """A case of the journal, with the experience of other days; None where it cannot be read any more."""
        found = case_from_data(data, self.mind.book)
        return found and self.knowing(found, sitting)

    def knowing(self, case: Case, sitting: str = "") -> Case:
        """The case with what the team tried, what it answered in other sittings than this, and who drives today."""
        before = asked(self.journal, SITTINGS, but=sitting or self.sitting)
        return replace(case, past=self.past, asked=before, driver=self.place(case.kart_file).driver)

    def opened(self, sitting: Sitting) -> State | None:
        """The state in which a sitting was left, with a run that was noted since; from here on this is the sitting."""
        row = sitting.row
        case = self.case(row.case, row.sitting)
        if case is None:
            return None
        case = self._since(case, sitting.at)
        self.sitting, self.title, self.trial = row.sitting, row.complaint, row.trial
        self.latest = sitting.id
        known = self.mind.book.observations
        given = tuple((o, a) for o, a in row.answers if o in known and a in known[o].answers)
        return replace(
            begin(self.mind, case),
            asked=row.asked,
            answers=given,
            enough=row.enough,
            reopened=row.reopened if row.reopened in known else "",
            looking=tuple(lever for lever in row.looking if lever in self.mind.book.levers),
        )

    def before(self) -> Sitting | None:
        """How this sitting stood before it came to where it is, also in an earlier run of the program."""
        return before(self.journal, self.latest)

    def _since(self, case: Case, at: str) -> Case:
        """The case of a sitting that was left, as the kart stands by a run that was noted since."""
        try:
            file = on_file.read(self.karts, case.kart_file, self.mind.book).case if case.kart_file else None
        except UnusableError:  # it was on file once, or on another machine
            file = None
        told = file and noted.carried(self.journal, file, self.place(case.kart_file).time, self.now)
        return noted.over(case, told, self.mind.book) if told and told.note.at > at else case

    # --- what is written down --------------------------------------------------------------------

    def anew(self, title: str = "") -> None:
        """Begin another sitting, which keeps the words it began with."""
        self.sitting, self.title, self.trial, self.latest = "", title[:LONGEST], "", ""

    def note_day(self, here: Belonging) -> None:
        """Write down who drives a kart today, and where."""
        self.journal.append(
            note_event(*self.stamp(), Note(entry=self.stamp()[0], belongs=here, day_only=True))
        )

    def taken_up(self, trial: Trial) -> None:
        """The sitting in which a change was chosen goes on with its outcome."""
        self.title, self.trial = trial.complaint, trial.id
        found = next((s for s in self.sittings() if s.row.trial == trial.id), None)
        if found is not None:
            self.sitting, self.title, self.latest = found.row.sitting, found.row.complaint, found.id

    def remember(self, state: State, done: bool) -> None:
        """Write down how far a sitting has come."""
        self.sitting = self.sitting or self.stamp()[0]
        row = SittingRow(
            sitting=self.sitting,
            complaint=self.title,
            case=as_data(state.case),
            asked=state.asked,
            answers=[list(given) for given in state.answers],
            enough=state.enough,
            done=done,
            trial=self.trial,
            reopened=state.reopened,
            looking=list(state.looking),
            before=self.latest,
        )
        event = sitting_event(*self.stamp(), row)
        self.journal.append(event)
        self.latest = event.id

    def keep(self, state: State, advice: Advice, *beside: Advice) -> Trial:
        """Write down a change that was chosen, with what is expected of it, before it is confirmed."""
        event = trial_event(
            *self.stamp(),
            self.title,
            as_data(state.case),
            advice,
            *beside,
            where=self.place(state.case.kart_file),
        )
        self.journal.append(event)
        self.trial = event.id
        found = self.find(event.id)
        assert found is not None, "a trial that was just written is among the latest"
        return found

    def verdict(
        self, trial: Trial, verdict: Verdict, note: str = "", laps: Laps | None = None, driver: str = ""
    ) -> tuple[str, ...]:
        """Write down what came of a change, for the kart of its trial; a second verdict corrects those before it.

        `driver`: who drove that run, where it is not whoever drives the kart now. What there is to say of it, and of
        the fixes that it moves.
        """
        before = " and ".join(self._judged(trial, verdict, note, laps, driver))
        told = f"Written down for {named.line(trial, self.now)}: {verdict}"
        if " and " in before:
            told += f", which settles it ({before} were said)"
        elif before:
            told += f", instead of {before}"
        return (f"{told}.", *self.looked_again(trial))

    def drop(self, trial: Trial, note: str = "") -> None:
        """Cross out a change that is not driven."""
        self._judged(trial, "dropped", note)

    def _judged(
        self,
        trial: Trial,
        verdict: Verdict | Literal["dropped"],
        note: str,
        laps: Laps | None = None,
        driver: str = "",
    ) -> list[str]:
        """Write a verdict; what was said of the trial before."""
        old = of(self.journal, trial.id)
        here = self.place(trial.belongs.kart)
        where = replace(here, driver=driver or here.driver)
        stays = trial.stays if verdict != "dropped" else ()  # another word for it puts nothing back
        self.journal.append(
            verdict_event(
                *self.stamp(),
                trial.id,
                verdict,
                note,
                laps,
                replaces=[e.id for e in old],
                stays=stays,
                where=where,
            )
        )
        self._past = None
        return [str(e.body.get("verdict")) for e in old]

    def stays(self, trial: Trial, levers: Sequence[str]) -> None:
        """Write down that levers are left as they were tried, or with none that they are put back, after all."""
        old = of(self.journal, trial.id)
        if not old:
            return
        ident, at = self.stamp()
        body = {**old[-1].body, "stays": list(levers), "replaces": [e.id for e in old]}
        self.journal.append(Event(ident, at, "verdict", body))

    def again(self, trial: Trial) -> Trial:
        """Let a change wait for its outcome again: what was written of it is crossed out, and it is written anew."""
        self.drop(trial, "written down by mistake")
        here = self.place(trial.belongs.kart)
        event = anew(trial, *self.stamp(), here)
        self.journal.append(event)
        self.trial = event.id
        return replace(trial, id=event.id, at=event.at, verdict=None, note="", laps=None, belongs=here)


def told(trials: Sequence[Trial]) -> list[str]:
    """The complaints of some trials, to be offered again."""
    return [t.complaint for t in trials if t.complaint]
