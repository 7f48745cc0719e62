"""The interview as pure steps: a state and an answer give the next state. No terminal, no clock, no file."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from advisor.model.advice import Advice, Answer, Look, Question, Stop
from advisor.model.case import Case, Spoken, Tried, Verdict, stands_alone
from advisor.model.feel import SECOND, axes, turned
from advisor.reasoning.advise import Mind, Reasoning, advise, ask, find_stop, reason
from advisor.reasoning.advise import at_once as advise_at_once
from advisor.reasoning.advise import look_first as advise_look_first
from advisor.reasoning.advise import look_over as advise_look_over
from advisor.reasoning.alarms import doubted
from advisor.reasoning.evidence import Evidence, Gathered, gather
from advisor.reasoning.questions import as_question, askable
from advisor.units import Quantity
from advisor.words.tokens import plain
from advisor.words.understand import understand


@dataclass(frozen=True, slots=True)
class State:
    """Where an interview stands. `before` is the state that *back* returns to."""

    case: Case
    gathered: Gathered
    asked: int = 0
    skipped: frozenset[str] = frozenset()
    answers: tuple[tuple[str, str], ...] = ()  # question id, answer id, in the order given
    before: State | None = field(default=None, repr=False)
    taken_back: bool = False  # a reading of the words was refused, so they are not read again
    enough: bool = False  # the driver wants the advice now
    urged: bool = False  # the driver wants one more question, whether it pays or not
    reopened: str = ""  # a question of which the reading was refused: it is asked first


def begin(mind: Mind, case: Case) -> State:
    """Start from what is known of the kart and what was said."""
    gathered = gather(case, mind.book, mind.lexicon, mind.ear)
    return State(case, gathered, skipped=frozenset(case.unanswered))


def more_words(mind: Mind, state: State, text: str) -> State:
    """Add a sentence to the complaint and read it all again, or it alone once a reading was taken back."""
    if state.taken_back:
        case = replace(settled(mind, state), complaint=text)
        return replace(begin(mind, case), before=state, taken_back=True)
    case = replace(state.case, complaint=f"{state.case.complaint}. {text}".strip(". "))
    return replace(begin(mind, case), before=state)


def question(mind: Mind, state: State) -> Question | None:
    """The next question, or None: none is worth its time any more, advice is wanted, or danger is in sight.

    Whether it is dangerous, where the words may tell so, is asked even of those who want the advice now.
    """
    done = reason(mind, state.case, state.gathered)
    if find_stop(mind, done):
        return None
    if state.enough:
        return danger_first(mind, state)
    again = mind.book.observations.get(state.reopened)
    if again and askable(again, done.evidence):
        return as_question(again, 0.0)
    return ask(mind, done, state.skipped, state.urged)


def danger_first(mind: Mind, state: State) -> Question | None:
    """The plain question that comes before any advice, where the words may tell of danger and it is not sure."""
    asked = doubted(mind.book, state.gathered.evidence, state.skipped)
    return as_question(asked, 0.0) if asked else None


def answered(mind: Mind, state: State, asked: Question, answer: str | None) -> State:
    """The state after an answer; None means that the driver does not know."""
    gathered = state.gathered
    if answer is not None:
        evidence = gathered.evidence.answering(asked.id, answer)
        gathered = replace(
            gathered,
            evidence=replace(evidence, said=True),
            understood={**gathered.understood, asked.id: answer},
        )
    given = (*state.answers, (asked.id, answer)) if answer is not None else state.answers
    return State(
        state.case, gathered, state.asked + 1, state.skipped | {asked.id}, given, state, enough=state.enough
    )


def look_over(mind: Mind, state: State, asked: Question) -> tuple[Look, ...]:
    """The looks to tick in one list that begins with a question; empty where that is put alone."""
    if state.reopened or danger_first(mind, state):
        return ()
    return advise_look_over(mind, reason(mind, state.case, state.gathered), state.skipped, asked)


def looked_over(mind: Mind, state: State, found: Sequence[tuple[Question, str | None]]) -> State:
    """The state after a list of looks; None for what was not looked at. It counts as one question."""
    after = state
    for asked, answer in found:
        after = answered(mind, after, asked, answer)
    return replace(after, asked=state.asked + 1, before=state)


def forget(mind: Mind, state: State, ident: str) -> State:
    """Take back one fact that was misunderstood; it will not be read from the words again."""
    old = state.gathered.evidence
    if ident.startswith(SECOND):
        evidence = replace(old, second=turned(old.second, ident.removeprefix(SECOND), None))
    else:
        evidence = _without_context(old.leaving(ident, None), ident)
    understood = {k: v for k, v in state.gathered.understood.items() if k != ident}
    return replace(
        state,
        gathered=replace(state.gathered, evidence=evidence, understood=understood),
        before=state,
        taken_back=True,
        reopened=ident,
    )


def stopped(mind: Mind, state: State) -> Stop | None:
    """The danger that forbids driving, if there is one."""
    return find_stop(mind, reason(mind, state.case, state.gathered))


def checked(mind: Mind, state: State, stop: Stop) -> State:
    """The state after what a stop asked for was inspected and is sound: it stops nobody again.

    What was told stays a fact, so that the advice stays with its subject.
    """
    evidence = state.gathered.evidence
    cleared = evidence.cleared | {stop.reason, *stop.also}
    gathered = replace(state.gathered, evidence=replace(evidence, cleared=cleared))
    case = replace(state.case, cleared=tuple(sorted(cleared)))
    return replace(state, case=case, gathered=gathered, before=None)


def limited(mind: Mind, state: State, minutes: float | None, wish: str, who: str = "") -> State:
    """The state with the minutes left, a wish of what must not get worse, and who answers."""
    case = replace(
        state.case,
        minutes=minutes if minutes is not None else state.case.minutes,
        who=who or state.case.who,
    )
    gathered = replace(state.gathered, evidence=replace(state.gathered.evidence, who=case.who))
    state = replace(state, before=None, case=case, gathered=gathered)
    if not wish.strip():
        return state
    case = replace(case, keep=(*case.keep, wish))
    wished = gather(replace(case, complaint="", observed={}, history=()), mind.book, mind.lexicon, mind.ear)
    old = state.gathered
    evidence = replace(old.evidence, keep=wished.evidence.keep)
    return replace(
        state,
        before=None,
        case=case,
        gathered=replace(old, evidence=evidence, warnings=(*old.warnings, *wished.warnings)),
    )


def minutes(text: str) -> float | None:
    """A number of minutes as people type it: 15, 15m, 15 min, half an hour; None if it is none."""
    said = plain(text).strip()
    words = {"half an hour": 30.0, "a quarter of an hour": 15.0, "quarter of an hour": 15.0, "an hour": 60.0}
    if said in words:
        return words[said]
    found = re.fullmatch(r"(\d{1,3})\s*(m|min|mins|minute|minutes)?", said)
    return float(found[1]) if found else None


def minutes_within(text: str) -> float | None:
    """Minutes told somewhere in a note, such as "8 min left"."""
    found = re.search(r"\b(\d{1,3})\s*(?:m|min|mins|minute|minutes)\b", plain(text))
    return float(found[1]) if found else None


def _without_context(evidence: Evidence, ident: str) -> Evidence:
    """Changes, ideas, the wish to prepare and the weather are kept apart from the answers."""
    if ident == "changed":
        return replace(evidence, changes=())
    if ident == "idea":
        return replace(evidence, ideas=())
    if ident == "preparing":
        return replace(evidence, preparing=False)
    if ident == "weather":
        facts = {k: v for k, v in evidence.facts.items() if k != "conditions.air_temperature"}
        return replace(evidence, facts=facts)
    return evidence


def choose(mind: Mind, asked: Question, text: str) -> str | None:
    """Which answer a typed text means: its number, its id, its words, or a phrase for it. None if none or several."""
    said = plain(text).strip()
    if text.strip().startswith("-"):
        return None
    if said.isdigit():
        number = int(said)
        return asked.answers[number - 1] if 1 <= number <= len(asked.answers) else None
    if not said:
        return None
    for ident, answer in zip(asked.answers, asked.texts, strict=True):
        if said in (ident, plain(ident.replace("_", " ")), plain(answer)):
            return ident
    starts = [
        i
        for i, t in zip(asked.answers, asked.texts, strict=True)
        if plain(t).startswith(said) or i.startswith(said)
    ]
    if len(starts) == 1:
        return starts[0]
    return _by_phrase(mind, asked, text)


def _by_phrase(mind: Mind, asked: Question, text: str) -> str | None:
    words = understand(text, mind.book, mind.lexicon)
    said = words.answers(asked.id)
    return next(iter(said)) if len(said) == 1 else None


def answer(mind: Mind, state: State) -> Answer:
    """The advice as it stands."""
    return advise(mind, state.case, state.gathered, state.skipped)


def look_first(mind: Mind, state: State) -> tuple[Advice, ...]:
    """What to look at on the stand before the first change."""
    return advise_look_first(mind, state.case, state.gathered)


def looked(mind: Mind, state: State, looks: Sequence[Advice]) -> State:
    """The state after inspections that found nothing."""
    evidence = state.gathered.evidence
    tried = (*evidence.tried, *(Tried(look.lever, look.direction, "same") for look in looks))
    gathered = replace(state.gathered, evidence=replace(evidence, tried=tried))
    return replace(state, case=replace(state.case, tried=tried), gathered=gathered, before=state)


def taking(state: State) -> State:
    """The state in which nothing more is asked: the advice is wanted as it stands."""
    return replace(state, enough=True, before=state)


def asking_more(state: State) -> State:
    """The state in which one more question is asked, even if it does not pay."""
    return replace(state, enough=False, urged=True, before=state)


def at_once(mind: Mind, state: State) -> tuple[Advice, ...]:
    """Changes that are worth making before one run; what is prepared the day before has no run to share."""
    if state.gathered.evidence.preparing:
        return ()
    return advise_at_once(mind, state.case, state.gathered)


def reasoning(mind: Mind, state: State) -> Reasoning:
    """What lies behind the advice, for explanations."""
    return reason(mind, state.case, state.gathered)


def settled(mind: Mind, state: State) -> Case:
    """The case with every fact as a field, so that it can be kept and its words need not be read for facts again."""
    evidence = state.gathered.evidence
    observed, denied = {}, {}
    for ident, answers in evidence.told.items():
        if len(answers) == 1:
            observed[ident] = next(iter(answers))
        else:
            denied[ident] = tuple(a for a in mind.book.observations[ident].answers if a not in answers)
    second = axes(evidence.second)
    air = evidence.facts.get("conditions.air_temperature")
    conditions = dict(state.case.conditions)
    if isinstance(air, Quantity):
        conditions["air_temperature"] = air
    history, ideas = (
        tuple(f"{lever} {way}" if way else lever for lever, way in turns)
        for turns in (evidence.changes, evidence.ideas)
    )
    return replace(
        state.case, complaint="", observed=observed, denied=denied, history=history, kart_class="",
        ideas=ideas, preparing=evidence.preparing,
        conditions=conditions,
        secondary={k: next(iter(v)) for k, v in second.items() if len(v) == 1}, tried=evidence.tried,
        spoken=_spoken(state.case, evidence),
        unanswered=tuple(sorted(state.skipped - evidence.told.keys())),
    )  # fmt: skip


def _spoken(case: Case, evidence: Evidence) -> Spoken | None:
    """What was said, its facts taken out of it."""
    heard = tuple(sorted(evidence.heard))
    if case.spoken:
        return replace(case.spoken, of=heard)
    return Spoken(case.complaint, heard, stands_alone(case), evidence.fields) if case.complaint else None


def with_verdict(case: Case, trial: Tried, note: str = "") -> Case:
    """The case after a trial: the verdict is a fact of it, and so is what a note tells of the kart.

    The minutes that were left belonged to the break before the run; a note may tell those of this one.
    """
    return replace(case, tried=(*case.tried, trial), complaint=note, minutes=minutes_within(note), ideas=())


def after_trial(mind: Mind, case: Case, trial: Tried, note: str = "") -> State:
    """The state after a trial. A fault that the note tells anew may have come with the change: so it is marked."""
    state = begin(mind, with_verdict(case, trial, note))
    second = begin(mind, case).gathered.evidence.second
    if trial.verdict == "better" and second != state.gathered.evidence.second:
        state = begin(mind, with_verdict(case, replace(trial, soured=True), note))
    # the fields are what was found out before; that the note says more is no contradiction
    return replace(state, gathered=replace(state.gathered, warnings=()))


def tried(state: State, lever: str, direction: str, verdict: Verdict) -> State:
    """The state as it would be after a trial."""
    evidence = state.gathered.evidence
    trials = (*evidence.tried, Tried(lever, direction, verdict))
    return replace(state, gathered=replace(state.gathered, evidence=replace(evidence, tried=trials)))


def news(before: State, after: State) -> dict[str, object]:
    """What is understood after that was not before, such as a fault told in the note of an outcome."""
    old = before.gathered.understood
    return {k: v for k, v in after.gathered.understood.items() if old.get(k) != v}


LETTERS = 3  # of a word that is to choose something; fewer may be a slip of the finger


def numbered(options: Sequence[str], text: str) -> int | None:
    """Which of some options a typed number or the start of a word means; None if it is unclear."""
    said = plain(text).strip()
    if text.strip().startswith("-"):
        return None
    if said.isdigit() and 1 <= int(said) <= len(options):
        return int(said) - 1
    if said in (same := [plain(o) for o in options]):
        return same.index(said)
    starts = [i for i, o in enumerate(options) if len(said) >= LETTERS and plain(o).startswith(said)]
    return starts[0] if len(starts) == 1 else None
