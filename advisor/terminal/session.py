"""The interview on a terminal: what is asked and shown, in which order. Decisions are advisor.interview's.

Input and output are passed in, so that a test, the demo and a person all play the same session.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Protocol

from advisor.interview import steps
from advisor.interview.steps import State
from advisor.model.advice import Advice, Answer, Question
from advisor.model.case import VERDICTS, Case, Verdict
from advisor.reasoning.advise import Mind
from advisor.reasoning.explain import account, percent
from advisor.terminal import show
from advisor.terminal.screen import Screen

UNSURE = ("d", "dont know", "don't know", "?d", "idk", "no idea", "unknown", "pass", "skip")


class Ask(Protocol):
    """Asks one line. `words` are offered as completions. Raises EOFError or KeyboardInterrupt to leave."""

    def __call__(self, prompt: str, words: Sequence[str] = ()) -> str: ...


class LeaveError(Exception):
    """The driver wants to stop here."""


@dataclass
class Session:
    """One sitting: asks and shows; `keep` writes a chosen change to the journal before it is confirmed."""

    mind: Mind
    ask: Ask
    out: Screen
    keep: Callable[[str, Case, Advice], None]

    def interview(self, case: Case) -> None:
        """From the complaint to a chosen change."""
        state = self.complaint(case)
        state = self.questions(state)
        self.advice(state)

    # --- what was said ---------------------------------------------------------------------------

    def complaint(self, case: Case) -> State:
        """Ask for the complaint, show what was understood, let it be corrected."""
        if not case.complaint:
            show.heading(
                self.out, "What does the kart do? Say it in your own words, or press Enter to be asked."
            )
            show.line(self.out, "For example: loose in the rear on entry, hops in the fast ones", 2, "dim")
            case = _said(case, self._line("> "))
        state = steps.begin(self.mind, case)
        while state.gathered.understood:
            show.understood(self.out, state.gathered.understood, self.mind.book)
            show.line(
                self.out,
                "Right? Enter: yes. A word from the left, such as balance: take it out. Or say more.",
                0,
            )
            text = self._line("> ")
            if text.lower() in ("", "y", "yes"):
                break
            state = self._corrected(state, text)
        if not state.gathered.understood and case.complaint:
            show.line(self.out, "None of that tells me about a kart, so I ask instead.")
        return state

    def _corrected(self, state: State, text: str) -> State:
        idents = list(state.gathered.understood)
        place = steps.numbered([show.label(i) for i in idents], text)
        if place is not None:
            return steps.forget(self.mind, state, idents[place])
        return steps.more_words(self.mind, state, text)

    # --- questions -------------------------------------------------------------------------------

    def questions(self, state: State) -> State:
        """Ask what is worth asking, at most six times."""
        while (asked := steps.question(self.mind, state)) is not None:
            show.question(self.out, asked, state.asked + 1, steps.MOST_QUESTIONS)
            show.line(self.out, "Enter or d: don't know   ?: why   b: back   q: stop", 2, "dim")
            state = self._reply(state, asked)
        return state

    def _reply(self, state: State, asked: Question) -> State:
        while True:
            text = self._line("> ", (*asked.texts, *asked.answers))
            said = text.lower()
            if said in ("", *UNSURE):
                return steps.answered(self.mind, state, asked, None)
            if said in ("b", "back"):
                return state.before or state
            if said in ("?", "w", "why"):
                self._why(state, asked)
                continue
            answer = steps.choose(self.mind, asked, text)
            if answer is not None:
                return steps.answered(self.mind, state, asked, answer)
            show.line(
                self.out,
                f"Please answer with a number from 1 to {len(asked.answers)}, or d if you don't know.",
                2,
            )

    def _why(self, state: State, asked: Question) -> None:
        """What each answer would put first: computed by answering it."""
        show.line(self.out, self.mind.book.observations[asked.id].plain, 2)
        for answer, text in zip(asked.answers, asked.texts, strict=True):
            found = steps.answer(self.mind, steps.answered(self.mind, state, asked, answer))
            if found.stop:
                result = "do not drive it: inspect first"
            else:
                first = found.advice[0] if found.advice else None
                result = f"{first.say} (chance {percent(first.chance)})" if first else "nothing yet"
            show.line(self.out, f"{text}: then first {result}", 2)

    # --- advice and trial ------------------------------------------------------------------------

    def advice(self, state: State) -> Answer:
        """Show the advice and let one change be chosen; the choice is in the journal before it is confirmed."""
        found = steps.answer(self.mind, state)
        show.answer(self.out, found, self.mind.book)
        if found.stop or not found.advice:
            return found
        offered = found.advice[: show.TOP]
        show.heading(self.out, "Which one will you try? A number, w and a number for why, or Enter for none.")
        while True:
            text = self._line("> ").lower()
            if text in ("", "n", "none", "0"):
                show.line(self.out, "Nothing is written down.")
                return found
            if (
                text.startswith("w")
                and (place := steps.numbered([a.say for a in offered], text[1:])) is not None
            ):
                self._ledger(state, found, offered[place])
                continue
            place = steps.numbered([a.say for a in offered], text)
            if place is not None:
                self.keep(state.case.complaint, steps.settled(self.mind, state), offered[place])
                show.line(self.out, f"Written down: {show.headline(offered[place])}.")
                for text in offered[place].cautions:
                    show.line(self.out, f"Care: {text}", 2)
                show.line(
                    self.out,
                    "Drive, then tell what came of it: start advisor again, or type advisor outcome.",
                )
                return found
            show.line(
                self.out, f"Please answer with a number from 1 to {len(offered)}, or Enter for none.", 2
            )

    def _ledger(self, state: State, found: Answer, advice: Advice) -> None:
        """The evidence behind the cause that carries a change, in the order of its weight."""
        done = steps.reasoning(self.mind, state)
        best = next(r.prospect.best for r in done.ranked if r.prospect.lever == advice.lever)
        show.line(self.out, f'For "{self._cause_name(best)}", strongest first:', 2)
        for name, weight in account(self.mind.tables, done.belief, best):
            if abs(weight) >= 0.05 and name not in ("rivals",):
                show.line(self.out, f"{_ledger_name(name)} {_strength(weight)}", 4)

    def _cause_name(self, i: int) -> str:
        return list(self.mind.book.causes.values())[i].name

    # --- outcome ---------------------------------------------------------------------------------

    def verdict(self, say: str, feel_for: str) -> tuple[Verdict, str] | None:
        """Ask what came of a change; None when it was not tried yet."""
        show.heading(self.out, f"Last time: {say}")
        show.line(self.out, f"You were to feel for: {feel_for}.", 2)
        options = [*VERDICTS, "not tried yet"]
        show.choices(self.out, options)
        while True:
            text = self._line("> ", options)
            if not text:
                return None
            place = steps.numbered(options, text)
            if place == len(VERDICTS):
                return None
            if place is not None:
                note = self._line("A note (lap times, weather, pressures; Enter for none)> ")
                return VERDICTS[place], note
            show.line(self.out, f"Please answer with a number from 1 to {len(options)}.", 2)

    def after(self, case: Case, lever: str, direction: str, verdict: Verdict) -> None:
        """What the outcome taught, and the next change at once."""
        before = steps.begin(self.mind, case)
        state = steps.begin(self.mind, steps.with_verdict(case, lever, direction, verdict))
        show.moved(self.out, steps.answer(self.mind, before), steps.answer(self.mind, state))
        if verdict == "better":
            show.line(
                self.out, "Keep it. If the kart is right now, change nothing more. If not, this is next."
            )
        elif self.mind.book.levers[lever].ways[direction].opposite:
            show.line(
                self.out, "Put it back as it was before you try the next one, so that only one thing differs."
            )
        self.advice(state)

    def _line(self, prompt: str, words: Sequence[str] = ()) -> str:
        text = self.ask(prompt, words).strip()
        if text.lower() in ("q", "quit", "exit"):
            raise LeaveError
        return text


def _said(case: Case, text: str) -> Case:
    from dataclasses import replace

    return replace(case, complaint=text)


_NAMES = {
    "prior": "how often it happens at all",
    "feel": "what the kart does and where",
    "second": "the second fault",
}


def _ledger_name(name: str) -> str:
    return _NAMES.get(name, name.replace("_", " ").replace("setup.", "setup: "))


def _strength(weight: float) -> str:
    """A log-odds term as words and a factor."""
    from math import exp

    times = exp(abs(weight))
    return (
        f"speaks {'for' if weight > 0 else 'against'} it (odds x {times:.1f})"
        if weight > 0
        else f"speaks against it (odds / {times:.1f})"
    )
