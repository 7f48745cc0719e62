"""Base rates counted on written-up troubles: `python -m tests.real_complaints.counting [--write]`.

Two counts: the published complaints that are answered here (labels.yaml: what each turned out to be about, by
somebody who saw what was accepted), and troubles told in diaries and reports that were searched for by kind of text
(counted.yaml). The second understates what is put right between two runs and overstates what ends a day, so a row
of it counts less than a complaint in the shares of groups and causes (`DIARY`; the held-out complaints would give it
no weight at all, but they were chosen because an answer existed). In the circumstances of a group each row counts
whole. `--write` writes the sums into knowledge/counts.yaml.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from zlib import crc32

from advisor.book import load
from advisor.inference.tables import UNKNOWN, group_shares
from advisor.model.knowledge import Count
from tests.real_complaints.measure import mind
from tests.real_complaints.reading import raw

FOLDS = 5
DIARY = 0.1
TARGET = load.shipped() / "counts.yaml"
HEAD = """# Counted on written-up troubles, see DEVELOPERS.md; made by: python -m tests.real_complaints.counting --write
# `cases`: complaints of the group, a row of a diary counting less than a complaint. `told`: how many told each answer.
"""


@dataclass(frozen=True, slots=True)
class Label:
    """What a complaint turned out to be about: shares of groups, and circumstances as answers to observations."""

    id: str
    groups: Mapping[str, float]
    cause: str
    told: Mapping[str, str]
    weight: float = 1.0


def _told(entry: Mapping[str, str]) -> dict[str, str]:
    """The circumstances of an entry as answers; what is not told is left out."""
    found = {
        key: entry[key] for key in ("machine", "subject") if entry.get(key) not in (None, "unknown", "none")
    }
    when = {
        "first_run": ("session_of_day", "first"),
        "after_change": ("when", "since_change"),
        "after_contact": ("contact", "yes"),
        "late_in_run": ("when", "late"),
        "new_track": ("track_known", "new"),
    }
    weather = {"rain": ("track", "wet"), "cold": ("weather", "cold"), "hot": ("weather", "hot")}
    for table, key in ((when, entry.get("when")), (weather, entry.get("weather"))):
        if key in table:
            found.setdefault(*table[key])
    return found


@cache
def labels() -> tuple[Label, ...]:
    """The published complaints."""
    return tuple(Label(e["id"], e["groups"], e["cause"], _told(e)) for e in raw("labels.yaml"))


@cache
def diaries() -> tuple[Label, ...]:
    """Troubles of diaries and reports; one of two equally likely groups counts half."""
    rows = raw("counted.yaml")["rows"]
    return tuple(
        Label(f"{e['page']}/{n}", {e["group"]: 1.0}, e["cause"], _told(e), 0.5 if e.get("half") else 1.0)
        for n, e in enumerate(rows)
    )


def fold_of(ident: str) -> int:
    """The same fifth for a complaint in every run."""
    return crc32(ident.encode()) % FOLDS


def counted(groups: Iterable[str], known: Iterable[Label], diary: float = DIARY) -> dict[str, Count]:
    """What some complaints and all diaries say of each group."""
    cases, whole = dict.fromkeys(groups, 0.0), dict.fromkeys(groups, 0.0)
    rows: dict[str, dict[str, dict[str, float]]] = {g: {} for g in groups}
    each = [(label, 1.0) for label in known] + [(label, diary) for label in diaries()]
    causes = mind().book.causes
    found: dict[str, dict[str, float]] = {g: {} for g in groups}
    for label, share in each:
        if (cause := causes.get(label.cause)) is not None and not cause.undoes_change:
            row = found[cause.group]
            row[cause.id] = row.get(cause.id, 0.0) + label.weight * share
        for group, part in label.groups.items():
            if group not in cases:
                continue
            cases[group] += share * label.weight * part
            whole[group] += label.weight * part
            for ident, answer in label.told.items():
                row = rows[group].setdefault(ident, {})
                row[answer] = row.get(answer, 0.0) + label.weight * part
    return {
        g: Count(
            id=g,
            cases=round(cases[g], 2),
            causes=dict(sorted(found[g].items())),
            rows=round(whole[g], 2),
            told={o: {a: round(n, 2) for a, n in row.items()} for o, row in rows[g].items()},
        )
        for g in groups
    }


def score(diary: float) -> float:
    """Mean log score in nats of the groups of held-out complaints, base rates only."""
    total = 0.0
    groups = mind().book.groups
    for fold in range(FOLDS):
        known = [label for label in labels() if fold_of(label.id) != fold]
        book = replace(mind().book, counts=counted(groups, known, diary))
        shares = group_shares(book, [g for g in groups if g != UNKNOWN])
        shares[UNKNOWN] = 1 - sum(shares.values())
        for label in labels():
            if fold_of(label.id) == fold:
                total -= sum(part * math.log(shares[g]) for g, part in label.groups.items())
    return total / len(labels())


def main(arguments: Sequence[str]) -> None:
    for weight in (0.0, 0.1, 0.25, 0.5, 1.0):
        print(f"a diary's row counts {weight:<4}: {score(weight):.4f} nats a complaint")
    groups = mind().book.groups
    counts = counted(groups, labels())
    book = replace(mind().book, counts=counts)
    shares = group_shares(book, [g for g in groups if g != UNKNOWN])
    for ident, group in groups.items():
        own = sum(label.groups.get(ident, 0.0) for label in labels())
        told = sum(label.weight * label.groups.get(ident, 0.0) for label in diaries())
        share = shares.get(ident, 1 - sum(shares.values()))
        told_by = f"complaints {own:5.1f}  diaries {told:5.1f}"
        print(f"{ident:<16} trade {group.trade:4.1f} %  {told_by}  -> {100 * share:4.1f} %")
    if "--write" in arguments:
        TARGET.write_text(HEAD + "\n".join(as_yaml(counts)) + "\n", "utf-8")


def as_yaml(counts: Mapping[str, Count]) -> Iterable[str]:
    """The counts as a plain file, a line for each observation."""
    for ident, count in counts.items():
        yield f"{ident}:"
        yield f"  cases: {count.cases:g}"
        yield "  causes:" if count.causes else "  causes: {}"
        for name, cases in count.causes.items():
            yield f"    {name}: {cases:g}"
        yield f"  rows: {count.rows:g}"
        yield "  told:" if count.told else "  told: {}"
        for name, row in sorted(count.told.items()):
            yield f"    {name}:"
            for answer, told in row.items():
                yield f"      {chr(34) + answer + chr(34) if answer in ('yes', 'no') else answer}: {told:g}"


if __name__ == "__main__":
    main(sys.argv[1:])
