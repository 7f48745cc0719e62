"""The interview as pure steps: a state and an answer give the next state. No terminal, no clock, no file."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from advisor.inference.evidence import BEFORE, Evidence, Gathered, gather
from advisor.inference.hearing import FEW
from advisor.model.advice import Advice, Answer, Look, Question, Stop
from advisor.model.case import Case, Spoken, Tried, Verdict, stands_alone
from advisor.model.feel import AXES, SECOND, axes
from advisor.model.knowledge import Observation
from advisor.planning.alarms import alarming, doubted
from advisor.planning.questions import as_question, askable
from advisor.reasoning.advise import advise, ask, find_stop
from advisor.reasoning.advise import at_once as advise_at_once
from advisor.reasoning.advise import look_first as advise_look_first
from advisor.reasoning.advise import look_over as advise_look_over
from advisor.reasoning.weighing import Mind, Reasoning, reason
from advisor.units import Quantity
from advisor.words.tokens import plain


@dataclass(frozen=True, slots=True)
class State:
    """Where an interview stands: the case, and counters. `gathered` is what the case says, kept at hand.

    Everything that is known stands in the case, words as fields, so that a state is kept and resumed as it is.
    """

    case: Case
    gathered: Gathered = field(repr=False, compare=False)
    asked: int = 0
    answers: tuple[tuple[str, str], ...] = ()  # question id, answer id, in the order given
    enough: bool = False  # the driver wants the advice now
    urged: bool = False  # the driver wants one more question, whether it pays or not
    reopened: str = ""  # a question of which the reading was refused: it is asked first
    looking: tuple[str, ...] = ()  # levers of the inspections that are being gone through

    @property
    def skipped(self) -> frozenset[str]:
        """Questions that these people could not answer."""
        return frozenset(self.case.unanswered)


def begin(mind: Mind, case: Case) -> State:
    """Start from what is known of the kart and what was said; the words are written down as fields."""
    gathered = gather(case, mind.book, mind.lexicon, mind.ear)
    return State(_written_down(mind, case, gathered), gathered)


def having(mind: Mind, state: State, case: Case) -> State:
    """The same interview with a case of which something is different; a question of danger stays to be asked."""
    again = mind.book.observations.get(state.reopened)
    reopened = again.id if again and _alarms(again) else ""
    gathered = _gathered(mind, case, state)
    return replace(state, case=case, gathered=gathered, reopened=reopened, urged=False, looking=())


def _alarms(observation: Observation) -> bool:
    return any(answer.alarm for answer in observation.answers.values())


def _gathered(mind: Mind, case: Case, state: State) -> Gathered:
    """What a case says, without listening again to words that were heard in this interview."""
    old, now = state.case.spoken, case.spoken
    same = old is not None and now is not None and (old.text, old.alone) == (now.text, now.alone)
    return gather(case, mind.book, mind.lexicon, mind.ear, state.gathered.whole if same else None)


# how people begin who take back what they said
_TAKES_BACK = re.compile(
    r"(?i)\s*(no[,:;. ]+(?!hop|grip|brakes?)|actually|i mean|i meant|sorry|correction|rather)\b"
)


def takes_back(text: str) -> bool:
    """True for a line that begins as people do who take back what they said."""
    return _TAKES_BACK.match(text) is not None


def more_words(mind: Mind, state: State, text: str, as_note: bool = False) -> State:
    """Hear another sentence. What it says anew counts from now on; all that it leaves open stays as it was.

    Another feel than the one told first is a second fault, unless the words take the first one back. A note to an
    outcome (`as_note`) tells facts, and is not part of the complaint that is heard as a whole.
    """
    few = len(text.split()) <= FEW  # of few words the phrases alone tell what is meant
    heard = gather(Case(complaint=text), mind.book, mind.lexicon, mind.ear, few=few).evidence
    told = heard.told.keys()
    anew = told if takes_back(text) else told - AXES.keys()
    case = replace(
        state.case,
        complaint=text,
        observed={k: v for k, v in state.case.observed.items() if k not in anew},
        denied={k: v for k, v in state.case.denied.items() if k not in anew},
        refused=tuple(q for q in state.case.refused if q not in told),
        unanswered=tuple(q for q in state.case.unanswered if q not in told),
    )
    gathered = gather(case, mind.book, mind.lexicon, mind.ear, state.gathered.whole, few)
    case = _not_cleared(mind, _written_down(mind, case, gathered), heard)
    only_asked = heard.ideas and not told  # an idea asked about tells nothing of what the kart does
    if case.spoken and state.case.spoken and not as_note and not only_asked:
        case = replace(case, spoken=_joined(case.spoken, text))
    return having(mind, state, _by_itself(mind, case, heard))


def _by_itself(mind: Mind, case: Case, heard: Evidence) -> Case:
    """The case in which danger that a line tells by itself stays told, however harmless all that was said sounds."""
    if case.spoken is None or heard.harmless:
        return case
    alarms = {ident for ident, _, _ in alarming(mind.book, heard)}
    return replace(case, spoken=replace(case.spoken, of=tuple(q for q in case.spoken.of if q not in alarms)))


def _not_cleared(mind: Mind, case: Case, heard: Evidence) -> Case:
    """The case where danger is told anew: what was found sound or mended before does not hold any more."""
    alarms = list(alarming(mind.book, heard))
    if not alarms:
        return case
    reasons = {f"{ident}: {answer}" for ident, answer, _ in alarms}
    levers = {lever for _, _, entry in alarms for lever in entry.inspect}
    return replace(
        case,
        cleared=tuple(reason for reason in case.cleared if reason not in reasons),
        tried=tuple(
            replace(t, verdict="same", mended=True)
            if t.verdict == "better" and t.lever in levers and mind.book.is_look(t.lever, t.direction)
            else t
            for t in case.tried
        ),
    )


def _joined(spoken: Spoken, text: str) -> Spoken:
    """All that was said, to be heard as a whole."""
    return replace(spoken, text=f"{spoken.text.rstrip('. ')}. {text}")


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
    evidence = state.gathered.evidence
    again = mind.book.observations.get(state.reopened)
    if again and _alarms(again) and askable(again, evidence):
        return as_question(again, 0.0)
    asked = doubted(mind.book, evidence, state.skipped)
    return as_question(asked, 0.0) if asked else None


def answered(mind: Mind, state: State, asked: Question, *answer: str | None) -> State:
    """The state after an answer, or after several of which one is true; None means that nobody knows."""
    given = tuple(a for a in answer if a is not None)
    state = replace(state, asked=state.asked + 1, reopened="", urged=False)
    if not given or set(given) == set(asked.answers):
        return replace(state, case=_passed(state.case, asked.id))
    case = _telling(_silent(state.case, asked.id), asked, given)
    told = state.answers if len(given) > 1 else (*state.answers, (asked.id, given[0]))
    state = replace(having(mind, state, case), answers=told)
    if asked.id in state.gathered.evidence.told and len(given) == 1:
        return state
    return replace(state, case=_passed(state.case, asked.id))  # it tells nothing apart; they know no better


def _telling(case: Case, asked: Question, given: Sequence[str]) -> Case:
    if len(given) == 1:
        return replace(case, observed={**case.observed, asked.id: given[0]})
    return replace(case, denied={**case.denied, asked.id: tuple(a for a in asked.answers if a not in given)})


def _passed(case: Case, ident: str) -> Case:
    """The case in which a question is not put again."""
    return replace(case, unanswered=tuple(sorted({*case.unanswered, ident})))


def _silent(case: Case, ident: str) -> Case:
    """The case without what was said of one question."""
    spoken = case.spoken and replace(case.spoken, of=tuple(q for q in case.spoken.of if q != ident))
    return replace(
        case,
        observed={k: v for k, v in case.observed.items() if k != ident},
        denied={k: v for k, v in case.denied.items() if k != ident},
        unanswered=tuple(q for q in case.unanswered if q != ident),
        spoken=spoken,
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
    return replace(after, asked=state.asked + 1)


def forget(mind: Mind, state: State, ident: str) -> State:
    """Take back one fact that was misunderstood; it will not be read from the words again."""
    case = state.case
    if ident.startswith(SECOND):
        name = ident.removeprefix(SECOND)
        case = replace(case, secondary={k: v for k, v in case.secondary.items() if k != name})
    else:
        case = _without_context(_silent(case, ident), ident)
    if ident in mind.book.observations or ident == BEFORE:
        case = replace(case, refused=tuple(sorted({*case.refused, ident})))
    given = tuple(a for a in state.answers if a[0] != ident)
    return replace(having(mind, state, case), reopened=ident, answers=given)


def put_anew(mind: Mind, state: State, ident: str) -> State:
    """The state in which a question is put first, also where it was answered or passed before."""
    return replace(having(mind, state, _silent(state.case, ident)), reopened=ident)


def stopped(mind: Mind, state: State) -> Stop | None:
    """The danger that forbids driving, if there is one."""
    return find_stop(mind, reason(mind, state.case, state.gathered))


def checked(mind: Mind, state: State, stop: Stop) -> State:
    """The state after what a stop asked for was inspected and is sound: it stops nobody again.

    What was told stays a fact, so that the advice stays with its subject.
    """
    cleared = {*state.case.cleared, stop.reason, *stop.also}
    return having(mind, state, replace(state.case, cleared=tuple(sorted(cleared))))


def limited(mind: Mind, state: State, minutes: float | None, wish: str = "", who: str = "") -> State:
    """The state with the minutes left, a wish of what must not get worse, and who answers."""
    case = replace(
        state.case,
        minutes=minutes if minutes is not None else state.case.minutes,
        who=who or state.case.who,
        keep=(*state.case.keep, wish) if wish.strip() else state.case.keep,
    )
    return having(mind, state, case)


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


def _without_context(case: Case, ident: str) -> Case:
    """Changes, ideas, the wish to prepare and the weather are kept apart from the answers."""
    if ident == "changed":
        return replace(case, history=())
    if ident == "idea":
        return replace(case, ideas=())
    if ident == "preparing":
        return replace(case, preparing=False)
    if ident == "weather":
        return replace(case, conditions={k: v for k, v in case.conditions.items() if k != "air_temperature"})
    return case


def answer(mind: Mind, state: State) -> Answer:
    """The advice as it stands."""
    return advise(mind, state.case, state.gathered, state.skipped)


def look_first(mind: Mind, state: State) -> tuple[Advice, ...]:
    """What to look at on the stand before the first change."""
    return advise_look_first(mind, state.case, state.gathered)


def going_through(state: State, looks: Sequence[Advice]) -> State:
    """The state in which a list of inspections is gone through."""
    return replace(state, looking=tuple(look.lever for look in looks))


def gone_through(mind: Mind, state: State) -> tuple[Advice, ...]:
    """The inspections that are being gone through, the first ones first; none where no list is open."""
    listed = (*look_first(mind, state), *answer(mind, state).advice) if state.looking else ()
    looks = {a.lever: a for a in reversed(listed) if mind.book.is_look(a.lever, a.direction)}
    return tuple(looks[lever] for lever in state.looking if lever in looks)


def looked(mind: Mind, state: State, looks: Sequence[Advice]) -> State:
    """The state after inspections that found nothing."""
    found = tuple(
        Tried(look.lever, look.direction, "same", tuple((look.lever, way) for way in look.also))
        for look in looks
    )
    return having(mind, state, replace(state.case, tried=(*state.case.tried, *found)))


def taking(state: State) -> State:
    """The state in which nothing more is asked: the advice is wanted as it stands."""
    return replace(state, enough=True, looking=())


def asking_more(state: State) -> State:
    """The state in which one more question is asked, even if it does not pay."""
    return replace(state, enough=False, urged=True)


def at_once(mind: Mind, state: State) -> tuple[Advice, ...]:
    """Changes that are worth making before one run; what is prepared the day before has no run to share."""
    if state.gathered.evidence.preparing:
        return ()
    return advise_at_once(mind, state.case, state.gathered)


def reasoning(mind: Mind, state: State) -> Reasoning:
    """What lies behind the advice, for explanations."""
    return reason(mind, state.case, state.gathered)


def _written_down(mind: Mind, case: Case, gathered: Gathered) -> Case:
    """The case with every fact as a field, so that its words need not be read for facts again.

    What follows from the values of the kart and the day is left to follow from them, also when they change.
    """
    evidence = gathered.evidence
    bare = replace(case, complaint="", observed={}, denied={}, history=(), kart_class="", spoken=None)
    follows = gather(bare, mind.book, mind.lexicon).evidence.told
    observed, denied = {}, {}
    for ident, answers in evidence.told.items():
        if len(answers) > 1:
            denied[ident] = tuple(a for a in mind.book.observations[ident].answers if a not in answers)
        elif follows.get(ident) != answers or ident in case.observed:
            observed[ident] = next(iter(answers))
    air = evidence.facts.get("conditions.air_temperature")
    history, ideas = (
        tuple(f"{lever} {way}" if way else lever for lever, way in turns)
        for turns in (evidence.changes, evidence.ideas)
    )
    return replace(
        case, complaint="", observed=observed, denied=denied, history=history, kart_class="", ideas=ideas,
        preparing=evidence.preparing, spoken=_spoken(case, evidence),
        conditions={**case.conditions, "air_temperature": air} if isinstance(air, Quantity) else case.conditions,
        secondary={k: next(iter(v)) for k, v in axes(evidence.second).items() if len(v) == 1},
    )  # fmt: skip


def _spoken(case: Case, evidence: Evidence) -> Spoken | None:
    """What was said, its facts taken out of it."""
    heard = tuple(sorted(evidence.heard))
    if case.spoken:
        return replace(case.spoken, of=heard)
    return Spoken(case.complaint, heard, stands_alone(case), evidence.fields) if case.complaint else None


def after_trial(mind: Mind, case: Case, trial: Tried, note: str = "") -> State:
    """The state after a trial: the verdict is a fact of the case, and so is what a note tells of the kart.

    The minutes that were left belonged to the break before the run; a note may tell those of this one. A fault that
    the note tells anew may have come with the change: so it is marked.
    """
    before = begin(mind, case)

    def then(what: Tried) -> State:
        known = replace(before.case, tried=(*case.tried, what), minutes=minutes_within(note), ideas=())
        state = having(mind, before, known)
        return more_words(mind, state, note, as_note=True) if note.strip() else state

    state = then(trial)
    if trial.verdict == "better" and before.case.secondary != state.case.secondary:
        return then(replace(trial, soured=True))
    return state


def tried(mind: Mind, state: State, lever: str, direction: str, verdict: Verdict) -> State:
    """The state as it would be after a trial."""
    trials = (*state.case.tried, Tried(lever, direction, verdict))
    return having(mind, state, replace(state.case, tried=trials))


def news(before: State, after: State) -> dict[str, object]:
    """What is understood after that was not before, such as a fault told in the note of an outcome."""
    old = before.gathered.understood
    return {k: v for k, v in after.gathered.understood.items() if old.get(k) != v}
