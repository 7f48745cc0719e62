"""Danger told where a name, a number, a verdict or yes or no is asked is a complaint; what is harmless is none."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

import pytest

from advisor.app import hear
from advisor.app.asking import BEFORE_ADVICE, Asking
from advisor.app.looking import Amiss, LookOver
from advisor.app.place import Place
from advisor.app.prompt import Prompt
from advisor.app.results import Filing
from advisor.app.sitting import Sitting
from advisor.interview.choices import chosen
from advisor.model.advice import Look
from advisor.model.belonging import Belonging
from advisor.planning.questions import as_question
from advisor.reasoning.weighing import Mind
from advisor.words.understand import understand
from tests.app.play import HOPS, LOOSE, Play, said, stamp
from tests.karts.folder import RED

DANGEROUS = (
    "the brakes failed into turn one",
    "steering came loose",
    "throttle sticks open",
    "petrol is dripping from the tank",
    "the left rear wheel is coming off",
    "his neck hurts since the crash",
    "the chain guard fell off",
    "brake pedal goes to the floor",
    "a tie rod snapped at the kerb",
    "no brakes",
    "brakes have gone",
)
PEOPLE = (
    "Mia", "Ben Wheeler", "Max Brakeman", "my brother", "the little one", "Danny B.", "Axel", "Hope Steele",
    "new guy", "Ulla and Tom",
)  # fmt: skip
TRACKS = (
    "Lakeside", "Stone Bridge Circuit", "Loose Creek", "Chain Lane", "Sharp Bend Raceway", "Smokey Hill", "home track",
    "Heatherton Park", "kartbahn am see", "number 27",
)  # fmt: skip
NEWS = (
    "its raining",
    "20 min left",
    "the fronts are new",
    "it dried during the race",
    "pushes on entry now",
    "it is the same in lefts and rights",
    "only when the tyres are hot",
    "the brakes are fine",
    "we have no scales here",
    "my mate drove it and felt the same",
)
CAME = (
    "better",
    "nope, 12 psi hot",
    "gone",
    "a bit better, still slides in turn three",
    "worse but it pushes",
    "stays down now",
    "better but hands heavy",
    "same as before",
    "no hop any more but slow on exit",
    "not driven yet",
)
YES_OR_NO = ("", "y", "n", "yes please", "no", "ok", "later", "what is it for", "not now", "maybe")
NUMBERS = ("1", "2", "1 3", "99", "", "ok", "both", "s", "zzz", "none of them")


def days_ago(days: int) -> tuple[str, str]:
    then = datetime.now(UTC) - timedelta(days=days)
    return stamp()[0], then.isoformat(timespec="microseconds")


def karts(play: Play, *names: str) -> None:
    folder = play.folder / "karts" / "karts"
    folder.mkdir(parents=True, exist_ok=True)
    for name in names:
        (folder / f"{name}.yaml").write_text(RED, "utf-8")


def at(play: Play, *lines: str) -> Place:
    play.start()
    if play.place == "left":
        play.types("n")
    play.types(*lines)
    assert play.sitting.place is not None
    return play.sitting.place


def kart(play: Play) -> Place:
    karts(play, "red", "blue")
    return at(play)


def driver(play: Play) -> Place:
    """On the second day of a kart whose driver and track were told on the first one."""
    karts(play, "red")
    play.start()
    day = play.desk.place("red")
    play.desk.fresh = lambda: days_ago(3)
    play.desk.note_day(Belonging(kart="red", driver="Kim", track="Lakeside", time=days_ago(3)[1]))
    assert day.driver == ""
    return at(play)


def track(play: Play) -> Place:
    driver(play)
    return at(play, "Mia")


def whose(play: Play) -> Place:
    karts(play, "red", "blue")
    for name in ("red", "blue"):
        play.start()
        while play.place in ("outcome", "whose", "left"):
            play.types({"outcome": "5", "whose": "", "left": "n"}[play.place])
        play.types(name, HOPS, "t")
        while play.place == "stop":
            play.types("sound")
        play.types("2")
    return at(play)


def left(play: Play) -> Place:
    play.start(LOOSE, "1")
    return at_again(play)


def at_again(play: Play) -> Place:
    play.start()
    assert play.sitting.place is not None
    return play.sitting.place


def earlier(play: Play) -> Place:
    return at(play, LOOSE, "o")


def known(play: Play) -> Place:
    return at(play, LOOSE, "1", "k")


def question(play: Play) -> Place:
    return at(play, LOOSE)


def looks(play: Play) -> tuple[Look, ...]:
    """Looks at three parts of the kart."""
    found = [play.mind.book.observations[i] for i in ("seat_check", "bead_look", "frame_look")]
    asked = [as_question(o, 0.0) for o in found]
    return tuple(Look(q, q.answers[0], q.texts[0]) for q in asked)


def look_over(play: Play) -> Place:
    state = at(play, LOOSE, "1").state
    assert state is not None
    return LookOver(state, looks(play))


def amiss(play: Play) -> Place:
    state = at(play, LOOSE, "1").state
    assert state is not None
    first, *rest = looks(play)
    return Amiss(state, first, tuple(rest))


def stop(play: Play) -> Place:
    return at(play, "something clicks and the axle is bent")


def advice(play: Play) -> Place:
    return at(play, LOOSE, "1", "t")


def to_look(play: Play) -> Place:
    return at(play, LOOSE, "1", "t", "l")


def together(play: Play) -> Place:
    return at(play, "the rear slides, it pushes and hops, nothing works", "t", "f")


def mended(play: Play) -> Place:
    return at(play, "the rear slides", "1", "t", "l", "f 1")


def outcome(play: Play) -> Place:
    return at(play, LOOSE, "1", "t", "1")


def note(play: Play) -> Place:
    return at(play, LOOSE, "1", "t", "1", "worse")


def file(play: Play) -> Place:
    karts(play, "red")
    at(play, HOPS, "t")
    for _ in range(6):
        if play.place == "advice" and any(" psi" in row.text for row in play.prompts[-1].rows):
            break
        play.types("t" if play.place == "question" else "sound")
    row = next(row.text for row in play.prompts[-1].rows if row.group and " psi" in row.text)
    play.types(row[0], "better", "")
    assert isinstance(play.sitting.place, Filing)
    return play.sitting.place


def closed(play: Play) -> Place:
    return at(play, LOOSE, "1", "t", "1", "gone")


PROMPTS: dict[Callable[[Play], Place], tuple[str, ...]] = {
    kart: ("1", "2", "red", "blu", "", "the red one", "none", "3", "another", "x"),
    driver: PEOPLE,
    track: TRACKS,
    whose: ("1", "red", "", "blue", "9", "the other", "none", "x", "kart 2", "?"),
    left: YES_OR_NO,
    earlier: NUMBERS,
    known: NEWS,
    question: NEWS,
    look_over: ("ok", "", "2?", "1?", "99", "both", "s", "zzz", "all fine", "none of them"),
    amiss: NUMBERS,
    stop: (
        "why",
        "cannot",
        "no tools",
        "2",
        "all sound",
        "looked, fine",
        "x",
        "what now",
        "3",
        "nobody here knows",
    ),
    advice: NEWS,
    to_look: NUMBERS,
    together: YES_OR_NO,
    mended: CAME,
    outcome: CAME,
    note: NEWS,
    file: YES_OR_NO,
    closed: ("", "thanks", "ok", "bye", "all good", "see you", *NEWS[:4]),
}


@dataclass
class Answered:
    """What came of a line at a place: the prompt after it, and the sitting."""

    play: Play
    place: Place
    line: str
    sitting: Sitting = field(init=False)

    def __post_init__(self) -> None:
        self.sitting = Sitting(self.play.desk, self.place)
        self.sitting.reply(self.line)

    @property
    def prompt(self) -> Prompt | None:
        return self.sitting.prompt

    @property
    def stops(self) -> bool:
        """True where driving is forbidden, or a question of danger comes first."""
        shown = self.prompt
        if shown is None:
            return False
        asks = isinstance(self.sitting.place, Asking) and BEFORE_ADVICE in said(shown)
        return shown.place == "stop" or asks


@pytest.mark.parametrize("prompt", PROMPTS, ids=lambda p: p.__name__)
def test_danger_is_heard_at_every_prompt(play: Play, prompt: Callable[[Play], Place]) -> None:
    place = prompt(play)
    for line in DANGEROUS:
        found = Answered(play, place, line)
        assert found.stops, (line, found.prompt and said(found.prompt))
        state = found.sitting.place.state if found.sitting.place else None
        assert state is not None, line


@pytest.mark.parametrize("prompt", PROMPTS, ids=lambda p: p.__name__)
def test_what_is_harmless_is_taken_as_what_was_asked(play: Play, prompt: Callable[[Play], Place]) -> None:
    place = prompt(play)
    for line in PROMPTS[prompt]:
        found = Answered(play, place, line)
        if prompt is not stop:
            assert not found.stops, (line, found.prompt and said(found.prompt))
        assert "Taken as what the kart does" not in (said(found.prompt) if found.prompt else ""), line


def test_what_only_sounds_dangerous_is_asked_about_once(play: Play) -> None:
    """The question stays through other news and a crash, bars the advice, and is not put twice."""
    advice(play)
    smoke = "smoke comes up from under the seat"
    play.types(smoke)
    assert BEFORE_ADVICE in play.text
    assert "t: take it" not in play.prompts[-1].keys
    assert BEFORE_ADVICE in play.types("its raining").text
    assert play.types("t").place == "question"
    play.start("")
    assert BEFORE_ADVICE in play.text
    assert play.types("1").place == "advice"
    assert play.types(smoke).place == "advice"


@pytest.mark.parametrize("typed", ["sound", "found the hose leaking, replaced it"])
def test_danger_told_anew_stops_again(play: Play, typed: str) -> None:
    """What was found sound, or mended, before it happened again stops nobody no longer."""
    play.start("no brakes", typed)
    play.types("still there" if play.place == "mended" else "t")
    for _ in range(6):
        if play.place == "stop":
            play.types("sound")
        elif play.place != "advice":
            play.types("t")
    assert play.place == "advice"
    assert play.types("no brakes").place == "stop"


def test_danger_in_a_note_stops_again(play: Play) -> None:
    play.start("hops in the fast ones", "no brakes", "sound", "t")
    says = {"stop": "sound", "looks": "s", "advice": "1"}
    for _ in range(8):
        if play.place == "outcome":
            break
        looks_first = play.place == "advice" and "No change stands out" in play.text
        play.types("l" if looks_first else says.get(play.place, "s"))
    assert play.place == "outcome"
    play.types("same, no brakes again")
    assert play.place == "stop"
    assert [t.verdict for t in play.trials()][-1] == "same"


def test_a_stop_that_was_told_at_an_outcome_comes_first_next_time(play: Play) -> None:
    """The change still waits for its outcome, and it is asked for when the danger is dealt with."""
    outcome(play)
    assert play.types("brakes are gone").place == "stop"
    assert play.trials()[-1].verdict is None
    play.start()
    assert play.place == "left"
    assert play.types("").place == "stop"
    play.start("n")
    assert play.place == "outcome"


def test_a_new_danger_told_at_a_stop_is_added_to_it(play: Play) -> None:
    stop(play)
    play.types("axle looks fine but the steering came loose")
    assert play.place == "stop"
    assert "steering" in play.text
    assert "steering_play" in play.known


def test_safety_asked_for_beside_danger_is_no_general_question(play: Play) -> None:
    assert play.start("brakes failed, is it safe?").place == "stop"
    play.types("x")
    assert play.start("n", "is it safe to drive?").place == "opening"


def test_a_wish_swallows_no_danger(play: Play) -> None:
    assert question(play) is not None
    assert play.types("keep losing the brakes").place == "stop"


def test_a_sentence_is_no_name(play: Play) -> None:
    driver(play)
    assert play.types("we do not know yet").place == "today"
    assert "A name" in play.news


@pytest.mark.parametrize(
    ("told", "before"),
    [
        ("we crashed lightly", ("2",)),
        ("we crashed lightly", ("its raining",)),
        ("hit the kerb hard", ("2",)),
        ("hit the kerb hard", ()),
        ("the pedal felt a bit odd at the end", ("2",)),
    ],
)
def test_what_may_be_dangerous_in_a_note_is_asked_about_once(
    play: Play, told: str, before: tuple[str, ...]
) -> None:
    """After the verdict, before it, or in one line with it; the trial has its verdict all the same."""
    outcome(play)
    play.types(*before, told if before else f"nope, {told}")
    if play.place == "outcome":
        play.types("same")
        play.types(*([""] if play.place == "note" else []))
    assert BEFORE_ADVICE in play.text
    assert "asked first" in play.news
    assert play.trials()[-1].verdict == "same"
    play.start("")
    assert BEFORE_ADVICE in play.text
    assert play.types("1").place == "advice"
    assert play.types(told).place == "advice"


SOUND = (
    "no, checked it all, tight", "nothing", "all tight", "checked, its fine", "looked it over, nothing loose",
    "nothing bent", "we checked, all ok", "nope", "nothing that i can see",
)  # fmt: skip
NOT_SOUND = (
    "not tight", "not all tight", "nothing is fine", "nothing tight", "nothing was checked", "i checked", "no brakes",
    "tyres are good", "good on exit", "he is fine", "all tight except the seat", "yes all fine", "no it is loose",
)  # fmt: skip


@pytest.mark.parametrize("typed", SOUND)
def test_whoever_looked_says_so_in_words(play: Play, typed: str) -> None:
    advice(play)
    assert BEFORE_ADVICE in play.types("i think i heard a little knock from the back").text
    play.types(typed)
    assert BEFORE_ADVICE not in play.text
    assert play.place == "advice"


@pytest.mark.parametrize("typed", NOT_SOUND)
def test_other_words_clear_no_danger(typed: str) -> None:
    assert not hear.nothing_wrong(typed)


def test_not_sure_is_an_answer_where_it_is_offered(play: Play) -> None:
    advice(play)
    play.types("i think i heard a little knock from the back")
    assert play.types("not sure").place == "stop"


@pytest.mark.parametrize("told", ["there is a knock from the back again", "it smoked a bit"])
def test_what_is_told_of_another_run_is_asked_about_anew(play: Play, told: str) -> None:
    """What was seen before a run says nothing of it; and an answer that stops is not asked away."""
    outcome(play)
    for answer in ("1", "1", "2"):
        play.types(f"same, {told}")
        assert BEFORE_ADVICE in play.text
        play.types(answer)
        if answer == "1":
            assert play.types("2").place == "outcome"
    assert play.place == "stop"


@pytest.mark.parametrize(
    "told", ["gone, no brakes", "gone. the steering came loose", "gone, we hit the wall"]
)
def test_a_cure_hides_no_danger_told_beside_it(play: Play, told: str) -> None:
    outcome(play)
    play.types(told)
    assert play.place == "stop" or BEFORE_ADVICE in play.text
    assert play.trials()[-1].verdict == "better"


SMOKE = ("smoke", "yes it smoked", "it smoked a bit")


@pytest.mark.parametrize("typed", SMOKE)
@pytest.mark.parametrize("prompt", [at, question, advice, look_over, known, mended, closed])
def test_smoke_is_asked_about_wherever_it_is_told(
    play: Play, prompt: Callable[[Play], Place], typed: str
) -> None:
    found = Answered(play, prompt(play), typed)
    assert found.prompt is not None
    assert "does anything smoke" in said(found.prompt)
    assert "asked first" in said(found.prompt)
    found.sitting.reply("it smoked a bit" if typed == "smoke" else "1")
    assert found.stops == (typed == "smoke")


@pytest.mark.parametrize("typed", SMOKE)
@pytest.mark.parametrize(
    ("question", "answers"),
    [("lift_smoke", {"blue", "black"}), ("disc_look", {"rubs"}), ("burning", {"yes"})],
)
def test_smoke_answers_a_question_about_smoke(
    play: Play, question: str, answers: set[str], typed: str
) -> None:
    asked = as_question(play.mind.book.observations[question], 0.0)
    assert set(chosen(play.mind, asked, typed) or ()) == answers
    assert chosen(play.mind, asked, "the tyres are new") is None


@pytest.mark.parametrize("told", ["no smoke", "the fronts smoke on the brakes", "blue smoke"])
def test_smoke_that_is_denied_or_told_of_in_full_is_no_hint(mind: Mind, told: str) -> None:
    assert not understand(told, mind.book, mind.lexicon).hints
