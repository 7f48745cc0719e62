"""An entry of the glossary, and what the texts of all kinds of records share: regimes, names to read next, sources."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from advisor.glossary.find import Key, named, records
from advisor.model.knowledge import UNSOURCED, Book

# How much of a long record is told: an entry is to be read standing, in about twenty-five lines of eighty.
EFFECTS, SIGNS, SUSPECTS, HELPS, SEE, SOURCES = 4, 3, 2, 4, 5, 6


@dataclass(frozen=True, slots=True)
class Entry:
    """A title, what kind of thing it is, paragraphs as label and text, names to read next, sources."""

    title: str
    kind: str
    paragraphs: tuple[tuple[str, str], ...]
    see: tuple[str, ...] = ()
    sources: str = ""


_HEADS = {"tyre_heat_end": "hotter at", "hop_start": "hopping set off by", "machine": "on a"}


def regime_in_words(book: Book, where: dict[str, str]) -> str:
    """Where a claim holds, for people: "track wet or damp"."""
    texts = []
    for path, test in where.items():
        name = path.removeprefix("observed.").split(".")[-1]
        head = book.levers[name].name if path.startswith("setup.") and name in book.levers else ""
        head = head or _HEADS.get(name, label(name))
        for sign, word in (("<", "under"), (">", "over"), ("|", " or "), ("_", " ")):
            test = test.replace(sign, word)
        texts.append(f"{head} {test}")
    return " and ".join(texts)


def label(ident: str) -> str:
    return ident.replace("_", " ")


def capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def listed(names: Sequence[str]) -> str:
    return ", ".join(names[:-1]) + (" and " if len(names) > 1 else "") + names[-1] if names else ""


def see_also(book: Book, own: Key, idents: Iterable[str]) -> tuple[str, ...]:
    titles = records(book)
    keys = [key for ident in dict.fromkeys(idents) if (key := named(book, ident)) is not None and key != own]
    return tuple(titles[key] if key.kind != "question" else label(key.id) for key in keys[:SEE])


def cited(sources: Iterable[str]) -> str:
    """Sources for a reader: pages by id, and what has none."""
    ids = list(dict.fromkeys(sources))
    pages = [s for s in ids if s not in UNSOURCED]
    more = f" and {len(pages) - SOURCES} more" if len(pages) > SOURCES else ""
    said = [", ".join(pages[:SOURCES]) + more] if pages else []
    words = {"common_practice": "common practice, no source", "memory": "memory, no source"}
    return "; ".join([*said, *(words[s] for s in UNSOURCED if s in ids)])
