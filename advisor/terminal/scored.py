"""The screen of `advisor score`: how often the advice was right."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from advisor.learning.reckoning import Score, tendency
from advisor.model.scale import percent
from advisor.terminal import show
from advisor.terminal.screen import Screen


def answer(
    out: Screen,
    whole: Score,
    parts: Mapping[str, Mapping[str, Score]],
    notes: Sequence[str] = (),
) -> None:
    """The score of all trials, its reliability, and the same by fault and over time."""
    show.heading(out, f"How good the advice was: {_trials(whole.count)} with an outcome")
    for text in notes:
        show.line(out, f"{text[:1].upper()}{text[1:]}.", 2)
    show.line(
        out,
        f"Better: {percent(whole.seen)}. The advice had given a cure {percent(whole.given)}; with what is said "
        f'to be "better" by mistake, and cures not noticed, that makes {percent(whole.expected)} expected.',
        2,
    )
    show.line(
        out,
        f"Brier score {whole.brier:.3f} (0 is perfect; {whole.base:.3f} for always saying {percent(whole.seen)}).",
        2,
    )
    show.line(out, _in_words(whole), 2, "bold")
    show.heading(out, "Where it said, and what came")
    for each in whole.bins:
        show.line(
            out,
            f'{percent(each.expected)} "better" expected: {percent(each.seen)} came, of {each.count}',
            2,
        )
    for title, scores in parts.items():
        show.heading(out, title)
        for name, part in scores.items():
            text = f"{name}: {percent(part.seen)} better, {percent(part.expected)} expected, of {part.count}"
            show.line(out, f"{text}, Brier {part.brier:.3f}", 2, hang=3)


def _trials(count: int) -> str:
    return "1 trial" if count == 1 else f"{count} trials"


def _in_words(whole: Score) -> str:
    told = tendency(whole)
    if told:
        return f"{told[:1].upper()}{told[1:]}."
    if whole.count < 10:
        return "Too few trials to tell whether the chances are right."
    return "What came agrees with the chances given, as far as so many trials can tell."
