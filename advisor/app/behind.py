"""What is behind the advice, computed by reasoning again: the evidence, other answers, the next moves."""

from __future__ import annotations

from collections import defaultdict
from math import exp

from advisor.app import by_loads, wording
from advisor.app.place import Go, stay
from advisor.app.prompt import Row, options
from advisor.interview import explanations, steps
from advisor.interview.choices import numbered
from advisor.interview.explanations import Ahead
from advisor.interview.steps import State
from advisor.model.advice import Advice, Stop
from advisor.reasoning.explain import account, helps, own_words
from advisor.reasoning.weighing import Mind

SLIGHT = 0.05  # log-odds below which a line of the ledger tells nothing
GIVE_UP = "leave it there; ask someone who knows the kart"


def evidence(mind: Mind, state: State, advice: Advice) -> tuple[Row, ...]:
    """The evidence behind the cause that carries a change, in the order of its weight, and what the kart model says."""
    done = steps.reasoning(mind, state)
    best = next(r.prospect.best for r in done.ranked if r.prospect.lever == advice.lever)
    link = done.links[advice.lever][best]
    cause = list(mind.book.causes.values())[best]
    rows = [Row(f"{wording.headline(advice)}, because of this:", "bold")]
    rows.append(Row(f"{cause.name[:1].upper()}{cause.name[1:]}. {cause.plain}", indent=2))
    if helped := helps(mind.book, link, advice.direction):
        rows.append(Row(" ".join(helped), indent=2))
    rows.append(Row("What speaks for that cause and against it, strongest first:", indent=2))
    # An answer may tell twice: by how often it is seen, and by what it makes of the rest.
    terms: defaultdict[str, float] = defaultdict(float)
    for name, weight in account(mind.tables, done.belief, best):
        if name != "rivals":
            terms[_named(name)] += weight
    for name, weight in sorted(terms.items(), key=lambda term: -abs(term[1])):
        if abs(weight) >= SLIGHT:
            rows.append(Row(f"{name}: {_strength(weight)}", indent=4))
    if done.evidence.tried:
        rows += [Row(text, indent=2) for text in own_words(done.errors, done.driver)]
    case = by_loads.understood(mind.book, state.case, state.gathered.understood)
    (said,) = by_loads.told(mind.book, case, (advice,))
    return (*rows, Row(said.why[-1], indent=2)) if said.loads else tuple(rows)


_NAMES = {
    "prior": "how often it happens at all",
    "own cases": "how often it was behind your own troubles",
    "feel": "what the kart does and where",
    "second": "the second fault",
    "words": "the words as a whole",
}


def _named(name: str) -> str:
    plain = name.replace("_", " ").replace("setup.", "setup: ").replace("observed.", "").replace(".", " ")
    return _NAMES.get(name, plain)


def _strength(weight: float) -> str:
    """A log-odds term in words and as a factor."""
    if weight > 0:
        return f"speaks for it (odds x {exp(weight):.1f})"
    return f"speaks against it (odds / {exp(-weight):.1f})"


def what_if(mind: Mind, state: State, rest: str) -> Go:
    """The first change after every other answer to a question that was answered."""
    asked = [ident for ident, _ in state.answers]
    if not asked:
        return stay("No question was answered, so there is nothing to answer otherwise.")
    texts = [mind.book.observations[i].question for i in asked]
    place = numbered(texts, rest) if rest else 0 if len(asked) == 1 else None
    if place is None:
        return Go(page=(Row("Type i and the number of the answer:", "bold"), *options(texts)))
    found = explanations.otherwise(mind, state, asked[place])
    rows = [Row(f"{text}: {result}", indent=2, hang=2) for text, result in found]
    return Go(page=(Row(texts[place], "bold"), *rows))


def plan(mind: Mind, state: State, first: Advice) -> tuple[Row, ...]:
    """The next moves: what follows each verdict of a change."""
    ahead = explanations.ahead(mind, state, first)
    back = wording.reversible(mind.book, first.lever, first.direction)

    def say(verdict: str, following: Ahead | None, put_back: bool) -> Row:
        then = _next(mind, state, following.change) if following else GIVE_UP
        return Row(f"{verdict}: {'put it back, then: ' if put_back else ''}{then}", indent=2, hang=2)

    rows = [Row(f"After {first.say}", "bold"), say("better, not right yet", ahead.better, False)]
    rows.append(say("the same", ahead.same, back))
    if ahead.same:
        rows.append(say("the same again", ahead.same.same, back))
    return (*rows, say("worse", ahead.worse, True)) if back else tuple(rows)


def _next(mind: Mind, state: State, change: Advice | Stop) -> str:
    if isinstance(change, Stop):
        return change.text
    return wording.headline(wording.as_set(change, mind.book, state.case.rules.get(change.lever)))
