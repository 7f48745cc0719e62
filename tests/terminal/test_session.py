"""The session without a terminal, line by line: what each key does to the state, and that what is told is true."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import combinations

import pytest

from advisor.book.written import as_data, case_from_data
from advisor.interview import explanations, steps
from advisor.interview.steps import State
from advisor.model.case import VERDICTS, Case, Tried, Verdict
from advisor.model.feel import axes
from advisor.model.knowledge import Answer
from advisor.reasoning.advise import Mind, advise, find_stop, reason
from advisor.reasoning.explain import percent
from advisor.reasoning.questions import as_question, askable
from advisor.units import parse
from tests.terminal.reading import STOPS, asked, flat, in_short, names, question, understood
from tests.terminal.script import NARROW, Play, interview, typing
from tests.terminal.ways import WHO

LOOSE = "the rear steps out in the middle of the corner"
COMPLAINTS = [
    LOOSE,
    "the rear steps out on entry",
    "it pushes on entry",
    "it hops in the middle",
    "bogs on exit",
]
KART = Case(kart_class="125 cc single-speed two-stroke", tyres={"kind": "slick"})
PERCENT = r"(?:under 1 %|over 99 %|\d+ %)"

Given = tuple[str, str]  # text of a question, text of an answer


def begun(mind: Mind, complaint: str, tried: tuple[Tried, ...] = ()) -> State:
    """The state after a complaint."""
    return steps.begin(mind, Case(complaint=complaint, tried=tried))


def told(mind: Mind, complaint: str) -> Case:
    """The case with every fact of a complaint as a field."""
    return steps.settled(mind, begun(mind, complaint))


def at_advice(mind: Mind, complaint: str, *choice: str, case: Case | None = None) -> Play:
    """Type these lines where the advice for a complaint stands, without a question before it."""
    state = steps.begin(mind, replace(case or Case(), complaint=complaint))
    return typing(mind, *choice).run(lambda session: session.advice(state))


def with_answers(mind: Mind, case: Case, *given: Given) -> Case:
    """A case with more answers as fields, told by the texts of question and answer."""
    observed = dict(case.observed)
    for text, answer in given:
        ((ident, entry),) = [(i, o) for i, o in mind.book.observations.items() if o.question == text]
        ((name, _),) = [(n, a) for n, a in entry.answers.items() if a.text == answer]
        observed[ident] = name
    return replace(case, observed=observed)


# --- previews and why -------------------------------------------------------------------------------


@pytest.mark.parametrize("complaint", COMPLAINTS)
def test_each_preview_is_what_answering_puts_first(mind: Mind, complaint: str) -> None:
    """Every answer of the first two questions is really given, as a field of a case of its own."""
    case = told(mind, complaint)
    for screen in interview(mind, complaint, answers=[""], enough=True).questions:
        now = asked(screen)
        for answer, preview in zip(now.answers, now.previews, strict=True):
            found = advise(mind, with_answers(mind, case, (now.text, answer)))
            if found.stop:
                assert preview == STOPS
            else:
                assert preview in names(mind.book, found.advice[0])


@pytest.mark.parametrize("complaint", COMPLAINTS)
def test_why_tells_how_far_an_answer_raises_a_cause(mind: Mind, complaint: str) -> None:
    """Before and after are those of the cases without and with the answer; nothing else rises further."""
    play = interview(mind, complaint, answers=["?"], enough=True)
    now, text = asked(play.questions[0]), flat(play.shown[play.shown.index(play.questions[0]) + 1])
    before = {c.id: c.probability for c in advise(mind, told(mind, complaint)).causes}
    for answer in now.answers:
        row = re.search(rf"{re.escape(answer)}: (.+?) goes from ({PERCENT}) to ({PERCENT})", text)
        assert row, answer
        found = advise(mind, with_answers(mind, told(mind, complaint), (now.text, answer))).causes
        risen = {c.id: c.probability - before[c.id] for c in found if c.id != "unknown"}
        most = max(risen.values())
        fitting = [c for c in found if c.name == row[1] and risen[c.id] == pytest.approx(most, abs=1e-12)]
        assert [(percent(before[c.id]), percent(c.probability)) for c in fitting] == [(row[2], row[3])]


def test_all_that_is_shown_fits_its_width(mind: Mind) -> None:
    play = interview(
        mind, LOOSE, answers=["?", "zzz", "1"], choice=["w 1", "n caster", "i", "1"], width=NARROW
    )
    assert play.ended
    rows = [row for screen in play.shown for row in screen.split("\n")]
    assert NARROW / 2 < max(map(len, rows)) <= NARROW


# --- the complaint and its corrections --------------------------------------------------------------


def test_what_was_taken_back_stays_away_when_more_is_said(mind: Mind) -> None:
    """Only what is new in the new words counts; the misread words have been corrected already."""
    play = interview(mind, "the rear steps out on entry", right=["balance", "the tyres are old"])
    assert "balance" in understood(play.shown[1])
    assert "balance" not in understood(play.shown[2])
    assert "tyre age" in understood(play.shown[3])
    assert "balance" not in understood(play.shown[3])


def test_the_corrected_fact_can_be_said_anew(mind: Mind) -> None:
    play = interview(mind, "the rear steps out on entry", right=["balance", "no, the front pushes on entry"])
    assert understood(play.shown[3])["balance"] == "the front runs wide, it will not turn"


@pytest.mark.parametrize("key", ["b", "back"])
def test_back_at_the_first_question_does_not_undo_a_correction(mind: Mind, key: str) -> None:
    """What was corrected and limited before the questions stays so; there is no question to go back to."""
    play = interview(
        mind,
        "the rear steps out on entry",
        right=["balance"],
        limits=("2", "exit traction"),
        answers=[key, "1"],
        enough=True,
    )
    assert asked(play.questions[0]).text == "What does the kart do?"
    assert any("There is nothing to go back to." in screen for screen in play.shown)
    assert play.state.gathered.evidence.told["balance"] == frozenset(("understeer",))
    assert play.state.case.minutes == 2
    assert play.state.gathered.evidence.keep


def test_back_at_the_first_question_keeps_what_was_said_more(mind: Mind) -> None:
    play = interview(
        mind, LOOSE, right=["it hops on the exit"], limits=("15", "exit traction"), answers=["b"]
    )
    assert axes(play.state.gathered.evidence.second)["balance"] == frozenset(("hop",))
    assert play.state.case.minutes == 15
    assert play.state.gathered.evidence.keep


@pytest.mark.parametrize("words", ["is it safe to drive?", "it pushes, is that dangerous?"])
def test_who_asks_for_safety_is_told_what_to_look_at_first(mind: Mind, words: str) -> None:
    play = typing(mind, words).run(lambda session: session.complaint(Case()))
    assert "Before any run: wheels tight and straight" in flat(play.shown[1])


def test_minutes_told_one_line_late_are_no_wish(mind: Mind) -> None:
    play = typing(mind, LOOSE, "", "", "20", "exit traction", "both").run(
        lambda session: session.interview(Case())
    )
    assert "Taken as 20 minutes" in flat(play.shown[4])
    assert "Kept: drive at the rear on power" in flat(play.shown[6])


def test_a_driver_in_pain_is_sent_to_a_doctor_and_to_no_mechanic(mind: Mind) -> None:
    play = typing(mind, "my ribs hurt", "").run(lambda session: session.complaint(Case()))
    assert "seeing a doctor" in flat(play.shown[-1])
    assert "mechanic" not in flat(play.shown[-1])
    bent = typing(mind, "the front wheel is bent", "").run(lambda session: session.complaint(Case()))
    assert "a licensed mechanic" in flat(bent.shown[-1])


def test_an_idea_can_be_taken_back(mind: Mind) -> None:
    play = interview(mind, f"should i fit a softer axle? {LOOSE}", right=["asked about"])
    assert "asked about" in understood(play.shown[1])
    assert "asked about" not in understood(play.shown[2])
    assert not any("You asked whether" in screen for screen in play.shown)


def test_a_change_that_was_made_can_be_taken_back(mind: Mind) -> None:
    play = interview(mind, f"we changed the axle, {LOOSE}", right=["changed before"])
    assert "changed before" in understood(play.shown[1])
    assert play.state.gathered.evidence.changes == ()


@pytest.mark.parametrize("name", ["tyre kind", "Tyre kind", "machine"])
def test_a_fact_that_follows_from_the_kart_can_be_taken_back(mind: Mind, name: str) -> None:
    play = interview(mind, LOOSE, right=[name], case=KART)
    assert name.lower() in understood(play.shown[1])
    assert name.lower() not in understood(play.shown[2])


@pytest.mark.parametrize("complaint", ["asdf", "qwertz uiop"])
def test_nonsense_is_called_so_even_when_the_kart_is_known(mind: Mind, complaint: str) -> None:
    play = interview(mind, complaint, case=KART)
    assert any("None of that tells me about a kart" in screen for screen in play.shown)
    assert asked(play.questions[0]).text == "What is it about?"


def test_a_wish_that_was_heard_is_shown(mind: Mind) -> None:
    """By the name of the effect that is guarded, as it is for a case file."""
    play = interview(mind, LOOSE, limits=("", "exit traction"), enough=True)
    (effect,) = play.state.gathered.evidence.keep
    assert mind.book.effects[effect].name in play.last.partition(WHO)[0]


def test_a_wish_that_was_not_heard_is_told_about(mind: Mind) -> None:
    play = interview(mind, LOOSE, limits=("", "my good mood"), enough=True)
    assert "not understood" in play.last.partition(WHO)[0]


# --- answers ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("complaint", ["it slides at both ends", LOOSE])
def test_an_answer_that_is_offered_as_a_word_can_be_typed(mind: Mind, complaint: str) -> None:
    """Whatever a prompt completes must be understood as that answer: "exit" is one, and no wish to leave."""
    play = interview(mind, complaint, enough=True)
    for word in play.offered[-1]:
        again = interview(mind, complaint, answers=[word], enough=True)
        assert not again.left, f'"{word}" left the program at: {asked(play.last).text}'
        assert (again.states[1][0].asked, len(again.states[1][0].answers)) == (1, 1), word


def test_each_answer_can_be_given_by_its_number_its_text_and_its_id(mind: Mind) -> None:
    """Of every question in the book."""
    for entry in mind.book.observations.values():
        now = as_question(entry, 0.0)
        for place, (ident, answer) in enumerate(entry.answers.items(), start=1):
            for typed in (str(place), answer.text, answer.text.upper(), ident):
                assert steps.choose(mind, now, typed) == ident, (entry.id, typed)


@pytest.mark.parametrize("typed", ["-1", "- 1", "+1", "1.5", "01x", "1/2", "one hundred", "0", "99"])
def test_what_is_nearly_a_number_is_no_answer(mind: Mind, typed: str) -> None:
    play = interview(mind, LOOSE, answers=[typed], enough=True)
    assert "Please answer with a number" in play.last


@pytest.mark.parametrize("complaint", COMPLAINTS)
def test_who_knows_nothing_is_not_asked_for_long(mind: Mind, complaint: str) -> None:
    """Each question that stays open makes it the less likely that the next one is answered."""
    numbers = [asked(screen).number for screen in interview(mind, complaint).questions]
    assert numbers == list(range(1, len(numbers) + 1))
    assert len(numbers) <= 12


@pytest.mark.parametrize("complaint", COMPLAINTS)
@pytest.mark.parametrize("place", [1, 3])
def test_the_best_so_far_can_be_taken_at_any_question(mind: Mind, complaint: str, place: int) -> None:
    play = interview(mind, complaint, answers=[*[""] * (place - 1), "t"])
    assert len(play.questions) == place
    best = re.search(r"Best so far: (.+?) \(", flat(play.questions[-1]))
    assert best
    assert in_short(play.advice)[0].lower().startswith(best[1].lower())


@pytest.mark.parametrize("answer", ["", "1"])
def test_a_danger_in_doubt_is_asked_about_before_the_best_so_far_can_be_taken(
    mind: Mind, answer: str
) -> None:
    """A key that leads past the one question that matters would be a way round the stop."""
    said = "he was third when the steering wheel moved up and down on the column a bit, how do we find two tenths"
    play = interview(mind, said, answers=["t", answer, "t"])
    first = asked(play.questions[0])
    assert "This one first: what you say may mean danger." in flat(play.questions[0])
    assert "Best so far" not in play.questions[0]
    assert not any("In short" in screen for screen in play.shown[: play.shown.index(play.questions[0]) + 2])
    assert first.text not in [asked(screen).text for screen in play.questions[1:]]
    assert play.advice


def test_nothing_is_best_while_nothing_is_known(mind: Mind) -> None:
    play = interview(mind, "", enough=True)
    assert "Best so far: nothing yet." in flat(play.questions[0])


def test_one_key_asks_on_even_where_no_question_pays(mind: Mind) -> None:
    taken = interview(mind, LOOSE, answers=["t", ""], choice=["a"], enough=True)
    assert [asked(screen).number for screen in taken.questions] == [1, 1, 2]
    whole = interview(mind, LOOSE, choice=["a"])
    last = asked(whole.questions[-1])
    assert last.number == len(whole.questions)
    assert len([screen for screen in whole.shown if "In short" in screen]) == 2
    assert last.text not in [asked(screen).text for screen in whole.questions[:-1]]


@pytest.mark.parametrize(("who", "effort"), [("driver", "remember"), ("helper", "look")])
def test_who_answers_decides_what_is_asked(mind: Mind, who: str, effort: str) -> None:
    """The driver in the seat is asked what he remembers, a helper at the kart what can be seen there."""
    state = steps.limited(mind, begun(mind, LOOSE), None, "", who)
    found = list[str]()
    while len(found) < 5 and (question := steps.question(mind, state)):
        found.append(mind.book.observations[question.id].effort)
        state = steps.answered(mind, state, question, None)
    assert found.count(effort) > len(found) / 2


def test_every_answer_is_remembered_at_once(mind: Mind) -> None:
    play = interview(mind, LOOSE, answers=["", "", "b"], enough=True)
    assert [(state.asked, done) for state, done in play.states[:4]] == [
        (0, False),
        (1, False),
        (2, False),
        (1, False),
    ]


# --- the advice -------------------------------------------------------------------------------------


@pytest.mark.parametrize("complaint", COMPLAINTS)
def test_a_key_alone_never_chooses_a_change(mind: Mind, complaint: str) -> None:
    """`n`, `w` and `i` are keys at this prompt; "narrow the ..." and "widen the ..." are often on offer."""
    play = at_advice(mind, complaint, "n", "w", "i")
    assert play.trials == [], f"a key chose one of: {in_short(play.advice)}"
    assert len(play.prompts) == 4


def test_the_chosen_change_is_kept_with_its_case(mind: Mind) -> None:
    play = interview(mind, LOOSE, limits=("30", "exit traction"), choice=["2"])
    assert play.ended
    ((complaint, case, advice),) = play.trials
    assert complaint == LOOSE
    assert in_short(play.advice)[1].lower().startswith(advice.say)
    assert (case.minutes, case.keep) == (30, ("exit traction",))
    assert case.observed["balance"] == "oversteer"
    assert play.states[-1][1] is True


@pytest.mark.parametrize("place", [1, 2, 3])
def test_each_number_chooses_its_change(mind: Mind, place: int) -> None:
    play = at_advice(mind, LOOSE, str(place))
    assert [in_short(play.advice)[place - 1].lower().startswith(a.say) for _, _, a in play.trials] == [True]


def test_a_change_can_be_chosen_by_the_start_of_its_words(mind: Mind) -> None:
    start = in_short(at_advice(mind, LOOSE).advice)[0][:12].lower()
    play = at_advice(mind, LOOSE, start)
    assert [advice.say[:12] for _, _, advice in play.trials] == [start]


@pytest.mark.parametrize("typed", ["4", "99", "-1", "why", "asdf", "i 9", "w 0", "w 4"])
def test_what_is_no_choice_is_asked_again(mind: Mind, typed: str) -> None:
    play = at_advice(mind, LOOSE, typed, "")
    assert play.trials == []
    assert play.ended
    assert len(play.prompts) == 2


def test_why_it_adds_up_to_the_odds_of_the_cause(mind: Mind) -> None:
    """The factors multiply to the odds of the cause against the unknown, but for the rounding.

    The ledger's terms are measured against `unknown` (DEVELOPERS.md, "How the reasoning works").
    """
    text = at_advice(mind, LOOSE, "w 1").last
    ((cause),) = [c for c in mind.book.causes.values() if flat(c.plain) in flat(text)]
    product = 1.0
    for sign, factor in re.findall(r"\(odds (x|/) ([\d.]+)\)", text):
        product *= float(factor) if sign == "x" else 1 / float(factor)
    found = {c.id: c.probability for c in steps.answer(mind, begun(mind, LOOSE)).causes}
    assert product == pytest.approx(found[cause.id] / found["unknown"], rel=0.1)


# --- why not and what if ----------------------------------------------------------------------------


def leads(mind: Mind, case: Case, lever: str, *given: Given) -> bool:
    """Whether a lever stands first for a case with some more answers."""
    done = reason(mind, with_answers(mind, case, *given))
    ways = [r.prospect.lever for r in done.ranked if r.barred is None]
    return find_stop(mind, done) is None and ways[:1] == [lever]


def open_answers(mind: Mind, state: State) -> list[Given]:
    """Every answer to every question that could still be asked, but those that mean danger."""
    return [
        (entry.question, answer.text)
        for entry in mind.book.observations.values()
        if entry.id not in ("phase", "balance") and askable(entry, state.gathered.evidence)
        for answer in entry.answers.values()
        if not answer.alarm
    ]


@pytest.mark.parametrize("complaint", COMPLAINTS[1:3])
def test_why_not_is_true_and_names_as_few_answers_as_can_be(mind: Mind, complaint: str) -> None:
    """A change further down: the answers named put it first; where two are named, no one does."""
    state, case = begun(mind, complaint), told(mind, complaint)
    verified = 0
    for advice in steps.answer(mind, state).advice[2:3]:
        text = explanations.why_not(mind, state, advice.lever)
        given = re.findall(r'"([^"]+)" were "([^"]+)"', text)
        if given:
            verified += 1
            assert leads(mind, case, advice.lever, *given), text
        if len(given) != 1:
            assert not any(leads(mind, case, advice.lever, one) for one in open_answers(mind, state)), text
    assert verified, "nothing was verified"


def test_no_pair_that_would_help_is_overlooked(mind: Mind) -> None:
    """Where no two answers are said to put a change first, none of the likeliest pairs does, all tried here."""
    state, case = begun(mind, LOOSE), told(mind, LOOSE)
    for advice in steps.answer(mind, state).advice[8:]:
        if "No two answers" in explanations.why_not(mind, state, advice.lever):
            singles = sorted(open_answers(mind, state), key=lambda one: worth(mind, case, advice.lever, one))
            pairs = [p for p in combinations(singles[-10:], 2) if p[0][0] != p[1][0]]
            assert not any(leads(mind, case, advice.lever, *pair) for pair in pairs)
            return
    pytest.fail("every change could be put first by two answers")


def worth(mind: Mind, case: Case, lever: str, given: Given) -> float:
    """What a change is worth against the best after one more answer."""
    ways = [r for r in reason(mind, with_answers(mind, case, given)).ranked if r.barred is None]
    return next((r.worth / ways[0].worth for r in ways if r.prospect.lever == lever), 0.0)


@pytest.mark.parametrize(
    ("word", "lever"),
    [
        ("caster", "caster"),
        ("the axle", "axle_stiffness"),
        ("rear width", "rear_track_width"),
        ("rear track", "rear_track_width"),
        ("front tyre pressures", "tyre_pressure_front"),
        ("longer rear hubs", "rear_hub_length"),
        ("TOE", "toe"),
        ("seat_stays", "seat_stays"),
    ],
)
def test_a_change_is_found_by_the_words_people_use(mind: Mind, word: str, lever: str) -> None:
    """With no minute left all work is withheld, and the answer names the lever at once."""
    state = steps.begin(mind, Case(complaint=LOOSE, minutes=0))
    assert mind.book.levers[lever].name in explanations.why_not(mind, state, word)


@pytest.mark.parametrize("word", ["zzz", "flux capacitor", "%s", "\x1b[31m"])
def test_a_word_for_no_change_is_told_so(mind: Mind, word: str) -> None:
    play = at_advice(mind, LOOSE, f"n {word}")
    assert play.trials == []
    assert "I know no change by the name" in play.last
    assert "\x1b" not in play.last


def test_why_not_of_what_stands_first_says_so(mind: Mind) -> None:
    top = steps.answer(mind, begun(mind, LOOSE)).advice[0].lever
    assert "does stand first" in at_advice(mind, LOOSE, f"n {top}").last


def test_why_not_of_what_a_wish_withholds_names_the_wish(mind: Mind) -> None:
    state = steps.limited(mind, begun(mind, "loose in the middle of the corner"), None, "exit traction")
    withheld = [w for w in steps.answer(mind, state).withheld if "which you want to keep" in w.reason]
    assert withheld, "the wish withheld nothing"
    assert "which you want to keep" in explanations.why_not(mind, state, withheld[0].lever)


def test_why_not_of_what_was_tried_says_so(mind: Mind) -> None:
    tried = tuple(Tried("rear_track_width", way, "worse") for way in ("narrower", "wider"))
    assert "already tried" in explanations.why_not(mind, begun(mind, LOOSE, tried), "rear track width")


@pytest.mark.parametrize("complaint", COMPLAINTS[:3])
def test_what_if_is_what_the_other_answers_would_have_put_first(mind: Mind, complaint: str) -> None:
    now = asked(interview(mind, complaint, enough=True).last)
    place = now.harmless()
    play = interview(mind, complaint, answers=[str(place + 1)], choice=["i"])
    rows = [line.strip().partition(": ")[::2] for line in play.last.strip().split("\n")]
    assert [text.removesuffix(" (your answer)") for text, _ in rows] == list(now.answers)
    assert [text for text, _ in rows if text.endswith("(your answer)")] == [
        f"{now.answers[place]} (your answer)"
    ]
    for text, result in rows:
        answer = text.removesuffix(" (your answer)")
        found = advise(mind, with_answers(mind, told(mind, complaint), (now.text, answer)))
        if found.stop:
            assert result == STOPS
        else:
            assert result in names(mind.book, found.advice[0])


# --- stops ------------------------------------------------------------------------------------------


def alarms(mind: Mind) -> list[tuple[Answer, str]]:
    """Every answer that alone means danger, and what it says of it."""
    answers = (a for o in mind.book.observations.values() for a in o.answers.values())
    return [(answer, answer.alarm) for answer in answers if answer.alarm]


def plain_phrase(answer: Answer) -> str:
    """A phrase without classes, gaps, stems and bars."""
    return next(phrase for phrase in answer.phrases if phrase.islower() and not set(phrase) & set(".!~"))


def test_every_alarm_stops_the_interview_without_a_trial(mind: Mind) -> None:
    """A sentence for every answer that alone means danger: its first phrase in the book that is plain words."""
    entries = alarms(mind)
    assert len(entries) >= 5
    for answer, alarm in entries:
        play = interview(mind, f"{plain_phrase(answer)}. {LOOSE}")
        assert play.left
        screen = next(screen for screen in play.shown if "STOP" in screen.split("\n"))
        assert flat(alarm) in flat(screen)
        assert play.trials == []
        assert play.questions == []
        assert not any(done for _, done in play.states), "the stop still stands when the driver comes back"


DANGERS = 4  # of which one sentence speaks at most, each with its inspection


def test_an_alarm_that_was_inspected_does_not_return(mind: Mind) -> None:
    """The interview goes on to its questions; a driver in pain has nothing to inspect, and no way on."""
    for answer, alarm in list(alarms(mind))[::2]:  # tests/safety asks all of them for their inspection
        if not answer.inspect:
            continue
        play = interview(mind, f"{plain_phrase(answer)}. {LOOSE}", sound=["ok"] * DANGERS, enough=True)
        assert sum(flat(alarm) in flat(screen) for screen in play.shown) == 1
        assert question(play.last) is not None or "In short" in play.last


# --- verdicts and what comes after ------------------------------------------------------------------


def outcome(mind: Mind, *lines: str) -> tuple[Play, list[object]]:
    """Ask for the outcome of a change."""
    heard: list[object] = []
    play = typing(mind, *lines).run(lambda s: heard.append(s.verdict("add caster", "the front pulls in")))
    return play, heard


VERDICT_WORDS = {
    "1": "better",
    "2": "same",
    "3": "worse",
    "better": "better",
    "Same": "same",
    "wor": "worse",
}


@pytest.mark.parametrize(("typed", "expected"), VERDICT_WORDS.items())
def test_a_verdict_is_told_by_number_word_or_letter(mind: Mind, typed: str, expected: str) -> None:
    play, heard = outcome(mind, typed, "six laps")
    assert heard == [(expected, "six laps")]
    assert "A note" in play.shown[1] + play.prompts[1]


@pytest.mark.parametrize("typed", ["", "4", "not tried yet", "not"])
def test_not_tried_yet_is_no_verdict(mind: Mind, typed: str) -> None:
    play, heard = outcome(mind, typed)
    assert heard == [None]
    assert len(play.prompts) == 1


@pytest.mark.parametrize("typed", ["6", "0", "good", "-1", "w"])
def test_what_is_no_verdict_is_asked_again(mind: Mind, typed: str) -> None:
    play, heard = outcome(mind, typed, "2", "")
    assert "Please answer with a number from 1 to" in play.shown[1]
    assert heard == [("same", "")]


@pytest.mark.parametrize("given", VERDICTS)
def test_after_a_verdict_belief_moves_and_the_next_change_follows(mind: Mind, given: Verdict) -> None:
    """The percentages are those of the case with and without the trial; a failed way is not offered again."""
    case = told(mind, LOOSE)
    advice = next(
        a for a in advise(mind, case).advice if mind.book.levers[a.lever].ways[a.direction].opposite
    )
    play = typing(mind, "").run(lambda s: s.after(case, Tried(advice.lever, advice.direction, given)))
    assert play.ended
    text = play.shown[0]
    old = {c.id: c.probability for c in advise(mind, case).causes}
    found = advise(mind, replace(case, tried=(Tried(advice.lever, advice.direction, given),)))
    moved = sorted(found.causes, key=lambda c: -abs(c.probability - old[c.id]))[:4]
    assert any(percent(old[c.id]) != percent(c.probability) for c in moved)
    for cause in moved:
        assert f"{cause.name}: {percent(old[cause.id])} -> {percent(cause.probability)}" in text
    assert ("Keep it." in text) == (given == "better")
    assert ("Put it back as it was before" in text) == (given != "better")
    offered = [change.lower() for change in in_short(text)]
    assert all(o.startswith(a.say) for o, a in zip(offered, found.advice, strict=False))
    if given != "better":
        assert not any(o.startswith(advice.say) for o in offered)


def kept(mind: Mind, play: Play) -> Case | None:
    """The case of the only trial, written into the journal and read back."""
    ((_, case, _),) = play.trials
    return case_from_data(as_data(case), mind.book)


def test_an_empty_trailer_outlives_the_trial(mind: Mind) -> None:
    """Nothing in the trailer is not the same as nothing said of it."""
    case = kept(mind, at_advice(mind, LOOSE, "1", case=Case(kit={})))
    assert case is not None
    assert case.kit == {}


def test_units_outlive_the_trial(mind: Mind) -> None:
    kart = Case(setup={"tyre_pressure_rear": parse("12 psi")}, units={"pressure": "bar"})
    case = kept(mind, at_advice(mind, LOOSE, "1", case=kart))
    assert case is not None
    assert dict(case.units) == {"pressure": "bar"}


def test_a_trial_of_an_idea_alone_can_be_learned_from(mind: Mind) -> None:
    assert kept(mind, at_advice(mind, "should i fit a softer axle?", "1")) is not None


@pytest.mark.parametrize(
    "words", ["the tyres are not new, it hops", "the rear steps out, it does not lift hard"]
)
def test_what_was_ruled_out_outlives_the_trial(mind: Mind, words: str) -> None:
    """The case that is read back gives the belief that the words gave."""
    state = begun(mind, words)
    back = case_from_data(as_data(steps.settled(mind, state)), mind.book)
    assert back is not None
    assert steps.begin(mind, back).gathered.evidence.answers == state.gathered.evidence.answers


def test_minutes_that_were_left_before_a_run_say_nothing_after_it(mind: Mind) -> None:
    """The break they belonged to is over when the outcome is told; they must not withhold the next change."""
    play = at_advice(mind, LOOSE, "1", case=Case(minutes=2))
    ((_, case, advice),) = play.trials
    after = typing(mind, "").run(lambda s: s.after(case, Tried(advice.lever, advice.direction, "same")))
    assert "minutes and 2 are left" not in after.shown[0]


# --- which kart, and going on -----------------------------------------------------------------------


def which(mind: Mind, on_file: list[str], *lines: str) -> tuple[Play, list[str | None]]:
    chosen: list[str | None] = []
    play = typing(mind, *lines).run(lambda s: chosen.append(s.which_kart(on_file)))
    return play, chosen


def test_no_kart_and_one_kart_are_not_asked_about(mind: Mind) -> None:
    assert which(mind, [])[1] == [None]
    play, chosen = which(mind, ["red"])
    assert chosen == ["red"]
    assert "Kart: red" in play.last
    assert play.prompts == []


KART_WORDS = {"2": "red", "red": "red", "RED": "red", "": None}


@pytest.mark.parametrize(("typed", "expected"), KART_WORDS.items())
def test_one_of_several_karts_is_chosen(mind: Mind, typed: str, expected: str | None) -> None:
    assert which(mind, ["blue", "red"], typed)[1] == [expected]


def test_a_kart_with_a_short_name_is_chosen_by_it(mind: Mind) -> None:
    assert which(mind, ["k1", "k2"], "k2")[1] == ["k2"]


def test_no_kart_of_the_list_is_asked_again(mind: Mind) -> None:
    play, chosen = which(mind, ["blue", "red"], "green", "1")
    assert "Please answer with a number from 1 to 2" in play.shown[1]
    assert chosen == ["blue"]


def test_a_resumed_interview_asks_as_many_questions_as_were_left(mind: Mind) -> None:
    whole = interview(mind, LOOSE)
    state = whole.states[2][0]
    assert state.asked == 2
    case = steps.settled(mind, state)
    again = typing(mind, *[""] * 20).run(lambda s: s.resume(case, LOOSE, state.asked, state.skipped))
    assert [question(screen) for screen in again.questions] == [
        question(screen) for screen in whole.questions[2:]
    ]
