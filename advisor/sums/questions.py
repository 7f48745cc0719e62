"""A sum asked in words: which one is meant, what the words give, what is assumed, and what is still missing."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace

from advisor import units
from advisor.sums.bare import bare
from advisor.sums.nomenclature import LOOKED_UP, NAMES
from advisor.sums.reading import possible, read
from advisor.sums.registry import SUMS
from advisor.sums.rows import Span, Sum, Want
from advisor.sums.spoken import COOL, HOT, in_digits, scaled
from advisor.sums.working import Outcome, WrongValuesError, done, replaced, taken_from
from advisor.units import find_unit

LONGEST = 300  # letters of a question that are read
NEAR = 28  # letters between a number and the word that tells what it is
_MEASURE = re.compile(
    r"(?<![\w.])(-?\d+(?:[.,]\d+)?) ?(imp gal(?:lons?)?|imp fl oz|[a-zA-Z%°][a-zA-Z0-9/°]*(?: oz)?)"
)
_ABSOLUTE = re.compile(r"\d+(?:[.,]\d+)? ?(?:psia|(?:bar|psi|kpa) ?\(?(?:absolute|abs)\)?)\b")
_DIFFERENCE = re.compile(r"\d+(?:[.,]\d+)? ?(?:degrees?|deg|°)? ?[cf]? (?:cooler|colder|warmer|hotter)\b")
_BREAK = re.compile(r",|\band\b|\bif\b|\bwhen\b|\bbut\b|\d")
_BARE = re.compile(r"(?<![\w.])(?!1(?!\d))\d+(?:\.\d+)?(?![\w.]*\w)")  # any number but 1, which "one" may be
CLAUSE = 15  # letters that the beginning of a new clause, or another number, counts for
_SHORT = {"degC": "C", "degF": "F"}  # what is easily typed


@dataclass(frozen=True, slots=True)
class Answer:
    """What a question comes to.

    outcome: the sum, done, where nothing was missing; missing: names that are; line: what to type, with the numbers
    told and, for those missing, those of `instance`: the sum with ordinary numbers in their place; wrong:
    sentences about numbers that cannot be; unclear: numbers of the question that were left out; taken: names whose
    numbers were not told with the question but known before; read: how some words of it were taken; leads: what can
    be said without figures.
    """

    row: Sum
    line: str
    outcome: Outcome | None = None
    missing: tuple[str, ...] = ()
    instance: Outcome | None = None
    wrong: tuple[str, ...] = ()
    unclear: tuple[str, ...] = ()
    taken: tuple[str, ...] = ()
    read: tuple[str, ...] = ()
    leads: tuple[str, ...] = ()


def asked(text: str, at_hand: Mapping[str, str] | None = None) -> Answer | None:
    """The answer to a question in words, or None where no sum is asked for.

    at_hand: numbers known before, by name, for those that the question does not tell.
    """
    plain = in_digits(text[:LONGEST])
    row = next((row for row in SUMS.values() if any(re.search(asks, plain) for asks in row.asks)), None)
    if row is None:
        return None
    want = next((want for want in row.wants if _wanted(want, plain)), None)
    wanted, usual = (want.name, want.usual) if want else ("", row.usual)
    texts, unclear, taken_as = told(row, plain, wanted)
    taken = taken_from(at_hand or {}, row, texts, wanted)
    found = _answer(row, {**texts, **taken}, usual, wanted, _liked(plain))
    if row.strict and unclear:
        wrong = (f"{', '.join(unclear)} was not understood, so nothing is counted; type it as shown",)
        found = replace(found, outcome=None, instance=None, missing=(), wrong=wrong)
    outcome = replace(found.outcome, taken=frozenset(taken)) if found.outcome else None
    leads = tuple(says for pattern, says in row.leads if re.search(pattern, plain))
    return replace(found, outcome=outcome, unclear=unclear, taken=tuple(taken), read=taken_as, leads=leads)


def _wanted(want: Want, plain: str) -> bool:
    """True where a question asks for a name, and does not tell its number: "10 psi cold" asks for no cold pressure."""
    told = rf"\d ?(?:[a-z]+ )?(?:when )?{want.name}\b|\b{want.name} (?:is |of )?\d+(?:[.,]\d+)? ?(?:psi|bar|kpa)\b"
    return bool(re.search(want.asks, plain)) and not re.search(told, plain)


def _liked(plain: str) -> dict[str, units.Unit]:
    """The unit that an answer is asked in: "how fast in mph", "how many ml"."""
    words = re.findall(
        r"\b(?:in|how many) (mph|km/h|psi|bar|kpa|ml|cc|ounces|oz)\b|(?<!\d)(?<!\d )\b(mph|km/h)\b", plain
    )
    names = ("fl oz" if name in ("ounces", "oz") else name for pair in words for name in pair if name)
    found = (LOOKED_UP.get(name) or find_unit(name) for name in names)
    return {unit.dimension: unit for unit in found if unit}


def _answer(
    row: Sum, texts: dict[str, str], usual: Mapping[str, str], wanted: str, liked: dict[str, units.Unit]
) -> Answer:
    given = read(row, texts)
    given.liked.update(liked)
    if given.problems:
        return Answer(row, _line(row, texts), wrong=tuple(given.problems))
    if texts and not given.missing:
        with suppress(WrongValuesError):
            outcome = done(row, texts, given)
            if not wanted or any(figure.name == wanted for figure in outcome.figures):
                return Answer(row, _line(row, texts), _first(outcome, wanted))
    missing = tuple(key for key in usual if key not in texts and not replaced(row, key, texts))
    typed = {**texts, **{key: usual[key] for key in missing}}
    try:
        instance = done(row, typed, read(row, typed))
    except WrongValuesError as error:
        return Answer(row, _line(row, typed), missing=missing, wrong=error.sentences)
    return Answer(row, _line(row, typed), missing=missing, instance=_first(instance, wanted))


def _first(outcome: Outcome, wanted: str) -> Outcome:
    """What was asked for before the other figures: a screen may have room for few."""
    return replace(outcome, figures=tuple(sorted(outcome.figures, key=lambda figure: figure.name != wanted)))


def _line(row: Sum, texts: dict[str, str]) -> str:
    return " ".join(("advisor compute", row.name, *(f"{key}={text}" for key, text in texts.items())))


Texts = tuple[str, ...]


def told(row: Sum, plain: str, wanted: str = "") -> tuple[dict[str, str], Texts, Texts]:
    """The numbers of a question by the name that they belong to, as text; those in doubt; how some were taken.

    The pair of number and name whose telling word stands nearest is taken first; what is asked for gets none.
    """
    found: dict[str, str] = {}
    warm = any(NAMES[key].dimension == "temperature" for key in row.takes)
    unclear = [match[0] for match in _DIFFERENCE.finditer(plain)]  # nor is a difference a temperature
    plain = _DIFFERENCE.sub(_blank, plain)
    rest, scale = scaled(plain, HOT if "to" in row.takes else COOL) if warm else (plain, "")
    taken = [scale] if scale else []
    unclear += [match[0] for match in _ABSOLUTE.finditer(rest)]  # the sums take gauge pressures
    rest = _ABSOLUTE.sub(_blank, rest)
    for one in bare(row, rest):
        if one.key != wanted:
            found.setdefault(one.key, one.text)
        taken += [one.taken] if one.taken and one.taken not in taken else []
        rest = _blanked(rest, one.span)
    measures = [(m, u) for m in _MEASURE.finditer(rest) if (u := LOOKED_UP.get(m[2]) or find_unit(m[2]))]
    likely = [k for k in row.takes if (k in row.cues or k in row.needs) and k != wanted and k not in found]
    open_ = {m.span(): _fitting(likely, f"{m[1]} {m[2]}", u.dimension) for m, u in measures}
    owner = _owners(row, rest, open_)
    for match, unit in measures:
        if (owned := owner.get(match.span())) is not None:
            found[owned] = f"{match[1]} {_SHORT.get(unit.name, unit.name)}"
    unclear += [match[0] for match, _ in measures if match.span() not in owner]
    for match, _ in measures:
        rest = _blanked(rest, match.span())
    unclear += [match[0] for match in _BARE.finditer(rest)]
    _put_in_order(row, found)
    return {key: found[key] for key in row.takes if key in found}, tuple(unclear), tuple(taken)


def _put_in_order(row: Sum, found: dict[str, str]) -> None:
    """Of two names that rise, the greater number is the greater one's, however the words stood."""
    less, more = row.rising or ("", "")
    if less in found and more in found:
        ends = [units.parse(found[key], LOOKED_UP).si for key in (less, more)]
        if ends[0] > ends[1]:
            found[less], found[more] = found[more], found[less]


def _blank(match: re.Match[str]) -> str:
    return " " * len(match[0])


def _blanked(text: str, span: Span) -> str:
    """A text in which something stands no more, and all else where it stood."""
    start, end = span
    return text[:start] + " " * (end - start) + text[end:]


def _fitting(likely: Sequence[str], text: str, dimension: str) -> list[str]:
    """The names that a number with a unit may belong to: of those of its kind the ones for which it is possible."""
    kind = [key for key in likely if NAMES[key].dimension == dimension]
    return [key for key in kind if possible(NAMES[key], text)] or kind


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
    must = {key for choice in row.choices if choice.least for key in choice.names}
    for span, keys in open_.items():
        left = [key for key in keys if key not in owner.values() and key not in row.by_cue]
        if len(left) > 1 and not must & set(
            left
        ):  # of several the ordinary one, where nobody has to say which
            left = [key for key in left if key in row.usual]
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
