"""The interview on a terminal: what is asked and shown, in which order. Decisions are advisor.interview's.

Input and output are passed in, so that a test, the demo and a person all play the same session.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from advisor.interview import explanations, steps
from advisor.interview.steps import State
from advisor.model.advice import Advice, Answer, Look, Question
from advisor.model.case import VERDICTS, Case, Tried, Verdict
from advisor.terminal import looks, reasons, show
from advisor.terminal.prompts import LeaveError, Prompts
from advisor.terminal.typed import (
    ASKED_KEYS,
    KEYS,
    TAKE,
    TAKE_KEY,
    UNSURE,
    asks_for_safety,
    is_key,
    verdict_and_note,
)

BEFORE_ANY_RUN = (
    "Before any run: wheels tight and straight, steering free without play, brakes firm, throttle springs back, "
    "seat and chain guard tight, nothing cracked or leaking. In doubt do not drive it, and ask the scrutineer."
)

BEFORE_ADVICE = (
    "This one first: what you say may mean danger. If you cannot tell, have it looked at before you drive."
)


def _forget(state: State, done: bool) -> None:
    """Remembers nothing: for plays that need no resuming."""


@dataclass
class Session(Prompts):
    """One sitting: asks and shows.

    `keep` writes a chosen change to the journal before it is confirmed; `remember` writes down how far
    the interview has come, after every answer, so that it can be resumed.
    """

    keep: Callable[..., None]  # complaint, case, the change, and those made beside it before the same run
    remember: Callable[[State, bool], None] = _forget

    def interview(self, case: Case) -> None:
        """From the complaint to a chosen change."""
        state = self.complaint(case)
        self.remember(state, False)
        self._through(state)

    def resume(
        self,
        case: Case,
        complaint: str,
        asked: int,
        skipped: frozenset[str],
        answers: Sequence[tuple[str, str]] = (),
        enough: bool = False,
    ) -> None:
        """Go on where an interview was left."""
        observations = self.mind.book.observations
        given = tuple((o, a) for o, a in answers if o in observations and a in observations[o].answers)
        state = steps.begin(self.mind, case)
        state = replace(
            state,
            case=replace(state.case, complaint=complaint),
            asked=asked,
            skipped=skipped,
            answers=given,
            enough=enough,
        )
        show.understood(self.out, state.gathered.understood, self.mind.book)
        self._through(state)

    def _through(self, state: State) -> None:
        state = self._stopped(state)
        back: State | None = self.questions(state)
        while back is not None:
            state = back
            back = self.advice(state)
            if back is not None:
                back = self.questions(back)
        self.remember(state, True)

    def _stopped(self, state: State) -> State:
        """Say a stop at once; go on only when what it asks for was inspected and is sound."""
        while (danger := steps.stopped(self.mind, state)) is not None:
            show.stop(self.out, danger, self.mind.book)
            if not danger.inspect:
                raise LeaveError
            show.choices(
                self.out, ["ok: inspected, and sound or put right: go on", "leave it at that (Enter)"]
            )
            if self.line("> ").lower() not in ("1", "ok", "okay", "sound"):
                self.remember(state, False)  # the stop still stands when the driver comes back
                raise LeaveError
            state = steps.checked(self.mind, state, danger)
        return state

    # --- before the complaint --------------------------------------------------------------------

    def go_on(self, complaint: str) -> bool:
        """Whether to go on with an interview that was left."""
        show.heading(self.out, f"Last time you left in the middle: {complaint or 'no complaint typed'}")
        return self.agrees("Go on there?", "start anew")

    # --- what was said ---------------------------------------------------------------------------

    def complaint(self, case: Case) -> State:
        """Ask for the complaint, show what was understood, let it be corrected, ask what limits the choice."""
        if not case.complaint:
            show.heading(
                self.out, "What does the kart do? Say it in your own words, or press Enter to be asked."
            )
            show.line(self.out, "For example: loose in the rear on entry, hops in the fast ones", 2, "dim")
            case = replace(case, complaint=self.told())
            if asks_for_safety(case.complaint):
                show.line(self.out, BEFORE_ANY_RUN)
        state = steps.begin(self.mind, case)
        while state.gathered.evidence.said:
            show.understood(self.out, state.gathered.understood, self.mind.book)
            show.line(
                self.out,
                "Right? Enter: yes. Wrong: type its name, such as balance. Or say more, a second fault too.",
            )
            text = self.told([show.label(i) for i in state.gathered.understood])
            if text.lower() in ("", "y", "yes", "right"):
                break
            state = self._corrected(state, text)
        if not state.gathered.evidence.said and case.complaint:
            show.line(self.out, "None of that tells me about a kart, so I ask instead.")
        return self._limits(self._stopped(state))

    def _corrected(self, state: State, text: str) -> State:
        idents = list(state.gathered.understood)
        place = None if text.isdigit() else steps.numbered([show.label(i) for i in idents], text)
        if place is not None:
            return steps.forget(self.mind, state, idents[place])
        more = steps.more_words(self.mind, state, text)
        if asks_for_safety(text):
            show.line(self.out, BEFORE_ANY_RUN)
        elif not steps.news(state, more):
            show.line(self.out, "That tells me nothing more of the kart.")
            return state
        return more

    def _limits(self, state: State) -> State:
        """The minutes left and what must not get worse; both may be passed over."""
        show.line(self.out, "Minutes until you go out? Enter: no hurry")
        text = self.told()
        minutes = steps.minutes(text)
        while text and minutes is None:
            more = steps.more_words(self.mind, state, text)
            if more.gathered.evidence.said and steps.news(state, more):  # the complaint, told again
                show.understood(self.out, steps.news(state, more), self.mind.book)
                state = self._stopped(more)
            show.line(self.out, "A number of minutes, such as 15. Enter: no hurry")
            text = self.told()
            minutes = steps.minutes(text)
        show.line(self.out, "What must not get worse, such as exit traction? Enter: nothing")
        wish = self.told()
        if minutes is None and (late := steps.minutes(wish)) is not None:  # the minutes, told one line late
            minutes = late
            show.line(self.out, f"Taken as {late:g} minutes. What must not get worse? Enter: nothing")
            wish = self.told()
        state = steps.limited(self.mind, state, minutes, wish, "" if state.case.who else self.who())
        if wish:
            kept = sorted(state.gathered.evidence.keep)
            names = ", ".join(self.mind.book.effects[e].name for e in kept)
            show.line(
                self.out,
                f"Kept: {names}." if kept else "That wish is not understood, so nothing is guarded.",
                2,
            )
        return state

    # --- questions -------------------------------------------------------------------------------

    def questions(self, state: State) -> State:
        """Ask as long as it pays; the best change so far can be taken at any time."""
        while (asked := steps.question(self.mind, state)) is not None:
            if listed := steps.look_over(self.mind, state, asked):
                state = self._stopped(self._looked_over(state, listed))
                self.remember(state, False)
                continue
            previews = explanations.previews(self.mind, state, asked)
            show.question(self.out, asked, state.asked + 1, previews, state.gathered.evidence.perhaps)
            if steps.danger_first(self.mind, state):
                show.line(self.out, BEFORE_ADVICE, 0, "bold")
                show.keys(self.out, "", ASKED_KEYS)
            else:
                best = explanations.best(self.mind, state)
                show.keys(self.out, f"Best so far: {best}.", (TAKE_KEY, *ASKED_KEYS))
            state = self._stopped(self._reply(state, asked))
            self.remember(state, False)
        return state

    def _looked_over(self, state: State, listed: Sequence[Look]) -> State:
        show.line(self.out, f"Best so far: {explanations.best(self.mind, state)}.")
        while (found := looks.ask(self, listed, state.asked + 1)) == "b" and state.before is None:
            show.line(self.out, "There is nothing to go back to.", 2)
        if isinstance(found, list):
            return steps.looked_over(self.mind, state, found)
        return state.before if found == "b" and state.before else steps.taking(state)

    def _reply(self, state: State, asked: Question) -> State:
        while True:
            text = self.told((*asked.texts, *asked.answers), asked)
            said = text.lower()
            if said in UNSURE:
                return steps.answered(self.mind, state, asked, None)
            if said in TAKE and steps.danger_first(self.mind, state):
                show.line(self.out, BEFORE_ADVICE, 2)
                continue
            if said in TAKE:
                return steps.taking(state)
            if said in ("b", "back"):
                if state.before is None:
                    show.line(self.out, "There is nothing to go back to.", 2)
                    continue
                return state.before
            if said in ("?", "w", "why"):
                reasons.question(self.out, self.mind, state, asked)
                continue
            answer = steps.choose(self.mind, asked, text)
            if answer is not None:
                return steps.answered(self.mind, state, asked, answer)
            show.line(
                self.out,
                f"Please answer with a number from 1 to {len(asked.answers)}, or Enter if you don't know "
                "or none fits.",
                2,
            )

    # --- advice and trial ------------------------------------------------------------------------

    def advice(self, state: State) -> State | None:
        """Show the advice; let one change be chosen, questioned or left. A state means: ask again from there."""
        found = steps.answer(self.mind, state)
        show.answer(self.out, found, self.mind.book)
        if found.stop or not found.advice:
            return None
        offered = found.advice[: show.TOP]
        if not found.understood.get("preparing"):
            show.plan(self.out, explanations.ahead(self.mind, state, offered[0]), self.mind.book)
        inspections = () if found.understood.get("preparing") else steps.look_first(self.mind, state)
        show.looks(self.out, inspections)
        show.in_short(self.out, offered)
        show.keys(self.out, "Which will you try?", KEYS)
        while True:
            over, then = self._taken(state, found, offered, inspections, self.told())
            if over:
                return then

    def _taken(
        self, state: State, found: Answer, offered: Sequence[Advice], inspections: Sequence[Advice], text: str
    ) -> tuple[bool, State | None]:
        """What was typed at the advice: whether it ends it, and where to go on from."""
        key = text.lower()
        if key in ("", "none", "0"):
            show.line(self.out, "No change is chosen, so none is written down.")
            return True, None
        if key in ("b", "back"):
            return True, state.before or state
        if key == "s" and inspections:
            return True, steps.looked(self.mind, state, inspections)
        if key == "a":
            return True, steps.asking_more(state)
        if key == "f":
            return self._at_once(state), None
        place = None if is_key(text) else steps.numbered([a.say for a in offered], text)
        if place is not None:
            self._choose(state, offered[place])
            return True, None
        self._explain(state, found, offered, text)
        return False, None

    def _at_once(self, state: State) -> bool:
        """Offer several changes before one run; True when they were chosen."""
        together = steps.at_once(self.mind, state)
        if len(together) < 2:
            show.line(self.out, "No second change is worth making before the same run.", 2)
            return False
        show.at_once(self.out, together)
        if not self.agrees("Make them all?"):
            show.keys(self.out, "Then one: which will you try?", KEYS)
            return False
        self._choose(state, *together)
        return True

    def _choose(self, state: State, advice: Advice, *beside: Advice) -> None:
        self.keep(state.case.complaint, steps.settled(self.mind, state), advice, *beside)
        for change in (advice, *beside):
            show.line(self.out, f"Written down: {show.headline(change)}.")
        for text in dict.fromkeys(t for change in (advice, *beside) for t in change.cautions):
            show.line(self.out, f"Care: {text}", 2)
        show.line(self.out, "Drive, then tell what came of it: start advisor again, or type advisor outcome.")

    def _explain(self, state: State, found: Answer, offered: Sequence[Advice], text: str) -> None:
        key, _, rest = text.strip().partition(" ")
        if key.lower() == "w" and not rest:
            rest = "1"
        if key.lower() == "i":
            self._what_if(state, rest)
        elif key.lower() == "n" and rest:
            show.line(self.out, explanations.why_not(self.mind, state, rest), 2)
        elif key.lower()[:1] == "w" and (number := (key[1:] or rest).strip()) in map(
            str, range(1, len(offered) + 1)
        ):
            reasons.change(self.out, self.mind, state, offered[int(number) - 1])
        else:
            show.line(
                self.out, f"Please answer with a number from 1 to {len(offered)}, or Enter for none.", 2
            )
            show.keys(self.out, "", KEYS)

    def _what_if(self, state: State, rest: str) -> None:
        """The first change after every other answer to a question that was answered."""
        asked = [ident for ident, _ in state.answers]
        texts = [self.mind.book.observations[i].question for i in asked]
        place = steps.numbered(texts, rest) if rest else 0 if len(asked) == 1 else None
        if place is None:
            if not asked:
                show.line(self.out, "No question was answered, so there is nothing to answer otherwise.", 2)
                return
            show.line(self.out, "Which answer? Its number, or Enter for none.", 2)
            show.choices(self.out, texts)
            place = steps.numbered(texts, self.line("what if> "))
            if place is None:
                return
        for text, result in explanations.otherwise(self.mind, state, asked[place]):
            show.line(self.out, f"{text}: {result}", 4)

    # --- outcome ---------------------------------------------------------------------------------

    def verdict(self, say: str, feel_for: str) -> tuple[Verdict | Literal["dropped"], str] | None:
        """Ask what came of a change; None when it was not tried yet, "dropped" when it never will be."""
        show.heading(self.out, f"Last time: {say}")
        show.line(self.out, f"You were to feel for: {feel_for}.", 2)
        options = [*VERDICTS, "not tried yet", "never mind, cross it out"]
        show.choices(self.out, options)
        while True:
            text = self.line("> ", options)
            if not text:
                return None
            named, more = verdict_and_note(text)
            place = steps.numbered(options, named)
            if place == len(VERDICTS):
                show.line(self.out, f"Still to be tried: {say}.")
                return None
            if place == len(VERDICTS) + 1:
                return "dropped", ""
            if place is not None:
                return VERDICTS[place], more or self._note()
            show.line(self.out, f"Please answer with a number from 1 to {len(options)}.", 2)

    def _note(self) -> str:
        show.line(self.out, "A note: what else it does now, lap times, minutes left. Enter: none")
        return self.line("> ")

    def after(self, case: Case, trial: Tried, note: str = "", complaint: str = "") -> None:
        """What the outcome and the note beside it taught, and the next change at once."""
        before = steps.begin(self.mind, case)
        state = steps.after_trial(self.mind, case, trial, note)
        if news := steps.news(before, state):
            show.line(self.out, "Your note says more:")
            show.understood(self.out, news, self.mind.book)
        if state.case.tried[-1].soured:
            show.line(
                self.out,
                "A new fault may come from the change. If it is worse than the old one, "
                "put the change back, or half of it.",
                0,
                "bold",
            )
        state = replace(state, case=replace(state.case, complaint=complaint or case.complaint))
        self.remember(state, False)
        show.moved(self.out, steps.answer(self.mind, before), steps.answer(self.mind, state))
        show.advice_after(
            self.out, trial.verdict, show.reversible(self.mind.book, trial.lever, trial.direction)
        )
        again = self.advice(self._stopped(state))
        if again is not None:
            self._through(again)
        self.remember(state, True)
