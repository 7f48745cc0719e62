"""What came of a change: in a person's own words, with a note and laps beside it; and the value on file."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import partial

from advisor.app import after_run, danger, hear, named, outcome, wording
from advisor.app.closing import Closed
from advisor.app.felt import said_of
from advisor.app.opening import Opening
from advisor.app.outcome import Learnt, OnFile
from advisor.app.place import NO, YES, Go, Place, stay
from advisor.app.prompt import Prompt, Row, news, options
from advisor.app.workspace import Workspace
from advisor.interview import steps
from advisor.interview.choices import numbered
from advisor.interview.steps import State
from advisor.journal.trials import Trial
from advisor.model.case import VERDICTS, Laps, Verdict
from advisor.model.scale import percent
from advisor.problems import UnusableError

CAME = (
    "better",
    "the same",
    "worse",
    "gone: it is right now",
    "not driven: something else first",
    "never mind: cross it out",
)
NEW_FAULT = "A new fault may come from the change. If it is worse than the old one, take the change back or half of it."
UNREADABLE = (
    "The outcome is written down; the case it belongs to cannot be read any more, so there is no next advice."
)
NO_MORE = 4  # words of a line that says that it is gone, and no more (ours)
_LAP = re.compile(r"\b\d{2,3}[.,]\d{1,3}\b")
_NOT_DRIVEN = re.compile(
    r"(?i)\b(?:not (?:driven|tried|yet)|did(?:nt| not|n.t) (?:do it|change it|drive|run))\b"
)
_NO_RUN = re.compile(r"(?i)\b(?:red flag\w*|rained off|called off)\b")


@dataclass(frozen=True)
class Waiting:
    """A change that is to be driven, or whose outcome is to be put right."""

    trial: Trial
    after: Place | None = None  # where "something else first" leads
    beside: str = ""  # news told before the outcome, which counts with it
    state: State | None = None
    done: bool = True

    def prompt(self, desk: Workspace) -> Prompt:
        first, *beside = self.trial.changes
        to = (
            f" (to {first.to.value:g} {first.to.unit})"
            if first.to and isinstance(first.to.value, float)
            else ""
        )
        tried = wording.joined([f"{first.say}{to}", *(c.say for c in beside)])
        rows = [
            Row(f"Tried: {tried}", "bold", most=3),
            Row(f"For: {self._whose(desk)}", "dim", indent=2, most=1, rank=5)
            if self.trial.complaint
            else None,
            Row(f"Feel for: {first.feel_for}.", indent=2, most=3, rank=2),
            Row(f"Wrong if: {first.wrong_if}.", indent=2, most=3, rank=3),
            Row(f"It is written down as: {self.trial.verdict}. Enter leaves it so.", "bold")
            if self.trial.verdict
            else None,
            Row("What came of it? In your own words, laps too, or a number:", "bold", most=2),
            *options(CAME),
        ]
        keys = (
            "?: in full",
            "b: back" if self.trial.verdict else "b: take the choice back",
            "h: keys",
            "q: leave" if self.trial.verdict else "q: leave, it waits",
        )
        return Prompt("outcome", tuple(r for r in rows if r), keys, VERDICTS)

    def reply(self, desk: Workspace, text: str) -> Go:
        if not text:
            if self.trial.verdict:
                return learnt_from(desk, outcome.learn(desk, self.trial))
            return stay(
                "Drive it first; q leaves, and it is asked here next time. In words: better, same, worse, gone."
            )
        if text == "?":
            return Go(page=self._in_full(desk))
        place = numbered(CAME, text)
        if place == 4:
            return self._not_driven(desk)
        if place == 5 or text.lower() in ("never mind", "nevermind", "drop", "cross it out"):
            return self._dropped(desk)
        if place is not None:
            verdict: Verdict = VERDICTS[place] if place < len(VERDICTS) else "better"
            return self._noted(desk, verdict, place == 3)
        came = after_run.came(text)
        if _NOT_DRIVEN.search(text) or (came is None and _NO_RUN.search(text)):
            return stay("Then it waits. q leaves, and it is asked here next time.")
        tells = said_of(desk.mind, text).said or danger.hinted(desk.mind, text)
        if came is None and (hear.minutes_left(text) is not None or tells):
            beside = _with(self.beside, text)
            said = news(f"It counts with the outcome: {beside}. And what came of the change?")
            return Go(to=replace(self, beside=beside), said=(said,))
        if came is None:
            return stay(
                "Better, the same or worse? A number from 1 to 6, or words such as: bit better, nope, gone."
            )
        return self._noted(desk, came.verdict, came.gone, came.note)

    def _whose(self, desk: Workspace) -> str:
        return named.title(self.trial, desk.now) if self.trial.belongs.kart else self.trial.complaint

    def _in_full(self, desk: Workspace) -> tuple[Row, ...]:
        """What was chosen, with all the care it wants."""
        rows: list[Row] = []
        for change in self.trial.changes:
            rows.append(Row(f"{change.say[:1].upper()}{change.say[1:]}", "bold"))
            rows.append(Row(f"Feel for: {change.feel_for}.", indent=2))
            rows.append(Row(f"Wrong if: {change.wrong_if}.", indent=2))
            lever = desk.mind.book.levers.get(change.lever)
            rows += [Row(f"Care: {text}", indent=2) for text in (lever.cautions if lever else ())]
        return tuple(rows)

    def _not_driven(self, desk: Workspace) -> Go:
        trial = desk.again(self.trial) if self.trial.verdict else self.trial
        desk.anew()
        return Go(to=self.after or Opening(), said=(news(f"It still waits: {trial.say}."),))

    def _dropped(self, desk: Workspace) -> Go:
        """Never mind: the change is crossed out, and the list stands there again."""
        desk.drop(self.trial)
        case = desk.case(self.trial.case)

        def undo() -> tuple[Row, ...]:
            desk.again(self.trial)
            return (news("It waits again."),)

        said = (news(f"Crossed out: {self.trial.say}."),)
        if case is None:
            return Go(to=Opening(), said=said, undo=undo)
        return Go(on=steps.taking(steps.begin(desk.mind, case)), said=said, undo=undo)

    def _noted(self, desk: Workspace, verdict: Verdict, gone: bool, note: str = "") -> Go:
        note = _with(self.beside, note)
        if gone or note:
            return booked(desk, self.trial, verdict, note, gone)
        return Go(to=Noting(self.trial, verdict))


def _with(note: str, more: str) -> str:
    return "; ".join(filter(None, (note, more)))


@dataclass(frozen=True)
class Whose:
    """Changes of several karts wait for an outcome: which is spoken of?"""

    trials: tuple[Trial, ...]
    after: Place
    state: State | None = None
    done: bool = True

    def prompt(self, desk: Workspace) -> Prompt:
        rows = (
            Row("Changes of several karts wait for an outcome. Which is it about?", "bold"),
            *(
                Row(f"{n}  {named.title(trial, desk.now)}: {trial.say}", indent=2, hang=3, most=2)
                for n, trial in enumerate(self.trials, start=1)
            ),
        )
        return Prompt("whose", rows, ("Enter: something else", "h: keys", "q: leave, they wait"))

    def reply(self, desk: Workspace, text: str) -> Go:
        if not text:
            return Go(to=self.after)
        place = numbered([trial.belongs.kart or "none" for trial in self.trials], text)
        if place is None:
            return stay(f"A number from 1 to {len(self.trials)}, the name of the kart, or Enter.")
        desk.taken_up(self.trials[place])
        return Go(to=Waiting(self.trials[place], self.after))


@dataclass(frozen=True)
class Noting:
    """What else it does now, before the outcome is written down."""

    trial: Trial
    verdict: Verdict
    state: State | None = None
    done: bool = True

    def prompt(self, desk: Workspace) -> Prompt:
        rows = (
            Row(f"{self.trial.say}: {self.verdict}", "bold", most=2),
            Row("What else does it do now? Laps, weather, minutes left: all of it helps.", most=3),
        )
        return Prompt("note", rows, ("Enter: nothing", "b: back"))

    def reply(self, desk: Workspace, text: str) -> Go:
        came = after_run.came(text) if self.verdict == "better" and len(text.split()) <= NO_MORE else None
        return booked(desk, self.trial, self.verdict, text, came is not None and came.gone)


def booked(
    desk: Workspace, trial: Trial, verdict: Verdict, note: str, gone: bool, laps: Laps | None = None
) -> Go:
    """Write an outcome down; what it taught, and on to the next advice or to the end of the matter."""
    desk.trial = trial.id
    if not desk.title:
        desk.title = trial.complaint
    _, *more = desk.verdict(trial, verdict, note, laps)
    plain = _LAP.sub(" ", note)  # laps are kept in the note; they tell nothing of the kart
    gone = gone and not danger.told(desk.mind, plain).answers
    found = outcome.learn(desk, replace(trial, verdict=verdict, note="" if gone else plain, laps=laps))
    if found and (asked := outcome.asked_first(desk.mind, found, plain)):
        found, gone = asked, False
        more.append(danger.ASKED_FIRST)
    then = learnt_from(desk, found, gone, fresh=True)
    return replace(then, said=(*then.said, *(news(text) for text in more)))


def learnt_from(desk: Workspace, found: Learnt | None, gone: bool = False, fresh: bool = False) -> Go:
    """Where an outcome that is written down leads."""
    if found is None:
        return Go(to=Closed(None, UNREADABLE))
    kart = found.after.case.kart_file
    entries = (
        tuple(outcome.for_file(found.trial, kart, desk.mind.book))
        if fresh and found.verdict == "better"
        else ()
    )
    after = steps.taking(found.after)
    then = _ended(desk, found) if gone else Go(on=after, said=_said(desk, found))
    return Go(to=Filing(entries, then, after, gone)) if entries else then


def _ended(desk: Workspace, found: Learnt) -> Go:
    before, after = steps.answer(desk.mind, found.before), steps.answer(desk.mind, found.after)
    learnt = [
        f"Learnt: {name}, {percent(old)} -> {percent(new)} likely"
        for name, old, new in outcome.moved(before, after, 3)
    ]
    text = f"Good: it is right now ({found.trial.say}). Change nothing more; thank you, it is written down."
    return Go(to=Closed(found.after, text, tuple(learnt)))


def _said(desk: Workspace, found: Learnt) -> tuple[Row, ...]:
    """What the outcome taught, in two lines."""
    before, after = steps.answer(desk.mind, found.before), steps.answer(desk.mind, found.after)
    rows = []
    told = {k: v for k, v in found.news.items() if k not in ("respelt", "keep")}
    if told:
        rows.append(news(f"Heard in the note: {wording.listed(told, desk.mind.book)}."))
    if found.soured:
        rows.append(news(NEW_FAULT, "bold"))
    if found.verdict == "better":
        change = found.trial.change
        stays = wording.reversible(desk.mind.book, change.lever, change.direction)
        keep = "it stays on" if stays else "keep at it"
        rows.append(news(f"Better: {keep}. If the kart is right now, type: gone. If not, this is next."))
    moved = outcome.moved(before, after, 1)
    if moved:
        name, old, new = moved[0]
        word = "likelier" if new > old else "less likely"
        rows.append(Row(f"Learnt: {word} now: {name}.", "dim", most=2, rank=4))
    return tuple(rows)


@dataclass(frozen=True)
class Filing:
    """A change that helped belongs into the kart file as well; it is written there if the driver wants it."""

    entries: tuple[OnFile, ...]
    then: Go
    after: State
    done: bool = False  # true where the fault is gone: nothing is left to go on with

    @property
    def state(self) -> State | None:
        return self.after

    def prompt(self, desk: Workspace) -> Prompt:
        entry = self.entries[0]
        rows = (Row(f"Write it into the kart file {entry.kart} too ({entry.name}: {entry.value})?", "bold"),)
        return Prompt("file", rows, ("Enter: yes", "n: no", "b: back"))

    def reply(self, desk: Workspace, text: str) -> Go:
        entry, *rest = self.entries
        if text.lower() in NO:
            said = f"The kart file {entry.kart} stays as it is. If the change stays on: advisor kart edit {entry.kart}"
            return self._next(rest, said)
        if text.lower() not in YES:
            return stay("Enter writes it, n leaves the file as it is.")
        try:
            path, old = outcome.write_file(desk, entry)
        except UnusableError as error:  # a row of the journal that was written by hand
            return self._next(rest, str(error))
        if old is None:
            return self._next(
                rest, f"{path} has no plain value there; write it yourself: {entry.lever}: {entry.value}"
            )
        undo = partial(_as_it_was, desk, replace(entry, value=old))
        return replace(self._next(rest, f"Written: {path}"), undo=undo)

    def _next(self, rest: list[OnFile], said: str) -> Go:
        if rest:
            return Go(to=replace(self, entries=tuple(rest)), said=(news(said),))
        return replace(self.then, said=(news(said), *self.then.said))


def _as_it_was(desk: Workspace, entry: OnFile) -> tuple[Row, ...]:
    """A kart file gets its old value again."""
    try:
        outcome.write_file(desk, entry)
    except (UnusableError, OSError) as error:
        return (news(str(error)),)
    return (news(f"The kart file {entry.kart} says again: {entry.name}: {entry.value}."),)
