"""How often drivers are wrong: learnt only where something speaks beside a word, and the same in any order."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.inference.trials import SEEN, said_if, verdict_if
from advisor.learning import verdict_errors
from advisor.learning.reckoning import effects
from advisor.learning.verdict_errors import Errors, share, usual
from advisor.model import assumed
from advisor.model.case import VERDICTS, Case, Laps, Past, Tried, Verdict
from advisor.reasoning.advise import advise
from advisor.reasoning.weighing import reason
from tests.properties.drivers import KINDS, gained, learnt
from tests.properties.drivers import seasons as drivers_seasons
from tests.reasoning.minds import patiently, shipped

FASTER, LIKE, SLOWER = (0.96, 0.03, 0.01), (0.02, 0.96, 0.02), (0.01, 0.03, 0.96)
LOOSE = Case(observed={"balance": "oversteer", "phase": "entry"}, kart_file="Red", kart_class="senior")
FACTS = {"kart": "red", "class": "senior", "balance": "oversteer", "phase": "entry"}


def _said(
    verdict: Verdict,
    laps: Laps | None = None,
    driver: str = "Kim",
    days: float = 9.0,
    to: str = "",
    lever: str = "caster",
) -> Past:
    return Past(lever, "more", verdict, 0.3, 0.8, facts=FACTS, days=days, laps=laps, driver=driver, to=to)


def _learn(past: Sequence[Past]) -> Errors:
    return verdict_errors.learn(shipped().book, past)


WRONG = [_said("better", SLOWER, days=d) for d in (2.0, 9.0, 30.0, 40.0)]
RIGHT = [_said("worse", SLOWER, days=d) for d in (2.0, 9.0, 30.0, 40.0)]


def test_without_a_journal_words_count_as_the_trade_has_it() -> None:
    assert _learn([]) == Errors()
    assert Errors().odds("Kim") == 1.0
    for effect, row in assumed.VERDICT_IF.items():
        assert {v: said_if(effect, v, Errors().odds("")) for v in VERDICTS} == row


@pytest.mark.parametrize("odds", [0.2, 0.7, 1.0, 3.0, 8.0])
def test_moved_rows_are_chances_and_keep_which_wrong_word_it_is(odds: float) -> None:
    for effect, row in assumed.VERDICT_IF.items():
        now = {v: said_if(effect, v, odds) for v in VERDICTS}
        assert sum(now.values()) == pytest.approx(1)
        right = max(row, key=lambda v: row[v])
        wrong = [v for v in VERDICTS if v != right]
        assert now[wrong[0]] / now[wrong[1]] == pytest.approx(row[wrong[0]] / row[wrong[1]])
        assert (1 - now[right]) / now[right] == pytest.approx(odds * (1 - row[right]) / row[right])


@pytest.mark.parametrize("laps", [None, (1 / 3, 1 / 3, 1 / 3), (0.0, 0.0, 0.0), (1.0, 1.0, 1.0)])
def test_a_word_with_nothing_beside_it_moves_nothing(laps: Laps | None) -> None:
    alone = [_said(v, laps, days=d) for d in (1.0, 3.0, 70.0) for v in VERDICTS]
    assert _learn(alone).odds("Kim") == pytest.approx(1.0, abs=1e-5)
    assert _learn(alone).team == pytest.approx(1.0, abs=1e-5)


def test_a_word_against_the_laps_raises_it_and_one_with_them_lowers_it() -> None:
    assert _learn(WRONG).odds("Kim") > 1 > _learn(RIGHT).odds("Kim")
    assert _learn(WRONG).odds("Kim") > _learn(WRONG[:2]).odds("Kim")


def test_the_same_value_put_back_and_tried_again_speaks_and_nothing_else_does() -> None:
    once = _said("better", to="14.0 deg")
    again = replace(once, verdict="worse", days=9.1)
    assert _learn([once, again]).odds("Kim") > 1
    assert _learn([once, replace(again, verdict="better")]).odds("Kim") < 1
    for other in (
        replace(again, to="15.0 deg"),  # a step further
        replace(again, days=10.0),  # another day
        replace(again, driver="Lee"),
        replace(again, facts={**FACTS, "phase": "exit"}),
        replace(again, facts={**FACTS, "kart": "blue"}),
    ):
        assert _learn([once, other]) == Errors()
    untold = [replace(trial, to="") for trial in (once, again)]
    assert _learn(untold) == Errors()


def test_what_an_inspection_found_is_no_word_of_a_driver() -> None:
    looks = [(e.id, w) for e in shipped().book.levers.values() for w, way in e.ways.items() if way.look]
    assert (
        _learn([replace(_said("better", SLOWER), lever=lever, direction=way) for lever, way in looks])
        == Errors()
    )


def test_a_team_stands_between_the_trade_and_its_drivers_and_each_driver_by_his_own() -> None:
    kim = _learn(WRONG)
    assert 1 < kim.odds("Lee") == kim.team < kim.odds(" KIM ")
    both = _learn([*WRONG, *(replace(t, driver="Lee") for t in RIGHT)])
    assert both.odds("Lee") < both.team < both.odds("Kim") < kim.odds("Kim")


def test_one_driver_is_weighed_as_by_a_fine_sum_over_both_rates() -> None:
    """The two levels summed over 300 x 300 points with numpy, every chance written out anew."""
    past = [
        *WRONG,
        _said("same", FASTER, days=3.0),
        _said("better", to="14 deg"),
        _said("worse", days=9.2, to="14 deg"),
    ]
    x = (np.arange(300) + 0.5) / 300 * verdict_errors.MOST

    def beta(mean: np.ndarray, worth: float) -> np.ndarray:
        logs = (mean * worth - 1) * np.log(x[None]) + ((1 - mean) * worth - 1) * np.log(1 - x[None])
        weights = np.exp(logs - logs.max(axis=1, keepdims=True))
        return np.asarray(weights / weights.sum(axis=1, keepdims=True))

    odds = x / (1 - x) * (1 - usual()) / usual()
    may = dict(effects([past[0]]).items())
    said = np.zeros(len(x))
    for group in ([p] for p in past[:5]):
        said += _log_of(group, may, odds)
    said += _log_of(past[5:], may, odds)
    own = np.exp(said - said.max())
    about = beta(x[:, None], assumed.DRIVER_VERDICTS)
    team = beta(np.array([[usual()]]), assumed.TEAM_VERDICTS)[0]
    before, after = (team @ about, (team @ about) * own)
    means = [float(w @ x / w.sum()) for w in (before, after)]
    expected = means[1] / (1 - means[1]) * (1 - means[0]) / means[0]
    assert _learn(past).odds("Kim") == pytest.approx(expected, rel=0.02)


def _log_of(group: list[Past], may: dict[str, float], odds: np.ndarray) -> np.ndarray:
    found = []
    for o in odds:
        whole = sum(
            p * math.prod(verdict_if(e, t.verdict, t.laps, float(o)) for t in group) for e, p in may.items()
        )
        alone = [sum(p * said_if(e, t.verdict, float(o)) for e, p in may.items()) for t in group]
        found.append(math.log(whole) - sum(map(math.log, alone)) / len(group))
    return np.array(found)


LAPS = st.none() | st.tuples(*(st.floats(0, 1) for _ in SEEN))
ANY = st.builds(
    Past,
    st.sampled_from(["caster", "toe", "inspect_axle", "no such lever"]),
    st.sampled_from(["more", "less", "no such way"]),
    st.sampled_from(VERDICTS),
    st.sampled_from([0.0, 0.2, 1.0]),
    st.sampled_from([0.0, 0.5, 1.0]),
    days=st.sampled_from([0.1, 0.2, 3.0, 3.3]),
    laps=LAPS,
    trial=st.sampled_from(["", "a", "b", "c"]),
    driver=st.sampled_from(["Kim", "kim ", "Lee", "", "\u202e\x00"]),
    to=st.sampled_from(["", "14 deg"]),
)


@settings(patiently, max_examples=60)
@given(st.lists(ANY, max_size=9).flatmap(lambda ts: st.tuples(st.just(ts), st.permutations(ts))))
def test_any_trials_give_the_same_figures_in_any_order(told: tuple[list[Past], list[Past]]) -> None:
    first, again = map(_learn, told)
    assert first == again
    assert all(0 < d.odds < 20 and 0 <= d.wrong <= d.checked for d in first.drivers.values())


def test_the_word_of_one_who_errs_moves_the_advice_less() -> None:
    """What "worse" told today, of a driver whose words the laps contradict and of one whose words they bear out."""
    levers = shipped().book.levers
    lever = next(a for a in advise(shipped(), LOOSE).advice if levers[a.lever].ways[a.direction].opposite)
    tried = replace(LOOSE, tried=(Tried(lever.lever, lever.direction, "worse"),), driver="Kim")

    def left(*past: Past) -> list[float]:
        """The chances that the way still cures, by cause."""
        apart = tuple(replace(trial, lever="gearing", direction="longer") for trial in past)
        done = reason(shipped(), replace(tried, past=apart))
        row = done.links[lever.lever]
        return [
            done.moved[lever.lever][i][0] for i in row if row[i].acts(lever.direction) and row[i].opposite
        ]

    erring, as_told, sure = left(*WRONG, *WRONG), left(), left(*RIGHT, *RIGHT)
    assert as_told
    assert all(a > b > c for a, b, c in zip(erring, as_told, sure, strict=True))


def test_a_moved_rate_explains_itself() -> None:
    case = replace(LOOSE, driver="Kim", past=tuple(WRONG) * 2)
    lines = [line for a in advise(shipped(), case).advice if a.lever == "caster" for line in a.why]
    (line,) = {line for line in lines if line.startswith('"Better", "same"')}
    known = _learn(case.past)
    assert f"the trade: {usual():.0%}".replace("%", " %") in line
    assert (kim := known.of("Kim")) is not None
    assert f"about {kim.wrong:.0f} of Kim's {kim.checked} that the laps or a second try" in line
    assert f"{share(known.odds('Kim')):.0%}".replace("%", " %") in line


def test_a_team_that_errs_more_is_told_better_and_one_like_the_trade_is_not_misled() -> None:
    """A few invented seasons; `python -m tests.properties.rates` plays 300."""
    like, more = (drivers_seasons(kind, 12, 5) for kind in (KINDS[0], KINDS[2]))
    assert gained(more, 0, after=15).mean() > 0
    assert gained(like, 0).mean() > -0.01
    assert np.mean([learnt(s, len(s.past)).team for s in more]) > 1.1
