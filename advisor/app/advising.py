"""The advice on one screen: what to look at, three changes at most, why the first; and what is one key away."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property

from advisor.app import after_run, behind, by_loads, hear, wording
from advisor.app.asking import Stopped
from advisor.app.closing import Closed, put_right
from advisor.app.looking import WHICH, Looking, named
from advisor.app.outcome import with_value
from advisor.app.place import NO, YES, Go, heard, stay
from advisor.app.prompt import EMPTY, Everything, Prompt, Row, news, options
from advisor.app.workspace import Workspace
from advisor.interview import explanations, steps
from advisor.interview.choices import numbered
from advisor.interview.steps import State
from advisor.karts import sheets
from advisor.model.advice import Advice, Answer, Stop
from advisor.model.assumed import STANDS_OUT
from advisor.model.case import Tried
from advisor.model.knowledge import Cause
from advisor.model.scale import PROBABILITY
from advisor.planning.alarms import doubted

TOP = 3
LOOKS_SHOWN = 3
ENDED = "Good: it is right now. Change nothing more; thank you, it is written down."
NEARLY = 0.5  # of the probability that stops at once: an inspection for it cannot be passed over (ours)


NOT_SEEN = "You could not tell whether it is safe: have it looked at before it is driven."
NOTHING_LEFT = "Nothing is left to change: say more of what it does, or ask somebody who knows it."
WAITS = "A number tries a change and writes it down; q leaves, and it waits here."
NONE_WAITS = "No change waits for its outcome here: a number tries one. What does it do now?"
NO_MORE = "No change stands out beside that. Look (l), and say what you found."


@dataclass(frozen=True)
class Advising:
    """The advice as it stands. `desk` is kept at hand so that it is reasoned once."""

    state: State
    desk: Workspace
    done: bool = False

    # --- what is offered ------------------------------------------------------------------------

    @cached_property
    def found(self) -> Answer:
        answer = steps.answer(self.desk.mind, self.state)
        return wording.all_as_set(answer, self.desk.mind.book, self.state.case.rules)

    @cached_property
    def looks(self) -> tuple[Advice, ...]:
        """What to look at on the stand before a change is driven."""
        return () if self.found.understood.get("preparing") else steps.look_first(self.desk.mind, self.state)

    @cached_property
    def offered(self) -> tuple[Advice, ...]:
        """The changes that are shown, with values as people set them; looks stand above, if there are others.

        Long shots only fill a list: they are left to "more", but for the first, and what is prepared. A change that
        somebody has in mind is among them: a team may try its own idea, and have it written down.
        """
        driven = tuple(a for a in self.found.advice if not self._is_look(a)) or self.found.advice
        driven = tuple(a for a in driven if (a.lever, a.direction) != self._undone())
        ideas = {
            (lever, way or a.direction) for lever, way in self.state.gathered.evidence.ideas for a in driven
        }
        likely = wording.likely(self.found, driven) or (() if self.looks else driven[:1])
        own = [a for a in driven if (a.lever, a.direction) in ideas and a not in likely[:TOP]][:1]
        return (*likely[: TOP - len(own)], *own)

    def _undone(self) -> tuple[str, str | None]:
        """The way that only puts the last change back, which is said above."""
        last = self.put_back
        ways = self.desk.mind.book.levers[last.lever].ways if last else {}
        return (last.lever, ways[last.direction].opposite) if last and last.direction in ways else ("", None)

    def _is_look(self, advice: Advice) -> bool:
        return self.desk.mind.book.is_look(advice.lever, advice.direction)

    @cached_property
    def put_back(self) -> Tried | None:
        """A change that did not help and has not been told to stay on."""
        last = self.state.case.tried[-1] if self.state.case.tried else None
        if last is None or last.verdict == "better":
            return None
        trial = self.desk.find(self.desk.trial)
        if trial is not None and trial.change.lever == last.lever and hear.is_put_back(trial.note):
            return None
        stays = f"{last.lever} {last.direction}" in self.state.case.history
        return (
            last
            if not stays and wording.reversible(self.desk.mind.book, last.lever, last.direction)
            else None
        )

    @cached_property
    def due(self) -> Stop | None:
        """An inspection that cannot be passed over: what it would find nearly stops by itself."""
        worst: tuple[float, Cause] | None = None
        chances = {c.id: c.probability for c in self.found.causes}
        looks = {look.lever for look in (*self.looks, *self.found.advice[:1])}
        done = {t.lever for t in self.state.case.tried}
        for cause in self.desk.mind.book.causes.values():
            danger = cause.danger
            if danger is None or not danger.inspect or danger.inspect[0] not in looks - done:
                continue
            if cause.id in self.state.case.cleared:
                continue
            weight = chances.get(cause.id, 0.0) / PROBABILITY[danger.at]
            if weight >= NEARLY and (worst is None or weight > worst[0]):
                worst = weight, cause
        if worst is None or worst[1].danger is None:
            return None
        return Stop(worst[1].id, worst[1].danger.text, worst[1].danger.inspect[:1])

    # --- the screen -----------------------------------------------------------------------------

    def prompt(self, desk: Workspace) -> Prompt:
        found, state = self.found, self.state
        rows = [wording.known(found.understood, state.case, desk.mind.book), *self._before()]
        if self.offered:
            rows.append(Row(self._title(), "bold", most=2))
            for place in range(1, len(self.offered) + 1):
                rows += wording.change(place, self.offered, desk.mind.book, state.case.tried)
            rows.append(Row(self._why_first(), most=2, rank=1))
        else:
            rows.append(Row(NO_MORE if self.looks else NOTHING_LEFT, "bold", most=2))
        rows += [
            Row(
                f"Held back: {wording.name(desk.mind.book, w.lever, w.direction)}: {w.reason}.",
                "dim",
                most=1,
                rank=6,
            )
            for w in found.withheld[:1]
        ]
        return Prompt("advice", tuple(rows), self._keys(), tuple(a.say for a in self.offered))

    def _keys(self) -> tuple[str, ...]:
        keys = (
            [f"1-{len(self.offered)}: try it" if len(self.offered) > 1 else "1: try it"]
            if self.offered
            else []
        )
        keys += ["l: look"] if self.looks else []
        keys += ["p: it stays on"] if self.put_back else []
        return (*keys, "m: more", "w: why", "a: ask on", "f: fix it now", "b: back", "h: keys", "q: leave")

    def _before(self) -> list[Row]:
        """What comes before any change: a rule that is broken, what to put back, what to look at."""
        found = self.found
        rows = [Row(text, most=4, rank=1) for text in found.judged[:1]]
        evidence = self.state.gathered.evidence
        asked = doubted(self.desk.mind.book, evidence, frozenset())
        if asked and asked.id in self.state.skipped and not evidence.answered(asked.id):
            rows.append(Row(NOT_SEEN, "bold", most=2))
        rows += [Row(f"{text[:1].upper()}{text[1:]}.", "bold", most=2) for text in self.broken[:1]]
        if self.put_back:
            rows.append(Row(f"Put back first: {self._back(self.put_back)}", "bold", most=2))
        if found.enough:
            rows.append(Row(found.enough, "bold", most=3))
        elif found.first:
            rows.append(
                Row(f"I cannot tell yet. Look or ask: {found.first[0].text} (a: answer it)", "bold", most=2)
            )
        if self.looks:
            names = [f"{look.say} ({wording.minutes(look.minutes)})" for look in self.looks[:LOOKS_SHOWN]]
            rows.append(Row(f"Look first, no run needed: {wording.joined(names)}.", most=2))
        return rows

    @property
    def broken(self) -> tuple[str, ...]:
        """What the class does not allow as it stands."""
        return tuple(sheets.beyond(self.state.case))

    def _back(self, last: Tried) -> str:
        """What putting the last change back is, and to where."""
        book = self.desk.mind.book
        opposite = book.levers[last.lever].ways[last.direction].opposite
        say = wording.name(book, last.lever, opposite or last.direction)
        value = self.state.case.setup.get(last.lever)
        return f"{say} again{f', to {value}' if value is not None else ' as it was'}."

    def _title(self) -> str:
        if self.found.understood.get("preparing"):
            return "To prepare, in this order"
        if self.found.first or self.found.enough or all(a.chance < STANDS_OUT for a in self.offered):
            return "If you must change something now:"
        return "Then try one" if self.looks else "Try one of these"

    def _why_first(self) -> str:
        """One line why the first stands first."""
        book, first = self.desk.mind.book, self.offered[0]
        done = steps.reasoning(self.desk.mind, self.state)
        mine = next((r for r in done.ranked if r.prospect.lever == first.lever), None)
        if mine is None:
            return ""
        cause = list(book.causes.values())[mine.prospect.best]
        names = {a.lever for a in self.offered}
        others = [r for r in done.ranked if r.prospect.lever in names]
        order = "most chance for its minutes"
        if len(self.offered) == 1:
            order = "the one that is left"
        elif max(others, key=lambda r: r.worth / r.said) is not mine:
            order = "mechanics try it first where this is told"
        return f"Why 1: {order}; perhaps {cause.name}."

    # --- what is typed --------------------------------------------------------------------------

    def reply(self, desk: Workspace, text: str) -> Go:
        key, _, rest = text.strip().partition(" ")
        key = key.lower()
        if not text or text.lower() in hear.TAKE:
            return stay(WAITS if self.offered else "l looks, a asks on; q leaves, and it waits here.")
        if text.lower() in ("none", "0"):
            return stay("No change is chosen, so none is written down. q leaves, a asks on.")
        act = self._keyed(key)
        if act is not None and not rest:
            return act()
        if key in ("w", "why", "?", "i", "n") or (key[:1] == "w" and key[1:].isdigit()):
            return self._explain(key, rest)
        place = numbered([a.say for a in self.offered], text)
        if place is not None:
            return self._try(desk, self.offered[place])
        if text.isdigit() and not self.offered:
            return stay("No change stands here. h shows the keys.")
        if text.isdigit():
            numbers = (
                f"A number from 1 to {len(self.offered)}" if len(self.offered) > 1 else "Only 1 can be tried"
            )
            return stay(f"{numbers}, or a key: h shows them.")
        return self._news(desk, text)

    def _keyed(self, key: str) -> Callable[[], Go] | None:
        """What a key does that stands alone."""
        keys: dict[str, Callable[[], Go]] = {
            "m": self._everything,
            "more": self._everything,
            "a": lambda: Go(on=steps.asking_more(self.state)),
            "f": self._at_once,
            "p": self._stays_on,
            "l": self._look,
            "look": self._look,
            "plan": self._plan,
            "s": lambda: self._all_sound(self.desk),
        }
        return keys.get(key)

    def _news(self, desk: Workspace, text: str) -> Go:
        """Free words at the advice: it is right now, or something new."""
        came = after_run.came(text)
        if came is not None and came.gone:
            return Go(to=Closed(self.state, ENDED))
        told = heard(desk, self.state, text)
        if came is not None and (told is None or told[0] is self.state):
            return stay(NONE_WAITS)
        if told:
            return Go(on=steps.taking(told[0]), said=told[1])
        if hear.found(text) == "mended" and (looks := self._to_look_at()):
            look = named(desk, looks, text)
            return put_right(desk, self.state, look, text) if look else _go_through(self.state, looks, WHICH)
        return stay(
            f"Not understood. {'A number tries a change; h' if self.offered else 'h'} shows the keys."
        )

    def _to_look_at(self) -> tuple[Advice, ...]:
        """The inspections that are open: those before a change, else what of the list is one."""
        return self.looks or tuple(a for a in self.found.advice if self._is_look(a))

    def _try(self, desk: Workspace, advice: Advice, *beside: Advice) -> Go:
        """Write a change down, unless something must be inspected first or it is only a look."""
        if self.due:
            return Go(to=Stopped(self.state, self.due, due=True))
        if self._is_look(advice):
            return _go_through(self.state, (advice,))
        trial = desk.keep(self.state, advice, *beside)

        def undo() -> tuple[Row, ...]:
            desk.drop(trial, "taken back")
            return (news(f"Taken back: {trial.say}."),)

        said = [
            Row(f"Written down: {wording.headline(a)}{wording.each_part(a, desk.mind.book)}.", "bold", most=3)
            for a in (advice, *beside)
        ]
        said += [
            Row(f"Care: {t}", most=3, rank=2)
            for t in dict.fromkeys(c for a in (advice, *beside) for c in a.cautions)
        ]
        return Go(trial=trial, said=tuple(said), undo=undo)

    def _at_once(self) -> Go:
        together = steps.at_once(self.desk.mind, self.state)
        if len(together) < 2:
            return stay("No second change is worth making before the same run.")
        book, rules = self.desk.mind.book, self.state.case.rules
        return Go(to=Together(self, tuple(wording.as_set(a, book, rules.get(a.lever)) for a in together)))

    def _look(self) -> Go:
        return (
            _go_through(self.state, self.looks)
            if self.looks
            else stay("Nothing is worth a look before a change.")
        )

    def _all_sound(self, desk: Workspace) -> Go:
        if not self.looks:
            return stay("Nothing was to be looked at.")
        return Go(
            on=steps.taking(steps.looked(desk.mind, self.state, self.looks)),
            said=(news("Written down: all sound."),),
        )

    def _stays_on(self) -> Go:
        """The change that did not help stays on the kart: from now on the setup is so."""
        last = self.put_back
        if last is None:
            return stay("There is nothing to be put back.")
        case = self.state.case
        trial = self.desk.find(self.desk.trial)
        change = (
            next((c for c in trial.changes if (c.lever, c.direction) == (last.lever, last.direction)), None)
            if trial
            else None
        )
        if change is not None:
            case = with_value(case, change, self.desk.mind.book)
        case = replace(case, history=(*case.history, f"{last.lever} {last.direction}"))
        what = wording.name(self.desk.mind.book, last.lever, last.direction)
        said = f"It stays on: {what}. It counts as a change that was made."

        def undo() -> tuple[Row, ...]:
            if trial and change:
                self.desk.stays(trial, ())
            return ()

        if trial and change:
            self.desk.stays(trial, (change.lever,))
        return Go(
            on=steps.taking(steps.having(self.desk.mind, self.state, case)), said=(news(said),), undo=undo
        )

    # --- what is one key away -------------------------------------------------------------------

    def _everything(self) -> Go:
        return Go(page=Everything(by_loads.with_loads(self.desk.mind.book, self.found, self.state.case)))

    def _explain(self, key: str, rest: str) -> Go:
        mind = self.desk.mind
        if key == "n":
            if not rest:
                return stay("Why not which change? Type n and its name, such as: n caster")
            return stay(explanations.why_not(mind, self.state, rest))
        if key == "i":
            return behind.what_if(mind, self.state, rest)
        number = (key[1:] if key[1:].isdigit() else rest.strip()) or "1"
        if number.isdigit() and 1 <= int(number) <= len(self.offered):
            return Go(page=behind.evidence(mind, self.state, self.offered[int(number) - 1]))
        return stay(f"w and a number from 1 to {len(self.offered)} tells why.")

    def _plan(self) -> Go:
        if not self.offered:
            return stay("There is no plan without a change.")
        return Go(page=behind.plan(self.desk.mind, self.state, self.offered[0]))


def _go_through(state: State, looks: tuple[Advice, ...], said: str = "") -> Go:
    return Go(to=Looking(steps.going_through(state, looks), looks), said=(news(said),) if said else ())


@dataclass(frozen=True)
class Together:
    """Several changes before one run, and what that costs in knowing."""

    advising: Advising
    changes: tuple[Advice, ...]
    done: bool = False

    @property
    def state(self) -> State:
        return self.advising.state

    def prompt(self, desk: Workspace) -> Prompt:
        rows = (
            Row(f"Fix it now: {len(self.changes)} changes before one run", "bold"),
            *options([f"{wording.headline(a)} ({wording.minutes(a.minutes)})" for a in self.changes]),
            EMPTY,
            Row(
                "One run judges them all. Better: you will not know which part did it. Worse: put them all back.",
                rank=2,
            ),
            Row("Make them all?", "bold"),
        )
        return Prompt("together", rows, ("Enter: yes", "n: one at a time", "b: back"))

    def reply(self, desk: Workspace, text: str) -> Go:
        if text.lower() in YES:
            return self.advising._try(desk, *self.changes)
        if text.lower() in NO:
            return Go(to=self.advising)
        return stay("Enter makes them all, n goes back to one at a time.")
