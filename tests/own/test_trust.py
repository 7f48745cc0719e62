"""What it takes to trust a fix: the figures against exact integrals, and the rule at its edge."""

from __future__ import annotations

from fractions import Fraction
from itertools import product

import pytest

from advisor.learning.fixes import Counts, doubt, helped, word_for
from advisor.model.assumed import FIX_TRIALS, VERDICT_IF
from advisor.model.case import VERDICTS

Polynomial = list[Fraction]


def times(one: Polynomial, other: Polynomial) -> Polynomial:
    found = [Fraction(0)] * (len(one) + len(other) - 1)
    for (i, a), (j, b) in product(enumerate(one), enumerate(other)):
        found[i + j] += a * b
    return found


def integral(p: Polynomial, low: Fraction, high: Fraction) -> Fraction:
    return sum((c * (high ** (n + 1) - low ** (n + 1)) / (n + 1) for n, c in enumerate(p)), Fraction(0))


def exact(counts: Counts) -> tuple[float, float]:
    """Mean and P(share > 1/2) by integrating the polynomial of the likelihood in whole fractions."""
    likelihood: Polynomial = [Fraction(1)]
    for verdict, number in zip(VERDICTS, counts, strict=True):
        cured, nothing, hurt = (Fraction(str(VERDICT_IF[k][verdict])) for k in ("cured", "nothing", "hurt"))
        other = max(nothing, hurt)
        for _ in range(number):
            likelihood = times(likelihood, [other, cured - other])
    whole = integral(likelihood, Fraction(0), Fraction(1))
    mean = integral([Fraction(0), *likelihood], Fraction(0), Fraction(1)) / whole
    return float(mean), float(integral(likelihood, Fraction(1, 2), Fraction(1)) / whole)


@pytest.mark.parametrize("counts", [Counts(*c) for c in product((0, 1, 3, 5), (0, 1, 4), (0, 2))], ids=str)
def test_the_share_is_the_exact_integral(counts: Counts) -> None:
    found = helped(counts)
    assert (found.mean, found.above_half) == pytest.approx(exact(counts), abs=1e-5)


def test_many_trials_do_not_underflow() -> None:
    # a likelihood of 0.5 ** 5000 and less: the share then lies at one end
    assert helped(Counts(5000, 0, 0)).above_half == pytest.approx(1)
    assert helped(Counts(0, 5000, 5000)).above_half == pytest.approx(0)


@pytest.mark.parametrize(
    ("better", "same", "worse", "trusted"),
    [
        (0, 0, 0, False),
        (2, 0, 0, False),
        (3, 0, 0, False),
        (4, 0, 0, False),
        (5, 0, 0, True),  # (0.85^6 - 0.5^6) / (0.85^6 - 0.15^6) = 0.9586
        (6, 1, 0, False),
        (7, 1, 0, True),
        (6, 0, 1, False),
        (7, 0, 1, True),
        (0, 9, 0, False),
        (0, 0, 9, False),
    ],
)  # brute force: `exact` above
def test_the_rule_at_its_edge(better: int, same: int, worse: int, trusted: bool) -> None:
    counts = Counts(better, same, worse)
    assert (doubt(counts) is None) == trusted
    assert (exact(counts)[1] > 0.95 and counts.all >= FIX_TRIALS) == trusted


def test_a_refusal_gives_the_figures() -> None:
    # (0.85^4 - 0.5^4) / (0.85^4 - 0.15^4) = 0.8811
    assert doubt(Counts(3, 0, 0)) == (
        "3 better, 0 same, 0 worse in 3 trials: it helps more often than not with a probability of 0.881; "
        "it takes 3 trials and more than 0.95"
    )


@pytest.mark.parametrize(
    ("counts", "word"),
    [
        (Counts(0, 0, 0), "about as likely as not"),
        (Counts(1, 0, 0), "about as likely as not"),
        (Counts(3, 0, 0), "likely"),
        (Counts(0, 0, 5), "very unlikely"),
        (Counts(100, 0, 0), "extremely likely"),
    ],
)
def test_the_word_is_the_greatest_that_is_not_above_the_mean(counts: Counts, word: str) -> None:
    """Words and numbers: advisor/model/scale.py; means: `exact`."""
    assert word_for(counts) == word


def test_evidence_only_ever_moves_it_the_right_way() -> None:
    for counts in (Counts(*c) for c in product((0, 1, 4), repeat=3)):
        share = helped(counts).above_half
        assert helped(counts._replace(better=counts.better + 1)).above_half > share
        assert helped(counts._replace(same=counts.same + 1)).above_half < share
        assert helped(counts._replace(worse=counts.worse + 1)).above_half < share
