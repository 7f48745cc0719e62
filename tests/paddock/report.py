"""How many runs, minutes and questions each policy needs: `python -m tests.paddock.report [CASES] [--write]`.

With `--write` the tables go into DEVELOPERS.md, between its paddock marks. `--minutes` ends it there, with the cases
that are done. Without `--all` ours, the fixed opponent, the entropy-driven and who knows the fault are played, in the
world as the book has it and every second case in a foreign one; with it all policies, worlds and parts taken away. A
case and world takes about a second of one processor, with `--all` several.
"""

from __future__ import annotations

import argparse
import math
import re
import time
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from functools import cache, partial
from pathlib import Path

import numpy as np
import numpy.typing as npt

from tests.paddock.play import Result, inspection, play
from tests.paddock.policies import FIXED, Paddock
from tests.paddock.quick import quickly
from tests.paddock.worlds import FOREIGN, OURS, WORLDS, Kart, World, kart, shipped

DEVELOPERS = Path(__file__).parents[2] / "DEVELOPERS.md"
MARKED = re.compile(r"(?<=<!-- paddock -->\n).*?(?=<!-- /paddock -->)", re.DOTALL)
RESAMPLES = 2000
OPPONENT = "fixed opponent"
WORST = 12  # causes named where ours loses most

Numbers = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Record:
    """A case in one world: what was wrong, whether the opponent's list held a cure, what became of it by policy."""

    faults: tuple[str, ...]
    listed: bool
    results: dict[str, Result]
    without: dict[str, Result]  # ours without one part each


@cache
def paddock() -> Paddock:
    return Paddock(shipped())


MAIN = (OURS, FOREIGN)  # the worlds that the aims speak of; the others get a share of the cases
EVERY = {FOREIGN: 2}  # one of so many cases is played there
SHARE = 5
TOLD = (
    "ours",
    "ours, fix it now",
    OPPONENT,
    "entropy-driven",
    "oracle",
)  # the policies that the aims speak of


def record(case: int, whole: bool = True) -> dict[str, Record]:
    """One case in every world it belongs to; its policies are paired, and so are the worlds.

    `whole`: every case is played in the two main worlds, one of `SHARE` in the others, by all policies, and parts are
    taken away in every fourth.
    """
    if not whole:
        return {w.name: _in_world(case, w, TOLD, False) for w in MAIN if case % EVERY.get(w, 1) == 0}
    worlds = WORLDS if case % SHARE == 0 else MAIN
    return {w.name: _in_world(case, w, None, w in MAIN and case % 4 == 0) for w in worlds}


def _in_world(case: int, world: World, policies: Sequence[str] | None, ablated: bool) -> Record:
    made = kart(shipped(), case, world)
    with quickly(paddock().quick):
        everyone = paddock().everyone(made)
        results = {name: play(everyone[name], made) for name in policies or everyone}
        less = {name: play(policy, made) for name, policy in paddock().without().items()} if ablated else {}
    return Record(tuple(f.name for f in made.faults), on_the_list(made), *map(_bare, (results, less)))


def _bare(results: dict[str, Result]) -> dict[str, Result]:
    return {name: replace(result, log=()) for name, result in results.items()}


def on_the_list(made: Kart) -> bool:
    """True when the opponent's list holds something that cures every fault of the kart."""
    levers = {i for i, lever in made.tables.book.levers.items() if inspection(lever)}
    levers.update(lever for step in FIXED for lever in step)
    return all(
        any(made.outcome(i, act.way, fault) == "cured" for i, act in fault.acts.items() if i in levers)
        for fault in made.faults
    )


def records(
    cases: int, workers: int = 2, whole: bool = True, minutes: float | None = None
) -> list[dict[str, Record]]:
    """The cases from number 0 on; after `minutes` no more."""
    end = math.inf if minutes is None else time.monotonic() + 60 * minutes
    found: list[dict[str, Record]] = []
    with ProcessPoolExecutor(workers) as pool:
        for each in pool.map(partial(record, whole=whole), range(cases)):
            found.append(each)
            if time.monotonic() > end:
                pool.shutdown(cancel_futures=True)
                break
    return found


