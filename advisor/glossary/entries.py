"""The text of an entry, made from its record: what it is, where, what it does, who disagrees, how to try it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from advisor.glossary.find import Key, named, records
from advisor.model.knowledge import BALANCES, PHASES, UNSOURCED, Book, Cause, Observation, Term
from advisor.model.levers import Effect, Lever
from advisor.model.scale import BASE_RATE, PROBABILITY

# How much of a long record is told: an entry is to be read standing, in about twenty-five lines of eighty.
EFFECTS, SIGNS, SUSPECTS, HELPS, SEE, SOURCES = 4, 3, 2, 4, 5, 6
TWO_WAYS = 3  # a lever with more ways than up, down and level tells half as much of each, and not this:
SHORTENED = ("Why", "Sources")
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


@dataclass(frozen=True, slots=True)
class Entry:
    """A title, what kind of thing it is, paragraphs as label and text, names to read next, sources."""

    title: str
    kind: str
    paragraphs: tuple[tuple[str, str], ...]
    see: tuple[str, ...] = ()
    sources: str = ""


def entry(book: Book, key: Key) -> Entry:
    """The text of an entry. Raises KeyError for a record that is not there."""
    if key.kind == "term":
        return _term(book, book.glossary[key.id])
    if key.kind == "lever":
        return _lever(book, book.levers[key.id])
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
    yield "what is asked about", tuple(_label(o.id) for o in book.observations.values())


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
        _see(book, Key("term", term.id), term.see),
        _cited(term.source),
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


# --- levers -----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Claim:
    """What one way of a lever does to one effect in one regime, with its sources."""

    effect: str
    more: bool
    supplies: float
    because: str
    regime: str
    agree: tuple[str, ...]
    disagree: tuple[str, ...]
    turned: bool  # the record says it of the opposite way


def _lever(book: Book, lever: Lever) -> Entry:
    paragraphs = [("", lever.plain)]
    sources = list(lever.source)
    ways = dict(lever.ways)
    most = EFFECTS if len({g.way for g in lever.gives} | ways.keys()) <= TWO_WAYS else EFFECTS // 2
    while ways:
        name, way = next(iter(ways.items()))
        ways = {n: w for n, w in ways.items() if n not in (name, way.opposite)}
        claims = _claims(book, lever, name)
        sources += [s for c in claims for s in (*c.agree, *c.disagree)]
        paragraphs += _what_it_does(book, lever, name, claims, most)
    paragraphs.append(("How to try it", _trying(book, lever)))
    paragraphs += [("Care", " ".join(lever.cautions))] if lever.cautions else []
    turned = any(way.opposite for way in lever.ways.values())
    kind = "something to change" if turned else "something to check or do"
    return Entry(
        lever.name,
        kind,
        tuple(paragraphs),
        _see(book, Key("lever", lever.id), _beside(book, lever)),
        _cited(sources),
    )


def _claims(book: Book, lever: Lever, name: str) -> list[_Claim]:
    """Every claim about a way and its opposite, said of that way, the strongest first."""
    found = []
    for gives in lever.gives:
        if gives.way not in (name, lever.ways[name].opposite):
            continue
        turned = gives.way != name
        more = (gives.change == "more") != turned
        regime = regime_in_words(book, gives.where)
        found.append(
            _Claim(
                gives.effect,
                more,
                PROBABILITY[gives.supplies],
                gives.because,
                regime,
                gives.agree,
                gives.disagree,
                turned,
            )
        )
    return sorted(found, key=lambda c: (bool(c.regime), -c.supplies))


def _what_it_does(
    book: Book, lever: Lever, name: str, claims: Sequence[_Claim], most: int
) -> list[tuple[str, str]]:
    """What a way does, why, and where the sources are split or the direction turns round."""
    say = lever.ways[name].say
    if not claims:
        return []
    best: dict[str, _Claim] = {}
    for claim in claims:  # of several regimes the general claim, else the strongest
        best.setdefault(claim.effect, claim)
    strongest = sorted(best.values(), key=lambda c: -c.supplies)[:most]
    more = [_effect_name(book, c) for c in strongest if c.more]
    less = [_effect_name(book, c) for c in strongest if not c.more]
    gives = "; ".join(f"{word} {_listed(names)}" for word, names in (("more", more), ("less", less)) if names)
    first = strongest[0]
    why = first.because if not first.turned else f"The other way round: {first.because}"
    back = " The other way does the opposite." if lever.ways[name].opposite else ""
    told = [(_capital(say), f"{gives}.{back}"), ("Why", why), *_splits(book, claims, most)]
    return told if most == EFFECTS else [(label, text) for label, text in told if label not in SHORTENED]


def _effect_name(book: Book, claim: _Claim) -> str:
    name = book.effects[claim.effect].name
    return f"{name} ({claim.regime})" if claim.regime else name


def _splits(book: Book, claims: Sequence[_Claim], most: int) -> list[tuple[str, str]]:
    """The effects whose direction is contested, or turns round with the regime, with counts of sources."""
    by_effect: dict[str, list[_Claim]] = {}
    for claim in claims:
        by_effect.setdefault(claim.effect, []).append(claim)
    split = [
        told
        for told in by_effect.values()
        if any(c.disagree for c in told) or len({c.more for c in told}) > 1
    ]
    split.sort(key=lambda told: -sum(len(c.agree) + len(c.disagree) for c in told))
    texts = [_split(book, told, max(1, most - 1 - 2 * i)) for i, told in enumerate(split[: most // 2])]
    if texts:
        return [("Sources are split", " ".join(texts))]
    return [("Sources", f"{_tally(claims[0])}, on {book.effects[claims[0].effect].name}.")]


def _split(book: Book, told: Sequence[_Claim], most: int) -> str:
    """The general claim, then the regimes: "more side bite: 8 for, 3 against (tyres cold: the other way, 1 for)"."""
    first, rest = told[0], sorted(told[1:], key=lambda c: c.more == told[0].more)[:most]
    parts = [f"{c.regime}: {'' if c.more == first.more else 'the other way, '}{_tally(c)}" for c in rest]
    more = "more" if first.more else "less"
    head = f"{_capital(more)} {_effect_name(book, first)}: {_tally(first)}"
    return f"{head} ({'; '.join(parts)})." if parts else f"{head}."


def _tally(claim: _Claim) -> str:
    """Pages for and against; what the trade says with nobody to name is no page."""
    agree, disagree = ([s for s in ids if s not in UNSOURCED] for ids in (claim.agree, claim.disagree))
    if agree or disagree:
        return f"{len(agree) or 'none'} for" + (f", {len(disagree)} against" if disagree else "")
    return "common practice, no source" if "common_practice" in claim.agree else "from memory, no source"


def _trying(book: Book, lever: Lever) -> str:
    """Step, range, part, work and the run that judges it."""
    texts = []
    if lever.step:
        each = f" a {lever.step.per}" if lever.step.per else ""
        texts.append(f"One step is {lever.step.amount.replace('deg', 'degree')}{each}.")
    bounds = [f"{word} {value}" for word, value in (("least", lever.least), ("most", lever.most)) if value]
    texts += [f"Limits without a class rule: {', '.join(bounds)}."] if bounds else []
    texts += ["It takes a part from the trailer."] if lever.part else []
    texts.append(f"{lever.minutes} minutes of work." if lever.minutes else "No work on the kart.")
    if lever.job:
        beside = [v.name for v in book.levers.values() if v.job == lever.job and v.id != lever.id]
        texts += [f"While {book.jobs[lever.job].open}: {_listed(beside[:3])} too."] if beside else []
    texts += ["Judge it after two runs."] if lever.runs > 1 else []
    if any(way.opposite for way in lever.ways.values()):
        texts.append("Change only this, drive five laps; if it is worse, put it back.")
    return " ".join(texts)


def _beside(book: Book, lever: Lever) -> list[str]:
    """What to read next: the terms that point here, and the levers that give the same effects."""
    terms = [t.id for t in book.glossary.values() if lever.id in t.see]
    mine = {g.effect for g in lever.gives}
    alike = {v.id: len(mine & {g.effect for g in v.gives}) for v in book.levers.values() if v.id != lever.id}
    return [
        *terms[: 3 if mine else SEE],
        *(ident for ident in sorted(alike, key=lambda i: -alike[i]) if alike[ident]),
    ]


# --- effects, questions, causes ---------------------------------------------------------------------


def _effect(book: Book, effect: Effect) -> Entry:
    giving = _giving(book, effect.id)
    needing = [c for c in book.causes.values() if any(n.effect == effect.id for n in c.needs)]
    needing.sort(key=lambda c: -BASE_RATE[c.base])
    paragraphs = [
        ("More of it", f"{effect.more_feels}."),
        ("Less of it", f"{effect.less_feels}."),
        ("For more, strongest first", f"{'; '.join(giving[: EFFECTS + 2])}." if giving else ""),
        ("Asked for when", f"{'; '.join(c.name for c in needing[:HELPS])}." if needing else ""),
    ]
    levers = [v.id for v in book.levers.values() if any(g.effect == effect.id for g in v.gives)]
    kept = tuple((label, text) for label, text in paragraphs if text)
    return Entry(
        effect.name, "what a change gives or takes", kept, _see(book, Key("effect", effect.id), levers)
    )


def _giving(book: Book, effect: str) -> list[str]:
    """The ways that give more of an effect in any regime, the strongest first, with their sources."""
    found = []
    for lever in book.levers.values():
        for name, way in lever.ways.items():
            claims = [c for c in _claims(book, lever, name) if c.effect == effect]
            if claims and claims[0].more and not (claims[0].turned and way.opposite is None):
                regime = f", {claims[0].regime}" if claims[0].regime else ""
                found.append((claims[0].supplies, f"{way.say} ({_tally(claims[0])}{regime})"))
    return [text for _, text in sorted(found, key=lambda f: -f[0])]


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
        _see(book, Key("question", observation.id), terms),
        _cited(observation.source),
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
        _see(book, Key("cause", cause.id), see),
        _cited(cause.source),
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
            weighed.append((ratio, f"{_label(sign.ask)}: {given.text}"))
    speaking = [text for ratio, text in sorted(weighed, key=lambda w: -w[0]) if ratio >= TELLING]
    against = [text for ratio, text in sorted(weighed, key=lambda w: w[0]) if ratio <= 1 / TELLING]
    return speaking, against


def _helping(book: Book, cause: Cause) -> str:
    ways = [book.levers[r.lever].ways[r.direction].say for r in cause.remedies]
    ways += [f"{need.change} {book.effects[need.effect].name}" for need in cause.needs]
    ways += ["putting the last change back"] if cause.undoes_change else []
    detail = next((f" {r.detail}" for r in cause.remedies if r.detail), "")
    return f"{_capital('; '.join(dict.fromkeys(ways[:HELPS])))}.{detail}" if ways else ""


# --- words ------------------------------------------------------------------------------------------

_HEADS = {"tyre_heat_end": "hotter at", "hop_start": "hopping set off by", "machine": "on a"}


def regime_in_words(book: Book, where: dict[str, str]) -> str:
    """Where a claim holds, for people: "track wet or damp"."""
    texts = []
    for path, test in where.items():
        name = path.removeprefix("observed.").split(".")[-1]
        head = book.levers[name].name if path.startswith("setup.") and name in book.levers else ""
        head = head or _HEADS.get(name, _label(name))
        for sign, word in (("<", "under"), (">", "over"), ("|", " or "), ("_", " ")):
            test = test.replace(sign, word)
        texts.append(f"{head} {test}")
    return " and ".join(texts)


def _label(ident: str) -> str:
    return ident.replace("_", " ")


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _listed(names: Sequence[str]) -> str:
    return ", ".join(names[:-1]) + (" and " if len(names) > 1 else "") + names[-1] if names else ""


def _see(book: Book, own: Key, idents: Iterable[str]) -> tuple[str, ...]:
    titles = records(book)
    keys = [key for ident in dict.fromkeys(idents) if (key := named(book, ident)) is not None and key != own]
    return tuple(titles[key] if key.kind != "question" else _label(key.id) for key in keys[:SEE])


def _cited(sources: Iterable[str]) -> str:
    """Sources for a reader: pages by id, and what has none."""
    ids = list(dict.fromkeys(sources))
    pages = [s for s in ids if s not in UNSOURCED]
    more = f" and {len(pages) - SOURCES} more" if len(pages) > SOURCES else ""
    said = [", ".join(pages[:SOURCES]) + more] if pages else []
    words = {"common_practice": "common practice, no source", "memory": "memory, no source"}
    return "; ".join([*said, *(words[s] for s in UNSOURCED if s in ids)])
