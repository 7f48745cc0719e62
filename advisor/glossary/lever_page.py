"""What an entry says of a lever: what each way does, who disagrees, how to try it, what else gives the same."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from advisor.glossary.find import Key
from advisor.glossary.page import EFFECTS, SEE, Entry, capital, cited, listed, regime_in_words, see_also
from advisor.model.knowledge import UNSOURCED, Book
from advisor.model.levers import Lever
from advisor.model.scale import PROBABILITY

TWO_WAYS = 3  # a lever with more ways than up, down and level tells half as much of each, and not this:
SHORTENED = ("Why", "Sources")


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


def of_lever(book: Book, lever: Lever) -> Entry:
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
        see_also(book, Key("lever", lever.id), _beside(book, lever)),
        cited(sources),
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
    gives = "; ".join(f"{word} {listed(names)}" for word, names in (("more", more), ("less", less)) if names)
    first = strongest[0]
    why = first.because if not first.turned else f"The other way round: {first.because}"
    back = " The other way does the opposite." if lever.ways[name].opposite else ""
    told = [(capital(say), f"{gives}.{back}"), ("Why", why), *_splits(book, claims, most)]
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
    head = f"{capital(more)} {_effect_name(book, first)}: {_tally(first)}"
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
        texts += [f"While {book.jobs[lever.job].open}: {listed(beside[:3])} too."] if beside else []
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


def giving(book: Book, effect: str) -> list[str]:
    """The ways that give more of an effect in any regime, the strongest first, with their sources."""
    found = []
    for lever in book.levers.values():
        for name, way in lever.ways.items():
            claims = [c for c in _claims(book, lever, name) if c.effect == effect]
            if claims and claims[0].more and not (claims[0].turned and way.opposite is None):
                regime = f", {claims[0].regime}" if claims[0].regime else ""
                found.append((claims[0].supplies, f"{way.say} ({_tally(claims[0])}{regime})"))
    return [text for _, text in sorted(found, key=lambda f: -f[0])]