# --- numbers ---------------------------------------------------------------------------------------


def column(results: Iterable[Result], value: Callable[[Result], float]) -> Numbers:
    return np.array([value(r) for r in results], dtype=np.float64)


@cache
def _resampled(cases: int) -> npt.NDArray[np.intp]:
    return np.random.default_rng(1).integers(0, cases, (RESAMPLES, cases))


def ratio(ours: Numbers, theirs: Numbers) -> tuple[float, float, float]:
    """Ratio of the means with its paired bootstrap 95 % interval."""
    drawn = _resampled(len(ours))
    low, high = np.percentile(ours[drawn].mean(axis=1) / theirs[drawn].mean(axis=1), (2.5, 97.5))
    return float(ours.mean() / theirs.mean()), float(low), float(high)


def difference(some: Numbers, others: Numbers) -> tuple[float, float, float]:
    """Difference of the means with its paired bootstrap 95 % interval."""
    gaps = some - others
    low, high = np.percentile(gaps[_resampled(len(gaps))].mean(axis=1), (2.5, 97.5))
    return float(gaps.mean()), float(low), float(high)


def saved(policy: Numbers, theirs: Numbers, least: Numbers) -> tuple[float, float, float]:
    """The share of what the opponent needs more than who knows the fault that a policy saves, with its interval."""
    drawn = _resampled(len(policy))
    shares = (theirs - policy)[drawn].mean(axis=1) / (theirs - least)[drawn].mean(axis=1)
    low, high = np.percentile(shares, (2.5, 97.5))
    return float((theirs - policy).mean() / (theirs - least).mean()), float(low), float(high)


def _runs(result: Result) -> float:
    return result.runs


# --- tables ----------------------------------------------------------------------------------------

Lines = list[str]


def _table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> Lines:
    lines = [head, ["---", *["--:"] * (len(head) - 1)], *rows]
    return [f"| {' | '.join(line)} |" for line in lines]


def _interval(numbers: tuple[float, float, float], places: int = 2, sign: str = "") -> str:
    middle, low, high = (f"{n:{sign}.{places}f}" for n in numbers)
    return f"{middle} ({low} to {high})"


def _costs(results: Sequence[Result]) -> list[str]:
    runs, minutes = column(results, _runs), column(results, lambda r: r.minutes)
    return [
        f"{runs.mean():.2f}",
        f"{np.percentile(runs, 90):.1f}",
        f"{minutes.mean():.0f}",
        f"{np.percentile(minutes, 90):.0f}",
        f"{column(results, lambda r: r.cured).mean():.0%}".replace("%", " %"),
        f"{column(results, lambda r: r.questions).mean():.1f}",
        f"{column(results, lambda r: r.harm).mean():.2f}",
    ]


COSTS = ("runs", "90 %", "minutes", "90 %", "cured", "questions", "harm")


def policies_table(cases: Sequence[Record]) -> Lines:
    """What each policy needed, and its runs over those of the fixed opponent."""
    theirs, least = (column([c.results[name] for c in cases], _runs) for name in (OPPONENT, "oracle"))
    rows = []
    for name in cases[0].results:
        results = [c.results[name] for c in cases]
        own = column(results, _runs)
        shares = _interval(ratio(own, theirs)), _interval(saved(own, theirs, least))
        rows.append([name, *_costs(results), *shares])
    return _table(("policy", *COSTS, f"runs / {OPPONENT}", "of avoidable runs saved"), rows)


def listed_line(cases: Sequence[Record]) -> str:
    """The comparison where the opponent's list can cure at all."""
    listed = [c for c in cases if c.listed]
    ours, theirs = (column([c.results[n] for c in listed], _runs) for n in ("ours", OPPONENT))
    share = f"{len(listed) / len(cases):.0%}".replace("%", " %")
    return (
        f"Where the opponent's list holds a cure ({share} of the cases): ours {ours.mean():.2f} runs, "
        f"the opponent {theirs.mean():.2f}, ratio {_interval(ratio(ours, theirs))}."
    )


