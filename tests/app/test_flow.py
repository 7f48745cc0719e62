"""The sitting without a terminal: from the first words to the advice, and everything on the way."""

from __future__ import annotations

from dataclasses import replace

import pytest

from advisor.app.advising import Advising
from advisor.app.prompt import Word
from advisor.app.wording import RARE
from advisor.interview import steps
from advisor.interview.choices import choices
from advisor.model.case import Case
from advisor.planning.questions import as_question
from advisor.reasoning.advise import advise
from advisor.reasoning.weighing import Mind
from tests.app.play import HOPS, LOOSE, Play
from tests.karts.folder import RED


def test_the_flow_gives_the_advice_that_the_reasoning_gives(play: Play, mind: Mind) -> None:
    """Driven without a terminal, by answers alone."""
    play.start(LOOSE, "dry", "t")
    observed = {"phase": "mid", "balance": "oversteer", "track": "dry"}
    alone = steps.begin(mind, Case(complaint=LOOSE))
    wanted = steps.answer(
        mind, steps.answered(mind, alone, as_question(mind.book.observations["track"], 0.0), "dry")
    )
    ways = mind.book.levers
    driven = [a.say for a in wanted.advice if not ways[a.lever].ways[a.direction].look]
    assert play.offered == driven[:3]
    fields = advise(mind, replace(alone.case, observed=observed))
    assert [a.lever for a in fields.advice[:3]] == [a.lever for a in wanted.advice[:3]]


def test_wet_or_dry_is_asked_first_and_never_when_it_is_told(play: Play) -> None:
    assert "What is the track like?" in play.start(LOOSE).text
    play.start("n", f"{LOOSE}, it is raining")
    assert "What is the track like?" not in play.text
    assert play.known["track"] == "wet"


@pytest.mark.parametrize(
    ("typed", "ident", "value"),
    [
        ("its raining", "track", "wet"),
        ("wet", "track", "wet"),
        ("clipped the kerb", "contact", "yes"),
        ("the fronts are new", "tyre_age", None),
    ],
)
def test_news_is_heard_at_a_numbered_prompt(play: Play, typed: str, ident: str, value: str | None) -> None:
    for lines in ((LOOSE,), (LOOSE, "t")):
        play.start()
        if play.place == "left":
            play.types("n")
        play.types(*lines, typed)
        if value is None:
            assert "Heard" in play.news or "Not understood" in play.news
        else:
            assert "Heard" in play.news
            assert play.known[ident] == value


@pytest.mark.parametrize("typed", ["dry, 20 min left", "20 min left, dry", "1, and 20 min left"])
def test_an_answer_counts_beside_news(play: Play, typed: str) -> None:
    play.start(LOOSE, typed)
    assert play.known["track"] == "dry"
    assert play.sitting.place
    assert play.sitting.place.state
    assert play.sitting.place.state.case.minutes == 20


@pytest.mark.parametrize("typed", ["1,5 bar", "no, 20 min left"])
def test_a_number_with_its_unit_and_a_no_that_fits_nothing_are_no_answer(play: Play, typed: str) -> None:
    assert "track" not in play.start(LOOSE, typed).known


@pytest.mark.parametrize("code", ["\x1b[0m", "\x9b31m", "\x1b]0;15 min left\x07", "\x1b[1;31m"])
def test_what_a_pasted_code_says_is_nobodys_word(play: Play, code: str) -> None:
    play.start(LOOSE, f"{code}its raining{code}")
    assert play.known["track"] == "wet"
    assert "min left" not in play.news


def test_the_latest_news_counts(play: Play) -> None:
    play.start(LOOSE, "1", "its raining")
    assert play.known["track"] in ("wet",)
    play.types("it dried")
    assert play.known["track"] in ("dry",)
    assert play.known["balance"] == "oversteer"


def test_minutes_are_heard_anywhere_and_bar_what_takes_longer(play: Play) -> None:
    play.start(LOOSE, "20 min left", "t", "4 min left")
    state = play.sitting.place.state if play.sitting.place else None
    assert state is not None
    assert state.case.minutes == 4
    minutes = {a.lever: a.minutes for a in steps.answer(play.mind, state).advice}
    assert minutes
    assert max(minutes.values()) <= 4


def test_what_must_be_kept_is_heard(play: Play) -> None:
    play.start(LOOSE, "keep exit traction")
    state = play.sitting.place.state if play.sitting.place else None
    assert state is not None
    assert state.gathered.evidence.keep
    assert "kept:" in play.news
    assert "no effect" in play.types("keep my lunch").news


