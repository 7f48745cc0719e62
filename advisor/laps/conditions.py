"""What differed between runs beside the change: such a difference is a confounder, and is named."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from advisor.laps.columns import CONDITIONS, plain
from advisor.laps.marks import aside, tells
from advisor.laps.sheet import Run


def differences(runs: Sequence[Run], changed: Collection[str] = ()) -> list[str]:
    """A sentence for every condition that is not the same in all runs, but for what was changed on purpose."""
    return [
        text
        for name in CONDITIONS
        if name not in changed
        for text in (*_difference(runs, name), *_remarked(runs, name))
    ]


def _remarked(runs: Sequence[Run], name: str) -> list[str]:
    """What the remarks of some runs say of a condition, where others say something else of it, or nothing."""
    told = [(run, text) for run in runs if (text := _of_the_run(run, name))]
    if len({plain(text) for _, text in told}) == 1 and len(told) == len(runs):
        return []
    each = ", ".join(f'"{text}" in run {run.name}' for run, text in told)
    return [f"{name}, by the remarks: {each}"] if told else []


def _of_the_run(run: Run, name: str) -> str:
    """A remark on a condition that is of the run: it stands at its first lap, or at every one. Others are of a lap."""
    first = next((text for text in run.remarks if not aside(text)), "")
    return first if name in tells(first) else ""


def _difference(runs: Sequence[Run], name: str) -> list[str]:
    told = [(run, " then ".join(run.conditions[name])) for run in runs if run.conditions.get(name)]
    values: dict[str, str] = {}
    for _, value in told:
        values.setdefault(plain(value.replace(",", ".")), value)
    if len(values) < 2:
        return []
    of = {arm: {plain(v.replace(",", ".")) for run, v in told if run.arm == arm} for arm in "AB"}
    if len(of["A"]) == len(of["B"]) == 1:
        a, b = (next(values[v] for v in of[arm]) for arm in "AB")
        return [f'{name}: "{a}" as it was, "{b}" with the change; the laps cannot tell the two apart']
    each = ", ".join(f'"{value}" in run {run.name}' for run, value in told)
    return [f"{name}: {each}"]
