"""Questions, what forbids driving, and what was found and mended."""

from __future__ import annotations

from dataclasses import dataclass, replace

from advisor.app import hear, wording
from advisor.app.closing import put_right
from advisor.app.place import Go, heard, heard_or, stay
from advisor.app.prompt import Prompt, Row, news, options
from advisor.app.workspace import Workspace
from advisor.inference.evidence import Evidence
from advisor.interview import explanations, steps
from advisor.interview.choices import as_offered, choices, chosen, numbered, within
from advisor.interview.steps import State
from advisor.model import conditions
from advisor.model.advice import Advice, Question, Stop
from advisor.model.knowledge import Observation
from advisor.planning.questions import as_question, askable
from advisor.reasoning.explain import own_answers
from advisor.reasoning.weighing import Mind
from advisor.words.tokens import tokens

SOUNDS = 0.25  # chance from which an answer is marked as what the words sound like
DRIVER = "driver_care"  # a stop that asks for this first is about a person: help comes first
BEFORE_ADVICE = (
    "This one first: what you say may mean danger. If you cannot tell, have it looked at before you drive."
)


def next_question(desk: Workspace, state: State) -> Question | None:
    """The next question: what comes before any other, then what is worth most; None where advice is wanted."""
    mind, evidence = desk.mind, state.gathered.evidence
    plain = steps.danger_first(mind, state)
    if plain is None and not state.enough and not state.reopened:
        for observation in mind.book.observations.values():
            open_ = observation.id not in state.skipped and askable(observation, evidence)
            if open_ and _comes_first(observation, evidence):
                return as_question(observation, 0.0)
    return plain or steps.question(mind, state)


def _comes_first(observation: Observation, evidence: Evidence) -> bool:
    return bool(observation.first) and conditions.holds(observation.first, evidence.facts)


@dataclass(frozen=True)
class Asking:
    """A question with its answers."""

    state: State
    asked: Question
    done: bool = False

    def prompt(self, desk: Workspace) -> Prompt:
        mind, state = desk.mind, self.state
        offered = choices(mind, self.asked)
        chances = state.gathered.evidence.perhaps.get(self.asked.id, {})
        texts = [
            f"{c.text}{' (so it sounds)' if max(chances.get(a, 0.0) for a in c.answers) >= SOUNDS else ''}"
            for c in offered
        ]
        danger = steps.danger_first(mind, state)
        best = Row(BEFORE_ADVICE, "bold") if danger else Row(_best(desk, state), most=2, rank=3)
        take = () if danger else ("t: take it",)
        return Prompt(
            "question",
            (
                wording.known(state.gathered.understood, state.case, mind.book),
                Row(f"Question {state.asked + 1}: {self.asked.text}", "bold"),
                *options(texts),
                best,
            ),
            (*take, "Enter: don't know", "?: why", "b: back", "k: known", "h: keys", "q: stop"),
            (*self.asked.texts, *self.asked.answers),
        )

    def reply(self, desk: Workspace, text: str) -> Go:
        mind, state, said = desk.mind, self.state, text.lower()
        answers = self.meant(mind, text)
        if said in hear.UNSURE and not answers:
            return Go(on=steps.answered(mind, state, self.asked, None))
        if said in hear.TAKE:
            return stay(BEFORE_ADVICE) if steps.danger_first(mind, state) else Go(on=steps.taking(state))
        if said in ("?", "w", "why"):
            return Go(page=self._why(desk))
        if answers:
            return self._answered(desk, answers, text)
        told = heard(desk, state, text)
        beside = within(mind, self.asked, text) if told and not steps.takes_back(text) else None
        if beside:
            return self._answered(desk, beside, text)
        if told:
            return Go(on=told[0], said=told[1])
        numbers = f"A number from 1 to {len(choices(mind, self.asked))}"
        return stay(f"Not understood. {numbers}, or words; Enter if you don't know or none fits.")

    def meant(self, mind: Mind, text: str) -> tuple[str, ...] | None:
        """The answers that a line means, not knowing only where an answer says so; None where it means none."""
        if text.lower() in hear.UNSURE:
            return as_offered(self.asked, text)
        asked = mind.book.observations[self.asked.id]
        if self._all_sound(asked, text):
            return tuple(a for a in self.asked.answers if not asked.answers[a].alarm)
        return chosen(mind, self.asked, text)

    @staticmethod
    def _all_sound(asked: Observation, text: str) -> bool:
        return asked.doubt and hear.nothing_wrong(text)

    def _answered(self, desk: Workspace, answers: tuple[str, ...], text: str) -> Go:
        """The answer, and whatever else the same words tell."""
        state = steps.answered(desk.mind, self.state, self.asked, *answers)
        if text.isdigit():
            return Go(on=state, said=_nothing_apart(self.asked, answers))
        if self._all_sound(desk.mind.book.observations[self.asked.id], text):
            return Go(on=state, said=_heard(self.asked, answers))  # "nothing bent" tells of nothing else
        more = heard(desk, state, text) if len(text.split()) > 1 else None
        if more:
            return Go(on=more[0], said=(*_heard(self.asked, answers), *more[1]))
        return Go(on=state, said=_nothing_apart(self.asked, answers) or _heard(self.asked, answers))

    def _why(self, desk: Workspace) -> tuple[Row, ...]:
        """What the question is for, and what each answer would raise and put first, computed by answering it."""
        mind, state = desk.mind, self.state
        rows = [Row(self.asked.text, "bold"), Row(mind.book.observations[self.asked.id].plain, indent=2)]
        previews = explanations.previews(mind, state, self.asked)
        for text, then in zip(self.asked.texts, previews, strict=True):
            rows.append(
                Row(f"{text}: likelier then: {then.raised}; tried first: {then.first}", indent=2, hang=2)
            )
        answering = steps.reasoning(mind, state).answering.get(self.asked.id)
        effort = mind.book.observations[self.asked.id].effort
        rows += [Row(text, indent=2) for text in own_answers(answering, effort)]
        if self.asked.gain > 0:
            rows.append(
                Row(f"An answer saves about {self.asked.gain:.0f} minutes of trying, on average.", indent=2)
            )
        return tuple(rows)


