"""The types that fields of the knowledge base may have: text that pydantic checks when a file is new or changed."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Annotated, Any

from advisor import units
from advisor.model import conditions
from advisor.model.scale import BASE_RATE, PROBABILITY
from advisor.problems import hint

CONFIG = {"extra": "forbid", "strict": True}


class Checked:
    """Marks a field with a function that raises ValueError; pydantic runs it, nothing else needs it."""

    def __init__(self, check: Callable[[Any], None]) -> None:
        self.check = check

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> Any:
        from pydantic_core import core_schema

        def run(value: Any) -> Any:
            self.check(value)
            return value

        return core_schema.no_info_after_validator_function(run, handler(source))


def on_scale(scale: dict[str, float], name: str) -> Checked:
    def check(word: str) -> None:
        if word not in scale:
            words = ", ".join(scale)
            raise ValueError(f'"{word}" is not on the {name} scale{hint(word, scale)} (words: {words})')

    return Checked(check)


def between(low: float, high: float) -> Checked:
    def check(value: float) -> None:
        if not low <= value <= high:
            raise ValueError(f"must lie between {low:g} and {high:g}, not {value:g}")

    return Checked(check)


def _quantity(text: str) -> None:
    units.parse(text)


def _condition(tests: dict[str, str]) -> None:
    for path, test in tests.items():
        conditions.parse(path, test)


def _date(text: str) -> None:
    if not re.fullmatch(r"\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])", text):
        raise ValueError(f'"{text}" is no date such as 2024-05-04')


def _id(text: str) -> None:
    if not re.fullmatch(r"[a-z][a-z0-9_]*", text):
        raise ValueError(f'"{text}" is no id: small letters, digits and underscores, a letter first')


Likelihood = Annotated[str, on_scale(PROBABILITY, "probability")]
BaseRate = Annotated[str, on_scale(BASE_RATE, "base rate")]
QuantityText = Annotated[str, Checked(_quantity)]
Condition = Annotated[dict[str, str], Checked(_condition)]
Id = Annotated[str, Checked(_id)]
Date = Annotated[str, Checked(_date)]
SourceIds = tuple[str, ...]
