"""What a team's own trials say: published and computed values, and what must hold of any trials."""

from __future__ import annotations

import re
from dataclasses import replace
from math import log

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.polynomial.legendre import leggauss
from scipy.stats import beta

from advisor.inference.trials import prospects
from advisor.interview import steps
from advisor.learning import experience
from advisor.learning.experience import Row, _ways, learnt, likeness, weight
from advisor.model.advice import Advice
from advisor.model.assumed import ALIKE, VERDICT_IF
from advisor.model.case import VERDICTS, Case, Past, Tried, Verdict
from advisor.reasoning.advise import advise
from advisor.reasoning.weighing import reason
from tests.reasoning.minds import patiently, shipped

LOOSE = Case(
    observed={"balance": "oversteer", "phase": "entry", "track": "dry"},
    kart_file="Red",
    kart_class="junior two-stroke",
    tyres={"kind": "slick", "compound": "medium"},
)
DAY = {
    "kart": "red", "class": "junior two-stroke", "tyres.kind": "slick", "tyres.compound": "medium",
    "track": "dry", "balance": "oversteer", "phase": "entry",
}  # fmt: skip


def _contested(case: Case = LOOSE) -> Past:
    """A past trial of the front track, whose direction the trade disputes, as it was advised."""
    advice = next(a for a in advise(shipped(), case).advice if a.lever == "front_track_width")
    return Past(
        advice.lever, advice.direction, "worse", advice.chance, advice.confidence,
        advice.effect, advice.as_stated, DAY, days=7,
    )  # fmt: skip


def _stated(case: Case) -> float:
    """The least certain direction of the front track, as the trade states it."""
    links = reason(shipped(), case).links["front_track_width"]
    effect = _contested().effect
    return next(link.stated for link in links.values() if link.gives and link.gives.effect == effect)


def _posterior(stated: float, acts: float, rows: tuple[Row, ...]) -> tuple[float, float]:
    """E(acts) and E(acts and as stated): numerical integration over both, no cells."""
    nodes, weights = leggauss(400)
    x, w = (nodes + 1) / 2, weights / 2
    prior = [0.8 * beta.pdf(x, 4 * mean, 4 * (1 - mean)) + 0.2 for mean in (stated, acts)]
    s, a = x[:, None], x[None, :]
    density = (prior[0] * w)[:, None] * (prior[1] * w)[None, :]
    for row in rows:
        good = s if row.as_stated else 1 - s
        cured, hurt, nothing = (VERDICT_IF[k][row.verdict] for k in ("cured", "hurt", "nothing"))
        density = density * (a * (good * cured + (1 - good) * hurt) + (1 - a) * nothing) ** row.alike
    total = density.sum()
    return float((density * a).sum() / total), float((density * a * s).sum() / total)


SAME_FAULT = [
    (Row(True, "worse", None, 0.0, 3.0, 0.0),),
    (Row(True, "same", None, 0.0, 5.0, 0.0),),
    (Row(True, "better", None, 0.0, 2.0, 0.0), Row(False, "worse", None, 0.0, 1.5, 0.0)),
]


@pytest.mark.parametrize("rows", SAME_FAULT)
def test_both_chances_are_those_of_the_posterior_density(rows: tuple[Row, ...]) -> None:
    """Against numerical integration of prior times likelihood; what counts is by how much the trials move it."""
    this, other = _ways(0.6, False, 0.3, rows)
    acts, both = _posterior(0.6, 0.3, rows)
    before, stated_before = _posterior(0.6, 0.3, ())
    log_odds = log(both / (acts - both)) - log(stated_before / (before - stated_before))
    assert log(this / other) - log(0.6 / 0.4) == pytest.approx(log_odds, abs=0.06)
    assert this + other == pytest.approx(acts / before, rel=0.04)


def test_twice_as_many_cells_move_nothing_that_is_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    rows = (Row(True, "worse", None, 0.0, 4.0, 0.0), Row(True, "better", None, 0.0, 1.0, 0.0))
    coarse = _ways.__wrapped__(0.7, False, 0.2, rows)
    monkeypatch.setattr(experience, "CELLS", 48)
    monkeypatch.setattr(experience, "MIDDLES", tuple((k + 0.5) / 48 for k in range(48)))
    assert _ways.__wrapped__(0.7, False, 0.2, rows) == pytest.approx(coarse, rel=0.02)


def test_no_trial_moves_nothing() -> None:
    assert learnt(0.7, False, 0.2, ()) == (0.7, 1.0)
    assert learnt(0.7, False, 0.2, (Row(True, "worse", None, 0.0, 0.0, 0.0),)) == (0.7, 1.0)


# --- a row of verdicts ------------------------------------------------------------------------------

FAULTS = {
    "loose on entry": LOOSE,
    "push in the middle": replace(LOOSE, observed={"balance": "understeer", "phase": "mid", "track": "dry"}),
    "push on exit": replace(LOOSE, observed={"balance": "understeer", "phase": "exit", "track": "dry"}),
    "hop": replace(LOOSE, observed={"balance": "hop", "phase": "mid", "track": "dry"}),
}


