"""The words of an advice, made from the links and the ledger; nothing here is written for one case."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from advisor import units
from advisor.inference.belief import Belief
from advisor.inference.cures import Link
from advisor.inference.evidence import Evidence
from advisor.inference.tables import Tables
from advisor.inference.trials import Prospect
from advisor.learning.answering import Answering
from advisor.learning.experience import Own
from advisor.learning.own_cases import base_rates as own_base_rates
from advisor.learning.verdict_errors import Errors, share, usual
from advisor.model import conditions
from advisor.model.case import Case
from advisor.model.knowledge import UNSOURCED, Book, Cause
from advisor.model.levers import Lever
from advisor.model.scale import percent
from advisor.physics.weight import KART_MASS, share_moved
from advisor.planning.ranking import Ranked, side_effects
from advisor.planning.steps import Move
from advisor.units import UNITS, Quantity

COSTS_TOLD = 2  # the strongest side effects; a list of all would hide them
SIGNS_TOLD = 2  # likewise of the answers behind a cause
LIKELY = 0.1  # from here on a cause is called a likely one
TELLING = 0.4  # log-odds from which an answer is named: it makes the cause half as likely again


def why(
    book: Book, belief: Belief, prospect: Prospect, link: Link, step: Move, evidence: Evidence
) -> tuple[str, ...]:
    """Cause, what it needs, how the lever gives it, and what people disagree about."""
    cause = list(book.causes.values())[prospect.best]
    lever = book.levers[prospect.lever]
    p = belief.probabilities[prospect.best]
    lines = [f"{'Likely cause' if p >= LIKELY else 'One of several causes'} ({percent(p)}): {cause.name}."]
    lines += _circumstances(book, cause, evidence)
    lines += _signs(book, belief, prospect.best, evidence)
    if link.gives and link.need:
        lines += helps(book, link, prospect.way)
        lines += _dispute(lever, link, prospect)
    elif cause.undoes_change:
        lines.append("It began with that change, so putting it back is the first thing to try.")
    else:
        lines.append(cause.plain)
    return (*lines, *_window(step), *_size(lever, step), *_figures(lever, step, evidence))


def helps(book: Book, link: Link, way: str) -> tuple[str, ...]:
    """What a cause needs, and how the lever gives it; nothing for what answers the cause directly."""
    if not (link.gives and link.need):
        return ()
    return (f"It needs {link.need.change} {book.effects[link.need.effect].name}.", _mechanism(link, way))


def _window(step: Move) -> tuple[str, ...]:
    """The window of the trade that this kart and day are in, in the unit of the sheet."""
    if step.guide is None:
        return ()
    low, high = (units.parse(end) for end in (step.guide.low, step.guide.high))
    unit = step.to.si.unit if step.to and step.to.si else low.unit
    usual = f"{str(low.within(unit)).rpartition(' ')[0]} to {high.within(unit)}"
    return (f"Usual here: {usual} ({step.guide.because.rstrip('.')}).",)


def _size(lever: Lever, step: Move) -> tuple[str, ...]:
    """How strong a step is on this kart beside a usual one, and what that makes of the amount."""
    strength, times = step.size.strength, step.size.times
    if strength == 1 or lever.step is None:
        return ()
    text = f"By the wheel loads of this kart a step gives about {strength:.1f} times what it gives on a usual one"
    if strength > 1:
        return (f"{text}: one is enough.",)
    unit = step.amount.unit if step.amount else ""
    if times == 1 or step.amount is None or unit not in UNITS:
        return (f"{text}.",)
    usual = units.parse(lever.step.amount)
    each = usual.value * usual.unit.factor / UNITS[unit].factor
    if abs(step.amount.value - times * each) > 0.05 * each:  # a limit or a window says how far
        return (f"{text}.",)
    return (f"{text}, so it is {times:g} steps: {step.amount.value:.3g} {unit} instead of {each:.3g}.",)


def own_trials(lever: Lever, own: Own | None, best: int, way: str) -> tuple[str, ...]:
    """What the team's own trials of other days say beside the trade, of the cause that the change is for.

    `way`: the one that helps against it as the trade has it.
    """
    if own is None:
        return ()
    each = "; ".join(
        f"{w}: {', '.join(f'{n} {v}' for v, n in counts.items())}" for w, counts in own.verdicts.items()
    )
    many = sum(sum(counts.values()) for counts in own.verdicts.values())
    text = f"Your own {'trial' if many == 1 else f'{many} trials'} of the {lever.name} before this search: {each}"
    text += f" (worth {own.worth:.1f} like today)"
    if best in own.stated:
        trade, now = own.stated[best]
        text += (
            f"; that it helps to {lever.ways[way].say}, and not the opposite: {percent(trade)} without them, "
            f"{percent(now)} with them"
        )
    return (f"{text}.",)


LEAST_TOLD = 0.1  # cases from which a base rate that they moved explains itself
MOVED = 1.5  # times that a base rate is moved by where whole percents do not show it


def own_cases(tables: Tables, counts: Mapping[int, float], best: int) -> tuple[str, ...]:
    """How the team's own cases moved the base rate of a cause."""
    mine = counts.get(best, 0.0)
    if mine < LEAST_TOLD:
        return ()
    trade, now = own_base_rates(counts, best, tables)
    head = f"Of your own cases, worth {sum(counts.values()):.1f} like today, {mine:.1f} came from this: "
    if percent(trade) != percent(now):
        return (
            f"{head}before anything is told the trade has it in {percent(trade)} of them, with yours {percent(now)}.",
        )
    if now < MOVED * trade:
        return ()  # a sentence about nothing that can be seen
    return (
        f"{head}that makes it {now / trade:.1f} times as likely as the trade has it, before anything is told.",
    )


