"""The stopwatch in the journal: what the laps say goes into the belief beside the driver's word."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.cli import main
from advisor.inference.trials import verdict_if
from advisor.interview import steps
from advisor.journal.store import Journal
from advisor.journal.trials import latest
from advisor.model.assumed import LAPS_TELL
from advisor.model.case import Case, Laps, Tried
from advisor.reasoning.weighing import reason
from tests.journal.rows import trial, write
from tests.judge.test_command import TYPED
from tests.reasoning.minds import shipped


def test_the_laps_and_the_driver_are_written_down_as_one_outcome(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = write(tmp_path / "j.sqlite3", trial())
    status = main(["judge", *TYPED, "--driver", "better", "--record", "--journal", str(path)])
    shown = capsys.readouterr().out
    assert status == 0
    assert "What this taught" in shown
    with Journal(path, read_only=True) as journal:
        found = latest(journal, 1, "judged")[0]
    assert found.verdict == "better"
    assert found.laps is not None
    assert sum(found.laps) == pytest.approx(1)
    assert found.laps[0] > 0.7  # quicker by .3 s in A-B-A
    assert "quicker" in found.note


@pytest.mark.parametrize(
    ("more", "says"),
    [
        (["--record"], "--driver better"),
        (["--record", "--driver", "same", "--json"], "does not go with --json"),
    ],
)
def test_without_the_drivers_word_nothing_is_written(
    more: list[str], says: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = write(tmp_path / "j.sqlite3", trial())
    assert main(["judge", *TYPED, *more, "--journal", str(path)]) == 1
    assert says in capsys.readouterr().err
    with Journal(path, read_only=True) as journal:
        assert latest(journal, 1, "judged") == []


def test_where_no_change_waits_the_laps_are_judged_and_that_is_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = write(tmp_path / "j.sqlite3")
    assert main(["judge", *TYPED, "--driver", "better", "--record", "--journal", str(path)]) == 1
    shown = capsys.readouterr()
    assert "Did it help?" in shown.out
    assert "No change is waiting" in shown.err


def test_laps_that_say_nothing_change_nothing() -> None:
    level = (1 / 3, 1 / 3, 1 / 3)
    for effect in ("cured", "nothing", "hurt"):
        assert verdict_if(effect, "same", level) == pytest.approx(verdict_if(effect, "same", None))


def test_the_weight_of_the_laps_is_a_mixture() -> None:
    # P(laps | cured) / P(laps) with shares .9, .08, .02: (1 - w) + w x 3 x .9, by hand
    assert verdict_if("cured", "better", (0.9, 0.08, 0.02)) == pytest.approx(
        0.85 * (1 - LAPS_TELL + LAPS_TELL * 2.7)
    )


def _chance(laps: Laps | None) -> float:
    """What is left of the causes that the change was to cure, after the driver said better."""
    case = Case(
        observed={"balance": "oversteer", "phase": "entry"},
        tried=(Tried("front_track_width", "narrower", "better", laps=laps),),
    )
    state = steps.begin(shipped(), case)
    done = reason(shipped(), case, state.gathered)
    touched = done.links["front_track_width"]
    return sum(done.belief.probabilities[i] for i in touched)


def test_a_stopwatch_that_agrees_says_more_than_the_driver_alone_and_one_that_differs_less() -> None:
    agrees, differs = _chance((0.9, 0.08, 0.02)), _chance((0.02, 0.18, 0.8))
    assert agrees > _chance(None) > differs
