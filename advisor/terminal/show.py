"""What is read on the screen: advice, questions and verdicts, as lines that also read without style."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from textwrap import wrap
from types import MappingProxyType

from advisor.interview.explanations import Ahead
from advisor.model.advice import Advice, Answer, Question, Stop, Target
from advisor.model.knowledge import Book
from advisor.problems import printable
from advisor.reasoning.explain import percent
from advisor.terminal.screen import Screen

TOP = 3
DRIVER = "driver_care"  # a stop that asks for this first is no matter for a mechanic
FIRST = "put that right first"  # the end of a warning that comes before any advice


def answer(out: Screen, found: Answer, book: Book, top: int = TOP) -> None:
    """Print the whole answer to a case."""
    understood(out, found.understood, book)
    if found.stop:
        stop(out, found.stop, book)
        return
    _lines(out, "You asked", found.judged)
    _lines(out, "First of all", [f"{w}." for w in found.warnings if w.endswith(FIRST)], "bold")
    first(out, found.first)
    if found.advice and len(found.advice) > len(found.judged):
        causes(out, found)
        _lines(out, "Enough", [found.enough] if found.enough else [], "bold")
        heading(out, _over_the_changes(found))
        for place, advice in enumerate(found.advice[:top], start=1):
            told = tuple(w for w in advice.why if not any(w in said for said in found.judged))
            change(out, place, replace(advice, why=told or advice.why), book)
    withheld = [f"{name(book, item.lever, item.direction)}: {item.reason}." for item in found.withheld]
    _lines(out, "Withheld", withheld)
    if found.next_question:
        texts = [found.next_question.text, " / ".join(found.next_question.texts)]
        _lines(out, "What would help most to know", texts)
    for warning in [w for w in found.warnings if not w.endswith(FIRST)]:
        line(out, f"Note: {warning}{'' if warning.endswith('?') else '.'}")


def _over_the_changes(found: Answer) -> str:
    if found.understood.get("preparing"):
        return "To prepare, in this order"
    return "If you must change something all the same" if found.first else "Worth trying now"


def first(out: Screen, asked: Sequence[Question]) -> None:
    """What to look at or to ask, in order, where no change stands out."""
    if not asked:
        return
    heading(out, "I cannot tell yet: no change stands out. Look at this or ask it first")
    for place, question in enumerate(asked, start=1):
        line(out, f"{place}  {question.text} ({_taking(question.seconds)})", 2, hang=3)


def _taking(seconds: int) -> str:
    return f"{seconds} s" if seconds < 60 else f"{seconds / 60:.0f} min"


def _lines(out: Screen, title: str, texts: Sequence[str], style: str = "") -> None:
    if texts:
        heading(out, title)
    for text in texts:
        line(out, text, 2, style)


def heading(out: Screen, text: str) -> None:
    out.write()
    line(out, text, 0, "bold")


def line(out: Screen, text: str, indent: int = 0, style: str = "", hang: int = 0) -> None:
    """One paragraph, wrapped, with its indent kept on every line; `hang` more from the second line on."""
    pad, more = " " * indent, " " * (indent + hang)
    whole = printable(text).replace(" %", "\u00a0%")  # a number and its sign stay on one line
    for row in wrap(whole, max(20, out.width - 1), initial_indent=pad, subsequent_indent=more):
        out.write(row.replace("\u00a0", " "), style)


def keys(out: Screen, lead: str, each: Sequence[str]) -> None:
    """What may be typed; a key and its meaning stay on one line."""
    glued = [key.replace(" ", "\u00a0") for key in each]
    for row in wrap("  ".join([lead, *glued] if lead else glued), max(20, out.width - 1)):
        out.write(row.replace("\u00a0", " "))


def understood(out: Screen, facts: dict[str, object], book: Book) -> None:
    """What was understood, in words, one fact a line."""
    if not facts:
        return
    heading(out, "Understood")
    for ident, value in facts.items():
        line(out, f"{label(ident)}: {fact(ident, value, book)}", 2)


def label(ident: str) -> str:
    names = {"changed": "changed before", "respelt": "read as", "idea": "asked about", "keep": "to be kept"}
    second = ident.removeprefix("secondary.")
    return (f"second fault, {second}" if second != ident else names.get(ident, ident)).replace("_", " ")


def fact(ident: str, value: object, book: Book) -> str:
    if value is True:
        return "yes"
    observation = book.observations.get(ident.removeprefix("secondary."))
    if isinstance(value, dict):
        return ", ".join(f"{typed} as {read}" for typed, read in value.items())
    values = value if isinstance(value, list) else [value]
    if observation is None:
        if ident == "keep":
            return ", ".join(book.effects[str(v)].name for v in values)
        return ", ".join(str(v).replace("_", " ") for v in values)
    return " or ".join(
        observation.answers[str(v)].text if str(v) in observation.answers else str(v) for v in values
    )


def stop(out: Screen, found: Stop, book: Book) -> None:
    out.write()
    out.write("STOP", "alarm")
    line(out, found.text, 2, "bold")
    for lever, text in zip(found.inspect, found.steps or ("",) * len(found.inspect), strict=True):
        line(out, f"{book.levers[lever].name}: {text or book.levers[lever].plain}", 2)
    if found.inspect and found.inspect[0] != DRIVER:  # who is hurt is sent to a doctor
        line(
            out,
            "If you are not sure what you see, ask the scrutineer, your dealer or a licensed mechanic.",
            2,
        )


def causes(out: Screen, found: Answer, most: int = 4) -> None:
    heading(out, "Most likely causes")
    for cause in [c for c in found.causes if c.id != "unknown"][:most]:
        _row(out, percent(cause.probability), f"{cause.name} ({cause.kind})")
    rest = next((c.probability for c in found.causes if c.id == "unknown"), 0.0)
    _row(out, percent(rest), "something this knowledge base does not hold")


def _row(out: Screen, left: str, text: str) -> None:
    """A short text to the right of a number, wrapped beside it."""
    rows = wrap(printable(text), max(20, out.width - 13))
    for i, row in enumerate(rows):
        out.write(f"  {left if i == 0 else '':>9}  {row}")


def change(out: Screen, place: int, advice: Advice, book: Book, full: bool = False) -> None:
    """One change: which way, how much, how long, how likely, why, at what cost, what to feel."""
    out.write()
    line(out, f"{place}. {headline(advice)}", 0, "bold")
    line(out, f"{minutes(advice.minutes)}, chance {percent(advice.chance)} over all causes{_sure(advice)}", 3)
    if advice.detail:
        line(out, f"How: {advice.detail}", 3)
    line(out, f"Why: {' '.join(advice.why)}", 3)
    if advice.meanwhile and (job := book.levers[advice.lever].job):
        line(out, f"While {book.jobs[job].open}: {', or '.join(advice.meanwhile)}.", 3)
    if advice.costs:
        line(out, f"May cost: {'; '.join(advice.costs)}.", 3)
    line(out, f"Feel for: {advice.feel_for}.", 3)
    line(out, f"Wrong if: {advice.wrong_if}.", 3)
    for text in advice.cautions if full else advice.cautions[:1]:
        line(out, f"Care: {text}", 3)
    line(out, f"Sources: {', '.join(advice.sources)}", 3, "dim")


def headline(advice: Advice) -> str:
    """The change in one line: what to do, how much and what results."""
    text = advice.say[:1].upper() + advice.say[1:]
    if advice.amount and advice.amount.unit not in ("grade", "piece"):
        each = f" a {advice.amount.per}" if advice.amount.per else ""
        text += f" by {advice.amount.value:g} {advice.amount.unit}{each}"
    elif advice.amount:
        each = f" a {advice.amount.per}" if advice.amount.per else ""
        text += f" by one {advice.amount.unit}{each}"
    return text + (_from_to(advice.to) if advice.to else "")


def _from_to(to: Target) -> str:
    """From where to where, in one unit."""
    unit = "" if to.unit in ("grade", "piece") else f" {to.unit}"
    since, value = (f"{v:g}" if isinstance(v, float | int) else v for v in (to.since, to.value))
    return f", from {since} to {value}{unit}" if to.since is not None else f", to {value}{unit}"


def minutes(number: int) -> str:
    return "no work" if number == 0 else f"{number} min of work"


def _sure(advice: Advice) -> str:
    return "" if advice.confidence > 0.98 else f", direction {percent(advice.confidence)} sure"


def name(book: Book, lever: str, direction: str) -> str:
    """A lever and its direction for people: what to do."""
    entry = book.levers[lever]
    return entry.ways[direction].say if direction in entry.ways else f"{entry.name}, {direction}"


SOUNDS = 0.25  # chance from which an answer is marked as what the words sound like


def question(
    out: Screen,
    asked: Question,
    number: int,
    previews: Sequence[str] = (),
    perhaps: Mapping[str, Mapping[str, float]] = MappingProxyType({}),
) -> None:
    """A question with its answers, what each would put first, and which of them the words sound like."""
    heading(out, f"Question {number}  {asked.text}")
    chances = perhaps.get(asked.id, {})
    for place, (ident, text) in enumerate(zip(asked.answers, asked.texts, strict=True), start=1):
        heard = " (so it sounds)" if chances.get(ident, 0.0) >= SOUNDS else ""
        then = f"  -> {previews[place - 1]}" if previews else ""
        line(out, f"{place}  {text}{heard}{then}", 2, hang=3)


def looks(out: Screen, found: Sequence[Advice]) -> None:
    """What to look at before the first change, in one place next to the prompt."""
    if not found:
        return
    heading(out, "Look at first, on the stand: no run needed")
    for look in found:
        line(out, f"{headline(look)} ({look.minutes} min, {percent(look.chance)})", 2, hang=3)
    line(out, "All sound: type s.", 2)


def in_short(out: Screen, offered: Sequence[Advice]) -> None:
    """The changes once more in a line each, next to the prompt, so that nobody has to scroll."""
    heading(out, "In short")
    for place, advice in enumerate(offered, start=1):
        text = f"{place}  {headline(advice)} ({advice.minutes} min, {percent(advice.chance)})"
        line(out, text, 2, "bold", hang=3)


_ENDS = {
    "check": ("found and put right, but not gone", "nothing found"),
    "accept": ("better, not right yet", "the same"),
}


def plan(out: Screen, first: Ahead, book: Book) -> None:
    """The next moves: what follows each verdict of the change that comes first."""
    heading(out, f"After {'that' if isinstance(first.change, Stop) else 'the first'}")

    def say(verdict: str, change: Advice | Stop, following: Ahead | None) -> None:
        back = verdict[:6] != "better" and _reversible(change, book)
        then = _next(following.change) if following else "leave it there; ask someone who knows the kart"
        line(out, f"{verdict}: {'put it back, then: ' if back else ''}{then}", 2, hang=3)

    better, same = _ENDS.get(
        first.change.direction if isinstance(first.change, Advice) else "", _ENDS["accept"]
    )
    say(better, first.change, first.better)
    say(same, first.change, first.same)
    if first.same:
        say("the same again", first.same.change, first.same.same)
    if _reversible(first.change, book):
        say("worse", first.change, first.worse)


def _reversible(change: Advice | Stop, book: Book) -> bool:
    return isinstance(change, Advice) and reversible(book, change.lever, change.direction)


def reversible(book: Book, lever: str, direction: str) -> bool:
    """True for a change that can be put back; checks and habits cannot."""
    way = book.levers[lever].ways.get(direction) if lever in book.levers else None
    return way is not None and way.opposite is not None


def _next(change: Advice | Stop) -> str:
    return change.text if isinstance(change, Stop) else headline(change)


def at_once(out: Screen, changes: Sequence[Advice]) -> None:
    """Several changes for one run, and what that costs in knowing."""
    heading(out, f"Fix it now: {len(changes)} changes before one run")
    for change in changes:
        line(out, f"{headline(change)} ({change.minutes} min)", 2, hang=3)
    line(out, "One run judges them all. If it is better, you will not know which part did it;")
    line(out, "if it is worse, put them all back. To learn what your kart wants, change one thing at a time.")


def advice_after(out: Screen, verdict: str, reversible: bool) -> None:
    """What to do with the change itself after its verdict."""
    if verdict == "better":
        line(out, "Keep it. If the kart is right now, change nothing more. If not, this is next.")
    elif reversible:
        line(out, "Put it back as it was before you try the next one, so that only one thing differs.")


def moved(out: Screen, before: Answer, after: Answer) -> None:
    """What an outcome did to the belief: the causes that moved most, before and after."""
    old = {c.id: c.probability for c in before.causes}
    changes = sorted(after.causes, key=lambda c: -abs(c.probability - old.get(c.id, 0.0)))[:4]
    heading(out, "What this taught")
    for cause in changes:
        line(out, f"{cause.name}: {percent(old.get(cause.id, 0.0))} -> {percent(cause.probability)}", 2)


def choices(out: Screen, options: Sequence[str]) -> None:
    for place, text in enumerate(options, start=1):
        line(out, f"{place}  {text}", 2)
