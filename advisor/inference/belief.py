"""Exact Bayes over single causes, with a ledger: log prior plus one log term for each piece of evidence.

Terms are ratios to `unknown`, whose rows are the usual ones; so each term stands by itself, the order
of the answers does not matter, and leaving one out changes the log ratio by exactly that term.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from advisor.inference.evidence import Evidence
from advisor.inference.tables import Tables, safe_log
from advisor.model import assumed, conditions
from advisor.model.feel import AXES, FEEL, Answers, by_observation
from advisor.model.knowledge import Book, Cause

# The weight of what the words say of causes, its bound in log odds where the words are all that is told (two strong
# answers overrule it) and beside fields, and how many facts known otherwise halve the bound. Mean log chance of the
# true cause on published complaints unseen by the ear, at 3, 4.5, 7, 9: -3.50, -3.34, -3.31, -3.31 (two folds); at
# 5, 6: -3.14, -3.15 (four). Authors kept apart gain up to 8; between the two (ours: who wrote examples talks alike).
WORDS_WEIGHT, WORDS_MOST = 1.2, 6.0
WORDS_MOST_BESIDE = 4.5
# Share of its weight of an answer that only words told, and of one that they perhaps told, where the words have a say.
HEARD_COUNTS, PERHAPS_COUNTS = 0.6, 0.25
WORDS_GIVE_WAY = 2.0
SELDOM_MEASURED = 0.15  # a figure that so few karts in trouble show is off (ours)
SETTING = "setup."  # begins the paths of what stands on the sheet

Terms = list[float]
Moves = dict[int, float]  # log terms of the hypotheses that a piece of evidence touches; 0 for all others


@dataclass(frozen=True, slots=True)
class Belief:
    """Probabilities of the hypotheses, and what they are made of.

    `ledger[name][i]` is log P(evidence | i) / P(evidence | unknown).
    """

    probabilities: tuple[float, ...]
    prior: tuple[float, ...]
    ledger: Mapping[str, tuple[float, ...]]

    def account(self, i: int) -> dict[str, float]:
        """Log-odds of hypothesis i against all others, split: `prior`, each piece of evidence, `rivals`.

        The values add up to log(p / (1 - p)). Prior and evidence are measured against `unknown`;
        `rivals` is what the other causes take away.
        """
        p, unknown = self.probabilities[i], self.probabilities[-1]
        lines = {"prior": safe_log(self.prior[i]) - safe_log(self.prior[-1])}
        lines.update({name: terms[i] for name, terms in self.ledger.items() if terms[i]})
        lines["rivals"] = safe_log(unknown) - safe_log(max(1 - p, 0.0))
        return lines


def believe(tables: Tables, evidence: Evidence, trials: Mapping[str, Terms] | None = None) -> Belief:
    """Posterior over the hypotheses. `trials` are log terms of changes tried, from advisor.inference.trials."""
    prior = tables.prior
    ledger: dict[str, tuple[float, ...]] = {}
    for name, terms in _terms(tables, evidence):
        ledger[name] = tuple(terms)
    for name, terms in (trials or {}).items():
        ledger[name] = tuple(terms)
    return Belief(_posterior(prior, ledger.values()), prior, ledger)


def _posterior(prior: Sequence[float], lines: Collection[Sequence[float]]) -> tuple[float, ...]:
    logs = [safe_log(p) + sum(terms[i] for terms in lines) for i, p in enumerate(prior)]
    top = max(logs)
    weights = [math.exp(x - top) if p > 0 else 0.0 for x, p in zip(logs, prior, strict=True)]
    total = sum(weights)
    return tuple(w / total for w in weights)


def _terms(tables: Tables, evidence: Evidence) -> Iterable[tuple[str, Terms]]:
    if evidence.second:
        yield "second", _line(tables, _second_terms(tables, evidence.second))
    grouped: dict[str, list[tuple[str, Moves]]] = {}
    for ident in sorted(evidence.answers):
        terms = _told_terms(tables, evidence, ident)
        if terms is not None:
            grouped.setdefault(_group(tables, ident), []).append((ident, terms))
    for group, members in grouped.items():
        for name, moves in _without_overlap(tables, group, members):
            yield name, _line(tables, moves)
    odds = dict(_odds_terms(tables, evidence))
    yield from odds.items()
    if evidence.changes:
        causes = tables.book.causes.values()
        yield "changed", [*(math.log(assumed.CHANGED) if c.undoes_change else 0.0 for c in causes), 0.0]
    if evidence.cleared:
        yield "inspected", _inspected_terms(tables, evidence)
    for ident, chances in evidence.perhaps.items():
        yield f"perhaps {ident}", _line(tables, _doubtful_terms(tables, evidence, ident, chances))
    if evidence.say:
        sheet = [line for name, line in odds.items() if SETTING in name]
        yield "words", _words_terms(tables, evidence, sheet)


def _line(tables: Tables, moves: Moves) -> Terms:
    return [moves.get(i, 0.0) for i in range(len(tables.hypotheses))]


def _group(tables: Tables, ident: str) -> str:
    """The overlap group of an observation; one of its own where it has none."""
    asked = tables.book.observations.get(ident)
    return asked.overlaps if asked and asked.overlaps else f"={ident}"


def _second_terms(tables: Tables, felt: Answers) -> Moves:
    """A second fault is felt like the first one, but often of a cause of its own."""
    kept = (1 - assumed.OWN_CAUSE) / (
        1 - assumed.FEEL_MISTAKEN
    )  # the rows hold their share of mistakes already
    terms = answer_terms(tables, FEEL, felt) or {}
    return {i: math.log1p(kept * math.expm1(t)) for i, t in terms.items()}


def inspected(book: Book, cleared: Iterable[str]) -> frozenset[str]:
    """The levers that the stops of these reasons asked to inspect."""
    levers: set[str] = set()
    for reason in cleared:
        ident, _, answer = reason.partition(": ")
        if ident in book.observations and answer in book.observations[ident].answers:
            levers.update(book.observations[ident].answers[answer].inspect)
        elif ident in book.causes and (danger := book.causes[ident].danger):
            levers.update(danger.inspect)
    return frozenset(levers)


def is_cleared(cause: Cause, cleared: frozenset[str], levers: frozenset[str]) -> bool:
    """True when a stop for this cause was cleared, or all that it would have inspected was found sound."""
    return cause.danger is not None and (cause.id in cleared or set(cause.danger.inspect) <= levers)


def left_to_words(evidence: Evidence) -> float:
    """The share of their weight that the words keep beside fields that tell the same once more."""
    return 1 / (1 + evidence.fields / WORDS_GIVE_WAY)


def first_tries(tables: Tables, belief: Belief, evidence: Evidence) -> dict[str, float]:
    """What mechanics try first, as a log factor of each way: on such words, and where such answers are known.

    Nothing of what is prepared ahead, nor where something was measured and found off: the figure comes first.
    """
    if evidence.preparing or _measured_off(tables, evidence):
        return {}
    words, answers = left_to_words(evidence) * evidence.by_ear, left_to_answers(belief, evidence)
    return {way: max(words, answers) * x for way, x in evidence.tries.items()} if words or answers else {}


def _measured_off(tables: Tables, evidence: Evidence) -> bool:
    asked = tables.book.observations
    return any(
        asked[ident].effort == "measure" and tables.usual[ident][answer] <= SELDOM_MEASURED
        for ident, answer in evidence.certain.items()
        if ident in tables.usual
    )


def left_to_answers(belief: Belief, evidence: Evidence) -> float:
    """The share of its weight that what is tried first where such answers are known keeps.

    It gives way where the book is sure of a cause, and to what the answers do not tell, such as trials, changes and
    looks, by as much as that moved the belief (total variation); where a value on the sheet tells something, wholly.
    """
    if not evidence.by_answers or any(SETTING in name for name in belief.ledger):
        return 0.0
    told = {"words", "second", *evidence.answers, *(f"perhaps {ident}" for ident in evidence.perhaps)}
    lines = [terms for name, terms in belief.ledger.items() if name in told]
    without = _posterior(belief.prior, lines)
    moved = sum(abs(p - q) for p, q in zip(belief.probabilities, without, strict=True)) / 2
    return evidence.by_answers * (1 - moved) * (1 - max(belief.probabilities[:-1]))


def _words_terms(tables: Tables, evidence: Evidence, sheet: Sequence[Terms]) -> Terms:
    """What the words say of each cause; nothing against the lines of the `sheet`, of which they do not tell."""
    most = (WORDS_MOST if evidence.alone else WORDS_MOST_BESIDE) * left_to_words(evidence)
    terms = []
    for i, ident in enumerate(tables.book.causes):
        term = min(max(WORDS_WEIGHT * evidence.say.get(ident, 0.0), -most), most)
        terms.append(0.0 if term * sum(line[i] for line in sheet) < 0 else term)
    return [*terms, 0.0]


def _doubtful_terms(tables: Tables, evidence: Evidence, question: str, chances: Mapping[str, float]) -> Moves:
    """An answer that was perhaps told: the mean over what was said, by its chance (Pearl 1988, ch. 2.2.2)."""
    mean: dict[int, float] = {}
    share = left_to_words(evidence) * PERHAPS_COUNTS
    for answer, chance in chances.items():
        observation, left = by_observation(evidence.answers, question, frozenset((answer,)))
        known = evidence.answers.get(observation)
        before = (answer_terms(tables, observation, known) or {}) if known else {}
        for i, term in (answer_terms(tables, observation, left) or {}).items():
            mean[i] = mean.get(i, 0.0) + share * chance * math.expm1(term - before.get(i, 0.0))
    return {i: math.log1p(max(m, -0.999)) for i, m in mean.items()}


def _inspected_terms(tables: Tables, evidence: Evidence) -> Terms:
    levers = inspected(tables.book, evidence.cleared)
    terms = [0.0] * len(tables.hypotheses)
    for i, cause in enumerate(tables.book.causes.values()):
        if is_cleared(cause, evidence.cleared, levers):
            terms[i] = math.log(assumed.MISSED)
    return terms


def answer_terms(tables: Tables, ident: str, answers: Answers) -> Moves | None:
    """log P(answers | cause) / P(answers | unknown) of the hypotheses that care; None where no cause does."""
    rows = tables.rows.get(ident)
    if not rows:
        return None
    if len(answers) == 1:
        return tables.moves[ident][next(iter(answers))]
    # in a fixed order: sets are walked differently in every process, and the last bit would follow
    left = [a for a in tables.usual[ident] if a in answers]
    usual = sum(tables.usual[ident][a] for a in left)
    return {i: safe_log(sum(row[a] for a in left) / usual) for i, row in rows.items()}


def _told_terms(tables: Tables, evidence: Evidence, ident: str) -> Moves | None:
    """The terms of what is known of an observation: less of what only words told, for causes that they raise too."""
    terms = answer_terms(tables, ident, evidence.answers[ident])
    if not terms or not evidence.say or not _only_heard(evidence, ident):
        return terms
    share = 1 - (1 - HEARD_COUNTS) * left_to_words(evidence) * evidence.by_ear
    return {i: share * t if t > 0 else t for i, t in terms.items()}


def _only_heard(evidence: Evidence, ident: str) -> bool:
    return evidence.heard.issuperset(AXES) if ident == FEEL else ident in evidence.heard


def answer_moves(tables: Tables, evidence: Evidence, ident: str, answer: str) -> Moves:
    """By how much one more answer moves the log ratio of each hypothesis to `unknown`.

    Exactly what `believe` would find, but only what the answer touches is worked out: its overlap group
    and the odds that it sets off.
    """
    observation, left = by_observation(evidence.answers, ident, frozenset((answer,)))
    group = _group(tables, observation)
    mates = [i for i in evidence.answers if _group(tables, i) == group]
    stirred = tables.stirred.get(observation, ())  # what only phase or balance sets off is not foreseen
    if not (mates or stirred):
        return answer_terms(tables, observation, left) or {}
    then = evidence.answering(ident, answer)
    moves: Moves = {}
    for sign, known in ((1.0, then), (-1.0, evidence)):
        members = [
            (i, t)
            for i in sorted({observation, *mates})
            if i in known.answers and (t := _told_terms(tables, known, i))
        ]
        for _, terms in _without_overlap(tables, group, members):
            for i, term in terms.items():
                moves[i] = moves.get(i, 0.0) + sign * term
    for i, odds in stirred:
        now, before = (conditions.holds(odds.where, e.facts) for e in (then, evidence))
        if now != before:
            moves[i] = moves.get(i, 0.0) + math.log(odds.times) * (now - before)
    return moves


def _without_overlap(
    tables: Tables, group: str, members: list[tuple[str, Moves]]
) -> Iterable[tuple[str, Moves]]:
    """The strongest observation of a group counts whole, the others keep a share of their weight."""
    overlap = tables.book.overlaps.get(group)
    if overlap is None or len(members) < 2:
        yield from members
        return
    prior = tables.prior
    strength = {ident: sum(prior[i] * abs(t) for i, t in moves.items()) for ident, moves in members}
    strongest = max(strength, key=lambda ident: (strength[ident], ident))
    for ident, moves in members:
        yield ident, moves if ident == strongest else {i: overlap.kept * t for i, t in moves.items()}


def _odds_terms(tables: Tables, evidence: Evidence) -> Iterable[tuple[str, Terms]]:
    """Setup values and conditions that multiply the odds of a cause, one ledger line for each circumstance."""
    lines: dict[str, Terms] = {}
    for i, ident in enumerate(tables.hypotheses[:-1]):
        for odds in tables.book.causes[ident].odds:
            if conditions.holds(odds.where, evidence.facts):
                line = lines.setdefault(" & ".join(sorted(odds.where)), [0.0] * len(tables.hypotheses))
                line[i] += math.log(odds.times)
    yield from lines.items()
