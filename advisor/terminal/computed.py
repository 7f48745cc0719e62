"""Sums on the screen: which there are, what one takes, what came out, and the answer to a question in words."""

from __future__ import annotations

from collections.abc import Mapping

from advisor.sums.nomenclature import NAMES
from advisor.sums.questions import Answer
from advisor.sums.reading import span
from advisor.sums.registry import SUMS
from advisor.sums.rows import Choice, Sum
from advisor.sums.working import Figure, Outcome
from advisor.terminal import show
from advisor.terminal.screen import Screen
from advisor.units import SYMBOLS

SHORT, LONG = 12, 60  # letters of a value that stay on one line; that are shown


def everything(out: Screen) -> None:
    """Which sums there are."""
    show.line(out, "Sums of a race day", 0, "bold")
    width = max(len(name) for name in SUMS) + 2
    for row in SUMS.values():
        show.line(out, f"{row.name:<{width}}{row.says}".replace("  ", "\u00a0\u00a0"), 2, hang=width)
    show.line(out, "What one takes, its formula and source: advisor compute NAME", 0, hang=2)
    show.line(out, "To do it: advisor compute NAME key=value ... [--json], such as", 0, hang=2)
    show.line(out, _example(SUMS["premix"]), 2, hang=2)
    show.line(out, "With the figures of a kart on file: advisor compute NAME ... --kart red", 0, hang=2)
    show.line(out, 'Or in words: advisor compute "how much oil in five litres"', 0, hang=2)


def takes(out: Screen, row: Sum) -> None:
    """What a sum takes, with units and ranges, its formula, source and where it holds."""
    show.line(out, f"{row.name}: {row.says}", 0, "bold")
    show.heading(out, "Takes key=value, in any order and any unit of the kind")
    for name in row.takes:
        show.line(out, f"{name}: {_described(row, name)}", 2, hang=2)
    for choice in row.choices:
        show.line(out, _choice(choice), 2, hang=2)
    show.heading(out, "Gives")
    for name in row.gives:
        unit_name = f" [{_symbol(NAMES[name].unit)}]" if NAMES[name].unit else ""
        show.line(out, f"{name}: {NAMES[name].says}{unit_name}", 2, hang=2)
    show.heading(out, "How")
    show.line(out, row.formula, 2, hang=2)
    _ground(out, row)
    show.line(out, f"Example: {_example(row)}", 2, hang=2)


def _described(row: Sum, name: str) -> str:
    told = NAMES[name]
    text = told.says
    if span(told):
        text += f"; {span(told)}"
    if name in row.assumes:
        text += f"; if left out: {row.assumes[name]} (assumed)"
    elif name in row.may:
        text += "; may be left out"
    return text


def _choice(choice: Choice) -> str:
    *most, last = choice.names
    these = f"{', '.join(most)} and {last}"
    count = {(1, 1): "One", (0, 1): "One, or none,", (2, 2): "Two", (1, 2): "One, or both,"}[
        choice.least, choice.most
    ]
    return f"{count} of {these}."


def _example(row: Sum) -> str:
    return " ".join(("advisor compute", row.name, *(f"{key}={text}" for key, text in row.usual.items())))


def _ground(out: Screen, row: Sum) -> None:
    show.line(out, f"Holds: {row.holds}", 2, hang=2)
    for care in row.care:
        show.line(out, f"Care: {care}", 2, hang=2)
    show.line(out, f"Source: {row.source}.", 2, "dim", hang=2)


def result(out: Screen, done: Outcome) -> None:
    """What came out, the first figure in bold, and what it rests on."""
    show.line(out, f"{done.row.says[:1].upper()}{done.row.says[1:]}", 0, "bold")
    figures(out, done)
    show.heading(out, "Counted with")
    told = {key: text for key, text in done.given.items() if key not in done.taken}
    if told:
        show.line(out, f"Given: {_list(told)}.", 2, hang=2)
    if done.taken:
        at_hand = {key: text for key, text in done.given.items() if key in done.taken}
        show.line(out, f"From the kart and its day: {_list(at_hand)}.", 2, hang=2)
    if done.assumed:
        show.line(out, f"Assumed, as you did not say: {_list(done.assumed)}.", 2, hang=2)
    _ground(out, done.row)


def figures(out: Screen, done: Outcome) -> None:
    """The figures, a line each, without those that were typed."""
    new = [figure for figure in done.figures if figure.name not in done.echoed]
    for place, figure in enumerate(new):
        style = "" if place else "bold"
        if isinstance(figure.value, str):
            show.line(out, f"{figure.value[:1].upper()}{figure.value[1:]}.", 2, "bold", hang=2)
        else:
            show.line(
                out, f"{_spoken(figure.name)}: {_whole(figure)} ({NAMES[figure.name].says})", 2, style, hang=2
            )


