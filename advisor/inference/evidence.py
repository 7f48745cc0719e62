"""Everything a case says, in one record: fields first, then the words, each fact once, by id."""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import TypeVar

from advisor import units
from advisor.inference.changed import history_turns, turns_of
from advisor.inference.hearing import OF_WAY, Hearing, listen, of_shares
from advisor.inference.teeth import beside_others
from advisor.inference.worked import worked_out
from advisor.model import conditions
from advisor.model.case import Case, Tried, stands_alone
from advisor.model.feel import (
    AXES,
    CELLS,
    FEEL,
    NONE_TOLD,
    SECOND,
    Answers,
    axes,
    by_observation,
    by_question,
    cells,
)
from advisor.model.knowledge import Book
from advisor.units import Quantity
from advisor.words.ear import Ear
from advisor.words.phrases import Lexicon
from advisor.words.tokens import plain
from advisor.words.understand import Pair, Turn, Understanding, understand

T = TypeVar("T")
BEFORE = "tried"  # under this name stands what the words say was tried before, and can be taken back


@dataclass(frozen=True, slots=True)
class Evidence:
    """`answers`: the answers still possible of each observation; `second`: the cells of a second fault, if one is told.

    `facts` holds the answers left to each question and the values of the case by path, for the conditions
    of the book.
    """

    answers: Mapping[str, Answers]
    facts: conditions.Facts
    second: Answers = NONE_TOLD
    changes: tuple[Turn, ...] = ()
    ideas: tuple[Turn, ...] = ()
    spent: tuple[Turn, ...] = ()  # ways of which the words say that they go no further
    before: tuple[Tried, ...] = ()  # what the words say was tried before
    preparing: bool = False
    tried: tuple[Tried, ...] = ()
    keep: frozenset[str] = frozenset()
    said: bool = False
    beside: frozenset[str] = frozenset()  # observations told that tell nothing of a fault
    cleared: frozenset[str] = frozenset()  # reasons of stops that were inspected and found sound
    perhaps: Mapping[str, Mapping[str, float]] = field(
        default_factory=dict
    )  # answers in doubt, with their chances
    say: Mapping[str, float] = field(default_factory=dict)  # what the words say of each cause, as a log ratio
    tries: Mapping[str, float] = field(
        default_factory=dict
    )  # what a mechanic would try first by words and answers, as a log factor of each "lever:way"
    by_ear: float = 0.0  # how much of that counts where only words tell
    by_answers: float = 0.0  # and where answers do
    danger: float | None = None  # chance that the words tell of danger; None where there are none
    least: float = 1.0  # what likely dangers must add up to, by the sound of the words, to stop
    harmless: bool = False  # as a whole the words do not sound like danger
    alarms: Mapping[str, float] = field(default_factory=dict)  # chance of an answer that alarms, by the words
    heard: frozenset[str] = frozenset()  # questions of which only the words tell
    who: str = ""  # who answers
    able: Mapping[str, float] = field(default_factory=dict)  # how often they answer a question here
    alone: bool = False  # whether the words were all that was told
    fields: int = 0  # questions that fields answered which stood beside the words, and repeat them
    follows: frozenset[str] = frozenset()  # questions of which only the figures of the kart and the day tell

    @property
    def tells(self) -> bool:
        """True when anything is known of what the kart does, or of the track, tyres, engine or driver."""
        known = self.answers.keys() - self.beside
        return bool(known) or bool(self.trials) or bool(self.changes)

    @property
    def speaks(self) -> bool:
        """True when something was said or done that an answer can be given to."""
        return self.said or bool(self.trials) or bool(self.changes)

    @property
    def trials(self) -> tuple[Tried, ...]:
        """What was tried, before and since the words were said."""
        return (*self.before, *self.tried)

    @property
    def by_words(self) -> bool:
        """True while no question has an answer but from the words, and nothing was tried."""
        return self.told.keys() <= self.heard and not self.tried

    @property
    def told(self) -> dict[str, Answers]:
        """The answers left to each question of which something is told, phase and balance each by itself."""
        return by_question(self.answers)

    @property
    def certain(self) -> dict[str, str]:
        """The answers to questions of which only one is left."""
        return {ident: next(iter(answers)) for ident, answers in self.told.items() if len(answers) == 1}

    def answered(self, question: str) -> bool:
        """True when a question need not be asked; what the kart does is asked until one balance is left."""
        left = self.told.get(question)
        return left is not None and (question != "balance" or len(left) == 1)

    def answering(self, question: str, answer: str) -> Evidence:
        """Return the evidence with one more answer."""
        return self.leaving(question, frozenset((answer,)))

    def leaving(self, question: str, left: Answers | None) -> Evidence:
        """Return the evidence with these answers left to a question, None to take back what was told of it."""
        observation, now = by_observation(self.answers, question, left)
        return replace(
            self,
            perhaps={q: p for q, p in self.perhaps.items() if q != question},
            heard=self.heard - {question},
            answers=_put(self.answers, observation, now),
            facts=_put(self.facts, f"observed.{question}", left),
        )


