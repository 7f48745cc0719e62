"""A word of the trade explained on the screen: one entry, the entries that may be meant, or all families."""

from __future__ import annotations

from collections.abc import Callable

from advisor.glossary.entries import entry, families
from advisor.glossary.find import Found, Key, find, index, records
from advisor.glossary.page import Entry
from advisor.model.knowledge import Book
from advisor.terminal import show
from advisor.terminal.screen import Screen
from advisor.words.phrases import Lexicon


def word(
    out: Screen, book: Book, known: Lexicon, text: str, more: Callable[[Key], None] | None = None
) -> bool:
    """Explain a word, or name what it may mean; False when nothing fits. No word: what can be asked.

    `more` shows what else there is to an entry, such as what the kart model says of a lever.
    """
    if not text.strip():
        everything(out, book)
        return True
    found = find(index(book, known), text)
    if found.shown:
        one(out, entry(book, found.shown))
        if more is not None:
            more(found.shown)
        _others(out, book, "Also", found.others)
    elif found.others:
        _others(out, book, "Ask for one of these", found.others)
    else:
        show.line(out, f'Nothing is known by "{text[:40]}". "explain" alone lists what can be asked.')
    return found != Found()


def everything(out: Screen, book: Book) -> None:
    """What can be explained, by family; causes are too many to list."""
    for title, names in families(book):
        if names:
            show.line(out, f"{title[:1].upper()}{title[1:]}: {', '.join(names)}.", 0, hang=2)
    show.line(out, f"And {len(book.causes)} causes, by a word of their name. Type: explain WORD", 0, hang=2)


def one(out: Screen, told: Entry) -> None:
    """Show one entry."""
    show.line(out, f"{told.title[:1].upper()}{told.title[1:]} ({told.kind})", 0, "bold")
    for label, text in told.paragraphs:
        alarm = "bold" if label == "STOP" else ""
        show.line(out, f"{label}: {text}" if label else text, 2, alarm)
    if told.see:
        show.line(out, f"Read next: {', '.join(told.see)}.", 2, "dim")
    if told.sources:
        show.line(out, f"Sources: {told.sources}.", 2, "dim")


def _others(out: Screen, book: Book, lead: str, keys: tuple[Key, ...]) -> None:
    """Entries with what to type for each; one whose id means several is named with its kind."""
    if not keys:
        return
    titles = records(book)
    ids = [key.id for key in titles]
    each = []
    for key in keys:
        name = key.id.replace("_", " ")
        typed = f"{'change' if key.kind == 'lever' else key.kind} {name}" if ids.count(key.id) > 1 else name
        each.append(f"{typed} ({titles[key]})" if key.kind in ("question", "cause") else typed)
    show.line(out, f"{lead}: {'; '.join(each)}.", 2, hang=2)
