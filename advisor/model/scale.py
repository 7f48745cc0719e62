"""The words that authors use for probabilities and base rates, and the numbers they stand for.

Words and ranges: M. D. Mastrandrea et al., Guidance Note for Lead Authors of the IPCC Fifth
Assessment Report on Consistent Treatment of Uncertainties (2010), table 1. The guidance gives
ranges ("likely": 66-100 %); one number is needed here, so the lower bound of the upper words and
the upper bound of the lower words is used, and 50 % for the middle. That choice is ours, and so is the last word.
"""

from __future__ import annotations

PROBABILITY: dict[str, float] = {
    "virtually certain": 0.99,
    "extremely likely": 0.95,
    "very likely": 0.90,
    "likely": 0.66,
    "about as likely as not": 0.50,
    "unlikely": 0.33,
    "very unlikely": 0.10,
    "extremely unlikely": 0.05,
    "exceptionally unlikely": 0.01,
    "once in five hundred": 0.002,  # ours: what only a rare fault shows, such as a cracked hub
}

# How often a cause is behind a complaint, relative to the others. Ours, not a standard's.
BASE_RATE: dict[str, float] = {
    "often": 8.0,
    "sometimes": 4.0,
    "now and then": 2.0,
    "rarely": 1.0,
    "hardly ever": 0.4,
}

# What the knowledge base does not hold keeps this share of the belief before anything is known.
UNKNOWN_SHARE = 0.08


def percent(p: float) -> str:
    """A probability for people: whole percents, never a false 0 or 100."""
    if 0 < p < 0.01:
        return "under 1 %"
    if 0.99 < p < 1:
        return "over 99 %"
    return f"{p:.0%}".replace("%", " %")
