"""`advisor history`: what the journal knows of a kart, a track, a fault, a lever or a day, told or written out."""

from __future__ import annotations

import argparse
import csv
import io
import json
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, NoReturn

from advisor.cli import UNUSABLE, USED, home_expanded, journal_path, stamps, team
from advisor.problems import Problem, UnusableError, hint, printable

if TYPE_CHECKING:
    from advisor.journal.past import Item
    from advisor.journal.store import Journal
    from advisor.model.knowledge import Book

MOST = 5000  # items that are shown
ALL = 10_000_000  # items that are written out
FLAT = ("setup", "conditions", "pressures")


def run(options: argparse.Namespace) -> int:
    """Status 1 where there is nothing to tell."""
    from advisor.cli.scoring import LISTED, unsettled
    from advisor.cli.waiting import to_come
    from advisor.journal import lately
    from advisor.journal.store import Journal
    from advisor.journal.verdicts import disputes

    book = team.book(options)
    by = asked(options, book)
    written = bool(options.csv or options.json)
    with Journal(journal_path(options), read_only=True) as journal:
        if written:
            return _written(options, exported(journal, found(journal, ALL, by)))
        for text in (
            *to_come(lately.to_come(journal, stamps.now())),
            *map(unsettled, disputes(journal)[:LISTED]),
        ):
            print(printable(f"Note: {text}"))
        if options.good or options.service:
            return _lately(options, journal, by, book)
        most = max(1, min(options.last, MOST))
        return _shown(options, found(journal, most, by), most, book)


def _shown(options: argparse.Namespace, items: Sequence[Item], most: int, book: Book) -> int:
    from advisor.terminal import history as show
    from advisor.terminal.screen import screen

    if not items:
        return _nothing()
    if options.trend:
        whole = [i for i in items if not i.unfinished]
        show.trend(screen(), [i for i in whole if i.laps or i.pressures or i.kind == "tried"])
        return USED
    show.answer(screen(), items, book)
    if len(items) == most:
        print(f"Shown are the latest {most}; more with --last.")
    return USED


def _nothing() -> int:
    print("Nothing in the journal fits. Without --kart, --track and the like it shows what there is.")
    return UNUSABLE


def asked(options: argparse.Namespace, book: Book) -> dict[str, str]:
    """What is asked for, as the journal looks things up. Raises UnusableError."""
    from advisor.model.belonging import kart_name

    kart = getattr(options, "kart", None)
    by = {
        "kart": None if kart is None else kart_name(kart),
        "day": options.day and _day(options.day),
        "track": options.track and options.track.casefold(),
        "lever": options.lever and lever_of(options.lever, book),
        "fault": options.fault and fault_of(options, book),
    }
    return {k: v for k, v in by.items() if v is not None}


def _day(text: str) -> str:
    """A day as the journal has it."""
    from datetime import date

    try:
        return date.fromisoformat(text.strip()).isoformat()
    except ValueError:
        return _refuse(f'--day: "{text[:30]}" is no date as it is written here; write it like 2024-05-04')


def found(journal: Journal, most: int, by: Mapping[str, str]) -> list[Item]:
    """The trials and runs that are asked for, the oldest first, also those that were left in the middle."""
    from advisor.journal import notes, trials
    from advisor.journal.past import in_order

    noted = [*notes.runs(journal, most, by=by), *notes.runs(journal, most, by=by, unfinished=True)]
    return in_order(trials.found(journal, most, **by), noted)[-most:]


def lever_of(word: str, book: Book) -> str:
    """The lever that a word means. Raises UnusableError."""
    said = word.casefold().replace("_", " ").strip()
    names = {name: k for k, v in book.levers.items() for name in (k.replace("_", " "), v.name.casefold())}
    fitting = {names[n] for n in names if n == said} or {names[n] for n in names if said and said in n}
    if len(fitting) == 1:
        return fitting.pop()
    several = f'"{word[:40]}" may be {", ".join(sorted(fitting)[:6])}; name one of them'
    return _refuse(several if fitting else f'no lever is called "{word[:40]}"{hint(said, names)}')


def fault_of(options: argparse.Namespace, book: Book) -> str:
    """A fault as the journal keeps it, "oversteer entry"; other words go through the ear."""
    words = options.fault.split()
    known = book.observations["balance"].answers
    if words and words[0] in known:
        return " ".join(words[:2])
    from advisor.interview.steps import begin
    from advisor.model.case import Case
    from advisor.reasoning.weighing import make_ready

    understood = begin(make_ready(book, team.ear(options)), Case(complaint=options.fault)).gathered.understood
    if "balance" not in understood:
        some = ", ".join(list(known)[:6])
        _refuse(f'"{printable(options.fault)[:40]}" is no fault that is understood; say it like: {some}')
    return " ".join(str(understood[k]) for k in ("balance", "phase") if k in understood)


