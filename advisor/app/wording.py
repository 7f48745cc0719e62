"""The words of a short screen: what is known in one line, a change in three, a chance as people count."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace

from advisor.app.prompt import Row
from advisor.model.advice import Advice, Amount, Answer, Target
from advisor.model.case import Case, Limit, Tried
from advisor.model.knowledge import Book
from advisor.model.scale import percent
from advisor.units import Quantity, find_unit

_NUMBERS = (
    "no",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
)
# From each of these chances on; between them the natural frequency is said, which people judge best (Gigerenzer and
# Hoffrage, How to improve Bayesian reasoning without instruction, Psychological Review 102, 1995).
_OFTEN = (
    (0.95, "nearly always"),
    (0.85, "nine in ten"),
    (0.77, "four in five"),
    (0.71, "three in four"),
    (0.58, "two in three"),
    (0.45, "one in two"),
    (0.37, "two in five"),
)
RARE = 0.02  # below this a chance is a long shot


def often(p: float) -> str:
    """A chance in words: "one in ten", "two in three", "a long shot"."""
    for least, words in _OFTEN:
        if p >= least:
            return words
    if p < RARE:
        return "a long shot"
    many = max(2, round(1 / p))
    return f"one in {_NUMBERS[many] if many < len(_NUMBERS) else many}"


def chance(p: float) -> str:
    """A chance in words and per cent."""
    return f"{often(p)} ({percent(p)})"


# Steps that people set a value in, by unit: common practice, no source.
_SET_IN = {
    "psi": 0.5, "bar": 0.05, "kPa": 5.0, "mm": 0.5, "cm": 0.1, "in": 0.0625, "deg": 0.5, "kg": 0.5, "g": 50.0,
    "lb": 1.0, "degC": 1.0, "degF": 1.0,
}  # fmt: skip


def as_set(advice: Advice, book: Book, rule: Limit | None) -> Advice:
    """The same change with its values rounded to what people set, where the class rule stays kept.

    A value that a rule or a stop has cut is left as it is, and so are grades and pieces.
    """
    amount, to = advice.amount, advice.to
    grid = _SET_IN.get(to.unit if to else amount.unit if amount else "")
    if amount is None or grid is None:
        return advice
    if to is None:
        return replace(advice, amount=replace(amount, value=round(_on(amount.value, grid), 3)))
    if to.si is None or isinstance(to.since, str) or isinstance(to.value, str) or to.since is None:
        return advice
    value = _on(to.value, grid)
    unit = find_unit(to.unit)
    if unit is None or value == to.since or not _within(Quantity.of(value, unit), rule):
        return advice
    step = book.levers[advice.lever].step
    each = abs(value - to.since) / (step.counts if step else 1)
    return replace(
        advice,
        to=Target(value, to.unit, Quantity.of(value, unit), to.since),
        amount=Amount(round(each, 3), amount.unit, amount.per),
    )


def likely(found: Answer, changes: Iterable[Advice]) -> tuple[Advice, ...]:
    """The changes that are no long shots; all of what is prepared."""
    return tuple(a for a in changes if a.chance >= RARE or found.understood.get("preparing"))


def all_as_set(found: Answer, book: Book, rules: Mapping[str, Limit]) -> Answer:
    """A whole answer with its values rounded to what people set."""
    each = (replace(a, detail=_parts_as_set(a, book, rules)) for a in found.advice)
    return replace(found, advice=tuple(as_set(a, book, rules.get(a.lever)) for a in each))


def _parts_as_set(advice: Advice, book: Book, rules: Mapping[str, Limit]) -> str | None:
    """The detail of a change that turns several parts, what each comes to rounded likewise."""
    text = advice.detail
    for part in book.levers[advice.lever].parts if text and not advice.to else ():
        told = re.search(
            rf"(?i)({re.escape(book.levers[part].name)} from ([\d.]+) to )([\d.]+) (\w+)", text or ""
        )
        unit = find_unit(told[4]) if told else None
        grid = _SET_IN.get(told[4]) if told else None
        if text is None or told is None or unit is None or grid is None:
            continue
        value = _on(float(told[3]), grid)
        if value != float(told[2]) and _within(Quantity.of(value, unit), rules.get(part)):
            text = text.replace(told[0], f"{told[1]}{value:g} {told[4]}")
    return text


def _on(value: float, grid: float) -> float:
    """The nearest value that can be set; never nothing."""
    return round(max(1, round(value / grid)) * grid, 4) if value > 0 else round(round(value / grid) * grid, 4)


def _within(value: Quantity, rule: Limit | None) -> bool:
    if rule is None:
        return True
    if rule.only:
        return False
    low, high = rule.least, rule.most
    over = isinstance(high, Quantity) and value.si > high.si + 1e-9
    under = isinstance(low, Quantity) and value.si < low.si - 1e-9
    return not over and not under


def headline(advice: Advice) -> str:
    """The change in one line: what to do, how much and what results."""
    text = advice.say[:1].upper() + advice.say[1:]
    if advice.amount and advice.amount.unit not in ("grade", "piece"):
        each = f" a {advice.amount.per}" if advice.amount.per else ""
        text += f" by {advice.amount.value:g} {advice.amount.unit}{each}"
    elif advice.amount:
        each = f" a {advice.amount.per}" if advice.amount.per else ""
        text += f" by one {advice.amount.unit}{each}"
    return text + (from_to(advice.to) if advice.to else "")


def from_to(to: Target) -> str:
    """From where to where, in one unit."""
    unit = "" if to.unit in ("grade", "piece") else f" {to.unit}"
    since, value = (f"{v:g}" if isinstance(v, float | int) else v for v in (to.since, to.value))
    return f", from {since} to {value}{unit}" if to.since is not None else f", to {value}{unit}"


def change(place: int, offered: Sequence[Advice], book: Book, tried: Sequence[Tried] = ()) -> tuple[Row, ...]:
    """One change in three lines: what to do, from where to where; minutes and chance; how it is done."""
    advice, above = offered[place - 1], offered[: place - 1]
    figures = f"{minutes(advice.minutes)}; cures {chance(advice.chance)}"
    return (
        Row(
            f"{place}  {headline(advice)}{each_part(advice, book)}",
            "bold",
            indent=1,
            hang=3,
            most=2,
            group=place,
        ),
        Row(figures, indent=4, most=1, group=place),
        Row(
            f"{_more(advice, tried)}{_out_of_order(advice, above)}{how(advice, book)}",
            indent=4,
            most=2,
            rank=5,
            group=place,
        ),
    )


def _more(advice: Advice, tried: Sequence[Tried]) -> str:
    """That a change was tried before and helped."""
    key = (advice.lever, advice.direction, "better")
    return "It helped: more of it. " if any((t.lever, t.direction, t.verdict) == key for t in tried) else ""


def _out_of_order(advice: Advice, above: Sequence[Advice]) -> str:
    """Why a change that is likelier to cure stands below others."""
    less = [a for a in above if round(a.chance, 2) < round(advice.chance, 2)]
    if not less:
        return ""
    longer = advice.minutes > max(a.minutes for a in less)
    return "Likelier, takes longer. " if longer else "Likelier, less sure which way. "


def minutes(number: int) -> str:
    return "no work" if number == 0 else f"{number} min"


def each_part(advice: Advice, book: Book) -> str:
    """From where to where, where a change turns several parts: ": front 11 to 11.5 psi; rear 12 to 12.5 psi"."""
    parts = [book.levers[part].name.split() for part in book.levers[advice.lever].parts]
    if not parts or advice.amount or advice.to or not advice.detail:
        return ""
    shared = {"from"}.union(set(parts[0]).intersection(*parts))  # the change itself says "pressures"
    told = advice.detail.partition(". ")[0].rstrip(".")
    return f": {told[:1].lower()}{' '.join(word for word in told.split() if word not in shared)[1:]}"


def how(advice: Advice, book: Book) -> str:
    """What is done, in words that a parent could carry out."""
    lever = book.levers[advice.lever]
    return (lever.do if lever.ways[advice.direction].opposite else "") or advice.detail or lever.plain


def label(ident: str) -> str:
    """What a fact is called."""
    names = {
        "changed": "changed before", "tried": "tried before", "respelt": "read as", "idea": "asked about",
        "keep": "to be kept",
    }  # fmt: skip
    second = ident.removeprefix("secondary.")
    return (f"second fault, {second}" if second != ident else names.get(ident, ident)).replace("_", " ")


def fact(ident: str, value: object, book: Book) -> str:
    """What is known of it, in words."""
    if value is True:
        return "yes"
    observation = book.observations.get(ident.removeprefix("secondary."))
    if isinstance(value, dict):
        return ", ".join(f"{typed} as {read}" for typed, read in value.items())
    values = value if isinstance(value, list) else [value]
    if observation is None:
        if ident == "keep":
            return ", ".join(book.effects[str(v)].name for v in values)
        return ", ".join(f"{_turn(turn, book)}{came}" for turn, came in map(_came, values))
    return " or ".join(
        observation.answers[str(v)].text if str(v) in observation.answers else str(v) for v in values
    )


def _came(value: object) -> tuple[str, str]:
    """A change and what came of it: "axle_stiffness softer: same"."""
    turn, _, came = str(value).partition(": ")
    return turn, f" ({'no change' if came == 'same' else came})" if came else ""


def by_figures(ident: str, follows: Collection[str]) -> str:
    """What is added to a fact that nobody told: it follows from the kart's figures."""
    return " (from the kart's figures)" if ident in follows else ""


