"""A lap sheet's text to runs of laps: rows are judged one by one, and every problem is told with its place."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from advisor.laps import columns as headings
from advisor.laps import marks
from advisor.laps.cells import Cell, cells, decoded, delimiter
from advisor.laps.times import missing, seconds
from advisor.problems import Problem, shown

Row = tuple[int, str, list[Cell]]  # line from 1, its text, its cells

MAX_LINES, MAX_WIDTH = 5000, 5000
_LOOK_AHEAD = 20  # lines of title that may stand above the headings
_ARM = {
    **dict.fromkeys(("a", "0", "no", "before", "base", "baseline", "as it was", "as was", "old", "without", "original",
                     "alt", "vorher", "ohne", "nein", "avant", "sans", "antes", "sin", "prima", "senza", "voor"), "A"),
    **dict.fromkeys(("b", "1", "yes", "after", "change", "changed", "with", "with the change", "new", "neu",
                     "nachher", "mit", "ja", "apres", "avec", "despues", "con", "depois", "dopo", "na"), "B"),
}  # fmt: skip
_NO_ROW = re.compile(r"# |sep=.\s*\Z", re.IGNORECASE)  # a comment; what a spreadsheet writes above its rows
_RUN_ARM = re.compile(r"([ab])[ _-]?\d*\Z", re.IGNORECASE)
_SUMMARY = frozenset((
    "best", "average", "mean", "median", "total", "fastest", "ideal", "sum", "beste", "bester", "schnitt", "mittel",
    "summe", "meilleur", "moyenne", "mejor", "media", "migliore", "totale", "somma", "snitt", "basta",
))  # fmt: skip


@dataclass(frozen=True, slots=True)
class Lap:
    """One timed lap: `number` in its run from 1, `seconds`, and where it is written."""

    number: int
    seconds: float
    line: int = 0


@dataclass(slots=True)
class Run:
    """The laps between going out and coming in. `arm`: "A" as it was, "B" with the change, or not told yet.

    `first`: the number of its first lap, in or out laps too, for sheets that number the laps of a whole day.
    """

    name: str
    arm: str | None = None
    first: int = 1
    laps: list[Lap] = field(default_factory=list)
    conditions: dict[str, list[str]] = field(default_factory=dict)
    remarks: list[str] = field(default_factory=list)  # of each row, empty where there is none
    aside: list[str] = field(default_factory=list)  # in and out laps, gaps: what was not counted and why
    began: tuple[str, str] = ("", "")  # date and time of day of its first row, as written there


@dataclass(slots=True)
class Sheet:
    """What a lap sheet holds: its runs in the order they stand there, and every problem."""

    runs: list[Run] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)


def read(data: bytes, file: str, chosen: Mapping[str, str] | None = None) -> Sheet:
    """Read a sheet of lap times. `chosen`: role -> heading or number of its column, before what headings say."""
    try:
        lines = decoded(data).replace("\r\n", "\n").replace("\r", "\n").split("\n")
    except ValueError as error:
        return Sheet(problems=[Problem(file, 1, 1, str(error))])
    if len(lines) > MAX_LINES:
        text = f"a sheet of more than {MAX_LINES} lines is no day's laps; give the rows of the runs to judge"
        return Sheet(problems=[Problem(file, MAX_LINES + 1, 1, text)])
    for number, line in enumerate(lines, start=1):
        if len(line) > MAX_WIDTH:
            text = (
                f"a line of more than {MAX_WIDTH} characters is no lap; save the sheet as CSV, a lap a line"
            )
            return Sheet(problems=[Problem(file, number, MAX_WIDTH + 1, text)])
    return _Reader(file, lines, chosen or {}).sheet()


class _Reader:
    """Reads one sheet; holds what the rows above have told."""

    def __init__(self, file: str, lines: list[str], chosen: Mapping[str, str]) -> None:
        self.file = file
        self.sign = delimiter([line for line in lines if not _NO_ROW.match(line)])
        split = [(number, line, cells(line, self.sign)) for number, line in enumerate(lines, start=1)]
        self.rows = [
            (number, line, row)
            for number, line, row in split
            if any(cell.text for cell in row) and not _NO_ROW.match(line)
        ]
        self.blank = {number for number, line in enumerate(lines, start=1) if not line.strip()}
        self.found = Sheet()
        self.chosen = chosen
        self.columns: dict[str, int] = {}
        self.thousandths = False
        self.width = 0  # how many headings there are, if there are any
        self.counted = 0  # number of the lap in its run
        self.last: tuple[str, str | None] | None = None
        self.number: int | None = None

    def sheet(self) -> Sheet:
        """The runs, or the problems if there are any."""
        if not self.rows:
            self._wrong(1, 1, "the sheet is empty; it needs one lap time a line")
            return self.found
        body = self._headed()
        if not self.found.problems:
            for number, line, row in body:
                self._row(number, line, row)
        if not self.found.problems and not any(run.laps for run in self.found.runs):
            self._wrong(self.rows[-1][0], 1, "there is no lap time in this sheet; it needs one a line")
        return self.found

    def _wrong(self, line: int, column: int, text: str) -> None:
        self.found.problems.append(Problem(self.file, line, column, text))

    # --- headings -----------------------------------------------------------------------------------

    def _headed(self) -> list[Row]:
        """Find the columns; return the rows below the headings and the units."""
        place = self._heading_row()
        if place is None:
            self.columns = self._columns_without_headings()
            return self.rows
        line, _, row = self.rows[place]
        names = [cell.text for cell in row]
        wide = [i for i, name in enumerate(names) if _names_a_run(name)]
        if len(wide) > 1 and "time" not in self.chosen and not any(headings.role(n) == "time" for n in names):
            return self._unfolded(place, wide)
        self.width = len(names)
        self.columns, wrong = headings.found(names, self.chosen)
        for text in wrong:
            self._wrong(line, 1, text)
        body = self.rows[place + 1 :]
        time = self.columns.get("time", 0)
        self.thousandths = time < len(names) and headings.in_thousandths(names[time])
        if body and headings.is_units([cell.text for cell in body[0][2]]):
            under = body[0][2]
            self.thousandths |= time < len(under) and headings.in_thousandths(under[time].text)
            body = body[1:]
        return body

    def _unfolded(self, place: int, wide: Sequence[int]) -> list[Row]:
        """The rows of a sheet with a column a run, one run below the other; empty cells end a shorter run."""
        names = self.rows[place][2]
        lap = next((i for i, cell in enumerate(names) if headings.role(cell.text) == "lap"), None)
        self.columns = {"run": 0, "time": 1} if lap is None else {"run": 0, "time": 1, "lap": 2}
        below = [row for row in self.rows[place + 1 :] if not headings.is_units([c.text for c in row[2]])]
        return [
            (number, line, [names[i], row[i], *([] if lap is None else [row[lap]])])
            for i in wide
            for number, line, row in below
            if i < len(row) and row[i].text
        ]

    def _heading_row(self) -> int | None:
        """The row that names the time; else the first row, if it holds no time; else none."""
        for place, (_, _, row) in enumerate(self.rows[:_LOOK_AHEAD]):
            if any(headings.role(cell.text) == "time" for cell in row):
                return place
            if _is_time_row(row):
                return None if place == 0 else self._above(place)
        return 0

    def _above(self, place: int) -> int | None:
        """The row above the first lap, if it is as wide as the lap's row; a title is not."""
        return place - 1 if len(self.rows[place - 1][2]) == len(self.rows[place][2]) else None

    def _columns_without_headings(self) -> dict[str, int]:
        width = max(len(row) for _, _, row in self.rows)
        found, wrong = headings.found([""] * width, {"time": "1", **self.chosen})
        if "time" not in self.chosen:
            timed = [i for i in range(width) if self._all_times(i)]
            if len(timed) != 1:
                which = " and ".join(str(i + 1) for i in timed) or "none"
                wrong.append(
                    "there are no headings, and which column is the lap time cannot be told"
                    f" (it may be: {which}); write one lap a line, with headings, or say --column time=2"
                )
            found["time"] = timed[0] if timed else 0
        for part, fits in (("lap", _is_count), ("arm", _RUN_ARM.match)):
            like = [i for i in range(width) if i not in found.values() and self._all(i, fits)]
            if like and part not in found:
                found[part] = like[0]
        for text in wrong:
            self._wrong(self.rows[0][0], 1, text)
        return found

    def _all(self, column: int, fits: Callable[[str], object]) -> bool:
        return all(column < len(row) and fits(row[column].text) for _, _, row in self.rows)

    def _all_times(self, column: int) -> bool:
        """True for a column of lap times: written with a point, a comma or a colon."""
        values = [
            row[column].text for _, _, row in self.rows if column < len(row) and not missing(row[column].text)
        ]
        good = [v for v in values if _is_time(v) and not v.isdigit()]
        return bool(good) and len(good) * 2 > len(values)

    # --- rows ---------------------------------------------------------------------------------------

    def _row(self, line: int, text: str, row: list[Cell]) -> None:
        """One lap: into its run, or beside it."""
        if _is_summary(row):
            return
        time = self._cell(row, "time")
        extra = self._too_wide(row)
        if extra is not None:
            self._wrong(
                line,
                extra.column,
                f"this row has {len(row)} values under {self.width} headings; a comma stands between the columns here,"
                ' so write 45.31 with a point, or "45,31" in quotes',
            )
            return
        if time is None:
            self._wrong(
                line, len(text) + 1, "this row ends before the lap time; add it, or a - where none was taken"
            )
            return
        number = self._lap_number(line, row)
        run = self._run(line, row, number)
        if run is None:
            return
        self.counted = number if number is not None else self.counted + 1
        run.began = run.began if any(run.began) else (self._text(row, "date"), self._text(row, "clock"))
        for name in headings.CONDITIONS:
            value = self._text(row, name)
            if value and value not in run.conditions.setdefault(name, []):
                run.conditions[name].append(value)
        run.remarks.append(self._text(row, "mark"))
        aside = "out lap" if number == 0 else self._mark(row)
        if missing(time.text):
            run.aside.append(f"lap {self.counted}: no time")
        elif aside:
            run.aside.append(f"lap {self.counted}: {aside}")
        else:
            try:
                run.laps.append(Lap(self.counted, seconds(time.text, self.thousandths), line))
            except ValueError as error:
                self._wrong(line, time.column, str(error))

    def _mark(self, row: Sequence[Cell]) -> str:
        """What the row says of its lap: in the lap's own cell, the remarks, or a column that is not known."""
        if "mark" in self.columns:
            return marks.aside(self._text(row, "lap")) or marks.aside(self._text(row, "mark"))
        known = {place for part, place in self.columns.items() if part != "lap"}
        others = [cell.text for place, cell in enumerate(row) if place not in known]
        return next(filter(None, map(marks.aside, others)), "")

    def _after_a_blank_line(self, line: int) -> bool:
        """True below a blank line in a sheet whose columns tell no runs."""
        return line - 1 in self.blank and not {"run", "arm"} & set(self.columns)

    def _too_wide(self, row: list[Cell]) -> Cell | None:
        """The first value beyond the headings, where a comma may be a decimal one as well."""
        if not self.width or self.sign != "," or not any(cell.text for cell in row[self.width :]):
            return None
        return row[self.width]

    def _cell(self, row: Sequence[Cell], part: str) -> Cell | None:
        place = self.columns.get(part)
        return row[place] if place is not None and place < len(row) else None

    def _text(self, row: Sequence[Cell], part: str) -> str:
        cell = self._cell(row, part)
        return cell.text if cell else ""

    def _lap_number(self, line: int, row: Sequence[Cell]) -> int | None:
        cell = self._cell(row, "lap")
        if cell is None or not cell.text or marks.aside(cell.text):
            return None
        if not re.fullmatch(r"\d{1,4}", cell.text, re.ASCII):
            self._wrong(
                line, cell.column, f'"{shown(cell.text)}" is no lap number; write a whole number, or nothing'
            )
            return None
        return int(cell.text)

    def _run(self, line: int, row: Sequence[Cell], number: int | None) -> Run | None:
        """The run of a row: by its columns, or because the lap numbers begin again."""
        name, said = self._text(row, "run"), self._cell(row, "arm")
        if not name and self.last:
            name = self.last[0]  # cells that were merged hold their text once
        arm = None
        if said is not None and said.text:
            arm = arm_of(said.text)
            if arm is None:
                text = (
                    f'"{shown(said.text)}" is neither A nor B; write A for as it was, B for with the change'
                )
                self._wrong(line, said.column, text)
                return None
        elif "arm" in self.columns:
            self._wrong(
                line,
                said.column if said else 1,
                "A or B is missing; write A for as it was, B for changed",
            )
            return None
        arm = arm or arm_of(name if not name.isdigit() else "")
        again = (
            number is not None
            and self.number is not None
            and number <= self.number
            and "run" not in self.columns
        )
        again |= number is None and self._after_a_blank_line(line)
        self.number = number
        key = (name, arm)
        if key != self.last or again:
            self.last = key
            own = (bool(name) and arm_of(name) is None) or any(c.isdigit() for c in name)
            known = next((r for r in self.found.runs if own and r.name == name), None)
            if known is not None:
                text = f'run "{shown(name)}" comes back later, or is both A and B; give each run a name of its own'
                self._wrong(line, (self._cell(row, "run") or row[0]).column, text)
                return None
            self.counted = 0
            self.found.runs.append(
                Run(name or str(len(self.found.runs) + 1), arm, 1 if number is None else number)
            )
        return self.found.runs[-1]


def _names_a_run(heading: str) -> bool:
    """True for "A1" or "Run 2" above a column of lap times."""
    *words, last = headings.plain(heading).split() or [""]
    numbered = last.isdigit() and headings.role(" ".join(words)) == "run"
    return numbered or bool(_RUN_ARM.match(headings.plain(heading)))


def arm_of(text: str) -> str | None:
    """ "A" or "B" for the words that people write for as it was and with the change."""
    bare = headings.plain(text)
    found = _RUN_ARM.match(bare)
    return found[1].upper() if found else _ARM.get(bare)


def _is_count(text: str) -> bool:
    return bool(re.fullmatch(r"\d{1,3}", text, re.ASCII))


def _is_time(text: str) -> bool:
    try:
        return bool(seconds(text))
    except ValueError:
        return False


def _is_time_row(row: Sequence[Cell]) -> bool:
    return any(_is_time(c.text) and not c.text.isdigit() for c in row)


def _is_summary(row: Sequence[Cell]) -> bool:
    """True for a row below the laps such as "best;45.10"."""
    return any(word in _SUMMARY for word in headings.plain(row[0].text).split()[:2])
