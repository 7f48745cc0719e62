"""The belief over the shipped book: against brute force, in any order of answers, and through its ledger."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import Phase, assume, given, settings
from hypothesis import strategies as st

from advisor.inference.belief import Belief, believe
from advisor.inference.evidence import Evidence, gather
from advisor.inference.tables import Tables, compile_tables
from advisor.model.case import Case
from advisor.model.knowledge import Book, Odds, Overlap
from advisor.units import parse
from tests.reasoning.brute_force import posterior
from tests.reasoning.minds import patiently, questions, shipped, some_evidence
from tests.reasoning.networks import NO_WORDS, blank, naive_tables, observation

CASES = {
    "nothing is known": Case(),
    "phase and balance": Case(observed={"phase": "entry", "balance": "oversteer"}),
    "only a phase, summed over balances": Case(observed={"phase": "exit"}),
    "only what it does not do": Case(denied={"balance": ("hop", "bind")}),
    "a second fault": Case(
        observed={"phase": "mid", "balance": "understeer"},
        secondary={"phase": "exit", "balance": "oversteer"},
    ),
    "groups that overlap": Case(
        observed={
            "balance": "slide",
            "tyres": "cold",
            "when": "start",
            "weather": "cold",
            "track": "green",
            "grip_feel": "low",
            "shake": "grows",
            "pulls": "pulls",
            "steering_play": "play",
        }
    ),
    "setup and weather that shift the odds": Case(
        observed={"phase": "mid", "balance": "oversteer", "track": "wet", "machine": "cadet"},
        setup={
            "tyre_pressure_rear": parse("20 psi"),
            "seat_fore_aft": parse("22 cm"),
            "axle_stiffness": "stiff",
        },
        tyres={"kind": "slick", "compound": "hard"},
        conditions={"air_temperature": parse("4 degC"), "track_temperature": parse("6 degC")},
        driver_mass=parse("92 kg"),
    ),
    "a change that was made": Case(
        observed={"phase": "mid", "balance": "hop", "when": "since_change"},
        history=("raised the rear",),
    ),
    "a change of which the way is not known": Case(
        observed={"balance": "hop"}, history=("changed the axle this morning",)
    ),
    "so since a change that nobody names": Case(observed={"balance": "hop", "when": "since_change"}),
    "inspections that found all sound": Case(
        observed={"balance": "understeer", "steering_play": "play"},
        cleared=("steering_play: play", "axle_moved"),
    ),
}


@pytest.mark.parametrize("case", CASES.values(), ids=CASES.keys())
def test_the_shipped_book_agrees_with_brute_force(case: Case) -> None:
    mind = shipped()
    evidence = gather(case, mind.book, mind.lexicon).evidence
    found = believe(mind.tables, evidence).probabilities
    assert found == pytest.approx(posterior(mind.tables, evidence), abs=1e-9)


def test_the_cases_for_brute_force_reach_every_part_of_the_belief() -> None:
    mind = shipped()
    lines: set[str] = set()
    for case in CASES.values():
        evidence = gather(case, mind.book, mind.lexicon).evidence
        lines |= believe(mind.tables, evidence).ledger.keys()
    assert {"feel", "second", "tyres", "when", "weather", "setup.tyre_pressure_rear", "inspected"} <= lines
    made = gather(CASES["a change that was made"], mind.book, mind.lexicon).evidence
    assert made.changes == (("rear_ride_height", "raise"),)


@settings(
    patiently, max_examples=1, phases=[Phase.generate]
)  # each weighs every pair of the shipped book by hand
@given(some_evidence(shipped))
def test_random_evidence_agrees_with_brute_force(evidence: Evidence) -> None:
    tables = shipped().tables
    assert believe(tables, evidence).probabilities == pytest.approx(posterior(tables, evidence), abs=1e-9)


@settings(patiently, max_examples=40)
@given(some_evidence(shipped))
def test_probabilities_lie_between_0_and_1_and_add_up_to_1(evidence: Evidence) -> None:
    probabilities = believe(shipped().tables, evidence).probabilities
    assert all(0 <= p <= 1 for p in probabilities)
    assert sum(probabilities) == pytest.approx(1, abs=1e-9)
    assert probabilities[-1] > 0  # something that the book does not hold is never ruled out


def test_without_evidence_the_belief_is_the_prior() -> None:
    tables = shipped().tables
    assert believe(tables, blank()).probabilities == pytest.approx(tables.prior, abs=1e-12)


def test_circumstances_of_one_value_multiply_the_odds_of_a_cause() -> None:
    tables = naive_tables({"fault": 0.2}, {}, {})
    odds = [
        Odds(where={"conditions.air_temperature": test}, times=times, because="")
        for test, times in (("< 10 degC", 3), ("< 0 degC", 2), ("> 30 degC", 7))
    ]
    cause = replace(tables.book.causes["fault"], odds=tuple(odds))
    tables = replace(tables, book=replace(tables.book, causes={"fault": cause}))
    for air, times in (("20 degC", 1), ("5 degC", 3), ("-5 degC", 6), ("35 degC", 7)):
        evidence = replace(blank(), facts={"conditions.air_temperature": parse(air)})
        # odds of 1 to 4 before; computed here
        assert believe(tables, evidence).probabilities[0] == pytest.approx(times / (times + 4), abs=1e-12)


# --- order ------------------------------------------------------------------------------------------


@st.composite
def _answers_in_two_orders(draw: st.DrawFn) -> tuple[list[tuple[str, str]], list[tuple[str, str]]]:
    asked = {
        **questions(shipped().book),
        "phase": ("entry", "mid", "exit", "straight"),
        "balance": ("understeer", "oversteer", "hop", "bind", "slide"),
    }
    names = draw(st.lists(st.sampled_from(sorted(asked)), min_size=2, max_size=12, unique=True))
    given_ = [(name, draw(st.sampled_from(asked[name]))) for name in names]
    return given_, draw(st.permutations(given_))


@patiently
@given(_answers_in_two_orders())
def test_the_order_of_answers_does_not_matter(
    orders: tuple[list[tuple[str, str]], list[tuple[str, str]]],
) -> None:
    beliefs = []
    for order in orders:
        evidence = blank()
        for name, answer in order:
            evidence = evidence.answering(name, answer)
        beliefs.append(believe(shipped().tables, evidence).probabilities)
    assert beliefs[0] == pytest.approx(beliefs[1], abs=1e-12)


def test_the_order_of_causes_in_the_book_does_not_matter() -> None:
    mind = shipped()
    turned = compile_tables(replace(mind.book, causes=dict(reversed(mind.book.causes.items()))))
    for case in CASES.values():
        evidence = gather(case, mind.book, mind.lexicon).evidence
        by_id = [
            dict(zip(t.hypotheses, believe(t, evidence).probabilities, strict=True))
            for t in (mind.tables, turned)
        ]
        assert by_id[0] == pytest.approx(by_id[1], abs=1e-12)


# --- the ledger -------------------------------------------------------------------------------------


def _log_odds(belief: Belief, i: int) -> float:
    p = belief.probabilities[i]
    return math.log(p / (1 - p))


@settings(patiently, max_examples=40)
@given(some_evidence(shipped))
def test_the_ledger_of_every_cause_adds_up_to_its_log_odds(evidence: Evidence) -> None:
    belief = believe(shipped().tables, evidence)
    for i, p in enumerate(belief.probabilities):
        if p > 0:
            assume(p < 1)
            assert sum(belief.account(i).values()) == pytest.approx(_log_odds(belief, i), abs=1e-9)


def test_the_ledger_of_a_cause_that_is_out_of_the_question_stays_finite_and_far_below_all_others() -> None:
    tables = naive_tables({"fault": 0.2, "never": 0.0}, {}, {})
    belief = believe(tables, blank())
    assert belief.probabilities[tables.index("never")] == 0
    assert -1000 < sum(belief.account(tables.index("never")).values()) < -500


def _standing_alone(book: Book) -> set[str]:
    """Observations that share no group and that no circumstance of a cause looks at."""
    looked_at = {
        path.removeprefix("observed.") for c in book.causes.values() for o in c.odds for path in o.where
    }
    return {o.id for o in book.observations.values() if not o.overlaps} - looked_at


@patiently
@given(some_evidence(shipped), st.data())
def test_leaving_an_answer_out_takes_away_exactly_its_line(evidence: Evidence, data: st.DataObject) -> None:
    mind = shipped()
    alone = sorted(_standing_alone(mind.book) & evidence.answers.keys())
    assume(alone)
    left_out = data.draw(st.sampled_from(alone))
    less = replace(
        evidence,
        answers={o: a for o, a in evidence.answers.items() if o != left_out},
        facts={k: v for k, v in evidence.facts.items() if k != f"observed.{left_out}"},
    )
    whole, part = believe(mind.tables, evidence), believe(mind.tables, less)
    terms = whole.ledger.get(left_out, (0.0,) * len(mind.tables.hypotheses))
    for i, p in enumerate(whole.probabilities):
        if p > 0:
            assert _to_unknown(whole, i) - _to_unknown(part, i) == pytest.approx(terms[i], abs=1e-9)


def _to_unknown(belief: Belief, i: int) -> float:
    return math.log(belief.probabilities[i] / belief.probabilities[-1])


# --- one fact told twice ----------------------------------------------------------------------------


def _one_fact_told_twice(kept: float | None) -> Tables:
    """A fault of prior .30 and two observations of likelihood ratio 4 (.8 against .2), in one group or none."""
    group = None if kept is None else "same"
    yes_no = ("yes", "no")
    book = Book(
        sources={},
        effects={},
        overlaps={} if kept is None else {"same": Overlap(id="same", kept=kept, because="it is one fact")},
        observations={o: observation(o, yes_no, group) for o in ("seen", "heard")},
        causes=naive_tables({"fault": 0.3}, {}, {}).book.causes,
        levers={},
        words=NO_WORDS,
    )
    rows = {o: {"fault": {"yes": 0.8, "no": 0.2}} for o in ("seen", "heard")}
    return naive_tables({"fault": 0.3}, rows, {o: {"yes": 0.2, "no": 0.8} for o in rows}, book)


YES = frozenset(("yes",))


@pytest.mark.parametrize(
    ("kept", "answers", "wanted"),
    [
        (0.0, {"seen": YES}, 0.6316),  # .3 * 4 / (.3 * 4 + .7), computed
        (0.0, {"seen": YES, "heard": YES}, 0.6316),
        (None, {"seen": YES, "heard": YES}, 0.8727),  # counted twice: .3 * 16 / (.3 * 16 + .7), computed
        (0.5, {"seen": YES, "heard": YES}, 0.7742),  # half of it again: .3 * 8 / (.3 * 8 + .7), computed
    ],
)
def test_one_fact_told_twice_counts_once(
    kept: float | None, answers: dict[str, frozenset[str]], wanted: float
) -> None:
    assert believe(_one_fact_told_twice(kept), blank(answers)).probabilities[0] == pytest.approx(
        wanted, abs=5e-5
    )
