"""The screens of `advisor history`: days with what was tried and noted, what changed since it was good, the trend."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import groupby

from advisor.journal.belonging import moment
from advisor.journal.lately import Serviced
from advisor.journal.past import Difference, Item
from advisor.journal.versions import Differing
from advisor.karts import corners
from advisor.model.knowledge import Book
from advisor.terminal import show
from advisor.terminal.screen import Screen

SHORT = 8  # letters of an id that are shown
NO_PROOF = (
    "What moved together is no proof: track, weather, tyres and driver move as well, and of many things some always "
    "move together. Try one of them alone, there and back (advisor judge)."
)
BAR = 12  # letters of the longest bar


def day_of(item: Item) -> str:
    """The day of an item, as people write it."""
    then = moment(item.belongs.time)
    return f"{then.day} {then:%b %Y}" if then else "an unknown day"


def clock_of(item: Item) -> str:
    then = moment(item.belongs.time)
    return f"{then:%H:%M}" if then else "--:--"


def answer(out: Screen, items: Sequence[Item], book: Book) -> None:
    """What happened, by day and kart; the setup is told once and then as it changed."""
    before: dict[str, Item] = {}
    for head, group in groupby(items, _head):
        show.heading(out, head)
        for item in group:
            _item(out, item, before.get(item.kart), book)
            if item.setup:
                before[item.kart] = item


def _head(item: Item) -> str:
    here = item.belongs
    parts = (day_of(item), here.kart or "no kart on file", here.track, here.driver)
    return ", ".join(part for part in parts if part)


def _item(out: Screen, item: Item, before: Item | None, book: Book) -> None:
    what = f'against "{item.said}"' if item.kind == "tried" and item.said else ""
    did = f"{item.did} {what}".strip() if item.kind == "tried" else _noted(item)
    show.line(out, f"{clock_of(item)}  {item.kind} {item.id[:SHORT]}  {did}", 2, hang=7)
    if item.unfinished:
        show.line(out, f"left in the middle; to go on: advisor diary --correct {item.id[:SHORT]}", 9)
    if item.differing:
        show.line(out, f"{in_two_ways(item.id, item.differing)}.", 9, "bold")
    if item.outcome:
        given = "" if item.chance is None else f" (a cure was given {item.chance:.0%})".replace("%", " %")
        said = f': "{item.words}"' if item.words else ""
        show.line(out, f"{item.outcome}{said}{given}", 9)
    if item.conditions:
        each = ", ".join(f"{_name(k, book)} {_shown(v)}" for k, v in item.conditions.items())
        show.line(out, f"conditions: {each}", 9, "dim")
    if text := _pressures(item):
        show.line(out, f"pressures: {text}", 9, "dim")
    if item.laps and item.best is not None and item.middle is not None:
        show.line(out, f"{len(item.laps)} laps, best {item.best:.2f} s, median {item.middle:.2f} s", 9)
    if text := _setup(item, before, book):
        show.line(out, text, 9, "dim")


def in_two_ways(entry: str, each: Sequence[Differing]) -> str:
    """What two people put right of an entry without knowing of each other, and how it is settled."""
    told = "; ".join(f'{d.what} "{d.counts}" counts, "{d.other}" was told too' for d in each)
    return f"put right in two ways: {told}; settle it with what is right: advisor diary --correct {entry[:SHORT]}"


def _noted(item: Item) -> str:
    here = item.belongs
    tyres = here.tyres + ("" if item.tyre_laps is None else f" ({item.tyre_laps} laps)")
    parts = (
        here.session,
        f'"{item.said}"' if item.said else "",
        f"changed: {item.did}" if item.did else "",
        f"serviced: {item.service}" if item.service else "",
        tyres.strip(),
        here.weather,
    )
    return "; ".join(part for part in parts if part) or "a run"


def _pressures(item: Item) -> str:
    """Cold and hot in one line; which numbers are which is told once."""
    each = [(when, _told(item, when)) for when in ("cold", "hot")]
    if any("_" in place for _, found in each for place in found):
        each = [(when, corners.by_corner(found)) for when, found in each]
    told = ", ".join(f"{when} {corners.shown(found)}" for when, found in each if found)
    names = [list(found) for _, found in each if found]
    order = {tuple(corners.ENDS): "front, rear", corners.CORNERS: "front left, right, rear left, right"}
    same = {order.get(tuple(places)) for places in names}
    return f"{told} ({same.pop()})" if len(same) == 1 and None not in same else told


def _told(item: Item, when: str) -> dict[str, str]:
    """The cold or hot pressures by place."""
    found = [(k.partition(" "), v) for k, v in item.pressures.items()]
    return {place.replace(" ", "_"): value for (first, _, place), value in found if first == when}


def _setup(item: Item, before: Item | None, book: Book) -> str:
    if not item.setup:
        return ""
    if before is None:
        return "setup: " + ", ".join(f"{_name(k, book)} {_shown(v)}" for k, v in item.setup.items())
    moved = [
        f"{_name(k, book)} {_shown(before.setup[k])} -> {_shown(v)}"
        if k in before.setup
        else f"{_name(k, book)} {_shown(v)} (not told before)"
        for k, v in item.setup.items()
        if before.setup.get(k) != v
    ]
    return f"setup since: {', '.join(moved)}" if moved else ""


def _name(key: str, book: Book) -> str:
    if key == "driver":  # who drove, and not how, as the lever of that name
        return key
    return book.levers[key].name if key in book.levers else key.replace("_", " ")


def _shown(value: str) -> str:
    return value.replace(" degC", " °C").replace(" degF", " °F").replace(" deg", "°")


def since_good(
    out: Screen, good: Item | None, now: Item | None, changes: Sequence[Difference], book: Book
) -> None:
    """When it was last good, and what differs since then."""
    if good is None or now is None:
        show.line(out, "Nothing here was ever good: no change made it better, and no run was noted as good.")
        return
    show.heading(out, f"Last good: {_head(good)}, {clock_of(good)} ({good.kind} {good.id[:SHORT]})")
    show.line(
        out,
        f"{good.did or 'a run'}{_what_was_good(good)}",
        2,
    )
    show.line(out, f"Compared with: {_head(now)}, {clock_of(now)} ({now.kind} {now.id[:SHORT]})", 2)
    for change in changes:
        show.line(
            out,
            f"{_name(change.what, book)}: {_shown(change.then)} then, {_shown(change.now)} now",
            4,
            hang=2,
        )
    if not changes:
        show.line(out, "Nothing that was written down differs since then.", 4)
    else:
        show.line(out, NO_PROOF, 2)


def _what_was_good(good: Item) -> str:
    """The words that came with it; those of a trial's complaint tell what was wrong, so they are none."""
    words = good.words or (good.said if good.kind == "noted" else "")
    return f': "{words}"' if words else f": {good.outcome}" if good.outcome else ""


