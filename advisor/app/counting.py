"""A sum asked in words in the middle of a sitting, with what is known of the kart and the day in its numbers."""

from __future__ import annotations

import re

from advisor.app import danger
from advisor.app.at_hand import at_hand
from advisor.app.workspace import Workspace
from advisor.interview.steps import State
from advisor.model.case import Case
from advisor.sums.questions import Answer, asked
from advisor.sums.spoken import in_digits
from advisor.words.understand import understand

# How a question about numbers begins; whoever tells what the kart does begins otherwise.
_BEGINS = re.compile(
    r"(?:^|[,.;!?]\s*)(?:(?:and|so|ok|hey|then|but) )?(?:"
    r"what(?!s? (?:is )?(?:wrong|can i|do i do|now|a\b))|which|how (?:much|many|long|fast|high)|where|mix|"
    r"when (?:do|will)|at (?:what|how)|if (?:i|we) |(?:tyre|tire|cold|hot) pressures? for|top speed|"
    r"(?:cold|hot) (?:pressure )?from |convert |work out |calculate |oil for|jet |"
    r"(?:gearing|sprockets?) for |air density (?:at|for|with)|"
    r"chain (?:length|for)|afr |lambda \d|\d+ ?ml|"
    r"(?:is|are|will|would|should|does|do) )"
)
# The same without a question, for those who tell figures and nothing else.
_STATES = re.compile(r"^\W*(?:(?:i|we|it was|was) )?(?:jetted |egt \d|add \d)")
FIGURES_ONLY = 14  # words: more than that tell something beside (ours)
_PAIRS = re.compile(r"^\W*\d{1,2}[ /:x-]+\d{2,3} (?:or|against|versus|vs) \d{1,2}[ /:x-]+\d{2,3}\W*$")
STORY = 40  # words: more than that tell a story, whatever is asked in it (ours)


def counted(desk: Workspace, state: State | None, text: str) -> Answer | None:
    """The answer to a question about numbers; None for anything else, such as a complaint that holds numbers.

    Danger that is told with the question comes first, so that is no sum either.
    """
    if len(text.split()) > STORY:
        return None
    plain = in_digits(text[:300])
    states = len(text.split()) <= FIGURES_ONLY and _STATES.match(plain)
    if not (states or _BEGINS.search(plain) or _PAIRS.match(plain)):
        return None
    if set(understand(text, desk.mind.book, desk.mind.lexicon).feels) - {("straight", None)}:
        return None  # it tells what the kart does; "top speed" alone tells nothing of that
    answer = asked(text, at_hand(state.case if state else desk.kart.case if desk.kart else Case()))
    return answer if answer and not _dangerous(desk, text) else None


def _dangerous(desk: Workspace, text: str) -> bool:
    """What phrases hear as danger anywhere, or what sounds so where more is told than the question and its numbers."""
    if danger.told(desk.mind, text).answers:
        return True
    parts = (part.strip() for part in re.split(r"[,.;!?](?!\d)", text))
    rest = [
        part for part in parts if not re.search(r"\d", in_digits(part)) and not _BEGINS.match(part.lower())
    ]
    return any(danger.told(desk.mind, words) for words in (". ".join(rest), text)) if any(rest) else False