def _best(desk: Workspace, state: State) -> str:
    """The best change so far, with its chance."""
    top = explanations.top(desk.mind, state)
    if isinstance(top, Advice):
        return f"Best so far: {top.say}; cures {wording.chance(top.chance)}."
    return "Best so far: nothing yet."


def _heard(asked: Question, answers: tuple[str, ...]) -> tuple[Row, ...]:
    texts = dict(zip(asked.answers, asked.texts, strict=True))
    return (news(f"Heard: {wording.joined([texts[a] for a in answers])}."),)


def _nothing_apart(asked: Question, answers: tuple[str, ...]) -> tuple[Row, ...]:
    if len(answers) == 1:
        return ()
    if set(answers) == set(asked.answers):
        return (news("Heard: all of them, so this tells nothing apart."),)
    return _heard(asked, answers)


# --- what forbids driving ---------------------------------------------------------------------------------

# Questions and causes of a driver who is well: he does not see, or what he wears is damaged.
NOBODY_HURT = frozenset(("sight", "whole_kart", "driver_cannot_see"))
SOUND = "Written down: inspected, and sound. It goes on with the same trouble."
LOOKED = ("found something and mended it", "all sound: looked at all of it", "cannot look now")
HIRED = ("they found something and mended it", "they say all of it is sound", "nobody has looked at it yet")
CARED = ("looked after, and well again: a doctor or medic agrees", "nothing is wrong with anybody", "not yet")
ASK_SOMEBODY = "Not sure what you see? Ask the scrutineer, your dealer or a licensed mechanic."
# words in the names of inspections that name no part, as singulars
NO_PARTS = frozenset((
    "inspection", "check", "care", "of", "the", "and", "at", "another", "hire", "kart", "time", "comparison", "driver",
    "corner", "weight", "inside", "rear", "look", "size", "it", "their", "or", "for", "a", "all", "every",
))  # fmt: skip
NOT_YOURS = "A hire kart: mend nothing yourself. Park it, tell those who own it, and ask for another."
KART_AFTER = "What may have hurt the driver is looked at before the next run."
SEE_TO = (
    "First the person: stop, call the medic. Pain in neck or head, or dazed: keep still, the helmet stays on "
    "until help is there. The kart can wait."
)


