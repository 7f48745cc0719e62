"""Numbers as people say and write them, brought to one form: digits, one decimal sign, units that can be read."""

from __future__ import annotations

import re
from collections.abc import Iterator

from advisor.units import in_decimals

_NUMBERS = {
    "zero": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9,
    "ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16,
    "seventeen": 17, "eighteen": 18, "nineteen": 19,
}  # fmt: skip
_TENS = {
    "twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80, "ninety": 90,
}  # fmt: skip
_TEETH = r"(?: ?(?:teeth|tooth|t)\b)?"
_ON = r"(?: ?(?:on|at|in|for)(?: the)?)? "
_FRONT = r"(?:front|engine)(?: sprocket)?\b"
_BACK = r"(?:rear|back|axle|behind)(?: sprocket)?\b"
_AND = r"(?:,? (?:and|with)|,)?(?: an?)? "
_WHOLES = r"(lit(?:re|er)|gallon|gal|l|quart|bar|psi|pound|lb|kilo|kg|degree|deg|inch)"
# What is written otherwise, in order: a pattern and what takes its place.
_REWRITTEN = (
    (r"\b[24] stroke\b", "stroke"),
    (r"\ball 4\b", "all"),
    (r"(?<![\d.])\.(\d)", r"0.\1"),
    (r"\b(?:lf|fl|left front)\b", "front left"),
    (r"\b(?:rf|fr|right front)\b", "front right"),
    (r"\b(?:lr|rl|(?:left|back) (?:rear|left))\b", "rear left"),
    (r"\b(?:rr|(?:right|back) (?:rear|right))\b", "rear right"),
    (r"\b(\d+) and a half\b", r"\1.5"),
    (rf"\b(?:an?|1) {_WHOLES}s? and a half\b", r"1.5 \1"),
    (rf"\b(\d+) {_WHOLES}s? and a half\b", r"\1.5 \2"),
    (r"\b(\d+(?:\.\d+)?) ?gal(?:lons?)? \(?(?:imp(?:erial)?|uk|british|english)\b", r"\1 imp gal"),
    (rf"\b(?:3|three) quarters? (?:of )?(?:an? )?(?={_WHOLES}s?\b)", "0.75 "),
    (rf"(?<=\d) (?:of )?an? (?={_WHOLES}s?\b)", " "),
    (rf"\b(\d+) and 0(\.\d+) (?={_WHOLES}s?\b)", r"\1\2 "),
    (rf"\bhalf (?:an? |of an? )?(?={_WHOLES}\b)", "0.5 "),
    (rf"\b(?:a )?quarter (?:of )?(?:an? )?(?={_WHOLES}\b)", "0.25 "),
    (r"\b(?:imperial|uk|british|english|imp) (?=gal(?:lons?)?\b)", "imp "),
    (r"\b(?:us|american) (?=gallons?\b)", ""),
    (
        r"(?<=\d)(?: ?(?:fluid|fl))? ?(?:oz|ounces?)\b(?=.*\b(?:fuel|gas|petrol|oil|lit(?:re|er)s?|l|gal(?:lons?)?)\b)",
        " fl oz",
    ),
    (r"\bfl oz\b(?=.*\bimp gal)|(?<=imp )\bounces?\b", "imp fl oz"),
    (r"\b(\d+) point (\d+)\b", r"\1.\2"),
    (r"\b(\d+(?:\.\d+)?) ?(?:thousand|grand)\b", lambda m: f"{float(m[1]) * 1000:.0f}"),
    (r"\b(\d{1,2}(?:\.\d+)?)k\b", lambda m: f"{float(m[1]) * 1000:.0f}"),
    (r"(?<![\d.,])(\d{1,2})[, ](\d{3})(?= ?(?:rpm|revs)\b)", r"\1\2"),
    (r"(?<![\d.,])(\d),(\d{3})(?= ?(?:hpa|mbar|millibars?|mm)\b)", r"\1\2"),
    (r"(?:degrees?|deg|°) ?(?:c|celsius|centigrade)\b", " c"),
    (r"(?:degrees?|deg|°) ?(?:f|fahrenheit)\b", " f"),
    (r"\bcentigrade\b", "c"),
    (r"\b(?:mph|miles (?:an|per) hour)\b", "mph"),
    (r"\b(?:kilometers|kilometres|km|k|kays) ?(?:an|per) hour\b", "km/h"),
    (r"\b(?:ks|kays|kmh|kph|kmph)\b", "km/h"),
    (r"\b(psi|bar) ?g\b|\b(psi) gauge\b", lambda m: m[1] or m[2]),
    (rf"\b(\d{{1,2}}){_TEETH}{_ON}{_FRONT}{_AND}(\d{{2,3}})(?!\d){_TEETH}(?:{_ON}{_BACK})?", r"\1/\2"),
    (rf"\b(\d{{2,3}}){_TEETH}{_ON}{_BACK}{_AND}(\d{{1,2}})(?!\d){_TEETH}(?:{_ON}{_FRONT})?", r"\2/\1"),
    (
        r"\b(\d{1,2}) ?(?:teeth|tooth|t)\b,?(?: and| with| to| on)? (\d{2,3})(?= ?(?:teeth|tooth|t|rear|axle|back)\b)",
        r"\1/\2",
    ),
    (r"(?<!ml )\ba (?=lit(?:re|er)\b|gallon\b)", "1 "),
    (
        r"(\d ?(?:ml|cc|millilitres?|fl oz) (?:of oil |oil )?(?:to )?)?\bper (?=lit(?:re|er)\b|gallon\b)",
        lambda m: m[0] if m[1] else "for 1 ",
    ),
)


