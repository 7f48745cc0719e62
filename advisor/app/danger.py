"""Danger told at any prompt: what asks for a name, a number, a verdict or yes or no takes it in as a complaint."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from advisor.app import hear
from advisor.app.asking import Asking, Stopped
from advisor.app.looking import Amiss, Looking
from advisor.app.opening import KartChoice, Known, LeftOff, Opening, Today
from advisor.app.place import Go, Place
from advisor.app.prompt import Row, news
from advisor.app.results import Noting, Waiting, Whose
from advisor.app.workspace import Workspace
from advisor.inference.evidence import gather
from advisor.inference.hearing import FEW, STOPS, dangerous
from advisor.interview import steps
from advisor.interview.choices import chosen, numbered
from advisor.interview.steps import State
from advisor.model import assumed
from advisor.model.case import Case
from advisor.planning import alarms
from advisor.planning.questions import askable
from advisor.reasoning.weighing import Mind
from advisor.words.ear import features
from advisor.words.understand import understand


@dataclass(frozen=True, slots=True)
class Told:
    """What a line tells of danger: answers that alarm, by question, or only that it sounds so."""

    answers: frozenset[tuple[str, str]] = frozenset()
    likely: bool = False

    def __bool__(self) -> bool:
        return bool(self.answers) or self.likely


def told(mind: Mind, text: str) -> Told:
    """What a line tells of danger by itself: alarms that phrases hear, or what the ear holds likely enough.

    The ear is asked of sentences only: from `STOPS` on it is believed alone, from `ASKS` on where nothing else is
    understood. Not whether they are about karts: here they most likely are.
    """
    many = len(text.split())
    ear = mind.ear if many > FEW else None  # of few words the phrases alone tell what is meant
    heard = gather(Case(complaint=text), mind.book, mind.lexicon, ear).evidence
    found = frozenset((question, answer) for question, answer, _ in alarms.alarming(mind.book, heard))
    if found or mind.ear is None or not hear.is_sentence(text):
        return Told(found)
    sound = mind.ear.hear(features(text, understand(text, mind.book, mind.lexicon)))
    danger = dangerous(sound, mind.book)
    told_of = heard.answers.keys() - {"subject"}
    else_heard = told_of or heard.changes or heard.ideas or hear.minutes(text) or hear.who(text)
    return Told(likely=danger >= STOPS or (danger >= assumed.ASKS and not else_heard))


def complains(mind: Mind, text: str) -> bool:
    """True for words that tell of danger or of anything that the kart does; what the track is like is none of it."""
    felt = gather(Case(complaint=text), mind.book, mind.lexicon).evidence.told
    return bool(told(mind, text)) or any(len(a) == 1 for question, a in felt.items() if question != "track")


def no_name(mind: Mind, text: str) -> bool:
    """True for words that are no name of a driver, a track, a kart or a set of tyres: danger, or what the kart does."""
    if told(mind, text):
        return True
    felt = gather(Case(complaint=text), mind.book, mind.lexicon).evidence.told
    return "balance" in felt and len(text.split()) >= hear.SENTENCE


def first(desk: Workspace, place: Place, text: str, words: Sequence[str], opening: Opening) -> Go | None:
    """Where a line leads that tells of danger where something else was asked; None for every other line.

    `words` are what the prompt offers; `opening`: where a complaint is told if the place knows none yet.
    """
    if isinstance(place, Opening | Noting) or not text or numbered(words, text) is not None:
        return None
    mind = desk.mind
    if isinstance(place, Today) and no_name(mind, text):
        return _complaint(desk, text, opening)
    danger = told(mind, text)
    if not danger or _is_answer(mind, place, text, danger):
        return None
    state = place.state or _of_trial(desk, place)
    if state is None:
        return _complaint(desk, text, opening)
    return _heard(desk, state, text, danger)


def begins(place: Place) -> Opening:
    """The opening that a place before it leads to."""
    if isinstance(place, Opening):
        return place
    if isinstance(place, Today):
        return place.then
    if isinstance(place, LeftOff):
        return begins(place.other)
    if isinstance(place, Whose):
        return begins(place.after)
    if isinstance(place, KartChoice):
        return Opening(notes=place.notes)
    return Opening()


def _is_answer(mind: Mind, place: Place, text: str, danger: Told) -> bool:
    """True where the place takes the line in by itself: an answer, a verdict with a note, what was found."""
    if isinstance(place, Asking):
        return chosen(mind, place.asked, text) is not None
    if isinstance(place, Amiss):
        return chosen(mind, place.look.question, text) is not None
    if isinstance(place, Waiting):
        came = hear.came(text)
        return came is not None and (not danger.answers or bool(told(mind, came.note).answers))
    if isinstance(place, Looking):
        return hear.found(text) == "mended"
    if isinstance(place, Stopped):
        known = {place.stop.reason, *place.stop.also}
        return hear.found(text) in ("mended", "wrong") or all(f"{q}: {a}" in known for q, a in danger.answers)
    if isinstance(place, Known):  # a fact of the list is named to be taken back
        return (
            bool(danger.answers)
            and {q for q, _ in danger.answers} <= place.state.gathered.evidence.told.keys()
        )
    return False


def _of_trial(desk: Workspace, place: Place) -> State | None:
    """What is known where a change waits for its outcome."""
    case = desk.case(place.trial.case) if isinstance(place, Waiting) else None
    return steps.begin(desk.mind, case) if case else None


def _complaint(desk: Workspace, text: str, opening: Opening) -> Go:
    """The line as the first words of a new matter."""
    desk.anew()
    go = opening.reply(desk, text)
    return replace(go, said=(*go.said, news("Taken as what the kart does, not as an answer.")))


def _heard(desk: Workspace, state: State, text: str, danger: Told) -> Go | None:
    """The line as news; what only sounds dangerous is asked about, once."""
    now = steps.more_words(desk.mind, state, text)
    if danger.answers:
        return Go(on=now, said=(_row("Heard, and that comes first."),))
    asked = next((o for o in desk.mind.book.observations.values() if o.doubt), None)
    if asked is None or asked.id in state.skipped or not askable(asked, now.gathered.evidence):
        return None
    return Go(
        on=replace(now, reopened=asked.id), said=(_row("That may mean danger, so this is asked first."),)
    )


def _row(text: str) -> Row:
    return news(text, "bold")