@pytest.mark.parametrize(
    ("question", "typed", "left"),
    [
        ("phase", "mid and exit", {"mid", "exit"}),
        ("phase", "2 and 3", {"mid", "exit"}),
        ("phase", "1,2", {"entry", "mid"}),
        ("direction", "both", {"both"}),
        ("phase", "exit", {"exit"}),
        ("when", "everywhere", None),
    ],
)
def test_several_answers_are_an_answer(mind: Mind, question: str, typed: str, left: set[str] | None) -> None:
    from advisor.interview.choices import chosen

    asked = as_question(mind.book.observations[question], 0.0)
    answers = chosen(mind, asked, typed)
    assert answers is not None
    state = steps.answered(mind, steps.begin(mind, Case(complaint="the rear steps out")), asked, *answers)
    told = state.gathered.evidence.told.get(question)
    assert (set(told) if told else None) == left
    assert question in state.skipped or state.gathered.evidence.answered(question)  # it is not put again


def test_no_two_answers_lead_to_the_same_stop(mind: Mind) -> None:
    for observation in mind.book.observations.values():
        offered = choices(mind, as_question(observation, 0.0))
        stops = [
            frozenset(entry.inspect)
            for choice in offered
            if (entry := observation.answers[choice.answers[0]]).alarm
        ]
        assert len(stops) == len(set(stops)), observation.id
        assert sorted(a for c in offered for a in c.answers) == sorted(observation.answers)


def test_one_answer_for_several_alarms_stops(mind: Mind) -> None:
    asked = as_question(mind.book.observations["pads_look"], 0.0)
    both = next(c for c in choices(mind, asked) if len(c.answers) > 1)
    state = steps.answered(
        mind, steps.begin(mind, Case(complaint="the rear steps out")), asked, *both.answers
    )
    stop = steps.stopped(mind, state)
    assert stop is not None
    assert stop.questions == ("pads_look",)
    assert steps.stopped(mind, steps.checked(mind, state, stop)) is None


def test_what_the_kart_file_says_is_never_asked(play: Play) -> None:
    """Every question whose answer follows from the file is left out, however long it asks."""
    folder = play.folder / "karts" / "karts"
    folder.mkdir(parents=True)
    (folder / "red.yaml").write_text(RED, "utf-8")
    play.start(LOOSE)
    place = play.sitting.place
    assert place is not None
    assert place.state is not None
    given = set(place.state.gathered.evidence.told)
    assert {"machine", "tyre_kind"} <= given
    asked = set()
    for _ in range(25):
        if play.place != "question":
            break
        asked.add(play.sitting.place.asked.id)  # type: ignore[union-attr]
        play.types("")
    assert len(asked) > 3
    assert not asked & given


def test_back_works_from_everywhere_and_gives_what_was_there(play: Play) -> None:
    play.start()
    for line in (LOOSE, "1", "2", "t", "k", "1", "b", "b", "l", "b", "f", "b", "1", "same", "it dried", "a"):
        before = (play.place, play.prompts[-1].rows)
        play.types(line)
        if line == "b" or play.prompts[-1].rows == before[1]:
            continue
        play.types("b")
        assert play.place in (before[0], "outcome")
        if before[0] not in ("opening", "outcome", "note", "advice"):
            assert play.prompts[-1].rows == before[1]
        play.types(line)


def test_back_to_the_opening_keeps_the_words_in_sight(play: Play) -> None:
    play.start(LOOSE, "b")
    assert f"You said: {LOOSE}" in play.text
    assert "nothing to go back to" in play.types("b").news


def test_a_fact_is_taken_back_by_number_or_name(play: Play) -> None:
    play.start(LOOSE, "k", "balance")
    assert "Taken back: balance" in play.news
    play.types("")
    assert "balance" not in play.known
    assert "What does the kart do?" in play.text or play.place == "question"
    play.start("", "k")
    assert "balance" not in play.known


def test_keys_and_why_are_pages(play: Play) -> None:
    assert "anywhere" in play.start(LOOSE, "h").page
    assert "likelier then" in play.types("?").page
    assert "odds" in play.types("t", "w").page
    assert "the same again: " in play.types("plan").page
    assert play.place == "advice"