def own_words(errors: Errors, driver: str) -> tuple[str, ...]:
    """How often a driver's word is taken for wrong beside the trade; nothing where whole percents do not show it."""
    trade, here = usual(), share(errors.odds(driver))
    if percent(trade) == percent(here):
        return ()
    known = errors.of(driver)
    each = [known] if known else list(errors.drivers.values())
    checked, wrong = sum(d.checked for d in each), sum(d.wrong for d in each)
    whose = f"{driver}'s" if known and driver else "your"
    return (
        f'"Better", "same" and "worse" are wrong, the trade: {percent(trade)}; about {wrong:.0f} of {whose} {checked} '
        f"that the laps or a second try of the same could check: {percent(here)}.",
    )


TAKES = {
    "remember": "What is remembered",
    "look": "What has to be looked at",
    "measure": "What has to be measured",
}


def own_answers(found: Answering | None, effort: str) -> tuple[str, ...]:
    """How often a question is answered here beside the trade; nothing where whole percents do not show it."""
    if found is None or percent(found.trade) == percent(found.here):
        return ()
    (asked, answered), (times, own) = found.kind, found.own
    this = f", this one {own} of {times}" if times else ""
    return (
        f"{TAKES[effort]} gets an answer, the trade: {percent(found.trade)}; {answered} of your {asked}{this}: "
        f"{percent(found.here)}.",
    )


def idea(
    book: Book, evidence: Evidence, ranked: Sequence[Ranked], lever: str, way: str | None
) -> tuple[str, ...]:
    """An idea that was asked about, judged: what it does, where it stands, what beats it."""
    entry = book.levers[lever]
    ranked = [r for r in ranked if r.barred is None or r.prospect.lever == lever]
    place = next((i for i, r in enumerate(ranked, start=1) if r.prospect.lever == lever), None)
    way = way or (ranked[place - 1].prospect.way if place else next(iter(entry.ways)))
    lines = [f"You asked whether to {entry.ways[way].say}.", _does(book, evidence, lever, way)]
    if not evidence.tells:
        lines.append("Say what the kart does, and it can be placed among the other changes.")
    elif place is None:
        lines.append("Nothing that was said speaks for it.")
    else:
        lines.append(_standing(book, ranked, place, way))
    return tuple(line for line in lines if line)


