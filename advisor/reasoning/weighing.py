"""From a case to what is thought of its causes and its changes: all rooms together, nothing said of it yet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from advisor.inference import cures, pairs, trials
from advisor.inference.belief import Belief, believe, first_tries
from advisor.inference.cures import Links
from advisor.inference.evidence import Evidence, Gathered, gather
from advisor.inference.pairs import Together
from advisor.inference.tables import Tables, compile_tables
from advisor.inference.trials import Moved
from advisor.learning import answering, experience, own_cases, verdict_errors
from advisor.learning.answering import Answering
from advisor.learning.experience import Own
from advisor.learning.verdict_errors import Errors
from advisor.mechanics.known import known as known_of
from advisor.model.case import Case
from advisor.model.knowledge import Book
from advisor.planning.plan import plan_of
from advisor.planning.ranking import Ranked, Said, as_heard, not_by_one, rank
from advisor.planning.repair import Repair
from advisor.planning.sizes import sizes
from advisor.words.ear import Ear
from advisor.words.phrases import Lexicon
from advisor.words.understand import lexicon


@dataclass(frozen=True, slots=True)
class Mind:
    """A book made ready to reason with."""

    book: Book
    tables: Tables
    lexicon: Lexicon
    ear: Ear | None = None


def make_ready(book: Book, ear: Ear | None = None) -> Mind:
    """Compile a book once for any number of cases."""
    return Mind(book, compile_tables(book), lexicon(book, ear.words if ear else frozenset()), ear)


@dataclass(frozen=True)
class Believed:
    """What is thought of the causes, before any change is weighed; whether it may be driven follows from this."""

    gathered: Gathered
    links: Links
    moved: Moved
    belief: Belief
    own: Mapping[str, Own]  # what the team's trials of other days say, by lever
    cases: Mapping[int, float]  # the team's own cases, by hypothesis
    errors: Errors  # how often its drivers' words are wrong
    answering: Mapping[str, Answering]  # how often its people answer, by question
    driver: str  # who drives today, "" where that is not told

    @property
    def evidence(self) -> Evidence:
        return self.gathered.evidence


@dataclass(frozen=True)
class Reasoning(Believed):
    """What lies between a case and its answer, for explanations and for the interview."""

    book: Book
    together: Together
    ranked: tuple[Ranked, ...]
    said: Said

    @cached_property
    def plan(self) -> Repair:
        """The changes that are open, each worth what it is worth on the list, laid out once."""
        preparing = self.evidence.preparing
        return plan_of(
            self.book, self.ranked, self.links, self.moved, self.together.shares, self.said, preparing
        )


def reason(mind: Mind, case: Case, gathered: Gathered | None = None) -> Reasoning:
    """Weigh a case. `gathered` may bring evidence with more answers than the case states."""
    return weigh_changes(mind, case, weigh_causes(mind, case, gathered))


def weigh_causes(
    mind: Mind, case: Case, gathered: Gathered | None = None, links: Links | None = None
) -> Believed:
    """What is thought of the causes of a case; `links` are those of the book here, where they are known."""
    gathered = gathered or gather(case, mind.book, mind.lexicon, mind.ear)
    today = experience.facts_of(case, gathered.evidence.certain)
    tried, past = experience.apart(case.past, gathered.evidence.tried, today)
    errors = verdict_errors.learn(mind.book, case.past)
    answers = answering.learn(mind.book, case.asked, gathered.evidence.who)
    able = {question: found.here for question, found in answers.items()}
    tried = tuple(replace(t, driver=t.driver or case.driver) for t in tried)
    evidence = replace(gathered.evidence, tried=tried, able=able)
    table, own = experience.weigh(links or cures.links(mind.book, evidence), past, today, errors.odds)
    learnt = trials.learn(table, evidence.trials, len(mind.tables.hypotheses), errors.odds)
    cases = own_cases.count(mind.tables, table, past, today, errors.odds)
    belief = believe(mind.tables, evidence, {**learnt.terms, **own_cases.terms(cases, mind.tables)})
    gathered = replace(gathered, evidence=evidence)
    return Believed(gathered, table, learnt.moved, belief, own, cases, errors, answers, case.driver)


def weigh_changes(mind: Mind, case: Case, causes: Believed) -> Reasoning:
    """The changes for what is thought of the causes, in order."""
    evidence, links = causes.evidence, causes.links
    together = pairs.weigh(causes.belief)
    open_ways = trials.prospects(links, together.shares, causes.moved)
    tested = {lever for t in evidence.trials for lever in (t.lever, *(other for other, _ in t.beside))}
    known = (
        tested | causes.own.keys() | case.setup.keys()
    )  # a value on the sheet tells which way, better than words
    said = as_heard(open_ways, first_tries(mind.tables, causes.belief, evidence), known)
    kart = known_of(replace(case, observed={**evidence.certain, **case.observed}))
    strong = sizes(mind.book, kart, links, open_ways)
    ranked = not_by_one(mind.book, rank(mind.book, case, evidence, open_ways, strong, said), evidence.tried)
    return Reasoning(
        causes.gathered, links, causes.moved, causes.belief, causes.own, causes.cases, causes.errors,
        causes.answering, causes.driver, mind.book, together, tuple(ranked), said,
    )  # fmt: skip