def ablation_table(world: str, cases: Sequence[Record]) -> Lines:
    """What each part of ours is worth in one world: how many runs more it takes without."""
    rows = []
    for name in cases[0].without:
        base = "ours, fix it now" if name.startswith("fix it now") else "ours"
        whole = [c.results[base] for c in cases]
        results = [c.without[name] for c in cases]
        more = [
            difference(column(results, value), column(whole, value))
            for value in (_runs, lambda r: r.minutes, lambda r: r.harm)
        ]
        rows.append([f"{world}, {name}", *map(_signed, more, (2, 0, 2))])
    return _table(("ours", "runs more", "minutes more", "harm more"), rows)


def _signed(numbers: tuple[float, float, float], places: int) -> str:
    return _interval(numbers, places, "+")


def losses_table(cases: Sequence[Record]) -> Lines:
    """The causes by the runs that ours loses on them against the oracle, over all cases."""
    lost: dict[str, list[float]] = {}
    for c in cases:
        gap = c.results["ours"].runs - c.results["oracle"].runs
        lost.setdefault(" and ".join(c.faults), []).append(gap)
    total = sum(map(sum, lost.values())) or 1.0
    worst = sorted(lost.items(), key=lambda item: -sum(item[1]))[:WORST]
    rows = [
        [name, f"{len(gaps)}", f"{sum(gaps) / len(gaps):+.1f}", f"{sum(gaps) / total:.1%}"]
        for name, gaps in worst
    ]
    return _table(("cause", "cases", "runs lost a case", "of all lost"), rows)


def tables(found: Sequence[dict[str, Record]]) -> str:
    """All that is written into DEVELOPERS.md."""
    lines = [
        "Cases are paired. Means and 90th percentiles of runs and minutes to a cure; a kart that "
        "is not cured counts as twelve runs. Harm: changes for the worse a case. Avoidable is what the fixed opponent "
        "needs more than the oracle. In brackets: 95 % by bootstrap.",
    ]
    for world in found[0]:
        cases = [f[world] for f in found if world in f]
        lines += [
            "",
            f"**{world[:1].upper()}{world[1:]}** ({len(cases)} cases)",
            "",
            *policies_table(cases),
            "",
            listed_line(cases),
        ]
    parts: Lines = []
    counted: Lines = []
    for world in found[0] if next(iter(found[0].values())).without else ():
        cases = [c for f in found if world in f and (c := f[world]).without]
        parts += ablation_table(world, cases)[2 if parts else 0 :] if cases else []
        counted += [f"{world}: {len(cases)} cases"] if cases else []
    if parts:
        lines += ["", f"**What the parts of ours are worth** ({', '.join(counted)})", "", *parts]
    return "\n".join([*lines, ""])


def write(text: str, target: Path = DEVELOPERS) -> None:
    """Put the tables between the marks."""
    before = target.read_text(encoding="utf-8")
    if not MARKED.search(before):
        raise SystemExit(f"{target.name} has no <!-- paddock --> block")
    target.write_text(MARKED.sub(lambda _: f"\n{text}\n", before), encoding="utf-8")


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.paddock.report", description=__doc__)
    parser.add_argument("cases", nargs="?", type=int, default=500, help="how many cases in each world")
    parser.add_argument("--write", action="store_true", help="put the tables into DEVELOPERS.md")
    parser.add_argument(
        "--all", action="store_true", help="all policies and worlds, and ours without its parts"
    )
    parser.add_argument(
        "--minutes", type=float, help="end after so many minutes, with the cases that are done"
    )
    parser.add_argument("--workers", type=int, default=2, help="how many processes")
    wanted = parser.parse_args()
    found = records(wanted.cases, wanted.workers, wanted.all, wanted.minutes)
    text = tables(found)
    print(text)
    print("**Where ours loses most against the oracle, as the book has it**\n")
    print("\n".join(losses_table([f[OURS.name] for f in found])))
    if wanted.write:
        write(text)


if __name__ == "__main__":
    main()
