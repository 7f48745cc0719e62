"""Which phase a fault belongs to where several are told, and a denial that only moves the fault elsewhere."""

from __future__ import annotations

import pytest

from advisor.words.understand import understand
from tests.reasoning.minds import shipped


@pytest.mark.parametrize(
    ("text", "feels"),
    [
        ("At turn-in all is calm, at the apex I wait, it pushes", (("mid", "understeer"),)),
        ("on entry I brake, at the apex I wait, and it pushes", (("mid", "understeer"),)),
        ("I brake early on the way in. It pushes, and I mean on the exit", (("exit", "understeer"),)),
        ("On the way in nothing. It pushes, on the exit that is", (("exit", "understeer"),)),
    ],
)
def test_the_phase_told_last_before_the_fault_counts_and_one_of_its_own_sentence_first(
    text: str, feels: tuple[tuple[str, str], ...]
) -> None:
    assert understand(text, shipped().book, shipped().lexicon).feels == feels


@pytest.mark.parametrize(
    ("text", "balance"),
    [
        ("it does not push in the slow corners, only in the fast ones", "understeer"),
        ("no hop in the slow ones, only in the fast ones", "hop"),
        ("it is not loose in the morning, only after lunch", "oversteer"),
    ],
)
def test_what_is_only_elsewhere_is_there(text: str, balance: str) -> None:
    heard = understand(text, shipped().book, shipped().lexicon)
    assert heard.answers("balance") == {balance}
