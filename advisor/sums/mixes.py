"""Numbers of a question about oil in the fuel: a ratio, a share, so much in so much, one batch or two."""

from __future__ import annotations

import re
from collections.abc import Iterator

from advisor import units
from advisor.sums.nomenclature import LOOKED_UP
from advisor.sums.rows import Bare, Span

_NUMBER = r"(?<![\w.,:])(\d+(?:[.,]\d+)?)"
_RATIO = r"(?<![\d.,])(?:1 ?(?::|/| to ) ?(\d{2})|(\d{2}) ?(?::|/| to ) ?1)(?![\d.])"
_PROPORTION = re.compile(_RATIO)
_SHARE = re.compile(r"(\d+(?:[.,]\d+)?) ?(?:%|percent\b|per cent\b)(?! of (?:the )?(?:whole|mix|total))")
_LARGE = r"(imp gal(?:lons?)?|lit(?:re|er)s?|l|gal(?:lons?)?|quarts?|qt)\b"
_SMALL = (
    r"(mls?|mils?|cc|millilit(?:re|er)s?|imp fl oz|fl oz"
    r"|(?:lit(?:re|er)s?|l|quarts?|qt)(?= (?:of )?(?:[a-z]+ )?oil\b))\b"
)
_WORDS = r"(?: (?!per\b|an?\b|each\b|every\b)[a-z]+){0,3}?"
_EACH = (
    rf"{_NUMBER} ?{_SMALL}{_WORDS}(?: ?/ ?| per | an? | to (?:an?|each|every) | for (?:an?|each|every|1) )"
)
_STRENGTH = re.compile(rf"{_EACH}{_LARGE}")
_OIL_IN = re.compile(
    rf"{_NUMBER} ?{_SMALL}{_WORDS} (?:in|into|to|with|for|per)(?: [a-z]+)? {_NUMBER} ?{_LARGE}"
)
_FUEL_WITH = re.compile(
    rf"{_NUMBER} ?{_LARGE}{_WORDS},? (?:with|and|plus|has|to){_WORDS} {_NUMBER} ?{_SMALL}(?! ?(?:per|an?|for|to|/)\b)"
)
_BATCH = re.compile(rf"{_NUMBER} ?{_LARGE}[^\d.,;?]{{0,24}}? ?{_RATIO}")
_BECOMES = re.compile(r"\b(?:to|into|want|need|make|get|becomes?)\b")


def of_a_mix(plain: str) -> Iterator[Bare]:
    """What is told of oil and fuel together; where two ratios are told and no batch nobody knows which is wanted."""
    parts = list(_PROPORTION.finditer(plain))
    batches = list(_BATCH.finditer(plain))
    between = plain[parts[0].end() : parts[1].start()] if len(parts) == 2 else ""
    if len(batches) == 2 and not re.search(r"\bor\b", between):
        yield from _joined(batches)
    elif len(batches) == 1 and _BECOMES.search(between):
        yield from _brought(batches[0], next(p for p in parts if p.end() != batches[0].end()))
    elif each := _STRENGTH.search(plain):
        yield _strength(each.group(1, 2), ("1", each[3]), each.span())
    elif oil := _OIL_IN.search(plain) or _FUEL_WITH.search(plain):
        yield from _oil_in(plain, oil)
        if len(parts) == 1:
            yield Bare("ratio", f"{_of(parts[0])}:1", parts[0].span())
    elif len(parts) == 1:
        yield Bare("ratio", f"{_of(parts[0])}:1", parts[0].span())
    elif (share := _SHARE.search(plain)) and not parts:
        yield _share(share, plain[share.end() :])


def _of(ratio: re.Match[str]) -> str:
    return next(part for part in ratio.groups()[-2:] if part)


def _share(share: re.Match[str], behind: str) -> Bare:
    """A bare percentage is of the fuel, as a ratio is."""
    text = f"{share[1]} %"
    plainly = behind.startswith((" of fuel", " of the fuel", " of petrol", " of the petrol"))
    return Bare(
        "oil_of_fuel", text, share.span(), "" if plainly else f"{text} as oil of the fuel, not of the mix"
    )


def _joined(batches: list[re.Match[str]]) -> Iterator[Bare]:
    """Two batches poured together."""
    for batch, names in zip(batches, (("mix", "ratio"), ("other_mix", "other_ratio")), strict=True):
        yield from _batch(batch, *names)


def _brought(batch: re.Match[str], ratio: re.Match[str]) -> Iterator[Bare]:
    """A batch, and the ratio that it is to come to."""
    yield from _batch(batch, "other_mix", "other_ratio")
    yield Bare("ratio", f"{_of(ratio)}:1", ratio.span())


def _batch(batch: re.Match[str], mix: str, ratio: str) -> Iterator[Bare]:
    yield Bare(mix, f"{batch[1]} {batch[2]}", batch.span())
    yield Bare(ratio, f"{_of(batch)}:1", batch.span())


def _oil_in(plain: str, pair: re.Match[str]) -> Iterator[Bare]:
    """So much oil in so much fuel: of this batch, or where another batch is told, how strong that is to be."""
    one, other = pair.group(1, 2), pair.group(3, 4)
    oil, fuel = (one, other) if pair.re is _OIL_IN else (other, one)
    rest = f"{plain[: pair.start()]} {plain[pair.end() :]}"
    if re.search(rf"\d ?{_LARGE}", rest):
        yield _strength(oil, fuel, pair.span())
        return
    yield Bare("oil", " ".join(oil), pair.span())
    yield Bare("fuel", " ".join(fuel), pair.span())


def _strength(oil: tuple[str, ...], fuel: tuple[str, ...], span: Span) -> Bare:
    """So much oil for each litre, whatever the two were measured in."""
    if fuel[0] == "1" and fuel[1].startswith("l"):
        return Bare("oil_per_litre", " ".join(oil), span)
    each = 1e3 * (units.parse(" ".join(oil), LOOKED_UP).si / units.parse(" ".join(fuel), LOOKED_UP).si)
    told = f"{' '.join(oil)} in {' '.join(fuel)} as {each:.4g} ml a litre"
    return Bare("oil_per_litre", f"{each:.6g} ml", span, told)
