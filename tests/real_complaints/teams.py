"""How much one team's troubles differ from the trade's: `python -m tests.real_complaints.teams`.

The counted troubles (`counted.yaml`) by the place they were told in, most of them one team's diary or report: each is
foretold from the others of its place and the base rates of the book, for several strengths of the latter. The base
rates hold these counts too, which draws the best strength up a little.
"""

from __future__ import annotations

import math
from collections import Counter
from pathlib import Path
from urllib.parse import urlparse

import yaml

from advisor.model.assumed import TRADE_WORTH
from tests.reasoning.minds import shipped

STRENGTHS = (5.0, 10.0, 20.0, 40.0, 60.0, TRADE_WORTH, 120.0, 200.0, 500.0, 1e9)


def troubles() -> dict[str, list[str]]:
    """The causes that were told of in each place that told of two or more; threads of many people left out."""
    data = yaml.safe_load((Path(__file__).parent / "counted.yaml").read_text(encoding="utf-8"))
    known = set(shipped().book.causes)
    places: dict[str, list[str]] = {}
    for row in data["rows"]:
        address = data["pages"][row["page"]]
        place = row["page"] if address == "withheld" else urlparse(address).netloc.removeprefix("www.")
        if row.get("cause") in known and "forum" not in place:
            places.setdefault(place, []).append(row["cause"])
    return {place: causes for place, causes in places.items() if len(causes) > 1}


def score(places: dict[str, list[str]], worth: float) -> float:
    """Mean log chance of each trouble, given the others of its place and base rates worth so many cases."""
    tables = shipped().tables
    prior = dict(zip(tables.hypotheses, tables.prior, strict=True))
    logs = []
    for causes in places.values():
        counts = Counter(causes)
        logs += [
            math.log((worth * prior[c] + counts[c] - 1) / (worth + len(causes) - 1))
            for c in causes
            if prior[c] > 0
        ]
    return sum(logs) / len(logs)


def main() -> None:
    places = troubles()
    print(f"{len(places)} places, {sum(map(len, places.values()))} troubles; mean log chance of each:")
    for worth in STRENGTHS:
        print(f"  base rates worth {worth:g} cases: {score(places, worth):.3f}")


if __name__ == "__main__":
    main()