def came(trial: Tried) -> str:
    """What came of a change, or of an inspection that put something right."""
    return "put right, but the fault stayed" if trial.mended else trial.verdict


def _turn(text: str, book: Book) -> str:
    """A change named by its ids, in words."""
    lever, _, way = text.partition(" ")
    entry = book.levers.get(lever)
    if entry is None:
        return text.replace("_", " ")
    return entry.ways[way].say if way in entry.ways else entry.name


_ASIDE = re.compile(r" \([^)]*\)")
SPEAKS_ALONE = ("phase", "balance", "subject")  # facts that need no label


def known(facts: Mapping[str, object], case: Case, book: Book) -> Row:
    """What is known, in one line, the kart and the latest news first."""
    told = [
        _ASIDE.sub("", fact(i, v, book) if i in SPEAKS_ALONE else f"{label(i)}: {fact(i, v, book)}")
        for i, v in facts.items()
        if i != "respelt"
    ]
    if case.minutes is not None:
        told.append(f"{case.minutes:g} min left")
    if case.kart_file:
        told.insert(0, case.kart_file)
    text = "; ".join(told) if told else "nothing yet"
    return Row(f"Known: {text}", "dim", most=1, rank=2)


def listed(facts: Mapping[str, object], book: Book) -> str:
    """Some facts in a sentence."""
    return "; ".join(f"{label(i)}: {fact(i, v, book)}" for i, v in facts.items())


def name(book: Book, lever: str, direction: str) -> str:
    """A lever and its direction for people: what to do."""
    entry = book.levers[lever]
    return entry.ways[direction].say if direction in entry.ways else f"{entry.name}, {direction}"


def reversible(book: Book, lever: str, direction: str) -> bool:
    """True for a change that can be put back; checks and habits cannot."""
    way = book.levers[lever].ways.get(direction) if lever in book.levers else None
    return way is not None and way.opposite is not None


def joined(texts: Sequence[str]) -> str:
    """Some things as people list them."""
    return texts[0] if len(texts) == 1 else f"{', '.join(texts[:-1])} and {texts[-1]}"