def in_digits(text: str) -> str:
    """Small letters, and numbers in digits: "Twelve eighty-two" as "12 82", "14k" as "14000", "1/2" as "0.5"."""
    words = re.sub(r"(?<=[a-z])-(?=[a-z])", " ", in_decimals(text).lower().replace("’", "'")).split()
    plain = " ".join(_counted(words))
    for pattern, written in _REWRITTEN:
        plain = re.sub(pattern, written, plain)
    return " ".join(plain.split())


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


_DEGREES = re.compile(r"(?<![\w.])(-?\d+(?:[.,]\d+)?) ?(?:degrees?|deg|°)(?!\w)")
# A bare number that a tyre gets to, once the scale is known; no gauge of a kart reads so much in psi.
_REACHED = re.compile(
    r"\b((?:to|reach(?:es)?|hit) (?:3[1-9]|[4-9]\d|1\d\d))"
    r"(?=$|[.,;?!](?!\d)| (?:and|when|if|but|what|how|in|on|hot|now|so)\b)"
)
_UNITLESS = r"(?![\d.,]*\d|[\d.,]* ?(?:psi|bar|kpa|c|f|mm|kg|rpm|degrees?|deg|°|%|km)\b)"
_TYRE_AT = re.compile(rf"(\bt[yi]res?\b[^\d?]{{0,14}})(\d{{2,3}})\b{_UNITLESS}")
_AIR_AT = re.compile(
    rf"(\b(?:air|garage|outside|ambient|day|it'?s|it is|morning)\b[^\d?]{{0,10}})(\d{{1,3}})\b{_UNITLESS}"
)
COOLEST = 31.0  # what no gauge of a kart reads in psi: a bare number from here on beside a tyre is its warmth
COOL, HOT = 45.0, 110.0  # [degC] of air and tyre at most; above them in Fahrenheit


def scaled(plain: str, hottest: float = HOT) -> tuple[str, str]:
    """Temperatures told in bare degrees with their scale, where only one is likely, and what was so taken.

    All are of one scale: the coolest, the air, is at most 45 and the hottest, a tyre, at most `hottest` in Celsius; in
    Fahrenheit they are more (ours). In between nothing is taken. `hottest`: COOL where all of them are of air.
    """
    said = {match[1] for match in re.finditer(r"\d ?([cf])\b", plain)}
    found = [float(match[1].replace(",", ".")) for match in _DEGREES.finditer(plain)]
    if not (said or found):
        return _both_bare(plain, hottest)
    if len(said) == 2:
        return plain, ""
    if said:
        (scale,) = said
    elif min(found) <= COOL and max(found) <= hottest:
        scale = "c"
    elif max(found) > hottest and (min(found) > COOL or hottest == COOL):
        scale = "f"
    else:
        return plain, ""
    whole = _REACHED.sub(rf"\1 {scale}", _DEGREES.sub(rf"\1 {scale}", plain))
    return whole, f"degrees as °{scale.upper()}" if whole != plain else ""


def _both_bare(plain: str, hottest: float) -> tuple[str, str]:
    """The same of a tyre and the air whose numbers stand without any sign: "tyres at 60, garage at 15"."""
    tyre, air = _TYRE_AT.search(plain), _AIR_AT.search(plain)
    if hottest <= COOL or tyre is None or air is None or float(tyre[2]) < COOLEST:
        return plain, ""
    warm, cool = float(tyre[2]), float(air[2])
    scale = "c" if cool <= COOL and warm <= HOT else "f" if cool > COOL and warm > HOT else ""
    if not scale:
        return plain, ""
    both = _AIR_AT.sub(rf"\1\2 {scale}", _TYRE_AT.sub(rf"\1\2 {scale}", plain, count=1), count=1)
    return both, f"{tyre[2]} and {air[2]} as °{scale.upper()}"
