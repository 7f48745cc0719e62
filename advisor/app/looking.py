"""Looks at the standing kart, as one list that is answered in one line: as questions, and before a change."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from advisor.app import hear, wording
from advisor.app.asking import Asking, parts
from advisor.app.closing import put_right
from advisor.app.place import Go, heard, heard_or, stay
from advisor.app.prompt import Prompt, Row, news, options
from advisor.app.workspace import Workspace
from advisor.interview import steps
from advisor.interview.choices import chosen
from advisor.interview.steps import State
from advisor.model.advice import Advice, Look, Question

WHICH = "Which one was mended? f and its number."


@dataclass(frozen=True)
class LookOver:
    """What to look at, each with what a sound kart shows; whatever is not so is told by its number."""

    state: State
    looks: tuple[Look, ...]
    done: bool = False

    def prompt(self, desk: Workspace) -> Prompt:
        minutes = max(1, round(sum(look.question.seconds for look in self.looks) / 60))
        rows = (
            wording.known(self.state.gathered.understood, self.state.case, desk.mind.book),
            Row(f"Look the kart over, {minutes} min. Is it as said?", "bold"),
            *(
                Row(
                    f"{n}  {_whole(look)}", indent=2, hang=3, most=2, short=f"{n}  {_part(look)}: {look.text}"
                )
                for n, look in enumerate(self.looks, start=1)
            ),
        )
        keys = (
            "ok: all as said", "3 5: all but 3 and 5", "2?: 2 not looked at", "Enter: none looked at", "?: in full",
            "t: take it", "b: back", "h: keys", "q: stop",
        )  # fmt: skip
        return Prompt("look-over", rows, keys)

    def reply(self, desk: Workspace, text: str) -> Go:
        said = text.lower()
        if said in hear.TAKE:
            return Go(on=steps.taking(self.state))
        if said in ("?", "why"):
            return Go(page=options([_whole(look) for look in self.looks]))
        ticked = hear.not_as_said(said, len(self.looks))
        if ticked is None:
            numbers = f"the numbers (1 to {len(self.looks)}) of what is not as said"
            return heard_or(desk, self.state, text, f"ok, {numbers}, or Enter for none looked at.")
        off, unseen = ticked
        found = [
            (look.question, None if n in unseen else look.sound)
            for n, look in enumerate(self.looks, start=1)
            if n not in off
        ]
        state = steps.looked_over(desk.mind, self.state, found)
        amiss = tuple(self.looks[n - 1] for n in sorted(off))
        return _amiss(_noted(desk, state, amiss), amiss)


def _whole(look: Look) -> str:
    """A look with what a sound kart shows."""
    return f"{look.question.text} {look.text[:1].upper()}{look.text[1:]}."


def _part(look: Look) -> str:
    """What is looked at, in a word or two."""
    words = look.question.id.split("_")
    return " ".join(words[:-1] if len(words) > 1 and words[-1] in ("look", "check", "test") else words)


def _noted(desk: Workspace, state: State, looks: tuple[Look, ...]) -> State:
    """The state in which it is known of each look that it is not as said, whatever is asked of it later."""
    for look in looks:
        others = (a for a in look.question.answers if a != look.sound)
        state = replace(steps.answered(desk.mind, state, look.question, *others), asked=state.asked)
    return state


def _amiss(state: State, looks: tuple[Look, ...]) -> Go:
    """On to how it looks, where more than one answer is left."""
    open_ = [look for look in looks if len(look.question.answers) > 2]
    return Go(to=Amiss(state, open_[0], tuple(open_[1:]))) if open_ else Go(on=state)


@dataclass(frozen=True)
class Amiss:
    """How something looks that is not as said."""

    state: State
    look: Look
    rest: tuple[Look, ...]
    done: bool = False

    @property
    def _asked(self) -> Question:
        """The question without the answer that was ruled out."""
        asked = self.look.question
        left = [(a, t) for a, t in zip(asked.answers, asked.texts, strict=True) if a != self.look.sound]
        return replace(asked, answers=tuple(a for a, _ in left), texts=tuple(t for _, t in left))

    def prompt(self, desk: Workspace) -> Prompt:
        shown = Asking(self.state, self._asked).prompt(desk)
        return replace(
            shown,
            place="amiss",
            keys=("Enter: don't know which", "b: back", "k: known", "h: keys", "q: stop"),
        )

    def reply(self, desk: Workspace, text: str) -> Go:
        unsure = text.lower() in hear.UNSURE
        answers = self._asked.answers if unsure else chosen(desk.mind, self._asked, text)
        if not answers or not set(answers) <= set(self._asked.answers):
            told = heard(desk, self.state, text)
            if told:
                return Go(to=replace(self, state=told[0]), said=told[1])
            return stay("A number, or Enter if you don't know which.")
        state = steps.answered(desk.mind, self.state, self.look.question, *answers)
        go = _amiss(replace(state, asked=self.state.asked), self.rest)
        return replace(go, said=(news("Heard: not as said, which is left open."),)) if unsure else go


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
            return put_right(desk, self.state, self.looks[int(number) - 1])
        ticked = hear.ticks(said, len(self.looks))
        if said in ("s", "all", "all sound"):
            ticked = tuple(range(len(self.looks)))
        if not ticked and (meant := hear.found(text) if text else None):
            if meant == "mended" and (look := named(desk, self.looks, text)):
                return put_right(desk, self.state, look, text)
            if meant == "sound":
                ticked = tuple(range(len(self.looks)))
            elif meant == "mended":
                return stay(WHICH)
            elif meant == "cannot":
                return stay("Then b goes back to the changes.")
        if not ticked:
            what = "Numbers of what is sound, f 1 for what was mended, b to go back."
            return heard_or(desk, self.state, text, what)
        sound = [self.looks[i] for i in ticked]
        names = wording.joined([a.say for a in sound])
        state = steps.taking(steps.looked(desk.mind, self.state, sound))
        return Go(on=state, said=(news(f"Written down, sound: {names}."),))


def named(desk: Workspace, looks: Sequence[Advice], text: str) -> Advice | None:
    """The one inspection that some words name a part of; the only one, where they name nothing at all."""
    levers = desk.mind.book.levers
    meant = [a for a in looks if parts(text) & parts(f"{a.say} {levers[a.lever].name}")]
    only = looks[0] if len(looks) == 1 and (not text or hear.names_no_part(text)) else None
    return meant[0] if len(meant) == 1 else only