def _whole(figure: Figure) -> str:
    return figure.text.replace(" ", "\u00a0") if isinstance(figure.value, float | int) else figure.text


def _spoken(name: str) -> str:
    return name.replace("_", " ")


def _list(texts: Mapping[str, str]) -> str:
    """Names and values; a number stays with its unit, and a long log is cut."""
    return ", ".join(f"{key} {_glued(text)}" for key, text in texts.items())


def _glued(text: str) -> str:
    if len(text) <= LONG:
        return text.replace(" ", "\u00a0") if len(text) < SHORT else text
    return f"{text[:LONG].rsplit(' ', 1)[0]} ..."


def answer(out: Screen, found: Answer) -> None:
    """The answer to a question in words."""
    if found.read:
        show.line(out, f"Taken: {'; '.join(found.read)}.", hang=2)
    if found.unclear:
        show.line(out, f"Left out, as it is not clear what it is: {', '.join(found.unclear)}.", hang=2)
    for lead in found.leads:
        show.line(out, f"{lead}.", style="bold", hang=2)
    if found.outcome is not None:
        result(out, found.outcome)
        show.line(out, f"With other numbers: {found.line}", 2, hang=2)
        return
    show.line(out, f"{found.row.says[:1].upper()}{found.row.says[1:]}", 0, "bold")
    for sentence in found.wrong:
        show.line(out, f"{sentence}.", 2, hang=2)
    for name in found.missing:
        show.line(out, f"Missing: {name}, {NAMES[name].says}.", 2, hang=2)
    show.line(out, f"Type it with your own numbers: {found.line}", 2, "bold", hang=2)
    if found.instance is not None:
        show.heading(out, "With those numbers, only as an instance")
        figures(out, found.instance)
        if found.instance.assumed:
            show.line(out, f"Assumed: {_list(found.instance.assumed)}.", 2, hang=2)
    for care in found.row.care:
        show.line(out, f"Care: {care}", 2, hang=2)


FEW = 4  # figures of a short answer


def short(out: Screen, found: Answer) -> None:
    """The answer on one screen of a sitting: the figures, what they rest on, and what to type for more."""
    done = found.outcome or found.instance
    show.line(out, f"{found.row.says[:1].upper()}{found.row.says[1:]}", 0, "bold")
    for lead in found.leads:
        show.line(out, f"{lead}.", 2, "bold", hang=2)
    for sentence in found.wrong:
        show.line(out, f"{sentence}.", 2, hang=2)
    if done is not None and not (found.leads and found.outcome is None):
        for figure in [f for f in done.figures if f.name not in done.echoed][:FEW]:
            text = (
                figure.value if isinstance(figure.value, str) else f"{_spoken(figure.name)}: {_whole(figure)}"
            )
            show.line(out, text, 2, "bold", hang=2)
        _rests_on(out, found, done)
    if found.read:
        show.line(out, f"Taken: {'; '.join(found.read)}.", 2, hang=2)
    if found.unclear:
        show.line(out, f"Left out, as it is not clear what it is: {', '.join(found.unclear)}.", 2, hang=2)
    for care in found.row.care[:1]:
        show.line(out, f"Care: {care}", 2, hang=2)
    show.line(out, f"With other numbers, outside of this: {found.line}", 2, "dim", hang=2)


def _rests_on(out: Screen, found: Answer, done: Outcome) -> None:
    """The numbers of a sum by where they come from: told, known of the kart and the day, made up, assumed."""
    at_hand = {key: text for key, text in done.given.items() if key in found.taken}
    told = {k: v for k, v in done.given.items() if k not in at_hand and k not in found.missing}
    if told:
        show.line(out, f"As you said: {_named(told)}.", 2, hang=2)
    if at_hand:
        show.line(out, f"From your kart and day: {_named(at_hand)}.", 2, hang=2)
    if made := {key: done.given[key] for key in found.missing if key in done.given}:
        each = "; ".join(f"{_spoken(k)} {_glued(v)} ({_in_brackets(k, len(made))})" for k, v in made.items())
        show.line(out, f"Not told, so only as an instance: {each}.", 2, hang=2)
    if done.assumed:
        show.line(out, f"Assumed: {_named(done.assumed)}.", 2, hang=2)


def _in_brackets(name: str, many: int) -> str:
    """What a name is, cut short where several are told."""
    says = NAMES[name].says
    return says if many == 1 else says.partition(",")[0]


def _named(texts: Mapping[str, str]) -> str:
    return ", ".join(f"{_spoken(key)} {_glued(text)}" for key, text in texts.items())


def _symbol(name: str) -> str:
    return SYMBOLS.get(name, name)
