"""What a change of the knowledge moves: `python -m tests.properties.moved OLD`.

OLD is a revision of the repository ("HEAD~3", a branch) or a folder of knowledge, or one that holds it. Every
scenario and every real complaint of this checkout is answered with the old knowledge and with that of this checkout,
by the reasoning of this checkout. Those whose first cause, first three changes, pass or rank of the first accepted
change differ are shown, before -> after.
"""

from __future__ import annotations

import io
import subprocess
import sys
import tarfile
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, fields
from pathlib import Path

from advisor.book import load
from advisor.model.knowledge import Book
from advisor.problems import UnusableError
from advisor.reasoning.advise import advise
from advisor.reasoning.weighing import Mind, make_ready
from advisor.replay.scenario import differences, read_scenarios
from tests.real_complaints.measure import ask
from tests.real_complaints.reading import Complaint, complaints

TOP = 3  # changes that are compared
NOTHING = "-"


@dataclass(frozen=True, slots=True)
class Seen:
    """What one book makes of a case. `passes` is for scenarios, `accepted` (a rank) for complaints."""

    cause: str
    changes: str
    passes: str = NOTHING
    accepted: str = NOTHING


Table = dict[str, Seen]  # by the name of the case


def scenarios_by(mind: Mind, folder: Path) -> Table:
    """Every scenario that the book can read; one that names what it does not hold is left out."""
    found: Table = {}
    every = frozenset(mind.book.observations)
    for path in sorted(folder.glob("*.yaml")):
        for scenario in read_scenarios(path, mind.book)[0]:
            answer = advise(mind, scenario.case, skipped=frozenset() if scenario.expect.asks else every)
            wrong = any(differences(scenario.expect, answer, scenario.told))
            causes = [c.id for c in answer.causes if c.id != "unknown"]
            changes = ", ".join(f"{a.lever}:{a.direction}" for a in answer.advice[:TOP])
            found[f"{path.stem}: {scenario.name}"] = Seen(
                causes[0] if causes else NOTHING, changes or NOTHING, "fails" if wrong else "passes"
            )
    return found


def complaints_by(mind: Mind) -> Table:
    """Every real complaint, from its words and fields, and from its words alone."""
    found: Table = {}
    for complaint in complaints():
        for name, by_fields in (("words and fields", True), ("words", False)):
            if by_fields and not told_by(mind.book, complaint):
                continue
            result = ask(complaint, fields=by_fields, by=mind)
            changes = ", ".join(":".join(turn) for turn in result.listed[:TOP])
            found[f"{complaint.id}, {name}"] = Seen(
                result.cause.split()[0], changes or NOTHING, accepted=str(result.rank() or NOTHING)
            )
    return found


def told_by(book: Book, complaint: Complaint) -> bool:
    """Whether the book knows every observed fact of a complaint."""
    facts = (*complaint.observed.items(), *complaint.secondary.items())
    return all(o in book.observations and a in book.observations[o].answers for o, a in facts)


def moved(old: Table, new: Table) -> Iterator[tuple[str, list[tuple[str, str, str]]]]:
    """Each case that differs, with what differs, before and after; a case that one side lacks is not compared."""
    for name in (n for n in new if n in old):
        pairs = ((f.name, getattr(old[name], f.name), getattr(new[name], f.name)) for f in fields(Seen))
        if changed := [pair for pair in pairs if pair[1] != pair[2]]:
            yield name, changed


# --- the old knowledge ---------------------------------------------------------------------------------


@contextmanager
def knowledge(old: str) -> Iterator[Path]:
    """The folder with the old knowledge, unpacked from the repository where `old` is no folder. Raises ValueError."""
    place = Path(old)
    if place.is_dir():
        inside = place / "knowledge"
        yield inside if inside.is_dir() else place
        return
    command = ["git", "archive", "--end-of-options", old, "knowledge"]
    try:
        made = subprocess.run(command, cwd=Path(__file__).parents[2], capture_output=True, check=False)
    except OSError as error:
        raise ValueError(
            f'"{old}" is no folder, and git cannot be run to look for a revision ({error})'
        ) from None
    if made.returncode:
        why = made.stderr.decode(errors="replace").strip()
        raise ValueError(f'"{old}" is neither a folder nor a revision with knowledge in it ({why})')
    with tempfile.TemporaryDirectory() as folder:
        with tarfile.open(fileobj=io.BytesIO(made.stdout)) as packed:
            packed.extractall(folder, filter="data")
        yield Path(folder) / "knowledge"


def mind_of(folder: Path) -> Mind:
    """The book of a folder, made ready. Raises UnusableError where it does not fit the reasoning of today."""
    loaded = load.load(folder)
    if loaded.book is None:
        raise UnusableError(p for p in loaded.problems if p.severity == "error")
    return make_ready(loaded.book, load.ear())


# --- what is printed -----------------------------------------------------------------------------------

TITLES = {
    "cause": "first cause",
    "changes": "first three",
    "passes": "scenario",
    "accepted": "rank of accepted",
}
BETTER: dict[str, dict[str, tuple[str, ...]]] = {
    "passes": {"passed": ("passes",)},
    "accepted": {"first": ("1",), "in the first three": ("1", "2", "3")},
}


def show(title: str, old: Table, new: Table) -> None:
    found = list(moved(old, new))
    both = [name for name in new if name in old]
    print(f"\n{title}: {len(found)} of {len(both)} move")
    for key, name in TITLES.items():
        count = sum(any(k == key for k, _, _ in changed) for _, changed in found)
        print(f"  {name + ':':<18}{count:>4}{_balance(key, old, new, both)}")
    for name, changed in found:
        print(f"\n  {name}")
        for key, before, after in changed:
            print(f"    {TITLES[key]:<17} {before} -> {after}")
    for side, names in (
        ("the old", [n for n in new if n not in old]),
        ("the new", [n for n in old if n not in new]),
    ):
        if names:
            print(f"\n  Not told to {side} knowledge, which lacks what they name:", *names, sep="\n    ")


def _balance(key: str, old: Mapping[str, Seen], new: Mapping[str, Seen], both: Sequence[str]) -> str:
    """For what can be better or worse: how it stood and stands in all."""
    told = {value for n in both for value in (getattr(old[n], key), getattr(new[n], key))} - {NOTHING}
    if not told or key not in BETTER:
        return ""
    counts = (
        f"{name} {_count(key, old, both, good)} -> {_count(key, new, both, good)}"
        for name, good in BETTER[key].items()
    )
    return f"   {', '.join(counts)}"


def _count(key: str, table: Mapping[str, Seen], names: Sequence[str], good: Sequence[str]) -> int:
    return sum(getattr(table[n], key) in good for n in names)


def main(arguments: Sequence[str]) -> None:
    if len(arguments) != 1:
        raise SystemExit("usage: python -m tests.properties.moved OLD (a revision, or a folder of knowledge)")
    now = mind_of(load.shipped())
    try:
        with knowledge(arguments[0]) as folder:
            then = mind_of(folder)
    except ValueError as error:
        raise SystemExit(str(error)) from None
    except UnusableError as error:
        first = next(iter(error.problems))
        raise SystemExit(f"the old knowledge does not fit the reasoning of this checkout: {first}") from None
    scenarios = load.shipped("scenarios")
    show("Scenarios", scenarios_by(then, scenarios), scenarios_by(now, scenarios))
    show("Real complaints", complaints_by(then), complaints_by(now))


if __name__ == "__main__":
    main(sys.argv[1:])
