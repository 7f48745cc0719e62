"""A sum asked in words: which one is meant, what the words give, what is assumed, and what is still missing."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace

from advisor.sums.nomenclature import LOOKED_UP, NAMES
from advisor.sums.reading import read
from advisor.sums.registry import SUMS
from advisor.sums.rows import Sum
from advisor.sums.working import Outcome, WrongValuesError, done
from advisor.units import find_unit

LONGEST = 300  # letters of a question that are read
NEAR = 28  # letters between a number and the word that tells what it is
_NUMBERS = {
    "zero": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9,
    "ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16,
    "seventeen": 17, "eighteen": 18, "nineteen": 19,
}  # fmt: skip
_TENS = {
    "twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80, "ninety": 90,
}  # fmt: skip
_MEASURE = re.compile(r"(?<![\w.])(-?\d+(?:[.,]\d+)?) ?([a-zA-Z%°][a-zA-Z0-9/°]*(?: oz)?)")
_PAIR = re.compile(r"(?<![\d.,:])(\d{1,2})(?: ?[/:-] ?| )(\d{2,3})(?![\d.,:%]| ?(?:mm|kg|l|c|bar|psi|rpm)\b)")
_PROPORTION = re.compile(r"(?<![\d.])(?:1 ?: ?(\d{2})|(\d{2}) ?(?::| to ) ?1)(?![\d.])")
_REVS = re.compile(r"(?<![\d.])(\d{4,5})(?: ?(?:rpm|revs))")
_BREAK = re.compile(r",|\band\b|\bif\b|\bwhen\b|\bbut\b|\d")
_BARE = re.compile(r"(?<![\w.])(?!1(?!\d))\d+(?:\.\d+)?(?![\w.]*\w)")  # any number but 1, which "one" may be
CLAUSE = 15  # letters that the beginning of a new clause, or another number, counts for
_SHORT = {"degC": "C", "degF": "F"}  # what is easily typed
Span = tuple[int, int]
_LINKS = re.compile(r"(\d{2,3}) links?\b")


@dataclass(frozen=True, slots=True)
class Answer:
    """What a question comes to.

    outcome: the sum, done, where nothing was missing; missing: names that are; line: what to type, with the numbers
    told and, for those missing, those of `instance`: the sum with ordinary numbers in their place; wrong:
    sentences about numbers that cannot be; unclear: numbers of the question that were left out; taken: names whose
    numbers were not told with the question but known before.
    """

    row: Sum
    line: str
    outcome: Outcome | None = None
    missing: tuple[str, ...] = ()
    instance: Outcome | None = None
    wrong: tuple[str, ...] = ()
    unclear: tuple[str, ...] = ()
    taken: tuple[str, ...] = ()


def asked(text: str, at_hand: Mapping[str, str] | None = None) -> Answer | None:
    """The answer to a question in words, or None where no sum is asked for.

    at_hand: numbers known before, by name, for those that the question does not tell.
    """
    plain = in_digits(text[:LONGEST])
    row = next((row for row in SUMS.values() if any(re.search(asks, plain) for asks in row.asks)), None)
    if row is None:
        return None
    want = next((want for want in row.wants if re.search(want.asks, plain)), None)
    usual = want.usual if want else row.usual
    texts, unclear = told(row, plain, want.name if want else "")
    taken = _taken(row, texts, at_hand or {}, want.name if want else "")
    found = _answer(row, {**texts, **taken}, usual, want.name if want else "")
    return replace(found, unclear=unclear, taken=tuple(taken))


def _taken(row: Sum, texts: dict[str, str], at_hand: Mapping[str, str], wanted: str) -> dict[str, str]:
    """What is known before of what the sum takes: what it needs, and choices that the question leaves open."""
    chosen = {name for choice in row.choices for name in choice.names}
    wished = [key for key in row.takes if key in at_hand and key not in texts and key != wanted]
    return {
        key: at_hand[key]
        for key in wished
        if (key in row.needs or key in chosen) and not _replaced(row, key, texts) and key not in row.assumes
    }


def _answer(row: Sum, texts: dict[str, str], usual: Mapping[str, str], wanted: str) -> Answer:
    given = read(row, texts)
    if given.problems:
        return Answer(row, _line(row, texts), wrong=tuple(given.problems))
    if texts and not given.missing:
        with suppress(WrongValuesError):
            outcome = done(row, texts, given)
            if not wanted or any(figure.name == wanted for figure in outcome.figures):
                return Answer(row, _line(row, texts), outcome)
    missing = tuple(key for key in usual if key not in texts and not _replaced(row, key, texts))
    typed = {**texts, **{key: usual[key] for key in missing}}
    try:
        instance = done(row, typed, read(row, typed))
    except WrongValuesError as error:
        return Answer(row, _line(row, typed), missing=missing, wrong=error.sentences)
    return Answer(row, _line(row, typed), missing=missing, instance=instance)


def _replaced(row: Sum, key: str, texts: dict[str, str]) -> bool:
    """True where another name of a choice of one stands in for this one."""
    return any(c.most == 1 and key in c.names and any(name in texts for name in c.names) for c in row.choices)


def _line(row: Sum, texts: dict[str, str]) -> str:
    return " ".join(("advisor compute", row.name, *(f"{key}={text}" for key, text in texts.items())))


def in_digits(text: str) -> str:
    """Small letters, and numbers in digits: "Twelve eighty-two" as "12 82", "a litre" as "1 litre"."""
    words = re.sub(r"(?<=[a-z])-(?=[a-z])", " ", text.lower().replace("’", "'")).split()
    halves = re.sub(r"\b(\d+) and a half\b", r"\1.5", " ".join(_counted(words)))
    return re.sub(r"(?<!ml )\ba (?=lit(?:re|er)\b|gallon\b)", "1 ", halves)


def _counted(words: list[str]) -> Iterator[str]:
    at = 0
    while at < len(words):
        word = words[at].rstrip(".,?!;")
        rest = words[at][len(word) :]
        if word in _TENS:
            after = words[at + 1].rstrip(".,?!;") if at + 1 < len(words) and not rest else ""
            unit = _NUMBERS.get(after, 0)
            if 0 < unit < 10:
                at, rest = at + 1, words[at + 1][len(after) :]
            yield f"{_TENS[word] + (unit if unit < 10 else 0)}{rest}"
        elif word in _NUMBERS:
            yield f"{_NUMBERS[word]}{rest}"
        else:
            yield words[at]
        at += 1


def told(row: Sum, plain: str, wanted: str = "") -> tuple[dict[str, str], tuple[str, ...]]:
    """The numbers of a question by the name that they belong to, as text, and those that stay in doubt.

    The pair of number and name whose telling word stands nearest is taken first; what is asked for gets none.
    """
    found: dict[str, str] = {}
    rest = plain
    for key, text, span in _without_unit(row, plain):
        found.setdefault(key, text)
        rest = rest[: span[0]] + " " * (span[1] - span[0]) + rest[span[1] :]
    measures = [(m, u) for m in _MEASURE.finditer(rest) if (u := LOOKED_UP.get(m[2]) or find_unit(m[2]))]
    likely = [k for k in row.takes if (k in row.cues or k in row.needs) and k != wanted and k not in found]
    open_ = {m.span(): [k for k in likely if NAMES[k].dimension == u.dimension] for m, u in measures}
    owner = _owners(row, rest, open_)
    for match, unit in measures:
        if (owned := owner.get(match.span())) is not None:
            found[owned] = f"{match[1]} {_SHORT.get(unit.name, unit.name)}"
    unclear = [match[0] for match, _ in measures if match.span() not in owner]
    for match, _ in measures:
        rest = rest[: match.start()] + " " * len(match[0]) + rest[match.end() :]
    unclear += [match[0] for match in _BARE.finditer(rest)]
    return {key: found[key] for key in row.takes if key in found}, tuple(unclear)


def _owners(row: Sum, text: str, open_: dict[Span, list[str]]) -> dict[Span, str]:
    """The name of each number: by the nearest cue, then by being the only one left of its kind."""
    owner: dict[Span, str] = {}
    pairs = sorted((_away(row, text, span, key), span, key) for span, keys in open_.items() for key in keys)
    for away, span, key in pairs:
        if away <= NEAR and span not in owner and key not in owner.values():
            owner[span] = key
    for span, keys in open_.items():
        needed = [key for key in keys if key in row.needs and key not in owner.values()]
        if span not in owner and len(needed) == 1 and len([k for k in row.needs if k in keys]) == 1:
            owner[span] = needed[0]
    for span, keys in open_.items():
        left = [key for key in keys if key not in owner.values()]
        rivals = [other for other, theirs in open_.items() if other not in owner and theirs == keys]
        if span not in owner and len(left) == 1 and len(rivals) == 1:
            owner[span] = left[0]
    return owner


def _away(row: Sum, text: str, span: Span, key: str) -> int:
    """Letters from a number to the nearest cue of a name; a new clause between them counts as many more."""
    best = 2 * NEAR
    for cue in re.finditer(row.cues.get(key, r"(?!)"), text):
        between = text[cue.end() : span[0]] if cue.end() <= span[0] else text[span[1] : cue.start()]
        best = min(best, len(between) + CLAUSE * len(_BREAK.findall(between)))
    return best


def _without_unit(row: Sum, plain: str) -> Iterator[tuple[str, str, tuple[int, int]]]:
    """Pairs of teeth, proportions, revs and links."""
    takes = row.takes
    if "engine_teeth" in takes:
        pairs = list(_PAIR.finditer(plain))
        for pair in pairs[:1]:
            yield "engine_teeth", pair[1], pair.span()
            yield "axle_teeth", pair[2], pair.span()
        if pairs[1:] and "compare" in takes:
            yield (
                "compare",
                ", ".join(f"{p[1]}/{p[2]}" for p in pairs[1:]),
                (pairs[1].start(), pairs[-1].end()),
            )
    if row.name == "clearance" and (teeth := re.search(r"(\d{2,3})(?: teeth|t\b| tooth)", plain)):
        yield "axle_teeth", teeth[1], teeth.span()
    if row.name == "premix" and (parts := _PROPORTION.search(plain)):
        yield "ratio", f"{parts[1] or parts[2]}:1", parts.span()
    if "rpm" in takes and (revs := _REVS.search(plain)):
        yield "rpm", revs[1], revs.span()
    if "links" in takes and (links := _LINKS.search(plain)):
        yield "links", links[1], links.span()
    for key in ("lambda", "afr"):
        if key in takes and (reading := re.search(rf"\b{key}\b\D{{0,12}}(\d+(?:\.\d+)?)", plain)):
            yield key, reading[1], reading.span(1)