def _contestable(case: Case) -> list[Advice]:
    """The changes advised that can be turned the other way."""
    levers = shipped().book.levers
    found = [a for a in advise(shipped(), case).advice if levers[a.lever].ways[a.direction].opposite]
    assert found
    return found[:2]


def _trials(case: Case, told: Advice, verdict: Verdict, number: int, every: float, kart: str = "red") -> Case:
    """The case with so many trials of a change, that many days apart."""
    facts = {**experience.facts_of(case, case.observed), "kart": kart}
    past = tuple(
        Past(
            told.lever, told.direction, verdict, told.chance, told.confidence, told.effect, told.as_stated,
            facts, days=every * (i + 1), trial=f"t{i}",
        )
        for i in range(number)
    )  # fmt: skip
    return replace(case, past=past)


def _both_ways(case: Case, told: Advice) -> tuple[float, float]:
    """The chance of the way that was advised, and of its opposite."""
    done = reason(shipped(), case)
    found = {
        p.way: p.chance
        for p in prospects(done.links, done.together.shares, done.moved)
        if p.lever == told.lever
    }
    opposite = shipped().book.levers[told.lever].ways[told.direction].opposite or ""
    return found.get(told.direction, 0.0), found.get(opposite, 0.0)


@pytest.mark.parametrize("case", FAULTS.values(), ids=FAULTS)
def test_a_weekly_worse_turns_the_advice_by_the_fifth(case: Case) -> None:
    for told in _contestable(case):
        this, opposite = _both_ways(_trials(case, told, "worse", 5, 7.0), told)
        assert opposite > this, told.lever
        stands = [
            (a.lever, a.direction) for a in advise(shipped(), _trials(case, told, "worse", 5, 7.0)).advice
        ]
        assert (told.lever, told.direction) not in stands


@pytest.mark.parametrize("case", FAULTS.values(), ids=FAULTS)
def test_within_a_day_worse_turns_it_by_the_third_and_not_by_the_first(case: Case) -> None:
    for told in _contestable(case):
        opposite = shipped().book.levers[told.lever].ways[told.direction].opposite
        once, thrice = (advise(shipped(), _trials(case, told, "worse", n, 0.05)).advice for n in (1, 3))
        assert (once[0].lever, once[0].direction) != (told.lever, opposite)
        assert (thrice[0].lever, thrice[0].direction) == (told.lever, opposite)


@pytest.mark.parametrize("number", [1, 2, 4, 8])
@pytest.mark.parametrize("case", FAULTS.values(), ids=FAULTS)
def test_better_same_and_worse_come_in_that_order(case: Case, number: int) -> None:
    """A way that made it worse is never held for a better one than if nothing had come of it."""
    for told in _contestable(case):
        better, same, worse = (
            _both_ways(_trials(case, told, v, number, 7.0), told)[0] for v in ("better", "same", "worse")
        )
        assert better > same >= worse - 1e-9, told.lever


def test_another_karts_trials_count_by_the_stated_share() -> None:
    """`ALIKE`: half of one of this kart; so ten of another say as much as five of this one."""
    told = _contestable(LOOSE)[0]
    ours = _both_ways(_trials(LOOSE, told, "worse", 5, 0.6), told)
    theirs = _both_ways(_trials(LOOSE, told, "worse", 5, 0.6, kart="blue"), told)
    many = _both_ways(_trials(LOOSE, told, "worse", 10, 0.3, kart="blue"), told)
    base = _both_ways(LOOSE, told)
    assert ALIKE["kart"][0] == 0.5
    assert abs(theirs[1] - base[1]) < abs(ours[1] - base[1])
    assert many == pytest.approx(ours, rel=0.02)


def test_todays_trials_of_another_kart_or_fault_are_no_part_of_the_search() -> None:
    told = _contestable(LOOSE)[0]
    for kart, fault in (("blue", "oversteer"), ("red", "understeer")):
        facts = {**experience.facts_of(LOOSE, LOOSE.observed), "kart": kart, "balance": fault}
        past = Past(told.lever, told.direction, "worse", 0.2, 0.6, told.effect, True, facts, 0.01, trial="t")
        found = advise(shipped(), replace(LOOSE, past=(past,)))
        assert not any("already tried" in w.reason for w in found.withheld)
    past = replace(past, facts=experience.facts_of(LOOSE, LOOSE.observed))
    found = advise(shipped(), replace(LOOSE, past=(past,)))
    assert "already tried: worse" in [w.reason for w in found.withheld if w.lever == told.lever]


def test_what_the_journal_says_of_a_trial_of_the_search_counts() -> None:
    """The sitting remembers "worse"; it was corrected meanwhile."""
    now = experience.facts_of(LOOSE, LOOSE.observed)
    past = Past("caster", "less", "better", 0.2, 0.6, facts=now, days=0.01, trial="t")
    tried, rest = experience.apart(
        (past,), (Tried("caster", "less", "worse"), Tried("toe", "more", "same")), now
    )
    assert (tried, rest) == ((Tried("caster", "less", "better"), Tried("toe", "more", "same")), ())


