"""Explanations that are computed by answering: what an answer would change, why not another change.

Nothing here is canned: each sentence comes from re-running the reasoning with other answers.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches
from itertools import combinations

from advisor.inference import cures
from advisor.interview import steps
from advisor.interview.steps import State, answered
from advisor.model.advice import Advice, Question, Stop
from advisor.model.case import Verdict
from advisor.model.scale import percent
from advisor.planning.questions import as_question, nearest
from advisor.reasoning.advise import find_stop, first_change, first_way
from advisor.reasoning.weighing import Believed, Mind, Reasoning, reason, weigh_causes
from advisor.words.understand import understand

SHORT = 34  # letters of a preview; a longer one gives way to the name of the lever
TRIED = 40  # single answers that seem to help a change most: those are really given
NEAR = 12  # those that did help most; pairs are only looked for among them

Given = tuple[str, str]  # observation, answer


@dataclass(frozen=True, slots=True)
class Preview:
    """What an answer would do: the cause that it raises most, before and after, and what would come first."""

    raised: str
    first: str


def previews(mind: Mind, state: State, asked: Question) -> tuple[Preview, ...]:
    """What each answer would do. Each is reasoned once, and no further than is told."""
    evidence = state.gathered.evidence
    links = cures.links(mind.book, evidence)
    old = weigh_causes(mind, state.case, state.gathered, links).belief.probabilities
    found = []
    for given in asked.answers:
        then = answered(mind, state, asked, given)
        same = cures.alike(mind.book, evidence, then.gathered.evidence)
        causes = weigh_causes(mind, then.case, then.gathered, links if same else None)
        found.append(Preview(_most_raised(mind, causes, old), _first(mind, then, causes)))
    return tuple(found)


def first(mind: Mind, state: State) -> str:
    """The first thing to do as it stands, in a few words."""
    return _first(mind, state, weigh_causes(mind, state.case, state.gathered))


def _first(mind: Mind, state: State, causes: Believed) -> str:
    if find_stop(mind, causes):
        return "do not drive it: inspect"
    way = first_way(mind, state.case, causes)
    if way is None:
        return "nothing yet"
    lever = mind.book.levers[way[0]]
    say = lever.ways[way[1]].say
    return say if len(say) <= SHORT else lever.name


def top(mind: Mind, state: State) -> Advice | Stop | None:
    """The first thing to do as it stands; None while nothing is known of the kart."""
    if not state.gathered.evidence.speaks:
        return None
    return first_change(mind, state.case, state.gathered)


def chance(mind: Mind, state: State, lever: str) -> float:
    """The chance that the best way of a lever cures it; 0 where nothing speaks for it."""
    done = reason(mind, state.case, state.gathered)
    return next((r.chance for r in done.ranked if r.prospect.lever == lever), 0.0)


def _most_raised(mind: Mind, then: Believed, old: Sequence[float]) -> str:
    new = then.belief.probabilities
    causes = list(mind.book.causes.values())
    best = max(range(len(causes)), key=lambda i: (new[i] - old[i], causes[i].id))
    return f"{causes[best].name}, {percent(old[best])} -> {percent(new[best])}"


def otherwise(mind: Mind, state: State, ident: str) -> Iterator[tuple[str, str]]:
    """For each answer to a question that was answered: its text, and what would then come first."""
    observation = mind.book.observations[ident]
    given = dict(state.answers).get(ident)
    for name, entry in observation.answers.items():
        mark = " (your answer)" if name == given else ""
        then = answered(mind, state, as_question(observation, 0.0), name)
        yield f"{entry.text}{mark}", first(mind, then)


@dataclass(frozen=True, slots=True)
class Ahead:
    """A change, and what follows when the kart is better but not right, the same, or worse after it."""

    change: Advice | Stop
    better: Ahead | None = None
    same: Ahead | None = None
    worse: Ahead | None = None


def ahead(mind: Mind, state: State, change: Advice | Stop, depth: int = 3) -> Ahead:
    """The next moves after a change, each found by reasoning again as if the verdict had come.

    "Same again" is followed to the depth; the other verdicts one move deep.
    """

    if depth <= 1 or isinstance(change, Stop):
        return Ahead(change)

    def after(verdict: Verdict, further: int) -> Ahead | None:
        then = steps.tried(mind, state, change.lever, change.direction, verdict)
        if verdict == "better" and change.to is not None:  # it stays on
            setup = {**then.case.setup, change.lever: change.to.si or change.to.value}
            then = steps.having(mind, then, replace(then.case, setup=setup))
        following = first_change(mind, then.case, then.gathered)
        return ahead(mind, then, following, further) if following else None

    return Ahead(change, after("better", 1), after("same", depth - 1), after("worse", 1))


def why_not(mind: Mind, state: State, text: str) -> str:
    """The fewest other answers that would put a change first, verified by re-running; or why there are none."""
    lever = _meant(mind, text)
    if lever is None:
        return f'I know no change by the name "{text.strip()[:40]}"; try rear width, axle, caster ...'
    entry = mind.book.levers[lever]
    done = reason(mind, state.case, state.gathered)
    place = next((i for i, r in enumerate(done.ranked, start=1) if r.prospect.lever == lever), None)
    if place is None:
        return (
            f"Nothing that is known of the kart speaks for the {entry.name}, and nothing it gives is needed."
        )
    mine = done.ranked[place - 1]
    if mine.barred:
        return f"The {entry.name} is withheld: {mine.barred}."
    top = [r.prospect.lever for r in done.ranked if r.barred is None]
    if top[0] == lever:
        return f"The {entry.name} does stand first."
    place, chance = top.index(lever) + 1, percent(mine.chance)
    head = f"The {entry.name} stands in place {place}, with a chance of {chance}. "
    found = _fewest(mind, state, done, lever)
    if found is None:
        return f"{head}No two answers to open questions would put it first."
    told = " and ".join(
        f'"{mind.book.observations[o].question}" were "{mind.book.observations[o].answers[a].text}"'
        for o, a in found
    )
    return f"{head}It would stand first if the answer to {told}."


def _meant(mind: Mind, text: str) -> str | None:
    """The lever that a word names."""
    said = text.strip().lower().replace("tire", "tyre").replace(" ", "_")
    if said in mind.book.levers:
        return said
    # parts before inspections: "hubs" means to change them, not to look at them
    parts_first = sorted(mind.book.levers, key=lambda i: "check" in mind.book.levers[i].ways)
    near = [i for i in parts_first if said in mind.book.levers[i].ways or said.rstrip("s") in i]
    ideas = [i for i, _ in understand(f"should i change the {text}", mind.book, mind.lexicon).ideas]
    named = sorted((*ideas[:1], *near[:1]), key=lambda i: "check" in mind.book.levers[i].ways)
    if named:
        return named[0]
    words = {word: i for i in reversed(parts_first) for word in mind.book.levers[i].name.lower().split()}
    close = get_close_matches(text.strip().lower(), words, n=1, cutoff=0.7)
    return words[close[0]] if close else None


def _fewest(mind: Mind, state: State, done: Reasoning, lever: str) -> tuple[Given, ...] | None:
    """One answer, or two, that put a change first; of all that can be given those are tried that bring it nearest."""
    near = nearest(mind.tables, done.plan, done.evidence, done.together.shares, lever)[:TRIED]
    scored = []
    for given in near:
        gain, leads = _lead(mind, state, lever, (given,))
        if leads:
            return (given,)
        scored.append((gain, given))
    best = [given for _, given in sorted(scored, key=lambda s: (-s[0], s[1]))[:NEAR]]
    for pair in combinations(best, 2):
        if pair[0][0] != pair[1][0] and _lead(mind, state, lever, pair)[1]:
            return pair
    return None


def _lead(mind: Mind, state: State, lever: str, given: tuple[Given, ...]) -> tuple[float, bool]:
    """How a lever's worth compares with the best after some more answers, and whether it leads."""
    evidence = state.gathered.evidence
    for ident, name in given:
        evidence = evidence.answering(ident, name)
    done = reason(mind, state.case, replace(state.gathered, evidence=evidence))
    if find_stop(mind, done):
        return 0.0, False
    open_ways = [r for r in done.ranked if r.barred is None]
    mine = next((r.worth for r in open_ways if r.prospect.lever == lever), 0.0)
    return mine / open_ways[0].worth if open_ways else 0.0, bool(open_ways) and open_ways[
        0
    ].prospect.lever == lever