@pytest.mark.parametrize(
    "key", ["", "0", "none", "zzz", "99", "-1", "1.5", "\x1b]0;x\x07", "w 9", "n", "n zzzz"]
)
def test_nothing_typed_at_the_advice_ends_or_books_it(play: Play, key: str) -> None:
    play.start(LOOSE, "t", key)
    assert play.place == "advice"
    assert play.trials() == []


def test_why_not_and_what_if_are_computed(play: Play) -> None:
    play.start(LOOSE, "1", "t")
    assert "stands in place" in play.types("n axle").news or "withheld" in play.news
    assert "your answer" in play.types("i").page


def test_fix_it_now_is_said_to_be_a_bundle_and_can_be_refused(play: Play) -> None:
    play.start("the rear slides, it pushes and hops, nothing works", "t", "f")
    if play.place == "together":
        assert "before one run" in play.text
        assert play.types("n").place == "advice"
        play.types("f", "")
        assert len(play.trials()[-1].changes) > 1
    else:
        assert "No second change" in play.news


def test_an_own_idea_can_be_chosen_although_others_stand_before_it(play: Play) -> None:
    play.start(LOOSE, "dry", "t")
    idea = "raise the seat"
    assert idea not in play.offered
    before = play.offered
    play.types(f"should i {idea}")
    assert "You asked whether to raise the seat." in play.text
    assert len(play.offered) == 3
    assert play.offered[2] == idea
    assert set(play.offered[:2]) <= set(before)
    assert "Written down: Raise the seat" in play.types(idea).text


def test_the_order_is_explained_where_a_likelier_change_stands_lower(play: Play) -> None:
    play.start(HOPS, "t")
    rows = [row.text for row in play.prompts[-1].rows]
    chances = [int(r.rpartition("(")[2].partition(" %")[0]) for r in rows if "cures " in r and " %)" in r]
    assert len(chances) == 3
    for place, chance in enumerate(chances):
        if any(above < chance for above in chances[:place]):
            assert any(r.startswith("Likelier, ") for r in rows)
    text = " ".join(rows)
    assert "odds" not in text
    assert text.count(" %") == 3  # one kind of number: the chance that it cures


def test_it_speaks_english_and_says_so(play: Play) -> None:
    assert "English only" in play.start().text
    assert "Englisch" in play.types("das Heck bricht in der Kurve aus und es haelt nicht").news


def test_why_the_first_stands_first_is_true(play: Play) -> None:
    """Where the words put it there, not its chance for its minutes, the line says so."""
    seen = set()
    for words in (
        "fronts stone cold coming in, rears you cannot hold a hand on, and it runs wide, sixty cc, light kid, what now",
        "the front washes wide as soon as I pick the throttle up in every long corner of the lap since this morning",
        "it bogs out of the hairpin",
    ):
        play.start()
        if play.place == "left":
            play.types("n")
        play.types(words, "t")
        place = play.sitting.place
        assert isinstance(place, Advising)
        ranked = {r.prospect.lever: r for r in steps.reasoning(play.mind, place.state).ranked}
        shown = [ranked[a.lever] for a in place.offered]
        by_chance = max(shown, key=lambda r: r.worth / r.said) is shown[0]
        seen.add(by_chance)
        assert ("most chance for its minutes" in play.text) == by_chance
        assert ("mechanics try it first where this is told" in play.text) != by_chance
    assert seen == {True, False}


@pytest.mark.parametrize("text", ["what does more caster do", "What happens if I widen the rear track?"])
def test_a_question_what_a_part_does_is_explained_and_starts_nothing(play: Play, text: str) -> None:
    play.start(text)
    assert play.prompts[-1].page == Word(text)
    assert play.place == "opening"


def test_a_question_with_a_fault_in_it_is_a_complaint(play: Play) -> None:
    play.start("what is wrong with the rear hubs, it slides at the back")
    assert play.place == "question"


def test_long_shots_do_not_fill_the_list(play: Play) -> None:
    play.start("clutch slips, drum is blue", "t")
    assert play.offered == []
    assert "No change stands out beside that." in play.text
    assert "What is left to try would cure it" in play.types("l", "s").text
    assert len(play.offered) == 1  # one stands there for those who must change something


def test_no_long_shot_stands_beside_what_is_likely(play: Play, mind: Mind) -> None:
    for complaint in (HOPS, LOOSE, "no top end", "pushes mid corner"):
        place = play.start(complaint, "t").sitting.place
        assert isinstance(place, Advising)
        assert all(a.chance >= RARE for a in place.offered)
