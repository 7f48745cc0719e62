"""Everything a case says, in one record: fields first, then the words, each fact once, by id."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from advisor import units
from advisor.model import conditions
from advisor.model.case import Case, Tried
from advisor.model.knowledge import Book
from advisor.units import Quantity
from advisor.words.phrases import Lexicon
from advisor.words.tokens import plain
from advisor.words.understand import Turn, Understanding, understand

Answers = frozenset[str]


@dataclass(frozen=True, slots=True)
class Feels:
    """Which phases and balances are meant; None where nothing is said of it."""

    phases: Answers | None = None
    balances: Answers | None = None

    @property
    def empty(self) -> bool:
        return self.phases is None and self.balances is None


@dataclass(frozen=True, slots=True)
class Evidence:
    """`answers`: the answers still possible of each observation but phase and balance, which are felt together.

    `facts` holds the same and the values of the case by path, for the conditions of the book.
    """

    answers: Mapping[str, Answers]
    feel: Feels
    second: Feels
    facts: conditions.Facts
    changes: tuple[Turn, ...] = ()
    ideas: tuple[Turn, ...] = ()
    preparing: bool = False
    tried: tuple[Tried, ...] = ()
    keep: frozenset[str] = frozenset()
    said: bool = False
    beside: frozenset[str] = frozenset()  # observations told that tell nothing of a fault
    cleared: frozenset[str] = frozenset()  # reasons of stops that were inspected and found sound

    @property
    def tells(self) -> bool:
        """True when anything is known of what the kart does, or of the track, tyres, engine or driver."""
        known = self.answers.keys() - self.beside
        return bool(known) or not self.feel.empty or bool(self.tried) or bool(self.changes)

    def answered(self, observation: str) -> bool:
        if observation == "phase":
            return self.feel.phases is not None
        if observation == "balance":
            return self.feel.balances is not None and len(self.feel.balances) == 1
        return observation in self.answers

    def answering(self, observation: str, answer: str) -> Evidence:
        """Return the evidence with one more answer."""
        one = frozenset((answer,))
        if observation == "phase":
            return self._felt(replace(self.feel, phases=one), observation, one)
        if observation == "balance":
            return self._felt(replace(self.feel, balances=one), observation, one)
        facts = {**self.facts, f"observed.{observation}": one}
        return replace(self, answers={**self.answers, observation: one}, facts=facts)

    def _felt(self, feel: Feels, observation: str, one: Answers) -> Evidence:
        return replace(self, feel=feel, facts={**self.facts, f"observed.{observation}": one})


@dataclass(frozen=True, slots=True)
class Gathered:
    """The evidence of a case, what was understood by id, and what to warn of."""

    evidence: Evidence
    understood: dict[str, object]
    warnings: tuple[str, ...]
    words: Understanding


def gather(case: Case, book: Book, known: Lexicon) -> Gathered:
    """Read fields and words of a case. Fields outrank words; a contradiction is warned of."""
    words = understand(case.complaint, book, known)
    context = understand(". ".join((*case.history, case.kart_class)), book, known)
    warnings: list[str] = []
    answers = _from_words(words, context)
    _overrule(answers, case, book, warnings)
    facts = _values(case)
    if words.air is not None:
        facts.setdefault("conditions.air_temperature", words.air)
    _derive(answers, facts, book)
    feel, second = _feels(case, words, answers.pop("balance", None), answers.pop("phase", None), warnings)
    facts.update({f"observed.{o}": a for o, a in answers.items()})
    for name, felt in (("phase", feel.phases), ("balance", feel.balances)):
        if felt:
            facts[f"observed.{name}"] = felt
    changes = dict((*context.changes, *_history_turns(case, book, known), *words.changes))
    keep = _kept(case, book, warnings)
    preparing = case.preparing or words.preparing or _only_weather(answers, feel, words, book)
    ideas = tuple(dict((*_turns(case.ideas, book), *words.ideas)).items())
    told = _says_something(answers, feel, second, words, book) or bool(ideas)
    evidence = Evidence(
        answers, feel, second, facts, tuple(changes.items()), ideas, preparing, case.tried, keep,
        said=told or (preparing and bool(answers)), beside=_beside(answers, book), cleared=frozenset(case.cleared),
    )  # fmt: skip
    return Gathered(evidence, _understood(evidence, book, words), tuple(warnings), words)


def _beside(answers: Mapping[str, Answers], book: Book) -> frozenset[str]:
    """What was told of the kart, the day or the wish itself, and nothing of a fault."""
    return frozenset(
        ident
        for ident, told in answers.items()
        if book.observations[ident].context or any(book.observations[ident].answers[a].idle for a in told)
    )


def _only_weather(answers: Mapping[str, Answers], feel: Feels, words: Understanding, book: Book) -> bool:
    """True for "race at 5 °C": the words tell of the day and of nothing that the kart does."""
    told = words.air is not None or "weather" in words.facts
    return told and feel.empty and not any(not book.observations[i].context for i in answers)


def _says_something(
    answers: Mapping[str, Answers], feel: Feels, second: Feels, words: Understanding, book: Book
) -> bool:
    """True when more is told than which kart and which day it is."""
    telling = any(not book.observations[ident].context for ident in answers)
    return telling or not (feel.empty and second.empty) or bool(words.changes or words.ideas)


def _from_words(words: Understanding, context: Understanding) -> dict[str, Answers]:
    found = {
        ident: reading.answers
        for ident, reading in context.facts.items()
        if ident not in ("phase", "balance")
    }
    found.update({ident: reading.answers for ident, reading in words.facts.items()})
    return found


def _overrule(answers: dict[str, Answers], case: Case, book: Book, warnings: list[str]) -> None:
    for ident, answer in case.observed.items():
        said = answers.get(ident)
        if said is not None and answer not in said and ident not in ("phase", "balance"):
            warnings.append(
                f'the words say {ident} "{_list(said)}", the field says "{answer}": the field counts'
            )
        answers[ident] = frozenset((answer,))
    for ident, ruled_out in case.denied.items():
        if ident not in case.observed and ruled_out:
            known = answers.get(ident, frozenset(book.observations[ident].answers))
            answers[ident] = known - set(ruled_out) or known


def _feels(
    case: Case, words: Understanding, balance: Answers | None, phase: Answers | None, warnings: list[str]
) -> tuple[Feels, Feels]:
    told = list(words.feels)
    first = Feels(*(frozenset((x,)) if x else None for x in told[0])) if told else Feels()
    for ident, said in (("phase", first.phases), ("balance", first.balances)):
        field = case.observed.get(ident)
        if field and said and field not in said and not any(field in pair for pair in told):
            warnings.append(
                f'the words say {ident} "{_list(said)}", the field says "{field}": the field counts'
            )
    wanted = (case.observed.get("phase"), case.observed.get("balance"))
    rest = told[1:]
    if any(wanted):
        rest = [p for p in told if not _agrees(p, wanted)]
        match = next((p for p in told if _agrees(p, wanted)), (None, None))
        first = Feels(
            _one(wanted[0] or (match[0] if wanted[1] else None)),
            _one(wanted[1] or (match[1] if wanted[0] else None)),
        )
    if first.balances is None and balance:
        first = replace(first, balances=balance)
    if first.phases is None and phase:
        first = replace(first, phases=phase)
    second = Feels(_one(case.secondary.get("phase")), _one(case.secondary.get("balance")))
    if second.empty and rest:
        second = Feels(_one(rest[0][0]), _one(rest[0][1]))
    return first, second


def _agrees(pair: tuple[str | None, str | None], wanted: tuple[str | None, str | None]) -> bool:
    return all(w is None or p is None or p == w for p, w in zip(pair, wanted, strict=True))


def _one(answer: str | None) -> Answers | None:
    return frozenset((answer,)) if answer else None


def _values(case: Case) -> dict[str, Quantity | str | Answers]:
    facts: dict[str, Quantity | str | Answers] = {}
    for lever, value in case.setup.items():
        if isinstance(value, Quantity | str):
            facts[f"setup.{lever}"] = value
    facts.update({f"setup.tyres.{key}": value for key, value in case.tyres.items()})
    facts.update({f"conditions.{key}": value for key, value in case.conditions.items()})
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


def _derive(answers: dict[str, Answers], facts: conditions.Facts, book: Book) -> None:
    """Answers that follow from the values of the case, where nobody has said otherwise."""
    for observation in book.observations.values():
        if observation.id in answers:
            continue
        for ident, answer in observation.answers.items():
            if any(conditions.holds(condition, facts) for condition in answer.when):
                answers[observation.id] = frozenset((ident,))


def _history_turns(case: Case, book: Book, known: Lexicon) -> tuple[Turn, ...]:
    """In the history every lever named is a change, whatever verb goes with it; ids are taken as they are."""
    turns: list[Turn] = []
    for line in case.history:
        turns += _turns((line,), book) or understand(f"changed {line}", book, known).changes
    return tuple(turns)


def _turns(lines: Iterable[str], book: Book) -> list[Turn]:
    """Turns written as ids, "lever way" or "lever"; anything else is left out."""
    turns: list[Turn] = []
    for line in lines:
        ident, _, way = line.partition(" ")
        lever = book.levers.get(ident)
        if lever is not None and (not way or way in lever.ways):
            turns.append((ident, way or None))
    return turns


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


def _understood(evidence: Evidence, book: Book, words: Understanding) -> dict[str, object]:
    shown: dict[str, object] = {}
    for prefix, feel in (("", evidence.feel), ("secondary.", evidence.second)):
        for name, answers in (("phase", feel.phases), ("balance", feel.balances)):
            if answers:
                shown[f"{prefix}{name}"] = _shown(
                    answers, len(book.observations[name].answers) if name in book.observations else 9
                )
    for ident, answers in sorted(evidence.answers.items()):
        shown[ident] = _shown(answers, len(book.observations[ident].answers))
    for name, turns in (("changed", evidence.changes), ("idea", evidence.ideas)):
        if turns:
            shown[name] = [f"{lever} {way}" if way else lever for lever, way in turns]
    if evidence.preparing:
        shown["preparing"] = True
    if evidence.keep:
        shown["keep"] = sorted(evidence.keep)
    for typed, read in words.respelt:
        shown.setdefault("respelt", {})[typed] = read  # type: ignore[index]
    return shown


def _shown(answers: Answers, size: int) -> object:
    return next(iter(answers)) if len(answers) == 1 else sorted(answers)


def _list(answers: Answers) -> str:
    return " or ".join(sorted(answers))