def test_four_trials_that_made_it_worse_turn_a_contested_direction_round() -> None:
    before, bad = _stated(LOOSE), _contested()
    one = _stated(replace(LOOSE, past=(bad,)))
    four = _stated(replace(LOOSE, past=(bad,) * 4))
    assert bad.as_stated
    assert before > 0.5
    assert before > one > four
    assert four < 0.5
    found = next(
        a
        for a in advise(shipped(), replace(LOOSE, past=(bad,) * 4)).withheld
        + advise(shipped(), replace(LOOSE, past=(bad,) * 4)).advice
        if a.lever == "front_track_width"
    )
    assert found.direction != bad.direction


def test_the_advice_says_what_the_teams_trials_say_beside_the_trade() -> None:
    bad = _contested()
    found = advise(shipped(), replace(LOOSE, past=(bad,) * 3))
    told = next(a for a in found.advice if a.lever == "front_track_width")
    line = next(line for line in told.why if "Your own 3 trials" in line)
    assert "0 better, 0 same, 3 worse" in line
    assert "narrower: 0 better" in line
    # the advice has turned round, and the figures are of the way that it is for
    assert told.direction == "wider"
    before, after = (int(x) for x in re.findall(r"(\d+) % with", line))
    assert "that it helps to widen the front track, and not the opposite" in line
    assert before < after


def test_trials_of_unlike_days_and_long_ago_count_less() -> None:
    like = Past(
        "caster", "less", "worse", 0.2, 0.6, facts={"kart": "Red", "tyres.kind": "slick", "track": "dry"}
    )
    today = {"kart": "Red", "tyres.kind": "slick", "track": "dry"}
    assert (
        likeness(like, today)
        > likeness(like, {**today, "kart": "Blue"})
        > likeness(like, {**today, "tyres.kind": "wet", "track": "wet"})
    )
    assert weight(replace(like, days=365), today) == pytest.approx(weight(like, today) / 2)
    assert weight(replace(like, share=0.5), today) == pytest.approx(weight(like, today) / 2)
    assert likeness(like, {}) == pytest.approx(ALIKE["kart"][1] * ALIKE["class"][1] * 0.8 * 0.9 * 0.8)


def test_a_trial_of_the_present_search_is_not_counted_twice() -> None:
    bad = replace(_contested(), days=0.01)
    state = steps.tried(shipped(), steps.begin(shipped(), LOOSE), bad.lever, bad.direction, "worse")
    with_past = reason(shipped(), replace(LOOSE, past=(bad,)), state.gathered)
    without = reason(shipped(), LOOSE, state.gathered)
    assert with_past.own == {}
    assert with_past.belief == without.belief


@settings(patiently, max_examples=20)
@given(st.lists(st.tuples(st.sampled_from(VERDICTS), st.floats(0.01, 0.9), st.floats(0.5, 1)), max_size=12))
def test_any_trials_leave_chances_that_are_chances(rows: list[tuple[str, float, float]]) -> None:
    effect = _contested().effect
    past = tuple(
        Past("front_track_width", "narrower", verdict, chance, confidence, effect, facts=DAY)  # type: ignore[arg-type]
        for verdict, chance, confidence in rows
    )
    done = reason(shipped(), replace(LOOSE, past=past))
    for link in done.links["front_track_width"].values():
        assert 0 <= link.stated <= 1
        assert 0 <= link.cures <= 0.98
    assert all(0 <= r.prospect.chance <= 1 for r in done.ranked)


def test_geometry_is_not_up_for_trial() -> None:
    """What plain statics decides does not turn round, however often it disappoints."""
    case = Case(observed={"balance": "understeer", "phase": "exit"})
    for lever, row in reason(shipped(), case).links.items():
        for i, link in row.items():
            if link.gives and link.gives.geometry:
                past = Past(lever, link.way, "worse", 0.3, 0.9, link.gives.effect, days=3)
                after = reason(shipped(), replace(case, past=(past,) * 5)).links[lever][i]
                assert after.stated == link.stated
                return
    raise AssertionError("no claim of geometry in this case")


def test_a_trial_on_another_fault_says_nothing_of_how_often_it_acts_on_this_one() -> None:
    """`FAULT`: where another balance was fought with another effect, nothing of the lever moves."""
    bad = replace(_contested(), effect="another effect", facts={**DAY, "balance": "understeer"})
    before = reason(shipped(), LOOSE).links[bad.lever]
    for verdict in VERDICTS:
        past = (replace(bad, verdict=verdict),) * 4
        assert reason(shipped(), replace(LOOSE, past=past)).links[bad.lever] == before
    like = (replace(bad, facts=DAY),) * 4
    assert reason(shipped(), replace(LOOSE, past=like)).links[bad.lever] != before


def test_how_often_it_was_expected_to_act_is_of_trials_upon_such_a_fault() -> None:
    like = Past("caster", "less", "same", 0.3, 0.6, facts=DAY)
    unlike = Past("caster", "less", "same", 0.9, 0.9, facts={**DAY, "balance": "hop"})
    assert experience._expected([like, unlike], DAY) == pytest.approx(0.3 / 0.6)
