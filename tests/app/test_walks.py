"""Random walks over all keys: every state fits its screen, is resumed with nothing lost, and nothing breaks."""

from __future__ import annotations

import os
import random
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from advisor.reasoning.advise import Mind
from tests.app.complaints import FRESH, MET
from tests.app.play import Play, height, said
from tests.journal.rows import IN_MEMORY

WALKS = 2000 if os.environ.get("ADVISOR_TEST_ALL") else 15
STEPS = 12 if os.environ.get("ADVISOR_TEST_ALL") else 7
TYPED = (
    "", "", "1", "2", "3", "4", "5", "6", "t", "b", "b", "k", "l", "s", "f", "a", "p", "m", "w", "n axle", "i", "o",
    "h", "?", "x", "y", "n", "plan", "better", "nope", "gone", "worse but it pushes", "its raining", "20 min left",
    "sound", "found it and mended it", "cannot", "both", "mid and exit", "the rear hops", "pedal is long",
    "explain caster", "zzz", "\x1b[31m\x1b]0;x\x07", "\ud800", "9" * 400,
    "keep exit traction", "not yet", "never mind", "1 3", "f 1",
)  # fmt: skip


@pytest.mark.parametrize("part", range(10))
def test_walks(mind: Mind, part: int) -> None:
    for seed in range(part, WALKS, 10):
        with TemporaryDirectory(dir=IN_MEMORY) as name:
            _walk(Play(mind, Path(name)), random.Random(seed))


def _walk(play: Play, chance: random.Random) -> None:
    """Lines at random; at a random moment the program is killed and started again."""
    play.start(chance.choice((*MET, *FRESH, "")))
    crash = chance.randrange(STEPS)
    typed: list[str] = []
    for step in range(STEPS):
        if play.over:
            break
        _fits(play, typed)
        if step == crash:
            _crashes(play, typed)
        else:
            typed.append(chance.choice(TYPED))
            play.types(typed[-1])
    play.close()


def _fits(play: Play, typed: list[str]) -> None:
    for width, tall in ((80, 24), (40, 20)):
        assert height(play.prompts[-1], width, tall) <= tall, (typed, width, said(play.prompts[-1]))


def _crashes(play: Play, typed: list[str]) -> None:
    """What was known before is known after: facts, what was tried, what waits, and nothing is booked twice."""
    place, booked = play.sitting.place, play.trials()
    state = place.state if place else None
    play.start()
    assert play.trials() == booked, typed
    if state is None or place is None or place.done:
        return
    while play.place == "outcome":
        play.types("5")
    assert play.place == "left", typed
    play.types("")
    now = play.sitting.place.state if play.sitting.place else None
    assert now is not None, typed
    assert dict(now.case.observed) == dict(state.case.observed), typed
    assert now.case.tried == state.case.tried, typed
    assert set(now.case.cleared) >= set(state.case.cleared), typed
    assert now.case.minutes == state.case.minutes, typed
    assert now.answers == state.answers, typed
    assert now.gathered.understood.keys() >= state.gathered.understood.keys() - {"respelt"}, typed
