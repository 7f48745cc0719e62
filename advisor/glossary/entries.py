"""The text of an entry, made from its record: what it is, where, what it does, who disagrees, how to try it."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.glossary.find import Key
from advisor.glossary.lever_page import giving, of_lever
from advisor.glossary.page import (
    EFFECTS,
    HELPS,
    SIGNS,
    SUSPECTS,
    Entry,
    capital,
    cited,
    label,
    see_also,
)
from advisor.model.knowledge import BALANCES, PHASES, Book, Cause, Observation, Term
from advisor.model.levers import Effect
from advisor.model.scale import BASE_RATE, PROBABILITY

TELLING = 3.0  # how much likelier than usual an answer is with a cause to be called a sign of it
FELT = 0.3  # how often a feel must come with a cause to be told of it

FAMILIES = {
    "handling": "what a kart does",
    "driving": "driving",
    "chassis": "a part or a setting of the kart",
    "tyres": "tyres",
    "engine": "engine and drive",
    "weight": "weight",
    "track": "the track and its corners",
    "testing": "trying and measuring",
}


def entry(book: Book, key: Key) -> Entry:
    """The text of an entry. Raises KeyError for a record that is not there."""
    if key.kind == "term":
        return _term(book, book.glossary[key.id])
    if key.kind == "lever":
        return of_lever(book, book.levers[key.id])
    if key.kind == "effect":
        return _effect(book, book.effects[key.id])
    if key.kind == "question":
        return _question(book, book.observations[key.id])
    return _cause(book, book.causes[key.id])


def families(book: Book) -> Iterator[tuple[str, tuple[str, ...]]]:
    """What can be asked for, by family."""
    for family, title in FAMILIES.items():
        yield title, tuple(t.name for t in book.glossary.values() if t.family == family)
    turned = {v.id for v in book.levers.values() if any(way.opposite for way in v.ways.values())}
    yield "what can be changed", tuple(v.name for v in book.levers.values() if v.id in turned)
    yield "what can be checked or done", tuple(v.name for v in book.levers.values() if v.id not in turned)
    yield "what a change gives", tuple(e.name for e in book.effects.values())
    yield "what is asked about", tuple(label(o.id) for o in book.observations.values())


# --- terms ------------------------------------------------------------------------------------------


def _term(book: Book, term: Term) -> Entry:
    paragraphs = [("", term.plain)]
    parts = (
        ("Where", term.where),
        ("Why", term.why),
        ("Try it", term.practise),
        ("You should feel", term.feel),
        ("Light or tall drivers", term.drivers),
    )
    paragraphs += [(label, text) for label, text in parts if text]
    paragraphs += _suspects(book, term.id) if term.id in BALANCES else []
    paragraphs += [("Care", " ".join(term.care))] if term.care else []
    return Entry(
        term.name,
        FAMILIES[term.family],
        tuple(paragraphs),
        see_also(book, Key("term", term.id), term.see),
        cited(term.source),
    )


def _suspects(book: Book, balance: str) -> list[tuple[str, str]]:
    """The causes that most often make a kart do this, by the part of the corner."""
    told = []
    for phase in PHASES:
        share = {
            cause.name: BASE_RATE[cause.base] * PROBABILITY[getattr(cause.feel, balance).get(phase, _RARE)]
            for cause in book.causes.values()
            if cause.feel and getattr(cause.feel, balance)
        }
        first = sorted(share, key=lambda name: -share[name])[:SUSPECTS]
        if first and share[first[0]] >= 1:
            told.append(f"{phase}: {'; '.join(first)}")
    return [("First suspects", ". ".join(told) + ".")] if told else []


_RARE = "exceptionally unlikely"


# --- effects, questions, causes ---------------------------------------------------------------------


def _effect(book: Book, effect: Effect) -> Entry:
    ways = giving(book, effect.id)
    needing = [c for c in book.causes.values() if any(n.effect == effect.id for n in c.needs)]
    needing.sort(key=lambda c: -BASE_RATE[c.base])
    paragraphs = [
        ("More of it", f"{effect.more_feels}."),
        ("Less of it", f"{effect.less_feels}."),
        ("For more, strongest first", f"{'; '.join(ways[: EFFECTS + 2])}." if ways else ""),
        ("Asked for when", f"{'; '.join(c.name for c in needing[:HELPS])}." if needing else ""),
    ]
    levers = [v.id for v in book.levers.values() if any(g.effect == effect.id for g in v.gives)]
    kept = tuple((label, text) for label, text in paragraphs if text)
    return Entry(
        effect.name, "what a change gives or takes", kept, see_also(book, Key("effect", effect.id), levers)
    )


def _question(book: Book, observation: Observation) -> Entry:
    answers = []
    for ident, answer in observation.answers.items():
        causes = [cause for ratio, cause in _speaking(book, observation.id, ident) if ratio >= TELLING]
        points = f" (points to: {causes[0].name})" if causes else ""
        answers.append(f"{answer.text}{' (do not drive until that is seen to)' if answer.alarm else points}")
    how = {"remember": "from memory", "look": "by looking", "measure": "by measuring"}[observation.effort]
    paragraphs = (
        ("", observation.plain),
        ("Answers", f"{'; '.join(answers)}."),
        ("How to know", f"{how}, about {observation.seconds} seconds."),
    )
    terms = [t.id for t in book.glossary.values() if observation.id in t.see]
    return Entry(
        observation.question,
        "a question",
        paragraphs,
        see_also(book, Key("question", observation.id), terms),
        cited(observation.source),
    )


def _speaking(book: Book, ident: str, answer: str) -> list[tuple[float, Cause]]:
    """The causes that an answer speaks for, with how much likelier it is with them; the most telling first."""
    usual = PROBABILITY[book.observations[ident].answers[answer].usual]
    found = [
        (PROBABILITY[sign.answers[answer]] / usual, cause)
        for cause in book.causes.values()
        for sign in cause.signs
        if sign.ask == ident and answer in sign.answers
    ]
    return sorted(found, key=lambda f: -f[0] * BASE_RATE[f[1].base])


def _cause(book: Book, cause: Cause) -> Entry:
    stop = cause.danger.text if cause.danger else ""
    paragraphs = [("", cause.plain), ("STOP", stop), ("It feels like", _feels(book, cause))]
    speaking, against = _signs(book, cause)
    paragraphs += [
        ("Speaks for it", f"{'; '.join(speaking[:SIGNS])}." if speaking else ""),
        ("Speaks against it", f"{'; '.join(against[:SIGNS])}." if against else ""),
        ("What helps", _helping(book, cause)),
    ]
    see = [r.lever for r in cause.remedies] + [n.effect for n in cause.needs]
    kept = tuple((label, text) for label, text in paragraphs if text)
    return Entry(
        cause.name,
        f"a cause, {cause.kind}",
        kept,
        see_also(book, Key("cause", cause.id), see),
        cited(cause.source),
    )


def _feels(book: Book, cause: Cause) -> str:
    told = []
    balances = book.observations["balance"].answers if "balance" in book.observations else {}
    for balance in BALANCES if cause.feel else ():
        cells = getattr(cause.feel, balance)
        phases = [phase for phase in PHASES if PROBABILITY[cells.get(phase, _RARE)] >= FELT]
        if phases:
            what = balances[balance].text if balance in balances else balance
            told.append(f"{what}: {', '.join(phases)}")
    return f"{'; '.join(told)}." if told else ""


def _signs(book: Book, cause: Cause) -> tuple[list[str], list[str]]:
    """The answers that speak for and against a cause, in their own words, the most telling first."""
    weighed = []
    for sign in cause.signs:
        for answer, word in sign.answers.items():
            given = book.observations[sign.ask].answers[answer]
            ratio = PROBABILITY[word] / PROBABILITY[given.usual]
            weighed.append((ratio, f"{label(sign.ask)}: {given.text}"))
    speaking = [text for ratio, text in sorted(weighed, key=lambda w: -w[0]) if ratio >= TELLING]
    against = [text for ratio, text in sorted(weighed, key=lambda w: w[0]) if ratio <= 1 / TELLING]
    return speaking, against


def _helping(book: Book, cause: Cause) -> str:
    ways = [book.levers[r.lever].ways[r.direction].say for r in cause.remedies]
    ways += [f"{need.change} {book.effects[need.effect].name}" for need in cause.needs]
    ways += ["putting the last change back"] if cause.undoes_change else []
    detail = next((f" {r.detail}" for r in cause.remedies if r.detail), "")
    return f"{capital('; '.join(dict.fromkeys(ways[:HELPS])))}.{detail}" if ways else ""


# --- words ------------------------------------------------------------------------------------------
