"""From a case to its answer: gather, believe, rank, explain, ask. Pure: the same case, the same answer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from advisor import units
from advisor.inference import pairs, trials
from advisor.inference.belief import Belief, believe
from advisor.inference.evidence import Evidence, Gathered
from advisor.learning import fixes, own_cases
from advisor.model import assumed
from advisor.model.advice import Advice, Answer, CauseBelief, Look, Question, Stop, Withheld
from advisor.model.case import Case
from advisor.model.levers import Lever
from advisor.model.scale import percent
from advisor.planning import alarms, questions, stopping
from advisor.planning.bundles import bundle, meanwhile
from advisor.planning.look_over import look_over as look_over_from
from advisor.planning.ranking import Ranked, minutes, tried_before
from advisor.planning.repair import worth_now
from advisor.reasoning import explain
from advisor.reasoning.weighing import Believed, Mind, Reasoning, reason, weigh_causes, weigh_changes

LISTED = 24  # entries of an answer; more would only be noise
WITHHELD_AMONG = 8  # a withheld lever is named if it would have stood among the first so many
WITHHELD = 6
TWO_WORTH_TELLING = 0.05  # chance from which two causes at once are named
LOOKS = 3  # inspections before the first change
LOOK_OR_ASK = 4  # things to look at or to ask, where none does


def advise(
    mind: Mind, case: Case, gathered: Gathered | None = None, skipped: frozenset[str] = frozenset()
) -> Answer:
    """The whole answer to a case."""
    done = reason(mind, case, gathered)
    evidence = done.evidence
    warnings = list(done.gathered.warnings)
    if not evidence.speaks and not done.gathered.foreign:
        warnings.append(
            'nothing in this tells about a kart: say what it does and where, such as "loose on entry"'
        )
    stop = find_stop(mind, done)
    question = None if stop else ask(mind, done, skipped, urged=not evidence.speaks)
    if not evidence.speaks:
        return Answer(
            done.gathered.understood, stop, (), (), (), question, tuple(warnings), follows=evidence.follows
        )
    return Answer(
        understood=done.gathered.understood,
        stop=stop,
        causes=_causes(mind, done.belief),
        advice=_listed(mind, done, case.units),
        withheld=_withheld(mind, done),
        next_question=question,
        first=() if stop else _first(mind, done, skipped),
        warnings=(
            *warnings,
            *_two_at_once(mind, done),
            *(() if stop else _drafts(mind, done)),
            *explain.assumed_of(case),
        ),
        enough=None if stop or evidence.preparing else _enough(mind, done),
        follows=evidence.follows,
        judged=tuple(" ".join(_judged(mind, done, lever, way)) for lever, way in evidence.ideas),
    )


def _first(mind: Mind, done: Reasoning, skipped: frozenset[str]) -> tuple[Question, ...]:
    """What to look at or ask before anything is changed, where nothing stands out."""
    if done.evidence.preparing or done.evidence.ideas:
        return ()
    best = max((r.chance for r in done.ranked if r.barred is None), default=0.0)
    if best >= assumed.STANDS_OUT:
        return ()
    open_ = questions.telling(mind.tables, done.plan, done.evidence, done.together.shares, skipped)
    return open_[:LOOK_OR_ASK]


def first_change(mind: Mind, case: Case, gathered: Gathered) -> Advice | Stop | None:
    """The change that comes first, or what forbids driving; None where nothing is left."""
    causes = weigh_causes(mind, case, gathered)
    if stop := find_stop(mind, causes):
        return stop
    done = weigh_changes(mind, case, causes)
    best = next(iter(_open_ways(done)), None)
    return _advice(mind, done, best, case.units) if best else None


def first_way(mind: Mind, case: Case, causes: Believed) -> tuple[str, str] | None:
    """Lever and direction of the change that comes first, nothing said of it; None where nothing is left."""
    best = next(iter(_open_ways(weigh_changes(mind, case, causes))), None)
    return (best.prospect.lever, best.prospect.way) if best else None


def look_first(mind: Mind, case: Case, gathered: Gathered) -> tuple[Advice, ...]:
    """Inspections that are worth their minutes on the stand before the first change is driven; no run is needed."""
    done = reason(mind, case, gathered)
    return tuple(_advice(mind, done, ranked, case.units) for ranked in looks(mind, done))


def looks(mind: Mind, done: Reasoning) -> list[Ranked]:
    """Those inspections, that which finds most a minute first."""
    shares = done.together.shares
    heads = [action for action in done.plan.actions if action.after < 0]
    rows = [(worth_now(a, shares), r) for a, r in zip(heads, _barless(done), strict=True)]
    change = max((w for w, r in rows if not _on_stand(mind, r)), default=0.0)
    best = sorted((row for row in rows if _on_stand(mind, row[1]) and row[0] >= change), key=lambda w: -w[0])
    return [ranked for _, ranked in best[:LOOKS]]


def _barless(done: Reasoning) -> list[Ranked]:
    return [r for r in done.ranked if r.barred is None]


def _on_stand(mind: Mind, ranked: Ranked) -> bool:
    return mind.book.levers[ranked.prospect.lever].ways[ranked.prospect.way].look


def at_once(mind: Mind, case: Case, gathered: Gathered) -> tuple[Advice, ...]:
    """Changes to make before one run, where the time is too short to learn from each; one if none goes with it."""
    done = reason(mind, case, gathered)
    if find_stop(mind, done):
        return ()
    chosen = bundle(mind.book, case, done.ranked, done.links, done.moved, done.together.shares)
    return tuple(_advice(mind, done, ranked, case.units) for ranked in chosen)


def _listed(mind: Mind, done: Reasoning, wishes: Mapping[str, str]) -> tuple[Advice, ...]:
    """The changes that can be made, best first; an idea that was asked about is always among them."""
    ideas = dict(done.evidence.ideas)
    bare = bool(ideas) and not done.evidence.tells
    chosen = [
        r for i, r in enumerate(_open_ways(done)) if r.prospect.lever in ideas or (i < LISTED and not bare)
    ]
    found: list[Advice] = []
    for ranked in chosen:
        advice = _advice(mind, done, ranked, wishes)
        if _one_end(mind, advice, found) and advice.lever not in ideas:
            continue
        if advice.lever in ideas:
            judged = _judged(mind, done, advice.lever, ideas[advice.lever])
            advice = replace(advice, why=(*judged, *advice.why))
        found.append(advice)
    return tuple(found)


def _open_ways(done: Reasoning) -> list[Ranked]:
    """The changes that nothing bars, best first.

    A bare idea, with nothing said of what the kart does, is judged first: there is nothing to rank it by.
    """
    found = [r for r in done.ranked if r.barred is None]
    ideas = dict(done.evidence.ideas)
    if ideas and not done.evidence.tells:
        found.sort(key=lambda r: r.prospect.lever not in ideas)
    return found


def _one_end(mind: Mind, advice: Advice, found: list[Advice]) -> bool:
    """True for a part, such as the pressure of one end, when the whole the same way stands above it."""
    return any(
        advice.lever in mind.book.levers[a.lever].parts and a.direction == advice.direction for a in found
    )


def _judged(mind: Mind, done: Reasoning, lever: str, way: str | None) -> tuple[str, ...]:
    """Where an idea stands, what it would do, and what beats it."""
    return explain.idea(mind.book, done.evidence, done.ranked, lever, way)


def ask(mind: Mind, done: Reasoning, skipped: frozenset[str], urged: bool = False) -> Question | None:
    """The next question worth asking: whether it is dangerous where it sounds so, else what is worth most a minute.

    `urged`: it is asked even where it is not worth its own time.
    """
    if doubted := alarms.doubted(mind.book, done.evidence, skipped):
        return questions.as_question(doubted, 0.0)
    known = (mind.tables, done.plan, done.evidence, done.together.shares, skipped)
    if urged:
        return next(iter(questions.telling(*known)), None)
    return questions.next_question(*known)


def look_over(mind: Mind, done: Reasoning, skipped: frozenset[str], first: Question) -> tuple[Look, ...]:
    """The looks at the standing kart that pay together with `first`, if that is one of them."""
    size, erring = len(mind.tables.hypotheses), done.errors.odds
    learnt = trials.learn(done.links, done.evidence.trials, size, erring).terms
    learnt = {**learnt, **own_cases.terms(done.cases, mind.tables)}

    def weigh(evidence: Evidence) -> tuple[float, ...]:
        return pairs.weigh(believe(mind.tables, evidence, learnt)).shares

    return look_over_from(mind.tables, done.plan, done.evidence, weigh, skipped, first)


def find_stop(mind: Mind, done: Believed) -> Stop | None:
    """What forbids driving, if anything does."""
    return alarms.find_stop(mind.book, done.evidence, done.belief.probabilities, done.links)


def _causes(mind: Mind, belief: Belief) -> tuple[CauseBelief, ...]:
    rows = []
    for ident, p in zip(mind.tables.hypotheses, belief.probabilities, strict=True):
        cause = mind.book.causes.get(ident)
        name, kind = (
            (cause.name, cause.kind) if cause else ("something this knowledge base does not hold", "unknown")
        )
        rows.append(CauseBelief(ident, name, kind, p))
    return tuple(sorted(rows, key=lambda c: (-c.probability, c.id)))


def _advice(mind: Mind, done: Reasoning, ranked: Ranked, wishes: Mapping[str, str]) -> Advice:
    prospect = ranked.prospect
    book, lever = mind.book, mind.book.levers[prospect.lever]
    link = done.links[prospect.lever][prospect.best]
    cause = list(book.causes.values())[prospect.best]
    way = lever.ways[prospect.way]
    return Advice(
        lever=lever.id,
        direction=prospect.way,
        say=way.say,
        detail=_detail(mind, done, ranked, wishes),
        amount=ranked.move.amount,
        to=ranked.move.to,
        minutes=ranked.minutes,
        chance=ranked.chance,
        confidence=prospect.confidence,
        worth=ranked.worth,
        why=tuple(
            units.reworded(line, wishes)
            for line in (
                *explain.why(book, done.belief, prospect, link, ranked.move, done.evidence),
                *explain.own_cases(mind.tables, done.cases, prospect.best),
                *explain.own_trials(lever, done.own.get(lever.id), prospect.best, link.way),
                *(explain.own_words(done.errors, done.driver) if lever.id in done.own else ()),
                *explain.team(book, done.links[lever.id], prospect),
            )
        ),
        costs=explain.costs(book, done.evidence, prospect, cause),
        feel_for=explain.feel_for(book, cause, link),
        wrong_if=explain.wrong_if(book, link, way.opposite is not None),
        cautions=lever.cautions,
        sources=explain.sources(cause, link),
        meanwhile=_meanwhile(mind, done, ranked),
        effect=link.gives.effect if link.gives else None,
        as_stated=prospect.way == link.way,
        also=tuple(p.way for p in ranked.also),
    )


def _detail(mind: Mind, done: Reasoning, ranked: Ranked, wishes: Mapping[str, str]) -> str | None:
    """What exactly to do: of the way itself, and of the looks that go with it, each with its minutes."""
    lever = mind.book.levers[ranked.prospect.lever]
    told: dict[str, str] = {}
    for prospect in (ranked.prospect, *ranked.also):
        remedy = done.links[lever.id][prospect.best].remedy
        said = remedy.detail if remedy and remedy.direction == prospect.way else None
        told[prospect.way] = units.reworded(said, wishes) if said else ""
    first, *more = told.items()
    each = "; ".join(ranked.move.parts)
    lines = [
        f"{each[:1].upper()}{each[1:]}." if each else "",
        first[1],
        *(_beside(lever, way, said) for way, said in more),
    ]
    return " ".join(line for line in lines if line) or None


def _beside(lever: Lever, way: str, said: str) -> str:
    """Another way of the same visit: what to do, how long it takes, and the first sentence on how."""
    how = said.partition(". ")[0].rstrip(".")
    return f"Then {lever.ways[way].say} ({minutes(lever, way)} min){f': {how[:1].lower()}{how[1:]}' if how else ''}."


def _meanwhile(mind: Mind, done: Reasoning, ranked: Ranked) -> tuple[str, ...]:
    """What is quickly changed or looked at as well while the same part is open."""
    rows = []
    for other, short in meanwhile(mind.book, done.ranked, ranked):
        lever = mind.book.levers[other.prospect.lever]
        chance = percent(other.chance)
        alone = f"{short:g} min instead of {other.minutes}"
        rows.append(f"{lever.ways[other.prospect.way].say} ({alone}, {chance})")
    return tuple(rows)


def _withheld(mind: Mind, done: Reasoning) -> tuple[Withheld, ...]:
    rows = []
    ideas = dict(done.evidence.ideas)
    near = WITHHELD_AMONG + sum(1 for r in done.ranked[:WITHHELD_AMONG] if r.barred)
    for place, ranked in enumerate(done.ranked):
        if ranked.barred and (place < near or ranked.prospect.lever in ideas):
            rows.append(Withheld(ranked.prospect.lever, ranked.prospect.way, ranked.barred))
    known = {(r.lever, r.direction) for r in rows}
    for trial in done.evidence.trials:
        told = trial.verdict != "better" or trial.soured
        if told and (trial.lever, trial.direction) not in known:
            why = tried_before(trial, mind.book.is_look(trial.lever, trial.direction))
            rows.insert(0, Withheld(trial.lever, trial.direction, why))
    return tuple(rows[:WITHHELD])


def _enough(mind: Mind, done: Reasoning) -> str | None:
    found = stopping.mended(mind.book, done.evidence.tried)
    return found or stopping.enough(mind.book, done.belief, done.together.shares, done.plan)


def _two_at_once(mind: Mind, done: Reasoning) -> list[str]:
    """Two causes that together fit better than either alone."""
    (i, j), p = done.together.likeliest()
    alone = done.belief.probabilities
    if p < TWO_WORTH_TELLING or p < max(alone[i], alone[j]) * (1 - sum(done.together.pairs.values())):
        return []
    one, other = (mind.book.causes[mind.tables.hypotheses[k]].name for k in (i, j))
    return [f"perhaps two at once: {one}, and {other} ({percent(p)}); mend one, drive, then look again"]


def _drafts(mind: Mind, done: Reasoning) -> list[str]:
    chances = dict(zip(mind.tables.hypotheses, done.belief.probabilities, strict=True))
    return fixes.drafts(mind.book, done.evidence.facts, chances)