def _lately(options: argparse.Namespace, journal: Journal, by: Mapping[str, str], book: Book) -> int:
    """Of each kart: when it was last good and what has changed since, or the hours since each service."""
    from advisor.journal import lately
    from advisor.journal.past import differences
    from advisor.terminal import history as show
    from advisor.terminal.screen import screen

    rest = {k: v for k, v in by.items() if k != "kart"}
    each = [by["kart"]] if "kart" in by else lately.karts(journal)
    now = {kart: lately.latest(journal, kart, stamps.now(), rest) for kart in each}
    driven = {kart: item for kart, item in now.items() if item}
    if not driven:
        return _nothing()
    if options.service:
        show.services(screen(), [row for kart in driven for row in lately.serviced(journal, kart, rest)])
        return USED
    for kart, item in driven.items():
        good = lately.latest(journal, kart, stamps.now(), rest, good=True)
        latest = _as_it_is(options, journal, item, book)
        show.since_good(screen(), good, latest, differences(good, latest) if good else (), book)
    return USED


def _as_it_is(options: argparse.Namespace, journal: Journal, latest: Item, book: Book) -> Item:
    """The latest run or trial, and the setup as the kart stands after it, by the diary and the kart file."""
    from advisor.cli.kart_folder import karts_path
    from advisor.journal.past import setup_of
    from advisor.karts import noted, on_file
    from advisor.karts.written import as_data

    if not latest.belongs.kart:
        return latest
    try:
        case = on_file.read(karts_path(options), latest.belongs.kart, book).case
    except UnusableError:  # it was on file once, or on another machine
        return latest
    case, _ = noted.as_it_stands(journal, case, book, stamps.local(), stamps.now())
    stands = setup_of(as_data(case).get("setup"))
    both = (
        (latest.after, stands) if latest.kind == "noted" else (stands, latest.after)
    )  # the later one counts
    return replace(latest, after={**both[0], **both[1]})


# --- written out --------------------------------------------------------------------------------------


def exported(journal: Journal, items: Sequence[Item]) -> list[dict[str, object]]:
    """All that is known of each item; of a trial also every verdict that was given, the earlier first."""
    from advisor.journal import verdicts
    from advisor.journal.past import as_data

    given = {item.id: verdicts.told(journal, item.id) for item in items if item.kind == "tried"}
    return [{**as_data(item), "verdicts": given.get(item.id, [])} for item in items]


def _written(options: argparse.Namespace, rows: Sequence[dict[str, object]]) -> int:
    if not rows:
        return _nothing()
    for name, make in ((options.json, as_json), (options.csv, as_csv)):
        if name == "-":
            print(make(rows), end="")
        elif name:
            path = home_expanded(name)
            try:
                with path.open("x", encoding="utf-8", newline="") as file:
                    file.write(make(rows))
            except OSError as error:
                there = isinstance(error, FileExistsError)
                _refuse(
                    "there is such a file already; choose another name" if there else str(error.strerror),
                    str(path),
                )
            print(printable(f"Written: {path} ({len(rows)} rows)"))
    return USED


def as_json(rows: Sequence[dict[str, object]]) -> str:
    """All that is known, one list."""
    return json.dumps(rows, ensure_ascii=False, indent=1) + "\n"


def as_csv(rows: Sequence[dict[str, object]]) -> str:
    """A table: a column for each setting, condition and pressure that occurs; laps on one line."""
    flat = [_flat(row) for row in rows]
    columns = list(dict.fromkeys(key for row in flat for key in row))
    text = io.StringIO()
    writer = csv.DictWriter(text, columns, lineterminator="\r\n")
    writer.writeheader()
    writer.writerows(flat)
    return text.getvalue()


def _flat(row: dict[str, object]) -> dict[str, object]:
    found: dict[str, object] = {}
    for key, value in row.items():
        if key in FLAT and isinstance(value, dict):
            found |= {f"{key}.{k}": _cell(v) for k, v in value.items()}
        elif isinstance(value, list):
            found[key] = _cell(("; " if key == "verdicts" else " ").join(map(_listed, value)))
        else:
            found[key] = _cell(value)
    return found


def _listed(value: object) -> str:
    """One of several values in a cell: a lap, a lever, or a verdict with who gave it and whether it stands."""
    if isinstance(value, dict):
        return " ".join(str(part) for part in value.values() if part)
    return f"{value:g}" if isinstance(value, float) else str(value)


def _cell(value: object) -> object:
    """A value of a table; text that a spreadsheet would take for a formula gets a sign before it."""
    if isinstance(value, str):
        text = printable(value)
        return f"'{text}" if text[:1] in ("=", "+", "-", "@") and not _is_number(text) else text
    return "" if value is None else value


def _is_number(text: str) -> bool:
    return text.split(" ")[0].lstrip("+-").replace(".", "", 1).isdigit()


def _refuse(text: str, file: str = "history") -> NoReturn:
    raise UnusableError([Problem(file, 1, 1, printable(text))])