@dataclass(frozen=True)
class Stopped:
    """What forbids driving. It is left by an inspection, by taking back what was said, or by quitting; by no number.

    `due`: nothing is known to be dangerous, but this comes before any change is driven.
    """

    state: State
    stop: Stop
    cared: bool = False  # whoever is hurt has been seen to
    due: bool = False
    done: bool = False

    @property
    def for_person(self) -> bool:
        first = bool(self.stop.inspect) and self.stop.inspect[0] == DRIVER
        about = {name.partition(": ")[0] for name in (self.stop.reason, *self.stop.also)}
        return first and not about <= NOBODY_HURT and not self.cared

    @property
    def _hired(self) -> bool:
        """True for a kart that whoever is asked may not mend."""
        return not self.for_person and "hire" in self.state.gathered.evidence.told.get("owner", ())

    @property
    def _listed(self) -> tuple[str, ...]:
        return CARED if self.for_person else HIRED if self._hired else LOOKED

    @property
    def _levers(self) -> tuple[str, ...]:
        """What is to be inspected on the kart."""
        return tuple(lever for lever in self.stop.inspect if lever != DRIVER)

    def prompt(self, desk: Workspace) -> Prompt:
        book = desk.mind.book
        texts = dict(zip(self.stop.inspect, self.stop.steps or ("",) * len(self.stop.inspect), strict=True))
        levers = (DRIVER,) if self.for_person else self._levers or self.stop.inspect
        most = 6 if len(levers) == 1 else 4 if len(levers) == 2 else 2
        rows = [
            Row("FIRST, before you drive" if self.due else "STOP: do not drive it", "alarm"),
            *((Row(SEE_TO, "bold"),) if self.for_person else ()),
            *((Row(NOT_YOURS, "bold"),) if self._hired else ()),
            Row(
                KART_AFTER if self.cared and not self.stop.also else self.stop.text, "bold", indent=1, most=6
            ),
            *(
                Row(
                    f"{book.levers[lever].name}: {texts[lever] or book.levers[lever].plain}",
                    indent=1,
                    hang=2,
                    most=most,
                    rank=2,
                )
                for lever in levers
            ),
            *(() if self.for_person else (Row(ASK_SOMEBODY, indent=1, rank=4),)),
            Row(
                "How is the driver?"
                if self.for_person
                else "What did they find?"
                if self._hired
                else "What did you find?",
                "bold",
            ),
            *options(self._listed),
        ]
        keys = (
            "or in your own words",
            "?: all of it",
            "x: I did not say that",
            *(("b: back",) if self.due else ()),
            "h: keys",
            "q: leave it standing",
        )
        return Prompt("stop", tuple(rows), keys)

    def reply(self, desk: Workspace, text: str) -> Go:
        listed = self._listed
        place = numbered(listed, text)
        meant = self._meant(text, place)
        if place is None and meant in ("mended", "sound") and self._elsewhere(desk, text):
            return stay(self._that_is_elsewhere(desk))
        if self.for_person and meant in ("mended", "sound"):
            return self._cared(desk)
        if meant == "mended" and not self._levers:  # a visor that is clean again was no fault of the kart
            return self._sound(desk, "Written down: put right. It goes on with the same trouble.")
        if meant == "mended":
            return self._mended(desk, "" if place is not None else text)
        if meant == "sound":
            return self._sound(desk)
        if meant == "cannot":
            return stay(
                "Then leave it standing until somebody has looked. It is written down and waits here; q leaves."
            )
        if meant == "wrong":
            return self._taken_back(desk)
        if meant == "lost":
            return stay("Then do not drive it. When it is mended, say so: it goes on from there.")
        if meant == "why":
            return Go(page=self._all(desk))
        numbers = f"a number from 1 to {len(listed)}"
        return heard_or(
            desk, self.state, text, f"First this. Say what you found, {numbers}, or q to leave it standing."
        )

    def _meant(self, text: str, place: int | None) -> hear.Found | None:
        """What a line means here: an answer of the list, by `place`, or words."""
        if place is not None:
            order: tuple[hear.Found, ...] = ("mended", "sound", "cannot")
            return "sound" if self.for_person and place == 0 else order[place]
        if text.strip().isdigit():
            return None
        return "wrong" if text.lower() == "x" else hear.found(text)

    def _elsewhere(self, desk: Workspace, text: str) -> bool:
        """True for words about other parts only than those that are to be inspected: they clear nothing."""
        book = desk.mind.book
        looks = [lever for lever in book.levers.values() if any(way.look for way in lever.ways.values())]
        named = parts(text) & {part for lever in looks for part in parts(lever.name)}
        asked = [self.stop.text, *self.stop.steps]
        asked += [t for i in self.stop.inspect for t in (book.levers[i].name, book.levers[i].plain)]
        return bool(named) and not named & parts(" ".join(asked))

    def _that_is_elsewhere(self, desk: Workspace) -> str:
        names = [desk.mind.book.levers[lever].name for lever in self.stop.inspect]
        return f"That is another part. First this: {wording.joined(names)}. Say what you found there."

    def _cared(self, desk: Workspace) -> Go:
        if self._levers:
            return Go(to=replace(self, cared=True), said=(news("Good. Now the kart."),))
        return self._sound(desk)

    def _sound(self, desk: Workspace, said: str = SOUND) -> Go:
        return Go(on=steps.checked(desk.mind, self.state, self.stop), said=(news(said),))

    def _mended(self, desk: Workspace, note: str) -> Go:
        """What was found and mended is a trial of its own: it stands in the journal, and was probably it."""
        return put_right(desk, self.state, found_by(desk, self.state, self._levers[0]), note, self.stop)

    def _taken_back(self, desk: Workspace) -> Go:
        """The readings that stop are refused; a danger that is only likely is asked about, and stays."""
        facts = [q for q in self.stop.questions if q in self.state.gathered.evidence.told]
        if self.due or not facts:
            return stay(
                "That is how all of it sounds; k shows what was heard, and takes it back by its number."
            )
        state = self.state
        for question in facts:
            state = steps.forget(desk.mind, state, question)
        return Go(on=replace(state, reopened=facts[0]), said=(news("Taken back. So it is asked plainly:"),))

    def _all(self, desk: Workspace) -> tuple[Row, ...]:
        book = desk.mind.book
        texts = self.stop.steps or ("",) * len(self.stop.inspect)
        rows = [Row(self.stop.text, "bold")]
        for lever, text in zip(self.stop.inspect, texts, strict=True):
            rows.append(Row(f"{book.levers[lever].name[:1].upper()}{book.levers[lever].name[1:]}", "bold"))
            rows.append(Row(text or book.levers[lever].plain, indent=2))
            rows += [Row(f"Care: {c}", indent=2) for c in book.levers[lever].cautions]
        return (*rows, Row(ASK_SOMEBODY))


def parts(text: str) -> set[str]:
    """The words of a text that may name a part, as singulars."""
    return {token.word.rstrip("s").replace("tire", "tyre") for token in tokens(text)} - NO_PARTS


def found_by(desk: Workspace, state: State, lever: str) -> Advice:
    """An inspection as a change that can be written down, with its chance where it is on the list."""
    entry = desk.mind.book.levers[lever]
    look = next((way for way, w in entry.ways.items() if w.look), next(iter(entry.ways)))
    chance = explanations.chance(desk.mind, state, lever)
    return Advice(
        lever, look, entry.ways[look].say, None, None, None, entry.minutes, chance, 1.0, 0.0, (), (),
        "something found and put right; then the fault is gone in the first laps",
        "nothing is found, and the fault is as it was", entry.cautions, (),
    )  # fmt: skip