def _put(known: Mapping[str, T], key: str, value: T | None) -> dict[str, T]:
    return {**known, key: value} if value else {k: v for k, v in known.items() if k != key}


@dataclass(frozen=True, slots=True)
class Gathered:
    """The evidence of a case, what was understood by id, and what to warn of. `whole`: what was heard in all words."""

    evidence: Evidence
    understood: dict[str, object]
    warnings: tuple[str, ...]
    words: Understanding
    whole: Hearing
    foreign: bool = False  # told in another language


def gather(
    case: Case,
    book: Book,
    known: Lexicon,
    ear: Ear | None = None,
    heard: Hearing | None = None,
    few: bool = False,
) -> Gathered:
    """Read fields and words of a case. Fields outrank words; a contradiction is warned of.

    `heard`: what was heard in the words of `case.spoken` already, so that they need not be listened to again.
    `few`: see `listen`.
    """
    hearing = listen(case.complaint, book, known, ear, stands_alone(case), few)
    spoken = case.spoken
    whole = (heard or listen(spoken.text, book, known, ear, spoken.alone)) if spoken else hearing
    words = hearing.words
    context = understand(". ".join((*case.history, case.kart_class)), book, known)
    warnings: list[str] = []
    answers, facts, second, follows = _told(case, words, context, book, warnings)
    changes = dict((*context.changes, *history_turns(case, book, known), *words.changes))
    keep = _kept(case, book, warnings)
    beside = _beside(answers, book)
    # "race at 5 °C" tells of the day and of nothing that the kart does
    only_weather = not answers.keys() - beside and (words.air is not None or "weather" in words.facts)
    preparing = case.preparing or words.preparing or only_weather
    ideas = tuple(dict((*turns_of(case.ideas, book), *words.ideas)).items())
    does = beyond_context(answers, book) or second or words.changes or ideas
    said = bool(does or hearing.about or whole.about or (preparing and answers))
    told_of = () if BEFORE in case.refused else (*words.trials, *whole.words.trials)
    before = dict.fromkeys(Tried(*trial) for trial in told_of)
    by_words = _heard(words) - case.observed.keys() | frozenset(spoken.of if spoken else ())
    tries, by_answers = _tries(by_question(answers), by_words, whole, ear)
    evidence = Evidence(
        answers, facts, second, tuple(changes.items()), ideas,
        (*words.spent, *whole.words.spent), tuple(before), preparing, case.tried, keep,
        said=said, beside=beside, cleared=frozenset(case.cleared),
        perhaps={q: p for q, p in {**whole.perhaps, **hearing.perhaps}.items()
                 if q not in answers and q not in case.refused},
        say=whole.say, tries=tries, by_ear=whole.counts, by_answers=by_answers,
        danger=whole.danger, least=whole.least, harmless=whole.harmless, alarms=whole.alarms, heard=by_words,
        follows=follows,
        who=case.who, alone=spoken.alone if spoken else stands_alone(case),
        fields=spoken.beside if spoken else _beside_words(answers, words, case),
    )  # fmt: skip
    if hearing.reply:
        warnings.append(hearing.reply)
    return Gathered(
        evidence, _understood(evidence, words), tuple(warnings), words, whole, bool(hearing.reply)
    )


