"""The advice on one screen: what to look at, three changes at most, why the first; and what is one key away."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import exp

from advisor.app import hear, wording
from advisor.app.asking import Closed, Stopped
from advisor.app.outcome import with_value
from advisor.app.place import NO, YES, Go, heard, stay
from advisor.app.prompt import EMPTY, Everything, Prompt, Row, news, options
from advisor.app.workspace import Workspace
from advisor.book import sheets
from advisor.interview import explanations, steps
from advisor.interview.choices import numbered
from advisor.interview.explanations import Ahead
from advisor.interview.steps import State
from advisor.model.advice import Advice, Answer, Stop
from advisor.model.case import Tried
from advisor.model.knowledge import Cause
from advisor.model.scale import PROBABILITY
from advisor.reasoning.explain import account
from advisor.reasoning.ranking import is_look

TOP = 3
LOOKS_SHOWN = 3
NEARLY = 0.5  # of the probability that stops at once: an inspection for it cannot be passed over (ours)
SLIGHT = 0.05  # log-odds below which a line of the ledger tells nothing


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
        """The changes that are shown, with values as people set them; looks stand above, if there are others."""
        driven = tuple(a for a in self.found.advice if not self._is_look(a))
        return (driven or self.found.advice)[:TOP]

    def _is_look(self, advice: Advice) -> bool:
        return is_look(self.desk.mind.book, Tried(advice.lever, advice.direction, "same"))

    @cached_property
    def put_back(self) -> Tried | None:
        """A change that did not help and has not been told to stay on."""
        last = self.state.case.tried[-1] if self.state.case.tried else None
        if last is None or last.verdict == "better":
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
                rows += wording.change(place, self.offered, desk.mind.book)
            rows.append(Row(self._why_first(), most=2, rank=1))
        else:
            rows.append(
                Row(
                    "Nothing is left to change: say more of what it does, or ask somebody who knows it.",
                    "bold",
                )
            )
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
        rows = [Row(f"You asked: {text}", most=4, rank=1) for text in found.judged[:1]]
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
        if self.found.first or self.found.enough:
            return "If you must change something now:"
        return "Then try one" if self.looks else "Try one of these"

    def _why_first(self) -> str:
        """One line why the first stands first."""
        book, first = self.desk.mind.book, self.offered[0]
        done = steps.reasoning(self.desk.mind, self.state)
        best = next((r.prospect.best for r in done.ranked if r.prospect.lever == first.lever), None)
        if best is None:
            return ""
        cause = list(book.causes.values())[best]
        order = "most chance for its minutes" if len(self.offered) > 1 else "the one that is left"
        return f"Why 1: {order}; perhaps {cause.name}."

    # --- what is typed --------------------------------------------------------------------------

    def reply(self, desk: Workspace, text: str) -> Go:
        key, _, rest = text.strip().partition(" ")
        key = key.lower()
        if not text:
            return stay("A number tries a change and writes it down; q leaves, and it waits here.")
        if text.lower() in ("none", "0"):
            return stay("No change is chosen, so none is written down. q leaves, a asks on.")
        small: dict[str, Callable[[], Go]] = {
            "m": lambda: Go(page=Everything(self.found)),
            "more": lambda: Go(page=Everything(self.found)),
            "a": lambda: Go(on=steps.asking_more(self.state)),
            "f": self._at_once,
            "p": self._stays_on,
            "l": self._look,
            "look": self._look,
            "plan": lambda: Go(page=self._plan()),
            "s": lambda: self._all_sound(desk),
        }
        if key in small and not rest:
            return small[key]()
        if key in ("w", "why", "i", "n") or (key[:1] == "w" and key[1:].isdigit()):
            return self._explain(key, rest)
        place = numbered([a.say for a in self.offered], text)
        if place is not None:
            return self._try(desk, self.offered[place])
        if text.isdigit():
            return stay(f"A number from 1 to {len(self.offered)}, or a key: h shows them.")
        came = hear.came(text)
        if came is not None and came.gone:
            return Go(
                to=Closed(
                    self.state, "Good: it is right now. Change nothing more; thank you, it is written down."
                )
            )
        told = heard(desk, self.state, text)
        if told:
            return Go(on=steps.taking(told[0]), said=told[1])
        return stay("Not understood. A number tries a change; h shows the keys.")

    def _try(self, desk: Workspace, advice: Advice, *beside: Advice) -> Go:
        """Write a change down, unless something must be inspected first or it is only a look."""
        if self.due:
            return Go(to=Stopped(self.state, self.due, due=True))
        if self._is_look(advice):
            return Go(to=Looking(self.state, (advice,)))
        trial = desk.keep(self.state, advice, *beside)

        def undo() -> tuple[Row, ...]:
            desk.drop(trial, "taken back")
            return (news(f"Taken back: {trial.say}."),)

        said = [Row(f"Written down: {wording.headline(a)}.", "bold", most=3) for a in (advice, *beside)]
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
            Go(to=Looking(self.state, self.looks))
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
            case = with_value(case, change)
        case = replace(case, history=(*case.history, f"{last.lever} {last.direction}"))
        what = wording.name(self.desk.mind.book, last.lever, last.direction)
        said = f"It stays on: {what}. It counts as a change that was made."
        return Go(on=steps.taking(steps.having(self.desk.mind, self.state, case)), said=(news(said),))

    # --- what is one key away -------------------------------------------------------------------

    def _explain(self, key: str, rest: str) -> Go:
        if key == "n":
            if not rest:
                return stay("Why not which change? Type n and its name, such as: n caster")
            return stay(explanations.why_not(self.desk.mind, self.state, rest))
        if key == "i":
            return self._what_if(rest)
        number = (key[1:] if key[1:].isdigit() else rest.strip()) or "1"
        if number.isdigit() and 1 <= int(number) <= len(self.offered):
            return Go(page=self._evidence(self.offered[int(number) - 1]))
        return stay(f"w and a number from 1 to {len(self.offered)} tells why.")

    def _evidence(self, advice: Advice) -> tuple[Row, ...]:
        """The evidence behind the cause that carries a change, in the order of its weight."""
        mind = self.desk.mind
        done = steps.reasoning(mind, self.state)
        best = next(r.prospect.best for r in done.ranked if r.prospect.lever == advice.lever)
        cause = list(mind.book.causes.values())[best]
        rows = [Row(f"{wording.headline(advice)}, because of this:", "bold")]
        rows.append(Row(f"{cause.name[:1].upper()}{cause.name[1:]}. {cause.plain}", indent=2))
        rows.append(Row("What speaks for it and against it, strongest first:", indent=2))
        for name, weight in account(mind.tables, done.belief, best):
            if abs(weight) >= SLIGHT and name != "rivals":
                rows.append(Row(f"{_named(name)}: {_strength(weight)}", indent=4))
        return tuple(rows)

    def _what_if(self, rest: str) -> Go:
        """The first change after every other answer to a question that was answered."""
        mind = self.desk.mind
        asked = [ident for ident, _ in self.state.answers]
        if not asked:
            return stay("No question was answered, so there is nothing to answer otherwise.")
        texts = [mind.book.observations[i].question for i in asked]
        place = numbered(texts, rest) if rest else 0 if len(asked) == 1 else None
        if place is None:
            return Go(page=(Row("Type i and the number of the answer:", "bold"), *options(texts)))
        found = explanations.otherwise(mind, self.state, asked[place])
        rows = [Row(f"{text}: {result}", indent=2, hang=2) for text, result in found]
        return Go(page=(Row(texts[place], "bold"), *rows))

    def _plan(self) -> tuple[Row, ...]:
        """The next moves: what follows each verdict of the change that comes first."""
        if not self.offered:
            return (Row("There is no plan without a change."),)
        first = explanations.ahead(self.desk.mind, self.state, self.offered[0])
        return (Row(f"After {self.offered[0].say}", "bold"), *self._follows(first))

    def _next(self, change: Advice | Stop) -> str:
        if isinstance(change, Stop):
            return change.text
        rule = self.state.case.rules.get(change.lever)
        return wording.headline(wording.as_set(change, self.desk.mind.book, rule))

    def _follows(self, first: Ahead) -> Sequence[Row]:
        change = first.change
        back = isinstance(change, Advice) and wording.reversible(
            self.desk.mind.book, change.lever, change.direction
        )

        def say(verdict: str, following: Ahead | None, put_back: bool) -> Row:
            then = (
                self._next(following.change)
                if following
                else "leave it there; ask someone who knows the kart"
            )
            return Row(f"{verdict}: {'put it back, then: ' if put_back else ''}{then}", indent=2, hang=2)

        rows = [say("better, not right yet", first.better, False), say("the same", first.same, back)]
        if first.same:
            rows.append(say("the same again", first.same.same, back))
        return [*rows, say("worse", first.worse, True)] if back else rows


_NAMES = {
    "prior": "how often it happens at all",
    "own cases": "how often it was behind your own troubles",
    "feel": "what the kart does and where",
    "second": "the second fault",
}


def _named(name: str) -> str:
    plain = name.replace("_", " ").replace("setup.", "setup: ").replace("observed.", "").replace(".", " ")
    return _NAMES.get(name, plain)


def _strength(weight: float) -> str:
    """A log-odds term in words and as a factor."""
    if weight > 0:
        return f"speaks for it (odds x {exp(weight):.1f})"
    return f"speaks against it (odds / {exp(-weight):.1f})"


@dataclass(frozen=True)
class Looking:
    """What can be looked at on the stand, as one list to tick: ten at most."""

    state: State
    looks: tuple[Advice, ...]
    done: bool = False

    def prompt(self, desk: Workspace) -> Prompt:
        texts = [
            f"{look.say} ({wording.minutes(look.minutes)}): {wording.how(look, desk.mind.book)}"
            for look in self.looks
        ]
        most = max(1, min(5, 10 // max(1, len(texts))))
        rows = (
            Row("Look at these on the stand; nothing has to be driven.", "bold"),
            *(Row(f"{n}  {text}", indent=2, hang=3, most=most) for n, text in enumerate(texts, start=1)),
            Row("Sound: its number, or several (1 3). Found and mended: f and its number."),
        )
        return Prompt(
            "looks", rows, ("s: all sound", "f 1: found and mended", "?: all of it", "b: back", "q: leave")
        )

    def reply(self, desk: Workspace, text: str) -> Go:
        said = text.lower().strip()
        if said == "?":
            rows = [
                Row(f"{a.say[:1].upper()}{a.say[1:]}: {wording.how(a, desk.mind.book)}", hang=2)
                for a in self.looks
            ]
            return Go(page=tuple(rows))
        number = said.removeprefix("found").removeprefix("f").strip()
        if said[:1] == "f" and number.isdigit() and 1 <= int(number) <= len(self.looks):
            return self._mended(desk, self.looks[int(number) - 1], "")
        ticked = hear.ticks(said, len(self.looks))
        if said in ("s", "all", "all sound"):
            ticked = tuple(range(len(self.looks)))
        if not ticked and (meant := hear.found(text) if text else None):
            if meant == "mended" and len(self.looks) == 1:
                return self._mended(desk, self.looks[0], text)
            if meant == "sound":
                ticked = tuple(range(len(self.looks)))
            elif meant == "mended":
                return stay("Which one? f and its number.")
            elif meant == "cannot":
                return stay("Then b goes back to the changes.")
        if not ticked:
            told = heard(desk, self.state, text) if text else None
            return (
                Go(on=told[0], said=told[1])
                if told
                else stay("Numbers of what is sound, f 1 for what was mended, b to go back.")
            )
        sound = [self.looks[i] for i in ticked]
        names = wording.joined([a.say for a in sound])
        state = steps.taking(steps.looked(desk.mind, self.state, sound))
        return Go(on=state, said=(news(f"Written down, sound: {names}."),))

    def _mended(self, desk: Workspace, look: Advice, note: str) -> Go:
        trial = desk.keep(self.state, look)
        desk.verdict(trial, "better", note)

        def undo() -> tuple[Row, ...]:
            desk.drop(trial, "taken back")
            return (news("Taken back: it counts as not mended."),)

        return Go(on=steps.tried(desk.mind, self.state, look.lever, look.direction, "better"), undo=undo)


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
