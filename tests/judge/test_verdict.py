"""The verdict: what a whole day of runs comes to."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import pytest
import scipy.integrate
import scipy.stats

from advisor.judge.assumed import GAIN, Day, told
from advisor.judge.effect import effect, noise
from advisor.judge.robust import paces
from advisor.judge.verdict import Judged, Laps, UnjudgeableError, agrees, judge, likelihoods, one_more

JITTER = (0.05, -0.08, 0.02, 0.10, -0.06, -0.03)  # of the laps of every run here; invented


def runs(arms: str, pace: Sequence[float], laps: Sequence[int] | None = None) -> list[Laps]:
    """Runs of six laps around each pace, or of as many as told."""
    made = []
    for i, (arm, p) in enumerate(zip(arms, pace, strict=True)):
        count = laps[i] if laps else len(JITTER)
        made.append(Laps(arm, tuple((n + 1, p + JITTER[n % len(JITTER)]) for n in range(count))))
    return made


def test_a_b_a_gives_b_less_the_mean_of_both_a() -> None:
    found = judge(runs("ABA", (45.4, 45.0, 45.3)))
    assert found.change == pytest.approx(45.0 - (45.4 + 45.3) / 2, abs=1e-6)  # the textbook contrast


def test_a_b_b_a_gives_the_difference_of_the_means() -> None:
    found = judge(runs("ABBA", (45.4, 45.0, 45.1, 45.2)))
    assert found.change == pytest.approx((45.0 + 45.1 - 45.4 - 45.2) / 2, abs=1e-6)  # the textbook contrast


@pytest.mark.parametrize("drift", [-0.15, 0.15, 0.5])
def test_a_steady_drift_is_not_taken_for_an_effect_in_a_b_a(drift: float) -> None:
    found = judge(runs("ABA", (45.0, 45.0 + drift, 45.0 + 2 * drift)))
    assert found.change == pytest.approx(0, abs=1e-6)
    assert found.decision != "accept"


def test_a_steady_drift_hardly_leaks_when_the_runs_are_of_unlike_length() -> None:
    found = judge(runs("ABA", (45.0, 45.15, 45.3), laps=(3, 8, 12)))
    assert abs(found.change) < 0.06  # the wear of a lap is not known from such runs
    assert found.low < 0 < found.high


def test_a_b_takes_the_whole_drift_is_weak_and_never_accepted() -> None:
    found = judge(runs("AB", (45.5, 44.5)))
    assert found.drift_taken == pytest.approx(1)
    assert found.weak
    assert found.p_better > 0.9
    assert found.decision == "open"
    assert one_more(found).arm == "A"


def test_a_kart_that_was_put_back_settles_what_a_b_could_not() -> None:
    assert judge(runs("ABA", (45.5, 44.5, 45.5))).decision == "accept"
    assert judge(runs("ABA", (45.0, 45.6, 45.0))).decision == "drop"
    assert judge(runs("ABA", (45.0, 44.9, 45.0))).decision == "open"


def test_laps_lost_in_traffic_hardly_move_the_pace_and_are_told() -> None:
    clean = runs("ABA", (45.4, 45.0, 45.4))
    spoilt = [clean[0], Laps("B", (*clean[1].laps[:3], (4, 48.3), *clean[1].laps[4:])), clean[2]]
    found = judge(spoilt)
    assert found.change == pytest.approx(judge(clean).change, abs=0.05)
    assert found.paces.weights[1][3] == 0
    assert min(found.paces.weights[0]) > 0.25


def test_wear_within_a_run_does_not_punish_the_longer_run() -> None:
    wear = 0.05

    def worn(arm: str, count: int) -> Laps:
        return Laps(arm, tuple((n, 45 + wear * n + JITTER[n % 6] / 10) for n in range(1, count + 1)))

    found = judge([worn("A", 6), worn("B", 14), worn("A", 6)])
    assert found.paces.slope == pytest.approx(wear, abs=0.005)
    assert abs(found.change) < 0.03  # without it: 4 laps later in the mean, 0.20 s


def test_a_confounder_leaves_it_open_and_tells_the_belief_nothing() -> None:
    day = runs("ABA", (45.5, 44.5, 45.5))
    found = judge(day, confounders=["tyres"])
    assert found.decision == "open"
    assert set(likelihoods(found).values()) == {1 / 3}


def test_what_the_laps_say_of_better_same_and_worse() -> None:
    for pace, word in ((44.8, "better"), (45.4, "worse")):
        share = likelihoods(judge(runs("ABBA", (45.1, pace, pace, 45.1))))
        assert max(share, key=lambda w: share[w]) == word
        assert sum(share.values()) == pytest.approx(1)
    level = likelihoods(judge(runs("ABBA", (45.1, 45.1, 45.1, 45.1))))
    assert level["same"] > level["better"] == pytest.approx(level["worse"])


def test_the_likelihoods_are_the_integrals_that_they_claim_to_be() -> None:
    found = judge(runs("ABA", (45.3, 45.1, 45.2)))
    size = found.effect.size

    def density(x: float) -> float:
        return float(size.weights @ scipy.stats.norm.pdf(x, size.means, size.sds))

    def better(x: float) -> float:
        return density(-found.worth - x) * float(scipy.stats.halfnorm.pdf(x, scale=GAIN))

    def worse(x: float) -> float:
        return density(found.worth + x) * float(scipy.stats.halfnorm.pdf(x, scale=GAIN))

    # by quadrature
    whole = [scipy.integrate.quad(f, 0, 3)[0] for f in (better, worse)]
    same = scipy.integrate.quad(density, -found.worth, found.worth)[0] / (2 * found.worth)
    total = sum(whole) + same
    assert likelihoods(found) == pytest.approx(
        {"better": whole[0] / total, "same": same / total, "worse": whole[1] / total}, abs=2e-3
    )


def test_the_effect_agrees_with_the_posterior_by_brute_force() -> None:
    """Draw scatter, drift, steps and a lap s.d. from the assumptions, weigh them, and compare the effect."""
    day = Day(scatter=0.1, drift=0.05, step=0.05, jump=0.3, jumps=0.4)
    pace = paces([run.laps for run in runs("ABA", (45.3, 45.0, 45.25))], day.echo, day.echo_pairs)
    found = effect("ABA", pace, [6, 6, 6], day).size
    chance = np.random.default_rng(5)
    count = 400_000
    scatter = day.scatter * np.exp(day.spread * chance.standard_normal(count))
    lap = np.sqrt(pace.df / chance.chisquare(pace.df, count))
    own = pace.scale * math.sqrt((1 + 2 * sum((1 - j / 6) * pace.echo**j for j in range(1, 6))) / 6)
    # given scatter and lap s.d.: of A2 - A1 and of B - (A1 + A2)/2, the first tells of the scatter
    variance = scatter**2 + (lap * own) ** 2
    gap = pace.locations[2] - pace.locations[0]
    # a jump of the track, drawn: before B it adds half of itself to B - (A1 + A2)/2, after B it takes half of it
    jump = day.jump * chance.standard_normal(count) * (chance.random(count) < day.jumps)
    side = chance.choice([0.5, -0.5], count)
    spread = 2 * variance + 4 * day.drift**2 + 2 * day.step**2
    weight = scipy.stats.norm.pdf(gap, jump, np.sqrt(spread))
    # the steps: B - (A1 + A2)/2 holds half the first less half the second; A2 - A1 their sum; no correlation
    sd = np.sqrt(1.5 * variance + 0.5 * day.step**2)
    mean = pace.locations[1] - (pace.locations[0] + pace.locations[2]) / 2 - side * jump
    for x in (-0.6, -0.4, -0.3, -0.2, 0.0):
        exact = np.average(scipy.stats.norm.cdf((x - mean) / sd), weights=weight)
        assert found.below(x) == pytest.approx(exact, abs=6e-3)


def test_baselines_teach_the_scatter_of_this_kart() -> None:
    day = runs("ABA", (45.3, 45.0, 45.3))
    steady = [runs("AAA", (45.00, 45.01, 45.00))] * 4
    restless = [runs("AAA", (45.0, 45.5, 44.7))] * 4
    scatters = [judge(day, baselines=kept).effect.scatter for kept in (steady, [], restless)]
    assert scatters[0] < scatters[1] < scatters[2]
    assert judge(day).own_scatter is None
    # by hand: MS between runs over the six laps of each, less the part of the laps; runs 45.0, 45.5, 44.7
    own = judge(day, baselines=restless).own_scatter or 0
    assert own == pytest.approx(np.std([45.0, 45.5, 44.7], ddof=1), abs=0.01)
    widths = [(f := judge(day, baselines=kept)).high - f.low for kept in (steady, [], restless)]
    assert widths[0] < widths[1] < widths[2]


def test_a_told_scatter_widens_the_interval() -> None:
    day = runs("ABA", (45.3, 45.0, 45.3))
    usual, wider = judge(day), judge(day, told(0.3, None))
    assert wider.high - wider.low > 1.5 * (usual.high - usual.low)


def test_the_driver_is_backed_denied_or_neither() -> None:
    clear, unclear = judge(runs("ABBA", (45.4, 44.9, 44.9, 45.4))), judge(runs("AB", (45.2, 45.0)))
    assert agrees(clear, "better") == "agree"
    assert agrees(clear, "worse") == agrees(clear, "same") == "differ"
    assert agrees(unclear, "same") == "cannot tell"


def test_the_chances_add_up_and_fit_the_rule() -> None:
    found: Judged = judge(runs("ABA", (45.3, 45.0, 45.3)))
    assert sum(found.chances.values()) == pytest.approx(1)
    assert found.chances["better"] < found.p_better < found.chances["better"] + found.chances["same"]
    assert found.effect.size.quantile(0.5) == pytest.approx(found.change, abs=5e-3)
    assert found.effect.size.below(found.low) == pytest.approx(0.025, abs=1e-4)


@pytest.mark.parametrize(
    ("day", "words"),
    [
        ([], "no run A"),
        (runs("AA", (45, 45)), "no run B"),
        (runs("AB", (45, 45), laps=(6, 1)), r"run 2 \(B\) has 1 laps"),
        (runs("AB" * 21, [45.0] * 42), "42 runs of up to 6 laps are more than a day holds"),
        (runs("AB", (45, 45), laps=(301, 3)), "more than a day holds"),
    ],
)
def test_what_cannot_be_judged_is_told(day: list[Laps], words: str) -> None:
    with pytest.raises(UnjudgeableError, match=words):
        judge(day)


def test_laps_that_are_all_alike_and_absurd_laps_are_judged_without_harm() -> None:
    alike = judge([Laps(arm, ((1, 45.0), (2, 45.0), (3, 45.0))) for arm in "ABA"])
    assert alike.change == pytest.approx(0)
    absurd = judge([Laps(arm, ((1, 5.0), (2, 600.0), (3, 45.0))) for arm in "ABA"])
    assert math.isfinite(absurd.low)
    assert absurd.decision == "open"


def test_the_chance_that_one_more_run_settles_it_is_that_of_drawing_it() -> None:
    """Draw what the next run may bring from what is believed now, judge again, and count what is settled."""
    day = runs("ABA", (45.2, 45.0, 45.2))
    found = judge(day)
    more = one_more(found)
    chance = np.random.default_rng(8)
    size, scatters = found.effect.size, found.effect.scatters
    settled = 0
    count = 200
    for _ in range(count):
        part = chance.choice(len(size.weights), p=size.weights)
        true = chance.normal(size.means[part], size.sds[part])
        scatter = scatters[part * len(scatters) // len(size.weights)]
        settled += _next_decision(found, day, more.arm, true, scatter, chance) != "open"
    assert more.chance == pytest.approx(settled / count, abs=0.1)  # three standard errors of 200 draws


def _next_decision(
    found: Judged, day: list[Laps], arm: str, true: float, scatter: float, chance: np.random.Generator
) -> str:
    """Draw the next run given the effect, the scatter and the runs so far; all normal, by conditioning."""
    arms = [*(run.arm for run in day), arm]
    covariance = noise(len(arms), Day(), np.array([scatter]))[0] + 0.002 * np.eye(len(arms))
    covariance += 100.0  # the level of the day is not known
    pace = np.array(found.paces.locations) - true * np.array([a == "B" for a in arms[:-1]]) - 45
    gain = covariance[-1, :-1] @ np.linalg.inv(covariance[:-1, :-1])
    mean = gain @ pace
    sd = math.sqrt(covariance[-1, -1] - gain @ covariance[:-1, -1])
    drawn = 45 + chance.normal(mean, sd) + true * (arm == "B")
    return judge([*day, *runs(arm, [drawn])]).decision


@pytest.mark.parametrize("apart", [60.0, 30.0, 500.0])
def test_means_a_minute_apart_are_asked_about(apart: float) -> None:
    with pytest.raises(UnjudgeableError, match=r"mistyped"):
        judge(runs("ABA", (45.3, 45.0 + apart, 45.3)))


@pytest.mark.parametrize(
    "pace", [(45, 45, 45), (45, 38.5, 45), (5, 5, 5.0), (590, 599, 595.0), (45, 51.7, 44.9)]
)
@pytest.mark.parametrize("lap", [2, 3, 9])
def test_no_number_is_ever_nan(pace: tuple[float, ...], lap: int) -> None:
    found = judge(
        [Laps(a, tuple((n, p) for n in range(1, lap + 1))) for a, p in zip("ABA", pace, strict=True)]
    )
    told = [
        found.low,
        found.high,
        found.p_better,
        found.right_way,
        found.change,
        found.before,
        *found.chances.values(),
    ]
    assert all(map(math.isfinite, [*told, *likelihoods(found).values(), one_more(found).half]))


def test_runs_as_it_was_that_differ_by_six_tenths_are_never_enough() -> None:
    found = judge(runs("ABA", (45.6, 44.3, 44.99)), told(0.05, 0.3))
    assert found.p_better > 0.95
    assert found.unlike
    assert found.decision == "open"


def test_earlier_days_teach_the_scatter_and_a_change_in_them_does_not() -> None:
    def days(scatter: float, gain: float) -> list[list[Laps]]:
        chance = np.random.default_rng(3)
        places = scatter * chance.normal(size=(10, 4)) - gain * np.array([0, 1, 1, 0])
        return [runs("ABBA", [float(45 + p) for p in row]) for row in places]

    today = runs("ABA", (45.3, 45.0, 45.3))
    steady, restless = (judge(today, earlier=days(s, 0.5)).before for s in (0.05, 0.3))
    assert steady < 0.09 < 0.2 < restless < 0.4
    assert judge(today, earlier=days(0.3, 3.0)).before == pytest.approx(restless, abs=1e-3)
    assert judge(today).before == pytest.approx(0.12, abs=0.005)