def _told(
    case: Case, words: Understanding, context: Understanding, book: Book, warnings: list[str]
) -> tuple[dict[str, Answers], conditions.Facts, Answers, frozenset[str]]:
    """The answers and facts of words and fields, the cells of a second fault, and what only figures tell."""
    answers = _from_words(words, context)
    _overrule(answers, case, book, warnings)
    facts = _values(case)
    if words.air is not None:
        facts.setdefault("conditions.air_temperature", words.air)
    _beside_others(answers, case, book, case.spoken.text if case.spoken else "")
    follows = _derive(answers, facts, book)
    for ident in set(case.refused) - case.observed.keys() - case.denied.keys():
        answers.pop(ident, None)
    second = _feel(answers, case, words, warnings)
    facts.update({f"observed.{o}": a for o, a in by_question(answers).items()})
    return answers, facts, second, follows & answers.keys()


def _beside_words(answers: Mapping[str, Answers], words: Understanding, case: Case) -> int:
    """How many questions are answered by fields."""
    return len(by_question(answers).keys() - _heard(words) | case.observed.keys())


def _tries(
    told: Mapping[str, Answers], by_words: Container[str], whole: Hearing, ear: Ear | None
) -> tuple[dict[str, float], float]:
    """What mechanics try first on such words, and where more than words tells, with such answers; how much these say.

    What the words tell is no answer beside themselves.
    """
    if ear is None or ((answered := all(question in by_words for question in told)) and not whole.units):
        return {}, 0.0
    known = {} if answered else {q: next(iter(left)) for q, left in told.items() if len(left) == 1}
    shares, counts = ear.tries(whole.units, known)
    return of_shares(shares, OF_WAY), 0.0 if answered else counts


def _heard(words: Understanding) -> frozenset[str]:
    """The questions of which the words tell."""
    first = words.feels[0] if words.feels else (None, None)
    return frozenset((*words.facts, *(axis for axis, said in zip(AXES, first, strict=True) if said)))


def beyond_context(answers: Iterable[str], book: Book) -> set[str]:
    """What is told that is more than which kart and which day it is."""
    return set(answers) - {o.id for o in book.observations.values() if o.context}


def _beside(answers: Mapping[str, Answers], book: Book) -> frozenset[str]:
    """What was told of the kart, the day or the wish itself, and nothing of a fault."""
    known = {ident: told for ident, told in answers.items() if ident != FEEL}
    idle = {i for i, told in known.items() if any(book.observations[i].answers[a].idle for a in told)}
    return frozenset(idle | (known.keys() - beyond_context(known, book)))


def _from_words(words: Understanding, context: Understanding) -> dict[str, Answers]:
    found = {ident: reading.answers for ident, reading in context.facts.items() if ident not in AXES}
    found.update({ident: reading.answers for ident, reading in words.facts.items()})
    return found


def _overrule(answers: dict[str, Answers], case: Case, book: Book, warnings: list[str]) -> None:
    for ident, answer in case.observed.items():
        said = answers.get(ident)
        if said is not None and answer not in said and ident not in AXES:
            warnings.append(
                f'the words say {ident} "{_list(said)}", the field says "{answer}": the field counts'
            )
        answers[ident] = frozenset((answer,))
    for ident, ruled_out in case.denied.items():
        if ident not in case.observed and ruled_out:
            known = answers.get(ident, frozenset(book.observations[ident].answers))
            answers[ident] = known - set(ruled_out) or known


def _feel(answers: dict[str, Answers], case: Case, words: Understanding, warnings: list[str]) -> Answers:
    """Make one answer of phase and balance, in their place; return the cells of a second fault."""
    wanted = _pair(case.observed)
    first, rest = words.feels[0] if words.feels else (None, None), words.feels[1:]
    for ident, said, stated in zip(AXES, first, wanted, strict=True):
        if stated and said and stated != said and not any(stated in pair for pair in words.feels):
            warnings.append(f'the words say {ident} "{said}", the field says "{stated}": the field counts')
    if any(wanted):
        rest = tuple(p for p in words.feels if not _agrees(p, wanted))
        first = next((p for p in words.feels if _agrees(p, wanted)), (None, None))
    left = [answers.pop(axis, None) for axis in AXES]
    felt = cells(*((said,) if said else known for said, known in zip(first, left, strict=True)))
    if len(felt) < len(CELLS):
        answers[FEEL] = felt
    second = _pair(case.secondary)
    if rest and not any(second):
        second = rest[0]
    return cells(*((x,) if x else None for x in second)) if any(second) else NONE_TOLD


def _pair(fields: Mapping[str, str]) -> Pair:
    return fields.get("phase"), fields.get("balance")


