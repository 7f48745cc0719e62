"""How often a team answers: counted beside the trade, by kind of question and by question."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.learning import answering
from advisor.model import assumed
from advisor.model.case import WHO, Asked, Case
from advisor.planning import questions
from advisor.reasoning.advise import ask
from advisor.reasoning.explain import own_answers
from advisor.reasoning.weighing import reason
from tests.properties.answerers import KINDS, scored, teams
from tests.reasoning.minds import patiently, shipped

LOOSE = Case(observed={"balance": "oversteer", "phase": "entry"}, who="driver")
BOOK = shipped().book
LOOKED = sorted(o.id for o in BOOK.observations.values() if o.effort == "look")
MEASURED = sorted(o.id for o in BOOK.observations.values() if o.effort == "measure")


def _learn(*asked: Asked, who: str = "driver") -> dict[str, answering.Answering]:
    return answering.learn(BOOK, asked, who)


def test_without_a_journal_it_is_the_trades_word() -> None:
    assert _learn() == {}
    done = reason(shipped(), LOOSE)
    rates = questions.answer_rates(shipped().tables, done.evidence, ())
    assert rates == {o.id: assumed.ANSWERED["driver"][o.effort] for o in BOOK.observations.values()}


def test_one_question_asked_once_is_counted_beside_a_word_worth_so_many() -> None:
    found = _learn(Asked(LOOKED[0], "driver", 1, 1))
    trade, worth, own = assumed.ANSWERED["driver"]["look"], assumed.ANSWERS_TRADE, assumed.ANSWERS_QUESTION
    kind = (worth * trade + 1) / (worth + 1)
    assert found[LOOKED[1]].here == pytest.approx(kind)
    assert found[LOOKED[0]].here == pytest.approx((own * kind + 1) / (own + 1))
    assert found.keys() == set(LOOKED)  # of another kind it says nothing


def test_it_counts_for_those_who_were_there() -> None:
    asked = (Asked(LOOKED[0], "helper", 9, 0),)
    assert _learn(*asked) == {}
    assert _learn(*asked, who="helper")[LOOKED[1]].here < assumed.ANSWERED["helper"]["look"]


def test_many_answers_to_one_question_say_less_of_its_kind_than_answers_to_many() -> None:
    trade = assumed.ANSWERED["driver"]["measure"]
    one = _learn(Asked(MEASURED[0], "driver", 6, 6))
    many = _learn(*(Asked(q, "driver", 1, 1) for q in MEASURED[:6]))
    assert trade < one[MEASURED[7]].here < many[MEASURED[7]].here
    assert one[MEASURED[0]].here > many[MEASURED[0]].here
    endless = _learn(Asked(MEASURED[0], "driver", 10**6, 10**6))
    most = assumed.ANSWERS_QUESTION + 1  # answers that one question can ever be worth to its kind
    bound = (assumed.ANSWERS_TRADE * trade + most) / (assumed.ANSWERS_TRADE + most)
    assert endless[MEASURED[7]].here == pytest.approx(bound, abs=1e-4)


ROWS = st.lists(
    st.builds(
        Asked,
        st.sampled_from([*LOOKED[:4], *MEASURED[:3], "no such question", "\x00", ""]),
        st.sampled_from([*WHO, ""]),
        st.integers(-3, 40),
        st.integers(-3, 40),
    ),
    max_size=12,
)


@settings(patiently, max_examples=60)
@given(ROWS.flatmap(lambda rows: st.tuples(st.just(rows), st.permutations(rows))))
def test_any_rows_give_chances_and_the_same_ones_in_any_order(told: tuple[list[Asked], list[Asked]]) -> None:
    first, again = (_learn(*rows) for rows in told)
    assert first == again
    assert all(0 < found.here < 1 for found in first.values())


@settings(patiently, max_examples=30)
@given(ROWS)
def test_rows_that_make_no_sense_move_nothing(rows: list[Asked]) -> None:
    good = [Asked(LOOKED[0], "driver", 3, 1)]
    bad = [r for r in rows if r.question not in BOOK.observations or not 0 <= r.answered <= r.times]
    assert _learn(*good, *bad) == _learn(*good)


def test_what_is_hardly_ever_answered_here_is_asked_later() -> None:
    free = replace(LOOSE, who="both")
    first = ask(shipped(), reason(shipped(), free), frozenset())
    assert first is not None
    asked = (Asked(first.id, "both", 60, 0),)
    then = ask(shipped(), reason(shipped(), replace(free, asked=asked)), frozenset())
    assert then is None or then.id != first.id


def test_a_moved_rate_explains_itself() -> None:
    found = _learn(Asked(MEASURED[0], "driver", 4, 3), Asked(MEASURED[1], "driver", 5, 5))[MEASURED[0]]
    (line,) = own_answers(found, "measure")
    assert line.startswith(
        "What has to be measured gets an answer, the trade: 10 %; 8 of your 9, this one 3 of 4:"
    )
    assert own_answers(None, "measure") == ()


def test_a_team_that_answers_less_is_foretold_better_and_one_like_the_trade_is_not_misled() -> None:
    """A few invented teams; `python -m tests.properties.rates` plays 300."""
    gains = {}
    for kind in (KINDS[0], KINDS[3]):
        found = teams(kind, 8, 5)
        gains[kind.name] = sum((scored(t, True) - scored(t, False)).mean() for t in found) / len(found)
    assert gains[KINDS[3].name] > 0.05
    assert gains[KINDS[0].name] > -0.02