def _does(book: Book, evidence: Evidence, lever: str, way: str) -> str:
    """What a way of a lever does, the strongest effects first, as the trade has it."""
    effects = [
        f"{'less' if less else 'more'} {book.effects[e].name} ({percent(sure)} sure)"
        for e, less, sure in side_effects(book.levers[lever], way, evidence)
    ]
    return f"It gives {', '.join(effects[:3])}." if effects else ""


def _standing(book: Book, ranked: Sequence[Ranked], place: int, way: str) -> str:
    mine, best = ranked[place - 1], next((r for r in ranked if r.barred is None), ranked[place - 1])
    say = book.levers[mine.prospect.lever].ways
    if mine.prospect.way != way:
        other = say[mine.prospect.way].say
        return f"Here the other way is likelier to help: {other} (chance {percent(mine.chance)})."
    text = f"It stands {place}. of {len(ranked)} here, with a chance of {percent(mine.chance)}"
    if best is mine:
        return f"{text}: nothing beats it."
    first = book.levers[best.prospect.lever].ways[best.prospect.way].say
    return f"{text}; first stands: {first} (chance {percent(best.chance)}, for its minutes)."


def _circumstances(book: Book, cause: Cause, evidence: Evidence) -> list[str]:
    """The values of this kart and this day that make the cause likelier, each named."""
    found = []
    for odds in cause.odds:
        if odds.times > 1 and conditions.holds(odds.where, evidence.facts):
            values = ", ".join(text for path in odds.where if (text := _value(book, path, evidence)))
            found.append(f"{values[:1].upper()}{values[1:]}: {odds.because.rstrip('.')}." if values else "")
    return [text for text in found if text]


def _signs(book: Book, belief: Belief, i: int, evidence: Evidence) -> list[str]:
    """The answers that speak for the cause most, in their own words."""
    terms = sorted(((ledger[i], name) for name, ledger in belief.ledger.items()), reverse=True)
    told = [
        f"{name.replace('_', ' ')} ({_value(book, f'observed.{name}', evidence)})"
        for weight, name in terms
        if weight >= TELLING and f"observed.{name}" in evidence.facts
    ]
    return [f"What speaks for it: {'; '.join(told[:SIGNS_TOLD])}."] if told else []


def _value(book: Book, path: str, evidence: Evidence) -> str:
    room, _, name = path.partition(".")
    value = evidence.facts[path]
    if room == "observed":
        answers = book.observations[name].answers
        return " or ".join(answers[a].text for a in sorted(value)) if isinstance(value, frozenset) else ""
    label = book.levers[name].name if name in book.levers else name.split(".")[-1].replace("_", " ")
    return f"{label} {value}"


def _figures(lever: Lever, step: Move, evidence: Evidence) -> tuple[str, ...]:
    """How much weight a seat step moves, where the driver's mass is known."""
    driver = evidence.facts.get("kart.driver_mass")
    if lever.id != "seat_fore_aft" or step.amount is None or not isinstance(driver, Quantity):
        return ()
    distance = step.amount.value * UNITS[step.amount.unit].factor
    points = 100 * share_moved(driver.si, distance, driver.si + KART_MASS)
    return (f"With a driver of {driver} one step moves about {points:.1f} points of the weight.",)


def team(book: Book, row: Mapping[int, Link], prospect: Prospect) -> tuple[str, ...]:
    """What the team's own files have to do with a way of a lever: its trusted fixes, and whose records they are."""
    lines = []
    for i, link in row.items():
        fix = link.fix
        if fix is None or fix.direction != prospect.way:
            continue
        beside = "" if i == prospect.best else f", against {list(book.causes.values())[i].name}"
        lines.append(f"Your team's own fix ({fix.id}, {fix.author}{beside}): {fix.because.rstrip('.')}.")
        if link.against and link.opposite:
            other = book.levers[fix.lever].ways[link.opposite].say
            lines.append(f"The shipped knowledge has it the other way ({other}); your team's fix counts.")
    for record, what in ((f"levers/{prospect.lever}", "lever"), (_cause_record(book, prospect), "cause")):
        if record in book.own:
            lines.append(f"This {what} is described by your team's own file.")
    return tuple(lines)