def _agrees(pair: Pair, wanted: Pair) -> bool:
    return all(w is None or p is None or p == w for p, w in zip(pair, wanted, strict=True))


def _values(case: Case) -> dict[str, Quantity | str | Answers]:
    facts: dict[str, Quantity | str | Answers] = {}
    for lever, value in case.setup.items():
        if isinstance(value, Quantity | str):
            facts[f"setup.{lever}"] = value
    facts.update({f"setup.tyres.{key}": value for key, value in case.tyres.items()})
    facts.update({f"conditions.{key}": value for key, value in case.conditions.items()})
    facts.update(worked_out(case))
    if case.driver_mass is not None:
        facts["kart.driver_mass"] = case.driver_mass
    for room in ("setup", "conditions"):
        _compare_ends(facts, room)
    return facts


def _compare_ends(facts: dict[str, Quantity | str | Answers], room: str) -> None:
    """Where a value stands for both ends, by how much each has more (`….front_more`, `….rear_more`)."""
    for path, front in list(facts.items()):
        for mark, other in ((".front", ".rear"), ("_front", "_rear")):
            rear = facts.get(path.removesuffix(mark) + other)
            if (
                path.startswith(room)
                and path.endswith(mark)
                and isinstance(front, Quantity)
                and isinstance(rear, Quantity)
            ):
                unit = units.UNITS["K"] if front.dimension == "temperature" else front.unit
                facts[f"{path.removesuffix(mark)}.front_more"] = Quantity(front.si - rear.si, unit)
                facts[f"{path.removesuffix(mark)}.rear_more"] = Quantity(rear.si - front.si, unit)


def _derive(answers: dict[str, Answers], facts: conditions.Facts, book: Book) -> frozenset[str]:
    """Answers that follow from the values of the case, where nobody has said otherwise; the ids of their questions."""
    found: dict[str, Answers] = {}
    known = {**facts, **{f"observed.{ident}": told for ident, told in answers.items()}}
    for observation in book.observations.values():
        if observation.id in answers:
            continue
        for ident, answer in observation.answers.items():
            if any(conditions.holds(condition, known) for condition in answer.when):
                found[observation.id] = frozenset((ident,))
    answers.update(found)
    return frozenset(found)


FIELD = "gearing_field"


def _beside_others(answers: dict[str, Answers], case: Case, book: Book, spoken: str) -> None:
    """How our sprockets stand to those of the others, where the words or the sheet tell both."""
    if FIELD in answers or FIELD in case.denied or FIELD not in book.observations:
        return
    answer = beside_others((case.complaint, spoken), case)
    if answer in book.observations[FIELD].answers:
        answers[FIELD] = frozenset((answer,))


SHORT = 3  # letters that may be a part of anything


def _kept(case: Case, book: Book, warnings: list[str]) -> frozenset[str]:
    kept = set()
    for wish in case.keep:
        said = plain(wish).strip()
        hits = {
            e.id
            for e in book.effects.values()
            if said == e.id
            or any(plain(k) in said or (len(said) > SHORT and said in plain(k)) for k in e.keep)
        }
        if not hits:
            warnings.append(f'the wish to keep "{wish}" is not understood and is not guarded')
        kept |= hits
    return frozenset(kept)


def _understood(evidence: Evidence, words: Understanding) -> dict[str, object]:
    second = {f"{SECOND}{axis}": left for axis, left in axes(evidence.second).items()}
    felt = axes(evidence.answers.get(FEEL, NONE_TOLD))
    told = {**felt, **second, **dict(sorted(evidence.told.items()))}
    shown: dict[str, object] = {
        ident: sorted(left) if len(left) > 1 else next(iter(left)) for ident, left in told.items()
    }
    for name, turns in (("changed", evidence.changes), ("idea", evidence.ideas)):
        if turns:
            shown[name] = [f"{lever} {way}" if way else lever for lever, way in turns]
    if evidence.before:
        shown[BEFORE] = [f"{t.lever} {t.direction}: {t.verdict}" for t in evidence.before]
    if evidence.preparing:
        shown["preparing"] = True
    if evidence.keep:
        shown["keep"] = sorted(evidence.keep)
    if words.respelt:
        shown["respelt"] = dict(words.respelt)
    return shown


def _list(answers: Answers) -> str:
    return " or ".join(sorted(answers))
