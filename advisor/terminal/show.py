"""What is read on the screen: advice, questions and verdicts, as lines that also read without style."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from textwrap import wrap

from advisor.app.wording import by_figures, fact, headline, label, likely, name
from advisor.model.advice import Advice, Answer, FirstOfAll, Question, Stop
from advisor.model.knowledge import Book
from advisor.model.scale import percent
from advisor.problems import printable
from advisor.terminal.screen import Screen

TOP = 3  # changes
CAUSES = 4
DRIVER = "driver_care"  # a stop that asks for this first is no matter for a mechanic


def answer(out: Screen, found: Answer, book: Book, top: int = TOP) -> None:
    """Print the whole answer to a case."""
    understood(out, found.understood, book, found.follows)
    if found.stop:
        stop(out, found.stop, book)
        return
    _lines(out, "You asked", found.judged)
    _lines(out, "First of all", [f"{w}." for w in found.warnings if isinstance(w, FirstOfAll)], "bold")
    first(out, found.first)
    if found.advice and len(found.advice) > len(found.judged):
        causes(out, found)
        _lines(out, "Enough", [found.enough] if found.enough else [], "bold")
        heading(out, _over_the_changes(found))
        offered = found.advice if found.judged else likely(found, found.advice) or found.advice[:1]
        for place, advice in enumerate(offered[:top], start=1):
            told = tuple(w for w in advice.why if not any(w in said for said in found.judged))
            change(out, place, replace(advice, why=told or advice.why), book)
    withheld = [f"{name(book, item.lever, item.direction)}: {item.reason}." for item in found.withheld]
    _lines(out, "Withheld", withheld)
    if found.next_question:
        texts = [found.next_question.text, " / ".join(found.next_question.texts)]
        _lines(out, "What would help most to know", texts)
    for warning in [w for w in found.warnings if not isinstance(w, FirstOfAll)]:
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


def understood(
    out: Screen, facts: dict[str, object], book: Book, follows: Collection[str] = frozenset()
) -> None:
    """What was understood, in words, one fact a line; what `follows` from the kart's figures alone is marked so."""
    if not facts:
        return
    heading(out, "Understood")
    for ident, value in facts.items():
        line(out, f"{label(ident)}: {fact(ident, value, book)}{by_figures(ident, follows)}", 2)


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


def causes(out: Screen, found: Answer) -> None:
    heading(out, "Most likely causes")
    for cause in [c for c in found.causes if c.id != "unknown"][:CAUSES]:
        _row(out, percent(cause.probability), f"{cause.name} ({cause.kind})")
    rest = next((c.probability for c in found.causes if c.id == "unknown"), 0.0)
    _row(out, percent(rest), "something this knowledge base does not hold")


def _row(out: Screen, left: str, text: str) -> None:
    """A short text to the right of a number, wrapped beside it."""
    rows = wrap(printable(text), max(20, out.width - 13))
    for i, row in enumerate(rows):
        out.write(f"  {left if i == 0 else '':>9}  {row}")


def change(out: Screen, place: int, advice: Advice, book: Book) -> None:
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
    for text in advice.cautions[:1]:
        line(out, f"Care: {text}", 3)
    line(out, f"Sources: {', '.join(advice.sources)}", 3, "dim")


def minutes(number: int) -> str:
    return "no work" if number == 0 else f"{number} min of work"


def _sure(advice: Advice) -> str:
    return "" if advice.confidence > 0.98 else f", direction {percent(advice.confidence)} sure"


def advice_after(out: Screen, verdict: str, reversible: bool) -> None:
    """What to do with the change itself after its verdict."""
    if verdict == "better":
        line(out, "Keep it. If the kart is right now, change nothing more. If not, this is next.")
    elif reversible:
        line(out, "Put it back as it was before you try the next one, so that only one thing differs.")


def moved(out: Screen, changes: Sequence[tuple[str, float, float]]) -> None:
    """What an outcome did to the belief: causes, before and after."""
    heading(out, "What this taught")
    for cause, before, after in changes:
        line(out, f"{cause}: {percent(before)} -> {percent(after)}", 2)


def choices(out: Screen, options: Sequence[str]) -> None:
    for place, text in enumerate(options, start=1):
        line(out, f"{place}  {text}", 2)
