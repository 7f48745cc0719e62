"""What a line tells of danger, whatever it was typed at."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.app import hear
from advisor.app.felt import heard_of, said_of
from advisor.inference.hearing import STOPS, dangerous
from advisor.interview.steps import State
from advisor.model import assumed
from advisor.model.knowledge import Observation
from advisor.planning import alarms
from advisor.planning.questions import askable
from advisor.reasoning.weighing import Mind
from advisor.words.ear import features
from advisor.words.understand import understand

ASKED_FIRST = "That may mean danger, so this is asked first."


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
    heard = heard_of(mind, text)
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
    felt = said_of(mind, text).told
    return bool(told(mind, text)) or any(len(a) == 1 for question, a in felt.items() if question != "track")


def no_name(mind: Mind, text: str) -> bool:
    """True for words that are no name of a driver, a track, a kart or a set of tyres: danger, or what the kart does."""
    if told(mind, text):
        return True
    return "balance" in said_of(mind, text).told and len(text.split()) >= hear.SENTENCE


def asks(mind: Mind, before: State, text: str, driven: bool = False) -> str:
    """The plain question that comes first where a line may tell of danger and does not say so; empty for none.

    Words that only hint at it, a knock that was not told before, or what sounds so. Each is asked once, and anew of
    what is told of a run that was driven since: what was seen before that run says nothing of it.
    """
    if hinted(mind, text):
        return hints(mind, before, text, driven)
    said = said_of(mind, text).told
    known = not driven and "contact" in before.gathered.evidence.told
    knocked = "yes" in said.get("contact", ()) and not known
    found = told(mind, text)
    if found.answers or not (knocked or found.likely):
        return ""
    general = (o for o in mind.book.observations.values() if o.doubt and o.id not in said)
    return next((o.id for o in general if _open(before, o, driven)), "")


def hints(mind: Mind, before: State, text: str, driven: bool = False) -> str:
    """The question of danger that some words hint at; empty for none, and where it was put or answered."""
    found = sorted(hinted(mind, text))
    return next((ident for ident in found if _open(before, mind.book.observations[ident], driven)), "")


def hinted(mind: Mind, text: str) -> frozenset[str]:
    """The questions of danger that some words hint at."""
    return understand(text, mind.book, mind.lexicon).hints


def _open(state: State, asked: Observation, driven: bool) -> bool:
    """True where a question may be put; `driven`: also where it was answered or passed, unless its answer stops."""
    evidence = state.gathered.evidence
    if driven:
        return not any(asked.answers[answer].alarm for answer in evidence.told.get(asked.id, ()))
    return asked.id not in state.skipped and askable(asked, evidence)
