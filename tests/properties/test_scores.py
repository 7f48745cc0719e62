"""Scores of forecasts agree with other computations, and the book keeps its word on cases drawn from it."""

from __future__ import annotations

import math
from functools import cache
from random import Random

import numpy as np
import pytest

from tests.properties.calibration import Judged, area, case, likeliest, scores
from tests.properties.random_cases import shipped
from tests.properties.scores import Bet, Bin, brier, excess, gap, log_score, reliability

FEW = 25


@cache
def judged() -> tuple[Judged, ...]:
    """A few cases from the book as it is."""
    return tuple(case(n, 0.0) for n in range(FEW))


def test_brier_scores_his_ten_forecasts_as_he_does() -> None:
    # G. W. Brier, Monthly Weather Review 78 (1950) 1-3, table 1: ten forecasts of rain or none, P = 0.19
    # (the table from memory; that these numbers give 0.19 bears it out).
    rain = (0.7, 0.9, 0.8, 0.4, 0.2, 0.0, 0.0, 0.0, 0.0, 0.1)
    fell = (False, True, True, True, False, False, False, False, False, False)
    scored = [brier((p, 1 - p), 0 if wet else 1) for p, wet in zip(rain, fell, strict=True)]
    assert np.mean(scored) == pytest.approx(0.19)


def test_both_scores_agree_with_arrays() -> None:
    # computed by brute force here: one-hot truths and whole arrays, no loop over classes
    chance = np.random.default_rng(1)
    forecasts = chance.dirichlet(np.full(7, 0.5), size=50)
    truths = chance.integers(7, size=50)
    square = ((forecasts - np.eye(7)[truths]) ** 2).sum(axis=1)
    nats = -np.log(np.take_along_axis(forecasts, truths[:, None], axis=1))[:, 0]
    found = [
        (brier(list(f), int(t)), log_score(list(f), int(t))) for f, t in zip(forecasts, truths, strict=True)
    ]
    assert np.array(found) == pytest.approx(np.column_stack((square, nats)))


def test_what_was_held_impossible_costs_without_end() -> None:
    assert log_score((1.0, 0.0), 1) == math.inf


def test_bins_hold_every_bet_once_with_its_mean_and_count() -> None:
    bets: list[Bet] = [(0.0, False), (0.25, True), (0.35, False), (0.5, True), (1.0, True)]
    # by hand: an edge belongs to the bin above it, the last edge to the last bin
    assert reliability(bets, (0.0, 0.5, 1.0)) == [
        Bin(0.0, 0.5, 3, pytest.approx(0.2), 1),  # type: ignore[arg-type]
        Bin(0.5, 1.0, 2, pytest.approx(0.75), 2),  # type: ignore[arg-type]
    ]
    assert gap(reliability(bets, (0.0, 0.5, 1.0))) == pytest.approx((3 * (1 / 3 - 0.2) + 2 * 0.25) / 5)


def test_honest_probabilities_show_no_excess_and_boasts_a_large_one() -> None:
    source = Random(1)
    stated = [source.random() for _ in range(2000)]
    honest = [(p, source.random() < p) for p in stated]
    boasting = [(p, source.random() < p * p) for p in stated]  # what is stated is the root of the truth
    # about a standard normal draw; p - p^2 is 1/6 on average and the variance too: -sqrt(2000 / 6) = -18
    assert abs(excess(honest)) < 3
    assert excess(boasting) == pytest.approx(-18.3, abs=2)


def test_the_area_counts_pairs_in_order() -> None:
    # by hand: of the four pairs 0.9 > 0.4, 0.9 > 0.2, 0.4 = 0.4 (a half), 0.4 > 0.2
    assert area([(0.9, True), (0.4, True), (0.4, False), (0.2, False)]) == pytest.approx(3.5 / 4)


def test_each_stage_of_a_case_is_believed_whole() -> None:
    assert all(sum(belief) == pytest.approx(1) for one in judged() for belief in one.beliefs)


def test_complaint_and_answers_beat_base_rates_on_cases_of_the_book() -> None:
    """By the log score; Brier's of 400 cases (.98, .96, .88) cannot be told apart in so few."""
    base, complaint, answers = (scores(judged(), stage) for stage in range(3))
    assert base[1] > complaint[1] > answers[1]


def test_who_knows_the_numbers_believes_the_same_where_they_are_ours() -> None:
    assert all(one.beliefs[2] == pytest.approx(one.beliefs[3]) for one in judged())


def test_who_knows_other_numbers_is_surprised_less() -> None:
    # the truth is the better forecast in the mean (Gibbs' inequality); at so much noise in a few cases too
    moved = [case(n, 1.5) for n in range(FEW)]
    assert scores(moved, 3)[1] < scores(moved, 2)[1]


def test_what_is_held_likeliest_is_so_as_often_as_stated() -> None:
    # within three standard errors: the cases are drawn from nearly the model that judges them
    assert abs(excess(likeliest(judged(), 2))) < 3


def test_a_case_is_the_same_whatever_was_drawn_before() -> None:
    one = case(3, 0.5)
    case(4, 1.0)
    assert case(3, 0.5) == one
    assert not any(word.startswith("~") for word in _words())


def _words() -> list[str]:
    from advisor.model.scale import BASE_RATE, PROBABILITY

    return [*PROBABILITY, *BASE_RATE]


def test_noise_moves_the_truth_and_not_the_judge() -> None:
    before = shipped().tables.prior
    case(0, 1.0)
    assert shipped().tables.prior == before
