"""Every key of the interview on a pseudo-terminal: why, back, don't know, correcting, why not, what if."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from advisor.book.written import case_from_data
from advisor.reasoning.advise import Mind, advise
from tests.hostile.command import Advisor
from tests.terminal.conftest import Start
from tests.terminal.kept import left, tried
from tests.terminal.person import TAB, UP, Person
from tests.terminal.reading import (
    STOPS,
    Asked,
    asked,
    flat,
    in_short,
    question,
    understood,
)
from tests.terminal.ways import (
    CHOICE,
    COMPLAINT,
    KEEP,
    MINUTES,
    OPENING,
    RIGHT,
    SOUND,
    to_choice,
    to_first_question,
)

PERCENT = r"(?:under 1 %|over 99 %|\d+ %)"
GIVEN = re.compile(r'"([^"]+)" were "([^"]+)"')


def settled(folder: Path) -> dict[str, Any]:
    """The case of the interview that goes on, as the journal holds it."""
    sitting = left(folder)
    assert sitting is not None
    return sitting.row.case


def answering(case: dict[str, Any], mind: Mind, given: list[tuple[str, str]]) -> dict[str, Any]:
    """The case with some more answers, told by the texts of question and answer."""
    observed = dict(case.get("observed", {}))
    for text, answer in given:
        ((ident, entry),) = [(i, o) for i, o in mind.book.observations.items() if o.question == text]
        ((name, _),) = [(n, a) for n, a in entry.answers.items() if a.text == answer]
        observed[ident] = name
    return {**case, "observed": observed}


def first_of(mind: Mind, data: dict[str, Any]) -> str:
    """The lever that is advised first for a case as the journal keeps it."""
    case = case_from_data(data, mind.book)
    assert case is not None
    answer = advise(mind, case)
    return "stop" if answer.stop else answer.advice[0].lever


# --- questions --------------------------------------------------------------------------------------


@pytest.mark.parametrize("key", ["?", "w", "why", "W"])
def test_why_names_a_cause_for_each_answer_with_its_percentages(start: Start, mind: Mind, key: str) -> None:
    person = start()
    first = asked(to_first_question(person))
    shown = person.types(key)
    causes = {cause.name for cause in mind.book.causes.values()}
    moved = set()
    for answer in first.answers:
        row = re.search(rf"{re.escape(answer)}: (.+?) goes from ({PERCENT}) to ({PERCENT})", flat(shown))
        assert row, answer
        assert row[1] in causes
        moved.add(row[2] != row[3])
    assert True in moved
    plain = [o.plain for o in mind.book.observations.values() if o.question == first.text]
    assert flat(plain[0]) in flat(shown)
    assert question(shown) is None
    assert asked(person.types(str(first.harmless() + 1))).number == 2


def test_back_asks_the_question_before_again_and_takes_its_answer_back(start: Start) -> None:
    person = start()
    first = asked(to_first_question(person))
    second = asked(person.types(str(first.harmless() + 1)))
    assert second.number == 2
    assert asked(person.types("b")) == first
    other = first.harmless(but=1)
    shown = person.types(str(other + 1))
    while question(shown) is not None:
        shown = person.types("")
    facts = understood(shown)
    assert first.answers[other] in facts.values()
    assert first.answers[first.harmless()] not in facts.values()


def test_back_at_the_first_question_says_that_there_is_nothing_before_it(start: Start) -> None:
    person = start()
    first = asked(to_first_question(person))
    assert "There is nothing to go back to." in person.types("b")
    assert asked(person.types(str(first.harmless() + 1))).number == 2


def test_back_leads_from_the_third_question_to_the_first(start: Start) -> None:
    person = start()
    seen = [asked(to_first_question(person))]
    for _ in range(2):
        seen.append(asked(person.types("")))
    assert [asked(person.types("back")) for _ in range(2)] == [seen[1], seen[0]]


@pytest.mark.parametrize("typed", ["", "d", "don't know", "dont know", "IDK", "skip"])
def test_not_to_know_is_an_answer_that_leaves_the_facts_alone(
    start: Start, tmp_path: Path, typed: str
) -> None:
    person = start()
    first = asked(to_first_question(person))
    before = settled(tmp_path)
    second = asked(person.types(typed))
    assert (second.number, second.text != first.text) == (2, True)
    assert {**settled(tmp_path), "unanswered": []} == {**before, "unanswered": []}


@pytest.mark.parametrize("typed", ["0", "99", "-1", "1.5", "asdf", "1 2"])
def test_what_is_no_answer_is_asked_again(start: Start, typed: str) -> None:
    person = start()
    first = asked(to_first_question(person))
    assert f"Please answer with a number from 1 to {len(first.answers)}" in person.types(typed)
    assert asked(person.types("")).number == 2


@pytest.mark.parametrize("place", [0, 1])
def test_the_preview_beside_an_answer_is_what_it_puts_first(
    start: Start, tmp_path: Path, mind: Mind, place: int
) -> None:
    person = start()
    first = asked(to_first_question(person))
    assert len(first.previews) == len(first.answers)
    assert all(first.previews)
    place = first.harmless(but=place)
    shown = person.types(str(place + 1))
    while question(shown) is not None:
        shown = person.types("")
    person.leaves("1")
    change = tried(tmp_path)[0].change
    say, name = mind.book.levers[change.lever].ways[change.direction].say, mind.book.levers[change.lever].name
    assert first.previews[place] in (say, name)


def test_a_preview_of_danger_is_a_stop(start: Start, tmp_path: Path) -> None:
    """Go through the questions until one has an answer that means danger, and give it."""
    for complaint in (COMPLAINT, "the rear steps out on entry", "it hops", "it pushes on entry"):
        person = start()
        shown = to_first_question(person, complaint)
        while (now := question(shown)) is not None:
            if STOPS in now.previews:
                stops(person, person.types(str(now.previews.index(STOPS) + 1)), tmp_path)
                return
            shown = person.types("")
        person.leaves("")
    pytest.fail("no question had an answer that means danger")


# --- stops ------------------------------------------------------------------------------------------


def stops(person: Person, shown: str, folder: Path) -> None:
    """Driving is forbidden, nothing is offered or written down, and the stop is what waits."""
    assert re.search(r"^STOP$", shown, re.M)
    assert SOUND in flat(shown)
    assert person.leaves("")[0] == 0
    for words in ("In short", CHOICE, "Worth trying now"):
        assert words not in person.raw
    assert tried(folder) == []
    assert left(folder) is not None, "the stop stands again at the next start"


ALARMS = {
    "the brake pedal goes soft and the rear steps out on entry": "bled and checked for leaks",
    "there is a crack in the frame, it hops": "cracked",
}


@pytest.mark.parametrize(("complaint", "part"), ALARMS.items())
def test_a_stop_ends_the_interview_without_a_trial(
    start: Start, tmp_path: Path, complaint: str, part: str
) -> None:
    person = start()
    person.reads()
    person.types(complaint)
    shown = person.types("")
    assert part in flat(shown)
    stops(person, shown, tmp_path)


def test_after_an_inspection_that_found_nothing_the_interview_goes_on(start: Start, tmp_path: Path) -> None:
    person = start()
    person.reads()
    person.types("the brake pedal goes soft and the rear steps out on entry")
    assert SOUND in flat(person.types(""))
    shown = person.types("ok")
    if SOUND in flat(shown):  # the brake is sound: the next danger of these words is an axle that moved
        shown = person.types("ok")
    assert MINUTES in shown
    assert KEEP in person.types("")
    person.types("")
    shown = person.types("")
    while question(shown) is not None:
        shown = person.types("")
    assert CHOICE in shown
    assert "STOP" not in shown
    assert in_short(shown)  # work on the brake may be among it: an inspection can miss what it looks for
    assert person.leaves("1")[0] == 0
    assert [t.verdict for t in tried(tmp_path)] == [None]


# --- the complaint and its corrections --------------------------------------------------------------


def test_a_fact_is_taken_back_by_typing_its_name(start: Start) -> None:
    person = start()
    person.reads()
    assert "balance" in understood(person.types(COMPLAINT))
    shown = person.types("balance")
    assert "balance" not in understood(shown)
    assert "phase" in understood(shown)
    person.types("")
    person.types("")
    person.types("")
    assert asked(person.types("")).text == "What does the kart do?"


def test_more_can_be_said_even_a_second_fault(start: Start, tmp_path: Path) -> None:
    person = start()
    person.reads()
    person.types(COMPLAINT)
    facts = understood(person.types("and on the way out it hops"))
    assert facts["balance"] == "the rear steps out"
    assert facts["second fault, balance"] == "it hops or bounces"
    assert facts["second fault, phase"].startswith("on the way out")
    for _ in range(4):
        person.types("")
    assert settled(tmp_path)["secondary"] == {"phase": "exit", "balance": "hop"}


@pytest.mark.parametrize("typed", ["asdf qwertz", "?!", "1", "\N{RACING CAR}"])
def test_a_complaint_that_tells_nothing_is_followed_by_questions(start: Start, typed: str) -> None:
    person = start()
    person.reads()
    shown = person.types(typed)
    assert "None of that tells me about a kart" in flat(shown)
    assert MINUTES in shown
    assert KEEP in person.types("")
    person.types("")
    assert asked(person.types("")).text == "What is it about?"


def test_an_empty_complaint_is_followed_by_questions(start: Start) -> None:
    person = start()
    person.reads()
    shown = person.types("")
    assert "None of that" not in shown
    person.types("")
    person.types("")
    first = asked(person.types(""))
    assert first.text == "What is it about?"
    assert first.answers[0].startswith("how it corners")
    second = asked(person.types("1"))
    assert second.text == "What does the kart do?"


def test_nothing_known_at_all_gives_no_ranking(start: Start, tmp_path: Path) -> None:
    person = start()
    shown = to_first_question(person, "asdf")
    shown = person.leaves("t")[1]
    assert "Worth trying now" not in shown
    assert "What would help most to know" in shown
    assert tried(tmp_path) == []


@pytest.mark.parametrize(
    ("typed", "minutes"),
    [("15", 15), ("15 min", 15), ("15m", 15), ("half an hour", 30), ("", None), ("soon", None)],
)
def test_minutes_are_heard_as_people_type_them(
    start: Start, tmp_path: Path, typed: str, minutes: int | None
) -> None:
    person = start()
    person.reads()
    person.types(COMPLAINT)
    person.types("")
    shown = person.types(typed)
    if typed == "soon":
        assert "A number of minutes" in shown
        shown = person.types("")
    assert KEEP in shown
    person.types("")
    person.types("")
    assert settled(tmp_path).get("minutes") == minutes


def test_minutes_left_withhold_what_takes_longer(start: Start) -> None:
    person = start()
    shown = to_choice(person, minutes="2")
    for change in in_short(shown):
        assert int(re.search(r"\((\d+) min", change)[1]) <= 2  # type: ignore[index]
    assert "minutes and 2 are left" in flat(shown)


# --- why, why not, what if, back from the advice ----------------------------------------------------


@pytest.mark.parametrize("key", ["w 1", "w1", "W 1"])
def test_why_it_gives_the_ledger_of_its_cause(start: Start, mind: Mind, key: str) -> None:
    person = start()
    to_choice(person)
    text = flat(person.types(key))
    ((cause),) = [c for c in mind.book.causes.values() if flat(c.plain) in text]
    assert cause.name.lower() in text.lower()
    assert "how often it happens at all: speaks" in text
    assert re.search(r"what the kart does and where: speaks (for it \(odds x|against it \(odds /) \d", text)


def test_why_it_of_nothing_offered_is_asked_again(start: Start) -> None:
    person = start()
    to_choice(person)
    for typed in ("w 9", "w 0", "w x", "foo", "i x"):
        assert re.search(
            "Please answer with a number|No question was answered|Type i and its number",
            flat(person.types(typed)),
        )


def why_not(person: Person, word: str) -> list[tuple[str, str]]:
    """The answers that would put a change first, as the program tells them."""
    text = flat(person.types(f"n {word}"))
    return GIVEN.findall(text) if "It would stand first if" in text else []


def test_why_not_names_answers_that_really_put_the_change_first(
    start: Start, tmp_path: Path, mind: Mind, advisor: Advisor
) -> None:
    """The first word that gets such an answer is tried: the answers go into a case file, and the command is asked."""
    person = start()
    to_choice(person)
    words = {"caster": "caster", "rear width": "rear_track_width", "toe": "toe", "seat height": "seat_height"}
    words |= {"rear hubs": "rear_hub_length", "front width": "front_track_width", "chain": "chain"}
    told = 0
    for word, lever in words.items():
        if told < 1 and (given := why_not(person, word)):
            told += 1
            assert len(given) <= 2
            assert first_of(mind, answering(settled(tmp_path), mind, given)) == lever
    assert told, "no word got an answer, so nothing was verified"


def test_why_not_of_an_unknown_word_says_so(start: Start) -> None:
    person = start()
    to_choice(person)
    assert 'I know no change by the name "zzz"' in person.types("n zzz")


def test_why_not_of_what_stands_first_says_so(start: Start, tmp_path: Path, mind: Mind) -> None:
    person = start()
    to_choice(person)
    person.types("n driver")
    top = first_of_interview(person, mind)
    assert "does stand first" in person.types(f"n {top}")


def first_of_interview(person: Person, mind: Mind) -> str:
    """The name of the lever that stands first, as `n` takes it; `i` shows nothing without an answer."""
    shown = person.types("b")
    while question(shown) is not None:
        shown = person.types("")
    headline = in_short(shown)[0].lower()
    fitting = [
        lever.id
        for lever in mind.book.levers.values()
        for way in lever.ways.values()
        if headline.startswith(way.say.lower())
    ]
    return fitting[0]


def test_why_not_of_what_takes_too_long_says_that_it_is_withheld(start: Start) -> None:
    person = start()
    to_choice(person, minutes="5")
    assert re.search(
        r"axle stiffness is withheld: it takes about \d+ minutes and 5 are left", flat(person.types("n axle"))
    )


def indented(shown: str) -> list[tuple[str, str]]:
    """The rows of a list, each as what stands before and after its colon."""
    return [
        (a, b)
        for line in shown.split("\n")
        if line[:4] == "    "
        for a, _, b in [line.strip().partition(": ")]
    ]


def test_what_if_shows_what_each_other_answer_would_put_first(
    start: Start, tmp_path: Path, mind: Mind, advisor: Advisor
) -> None:
    person = start()
    first = asked(to_first_question(person))
    place = first.harmless(but=1)
    shown = person.types(str(place + 1))
    while question(shown) is not None:
        shown = person.types("")
    rows = indented(person.types("i"))

    assert [text.removesuffix(" (your answer)") for text, _ in rows] == list(first.answers)
    assert [text for text, _ in rows if "(your answer)" in text] == [f"{first.answers[place]} (your answer)"]
    case = settled(tmp_path)
    for text, result in rows:
        given = [(first.text, text.removesuffix(" (your answer)"))]
        lever = first_of(mind, answering(case, mind, given))
        if lever == "stop":
            assert result == STOPS
        else:
            says = [way.say for way in mind.book.levers[lever].ways.values()]
            assert result in (*says, mind.book.levers[lever].name)


def test_what_if_without_an_answer_says_so(start: Start) -> None:
    person = start()
    to_choice(person)
    assert "No question was answered" in person.types("i")


def test_what_if_of_several_answers_asks_which(start: Start) -> None:
    person = start()
    shown = to_first_question(person)
    texts: list[str] = []
    while (now := question(shown)) is not None:
        if len(texts) < 2:
            texts.append(now.text)
            shown = person.types(str(now.harmless() + 1))
        else:
            shown = person.types("")
    shown = person.types("i")
    assert "Which answer?" in shown
    assert all(text in flat(shown) for text in texts)
    assert "(your answer)" in person.types("2")
    assert "(your answer)" in person.types("i 1")


def test_back_from_the_advice_leads_to_the_last_question(start: Start) -> None:
    person = start()
    shown = to_first_question(person)
    last: Asked | None = None
    while (now := question(shown)) is not None:
        last = now
        shown = person.types("")
    before = in_short(shown)
    assert last is not None
    assert asked(person.types("b")) == last
    listed = last.text.startswith("Look the kart over")
    place = 0 if listed else last.harmless()
    shown = person.types("ok" if listed else str(place + 1))
    while question(shown) is not None:
        shown = person.types("")
    assert listed or last.answers[place] in understood(shown).values()
    assert in_short(shown)
    assert before


# --- typing aids ------------------------------------------------------------------------------------


def test_tab_completes_an_answer(start: Start) -> None:
    person = start()
    first = asked(to_first_question(person))
    place = first.harmless()
    text = first.answers[place]
    unique = next(
        text[:n]
        for n in range(1, len(text) + 1)
        if sum(answer.lower().startswith(text[:n].lower()) for answer in first.answers) == 1
    )
    assert text in person.presses(unique + TAB, until=text)
    assert asked(person.types("")).number == 2


def test_the_arrow_brings_back_a_complaint_of_an_earlier_trial(start: Start) -> None:
    person = start()
    to_choice(person)
    person.leaves("1")
    person = start()
    person.reads()
    person.types("1")
    person.types("")
    person.leaves("")
    person = start()
    assert OPENING in person.reads()
    person.presses(UP, until=COMPLAINT)
    assert RIGHT in person.types("")