def services(out: Screen, rows: Sequence[Serviced]) -> None:
    """How long each part has run since it was serviced; how long it may, its maker says."""
    for row in rows:
        runs = f"{row.runs} {'run' if row.runs == 1 else 'runs'}"
        more = (
            f"; {row.untimed} more without laps {'is' if row.untimed == 1 else 'are'} not in it"
            if row.untimed
            else ""
        )
        head = f"{row.since.belongs.kart or 'no kart on file'}, {row.part}"
        driven = f"{row.seconds / 3600:.1f} h of timed laps in {runs}"
        show.line(out, f"{head}: {driven} since {day_of(row.since)}{more}.")
    if rows:
        show.line(
            out, "Out and in laps that nobody timed come to it; how many hours a part may run says its maker."
        )
    else:
        show.line(out, 'No service is noted yet: advisor diary --service "engine" notes one.')


Column = tuple[str, Callable[[Item], str]]


def _number(value: float | None) -> str:
    return "" if value is None else f"{value:.2f}"


def _pair(item: Item, when: str) -> str:
    return " ".join(v.split()[0] for v in _told(item, when).values() if v.split())


def _bare(item: Item, key: str) -> str:
    return item.conditions.get(key, "").split(" ")[0]


COLUMNS: tuple[Column, ...] = (
    ("day", lambda i: day_of(i).rsplit(" ", 1)[0]),
    ("time", clock_of),
    ("laps", lambda i: str(len(i.laps) or "")),
    ("best", lambda i: _number(i.best)),
    ("median", lambda i: _number(i.middle)),
    ("cold", lambda i: _pair(i, "cold")),
    ("hot", lambda i: _pair(i, "hot")),
    ("air", lambda i: _bare(i, "air_temperature")),
    ("track", lambda i: _bare(i, "track_temperature")),
)


def trend(out: Screen, items: Sequence[Item]) -> None:
    """Runs side by side, the slowest median with the longest bar; below each what was changed before it."""
    cells = [[column(item) for _, column in COLUMNS] for item in items]
    shown = [c for c in range(len(COLUMNS)) if any(row[c] for row in cells)]
    widths = {c: max(len(COLUMNS[c][0]), *(len(row[c]) for row in cells)) for c in shown}
    if (
        sum(widths.values()) + 2 * len(shown) + BAR > out.width - 1
    ):  # a narrow screen: the days stand in the list
        shown = [c for c in shown if COLUMNS[c][0] in ("time", "best", "median", "hot", "track")]
    out.write(_row([COLUMNS[c][0] for c in shown], [widths[c] for c in shown]))
    known = [m for item in items if (m := item.middle) is not None]
    for item, row in zip(items, cells, strict=True):
        text = _row([row[c] for c in shown], [widths[c] for c in shown])
        bar = "" if item.middle is None else _bar(item.middle, known)
        out.write(f"{text}  {bar}".rstrip() if len(text) + 2 + len(bar) < out.width else text)
        if said := item.did or (item.outcome and f"{item.did} {item.outcome}"):
            show.line(out, f"{said}{f' ({item.outcome})' if item.outcome else ''}", 4, hang=2)
    show.line(out, NO_PROOF)


def _row(cells: Sequence[str], widths: Sequence[int]) -> str:
    return "  ".join(cell.rjust(width) for cell, width in zip(cells, widths, strict=True))


def _bar(value: float, among: Sequence[float]) -> str:
    """A bar as long as the pace is behind the quickest; the quickest has one sign."""
    low, high = min(among), max(among)
    return "#" * (1 + round((BAR - 1) * (value - low) / (high - low)) if high > low else 1)
