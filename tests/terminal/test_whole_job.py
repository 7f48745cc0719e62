"""The whole job on a pseudo-terminal: from a complaint to a verdict in the journal, and on to the next change."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from advisor.journal.trials import Trial
from advisor.reasoning.advise import Mind
from advisor.reasoning.explain import percent
from tests.hostile.command import Advisor
from tests.journal import rows
from tests.terminal.conftest import Start
from tests.terminal.kept import NAME, left, tried
from tests.terminal.person import Person
from tests.terminal.reading import asked, flat, in_short, question, understood
from tests.terminal.ways import CHOICE, KEEP, MINUTES, OPENING, RIGHT, to_choice

MISSPELT = "the raer steps out in the midle of the corner"
MINUTES_LEFT = 12
MOVED = re.compile(r"^  (.+): (.+ %) -> (.+ %)$", re.M)


def tells_complaint(person: Person) -> str:
    """Complaint, confirmation, minutes and wish; each is asked for in this order."""
    assert OPENING in person.reads()
    shown = person.types(MISSPELT)
    facts = understood(shown)
    assert facts["phase"].startswith("in the middle")
    assert facts["balance"] == "the rear steps out"
    assert "raer as rear" in facts["read as"]
    assert RIGHT in shown
    assert MINUTES in person.types("")
    assert KEEP in person.types(str(MINUTES_LEFT))
    person.types("exit traction")
    return person.types("both")


def answers_questions(person: Person, shown: str) -> tuple[str, dict[str, str]]:
    """One answer by its number, one by its words, then nothing is known; the advice, and what was answered."""
    given = {}
    first = asked(shown)
    place = first.harmless()
    given[first.text] = first.answers[place]
    shown = person.types(str(place + 1))
    second = asked(shown)
    place = second.harmless()
    given[second.text] = second.answers[place]
    shown = person.types(second.answers[place])
    numbers = [first.number, second.number]
    while (third := question(shown)) is not None:
        numbers.append(third.number)
        shown = person.types("")
    assert numbers == list(range(1, len(numbers) + 1))
    return shown, given


def says_advice(shown: str, given: dict[str, str]) -> None:
    """Everything a driver needs stands there: facts, causes, three changes, each with its prediction."""
    assert set(given.values()) <= set(understood(shown).values())
    text = flat(shown)
    assert "Most likely causes" in text
    assert "something this knowledge base does not hold" in text
    for word in ("Why: ", "Feel for: ", "Wrong if: ", "Sources: "):
        assert text.count(word) == 3
    offered = in_short(shown)
    assert len(offered) == 3
    for place, change in enumerate(offered, start=1):
        headline, minutes = re.fullmatch(r"(.+) \((\d+) min, .+ %\)", change).groups()  # type: ignore[union-attr]
        assert f"{place}. {headline}" in text
        assert int(minutes) <= MINUTES_LEFT
    assert CHOICE in shown


def is_prediction(trial: Trial, headline: str, advice: str) -> None:
    """What the journal holds is what was on the screen, and it waits for its verdict."""
    assert trial.verdict is None
    assert trial.complaint == MISSPELT
    assert headline.lower().startswith(trial.change.say.lower())
    text = flat(advice)
    assert f"Feel for: {trial.change.feel_for}." in text
    assert f"Wrong if: {trial.change.wrong_if}." in text
    assert f"chance {percent(trial.change.chance)}" in text
    assert trial.case["observed"]["balance"] == "oversteer"
    assert trial.case["minutes"] == MINUTES_LEFT


def test_the_whole_job(start: Start, tmp_path: Path, mind: Mind) -> None:
    person = start()
    advice, given = answers_questions(person, tells_complaint(person))
    says_advice(advice, given)
    headline = in_short(advice)[1].rpartition(" (")[0]
    status, shown = person.leaves("2")
    assert status == 0
    assert f"Written down: {headline}." in flat(shown)
    (trial,) = tried(tmp_path)
    is_prediction(trial, headline, advice)

    person = start()
    shown = person.reads()
    assert f"Last time: {trial.change.say}" in flat(shown)
    assert f"You were to feel for: {trial.change.feel_for}." in flat(shown)
    assert OPENING not in shown
    assert "A note" in person.types("same")
    assert tried(tmp_path)[0].verdict is None
    shown = person.types("six laps, 52.31 s")
    moved = [(before, after) for _, before, after in MOVED.findall(shown)]
    assert "What this taught" in shown
    assert any(before != after for before, after in moved)
    way = mind.book.levers[trial.change.lever].ways[trial.change.direction]
    assert ("Put it back as it was" in flat(shown)) == (way.opposite is not None)
    following = in_short(shown)
    assert following
    assert not any(change.lower().startswith(trial.change.say.lower()) for change in following)
    assert f"{trial.change.say}: already tried: no change." in flat(shown)
    (trial,) = tried(tmp_path)
    assert (trial.verdict, trial.note) == ("same", "six laps, 52.31 s")

    status, shown = person.leaves("1")
    assert (status, "Written down" in shown) == (0, True)
    assert [t.verdict for t in tried(tmp_path)] == ["same", None]
    assert tried(tmp_path)[1].change.say != trial.change.say
    assert tried(tmp_path)[1].case["tried"] == [
        {"lever": trial.change.lever, "direction": trial.change.direction, "verdict": "same"}
    ]


def waits(folder: Path) -> None:
    """A change in the journal that waits for its outcome: a narrower rear track, from 1390 to 1380 mm."""
    rows.write(folder / NAME, rows.trial())


@pytest.mark.parametrize("verdict", ["better", "same", "worse"])
def test_an_outcome_is_told_without_a_terminal(tmp_path: Path, advisor: Advisor, verdict: str) -> None:
    waits(tmp_path)
    say = tried(tmp_path)[0].change.say
    done = advisor("outcome", verdict, "--note", "rain came, 12.5 psi hot")
    assert (done.status, done.err) == (0, "")
    (trial,) = tried(tmp_path)
    assert (trial.verdict, trial.note) == (verdict, "rain came, 12.5 psi hot")
    assert "What this taught" in done.out
    assert any(before != after for _, before, after in MOVED.findall(done.out))
    word = {"same": "no change", "worse": "worse"}.get(verdict)
    assert word is None or f"{say}: already tried: {word}" in flat(done.out)
    assert re.search(r"^1\. ", done.out, re.M)
    again = advisor("outcome", verdict)
    assert (again.status, again.out) == (1, "")
    assert len(again.err.splitlines()) == 1


@pytest.mark.parametrize("verdict", ["same", "worse"])
def test_told_without_a_terminal_too_the_change_is_to_be_put_back(
    tmp_path: Path, advisor: Advisor, verdict: str
) -> None:
    """The next advice starts from where the kart stood, so the driver must hear that on either way."""
    waits(tmp_path)
    assert "Put it back as it was" in flat(advisor("outcome", verdict).out)


def test_an_outcome_without_its_word_needs_a_terminal(tmp_path: Path, advisor: Advisor) -> None:
    waits(tmp_path)
    done = advisor("outcome")
    assert (done.status, done.out) == (2, "")
    assert len(done.err.splitlines()) == 1
    assert [t.verdict for t in tried(tmp_path)] == [None]


def test_the_command_outcome_asks_on_a_terminal(start: Start, tmp_path: Path) -> None:
    waits(tmp_path)
    person = start("outcome")
    assert "not tried yet" in person.reads()
    assert "A note" in person.types("3")
    assert CHOICE in person.types("")
    assert [(t.verdict, t.note) for t in tried(tmp_path)] == [("worse", "")]
    assert person.leaves("")[0] == 0


@pytest.mark.parametrize("typed", ["", "4", "not tried yet"])
def test_a_change_that_was_not_tried_yet_still_waits(start: Start, tmp_path: Path, typed: str) -> None:
    waits(tmp_path)
    person = start()
    assert "not tried yet" in person.reads()
    assert OPENING in person.types(typed)
    assert [t.verdict for t in tried(tmp_path)] == [None]
    person.leaves("q")
    assert "Last time:" in start().reads()


def test_a_change_that_was_crossed_out_is_asked_about_no_more(start: Start, tmp_path: Path) -> None:
    waits(tmp_path)
    person = start()
    assert "cross it out" in person.reads()
    assert OPENING in person.types("5")
    assert [t.verdict for t in tried(tmp_path)] == [None]
    person.leaves("q")
    assert OPENING in start().reads()


def test_a_change_that_helped_is_kept(start: Start, tmp_path: Path) -> None:
    waits(tmp_path)
    person = start()
    person.reads()
    person.types("1")
    shown = person.types("")
    assert "Keep it." in flat(shown)
    assert "Put it back as it was before you try" not in flat(shown)
    assert [t.verdict for t in tried(tmp_path)] == ["better"]


def test_choosing_none_writes_nothing_and_ends_the_interview(start: Start, tmp_path: Path) -> None:
    person = start()
    to_choice(person)
    status, shown = person.leaves("")
    assert status == 0
    assert "Written down" not in shown
    assert tried(tmp_path) == []
    assert left(tmp_path) is None


def test_the_change_is_in_the_journal_before_it_is_confirmed(start: Start, tmp_path: Path) -> None:
    person = start()
    to_choice(person)
    person.presses("1\r", until="Written down")
    assert [t.verdict for t in tried(tmp_path)] == [None]
    assert person.ends()[0] == 0
