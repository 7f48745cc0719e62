"""Print how the advisor fares on published complaints: `python -m tests.real_complaints.score`.

Every complaint is answered from its words, its observed facts and its second fault alone. The ear was fitted on these
complaints among others, so this is no evidence of what it makes of unseen ones: see tests.ear.advice.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from tests.real_complaints.measure import (
    DRIVER,
    NOBODY,
    Result,
    best_constant,
    directed,
    directions,
    hits,
    mind,
    run,
    turns,
    wilson,
    wrong_first,
    wrong_ways,
)
from tests.real_complaints.reading import THREE, VOICES, Complaint, complaints, retellings

WINDOWS = (1, 3, 5)
GROUPS: dict[str, Callable[[Complaint], bool]] = {
    "all": lambda c: True,
    "three families": lambda c: c.in_three,
    **{f"  {family}": lambda c, family=family: family in c.families for family in THREE},  # type: ignore[misc]
    "other families": lambda c: not c.in_three,
    "threads and diaries": lambda c: c.kind != "guide_pair",
    "guide pairs": lambda c: c.kind == "guide_pair",
}


def share(count: int, total: int) -> str:
    """A count with its share and interval."""
    low, high = wilson(count, total)
    percent = 100 * count / total if total else 0.0
    return f"{count:>2}/{total:<2} {percent:3.0f} % ({100 * low:2.0f}-{100 * high:3.0f})"


def line(name: str, cells: Iterable[str]) -> None:
    print(f"{name:<22}" + "  ".join(f"{cell:<20}" for cell in cells).rstrip())


def show_cases(results: Sequence[Result], bare: Sequence[Result]) -> None:
    print("case  rank  words  first cause, then the first five (* accepted, ! stop)")
    for result, plain in zip(results, bare, strict=True):
        first = (
            f"{lever}:{way}" + "*" * (result.rank() == place)
            for place, (lever, way) in enumerate(result.listed[:5], start=1)
        )
        stop = "!" if result.stopped else " "
        ranks = f"{result.rank() or '-':>4}  {plain.rank() or '-':>5}"
        print(f"{result.complaint.id:<4}  {ranks} {stop} {result.cause:<34} {', '.join(first)}")


def show_hits(results: Sequence[Result], without: frozenset[str]) -> None:
    line("", (f"first {window}" for window in WINDOWS))
    for name, belongs in GROUPS.items():
        group = [r for r in results if belongs(r.complaint)]
        line(name, (share(hits(group, window, without), len(group)) for window in WINDOWS))


def show_constant(without: frozenset[str]) -> None:
    line("", ("first 3 of constant", "the list"))
    for name, belongs in GROUPS.items():
        group = [c for c in complaints() if belongs(c)]
        count, triple = best_constant(group, turns(mind().book), without)
        line(name, (share(count, len(group)), ", ".join(f"{lever}:{way}" for lever, way in triple)))


def show_opposites(results: Sequence[Result]) -> None:
    book = mind().book
    line("", ("in first 3", "in first 5", "anywhere", "above every accepted"))
    for name, belongs in GROUPS.items():
        group = [r for r in results if belongs(r.complaint)]
        counts = [wrong_ways(group, book, window) for window in (3, 5, len(book.levers))]
        line(name, (share(count, len(group)) for count in (*counts, wrong_first(group, book))))


def show_directions(results: Sequence[Result]) -> None:
    """Of the complaints whose accepted levers have a direction: opposites listed; and the same by accepted ways."""
    book = mind().book
    line("", ("complaints with one", "ways as accepted", "opposite", "not listed"))
    for name, belongs in GROUPS.items():
        group = [r for r in results if belongs(r.complaint) and directed(r.complaint, book)]
        counts = directions(group, book)
        cells = [share(wrong_ways(group, book, len(book.levers)), len(group))]
        line(name, cells + [share(count, sum(counts)) for count in counts])
    for result in results:
        listed = dict(result.listed)
        for (lever, way), opposite in directed(result.complaint, book):
            if listed.get(lever) == opposite:
                place = [name for name, _ in result.listed].index(lever) + 1
                print(f"  {result.complaint.id}: {lever}:{opposite} stands at {place}, accepted is {way}")


def show_retellings(*, fields: bool) -> None:
    told = retellings()
    results = run([entry.complaint for entry in told], fields=fields)
    line("", (f"first {window}" for window in WINDOWS))
    for held_out, part in ((False, "tuned"), (True, "held out")):
        pairs = [(e, r) for e, r in zip(told, results, strict=True) if e.held_out is held_out]
        for voice in (None, *VOICES):
            group = [r for e, r in pairs if voice in (None, e.voice)]
            name = f"  {voice}" if voice else part
            line(name, (share(hits(group, window), len(group)) for window in WINDOWS))
        group = [r for _, r in pairs if r.complaint.in_three]
        line("  three families", (share(hits(group, window), len(group)) for window in WINDOWS))


def show_words() -> None:
    """Rank with and without the fields, and what the words alone were taken to say.

    What is held out is not shown, so that nobody mends by it.
    """
    told = [(complaint, "as told") for complaint in complaints()]
    told += [(entry.complaint, entry.voice) for entry in retellings() if not entry.held_out]
    told.sort(key=lambda entry: entry[0].id)
    words = [complaint for complaint, _ in told]
    print("Rank with the fields / from the words alone, and what the words were taken to say")
    for (complaint, name), result, bare in zip(
        told, run(words, fields=True), run(words, fields=False), strict=True
    ):
        ranks = f"{result.rank() or '-':>3} / {bare.rank() or '-':<3}"
        print(f"{complaint.id} {name:<8}{ranks} {bare.understood or 'nothing'}")


def main() -> None:
    results, bare = run(complaints(), fields=True), run(complaints(), fields=False)
    show_cases(results, bare)
    for title, found in (("WORDS AND FIELDS", results), ("WORDS ALONE", bare)):
        print(f"\n{title}: an accepted lever among the first (share, Wilson 95 % interval)")
        show_hits(found, NOBODY)
        print(f"\n{title}: the same besides driver")
        show_hits(found, DRIVER)
    only = [c.id for c in complaints() if c.accept == ("driver",)]
    print(f"\nAccept nothing but driver, so can't count besides it: {', '.join(only)}")
    for title, without in (("", NOBODY), (", besides driver", DRIVER)):
        print(f"\nBEST CONSTANT LIST of three, chosen with the answers in hand for each group{title}")
        show_constant(without)
    print("\nWORDS AND FIELDS: the opposite of an accepted way is listed")
    show_opposites(results)
    for title, found in (("WORDS AND FIELDS", results), ("WORDS ALONE", bare)):
        print(f"\n{title}: which way round the accepted levers are listed, where only one way is accepted")
        show_directions(found)
    for title, fields in (("WORDS AND FIELDS", True), ("WORDS ALONE", False)):
        print(f"\nRETELLINGS, {title} (three voices of one complaint are not independent)")
        show_retellings(fields=fields)
    print()
    show_words()


if __name__ == "__main__":
    main()