def _cause_record(book: Book, prospect: Prospect) -> str:
    return f"causes/{list(book.causes)[prospect.best]}"


def _mechanism(link: Link, way: str) -> str:
    assert link.gives is not None
    text = link.gives.because.rstrip(".")
    if way == link.gives.way:
        return f"{text[:1].upper()}{text[1:]}."
    return f"The other way round, {text[:1].lower()}{text[1:]}; so turned this way it does the opposite."


def _dispute(lever: Lever, link: Link, prospect: Prospect) -> list[str]:
    assert link.gives is not None
    agree, disagree = len(link.gives.agree), len(link.gives.disagree)
    other = lever.ways[prospect.way].opposite
    if disagree == 0 or other is None:
        return []
    stated = prospect.way == link.way
    tally = f"{agree} to {disagree}" if stated else f"{disagree} to {agree}"
    return [
        f"Sources are split {tally} on the direction: one step will tell. If it gets worse, {lever.ways[other].say}."
    ]


def costs(book: Book, evidence: Evidence, prospect: Prospect, cause: Cause) -> tuple[str, ...]:
    """What the change may take away elsewhere; what the cause needs less of is no cost."""
    lever = book.levers[prospect.lever]
    wanted = {need.effect for need in cause.needs}
    lost = []
    for effect, less, _ in side_effects(lever, prospect.way, evidence):
        if less and effect not in wanted:
            lost.append(f"{book.effects[effect].name} ({book.effects[effect].less_feels})")
    return tuple(lost[:COSTS_TOLD])


def feel_for(book: Book, cause: Cause, link: Link) -> str:
    """What to feel for in the first laps."""
    if link.need and link.need.change == "more":
        return book.effects[link.need.effect].more_feels
    if link.need:
        return f"the fault gets smaller, even if {book.effects[link.need.effect].less_feels} a little"
    if link.remedy and link.remedy.lever == "leave_alone":
        return "the lap times follow those of the others as the track changes"
    if link.look:
        return "something found and put right; then the fault is gone in the first laps"
    return "the fault you told of gets smaller in the first laps"


def wrong_if(book: Book, link: Link, opposite: bool) -> str:
    """What would show that it was wrong."""
    back = ": put it back" + (" and go the other way" if opposite else "")
    if link.need and link.need.change == "more":
        return f"{book.effects[link.need.effect].less_feels}{back}"
    if link.need:
        return f"the fault stays, and {book.effects[link.need.effect].less_feels}{back}"
    if link.lever == "driver":
        return "nothing changes after three runs of trying"
    if link.look or link.way == "accept":
        return "nothing is found, and the fault is as it was"
    return f"it feels the same, or something else got worse{back}"


def sources(cause: Cause, link: Link) -> tuple[str, ...]:
    """Ids of the sources behind a link, pages before what has no page."""
    found = list(link.remedy.source) if link.remedy else []
    if link.gives and link.need:
        found += [*link.gives.agree, *link.gives.disagree, *link.need.source]
    found += cause.source
    return tuple(sorted(dict.fromkeys(found), key=lambda s: s in UNSOURCED))


def account(tables: Tables, belief: Belief, i: int) -> list[tuple[str, float]]:
    """The ledger of a hypothesis, strongest evidence first, for `why` in the interview."""
    lines = belief.account(i)
    return sorted(lines.items(), key=lambda line: -abs(line[1]))


def assumed_of(case: Case) -> list[str]:
    """What an answer had to assume because the case does not say it, in one sentence."""
    notes = []
    if case.kit is None:
        notes.append("every part is in the trailer")
    if not case.setup:
        notes.append("no lever stands at its stop (no setup given)")
    if not case.rules:
        notes.append("the class allows it (no rules given: check the rulebook)")
    return [f"assumed: {'; '.join(notes)}"] if notes else []
