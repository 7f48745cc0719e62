"""What a person may answer to a question, and what a typed answer means."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from advisor.model.advice import Question
from advisor.reasoning.weighing import Mind
from advisor.words.tokens import plain
from advisor.words.understand import understand

LETTERS = 3  # of a word that is to choose something; fewer may be a slip of the finger
YES_OR_NO = ("yes", "no")
ALL = ("both", "all", "all of them", "everywhere", "every one", "all over", "the lot", "anywhere")
_AND = re.compile(r"\s*(?:,|;|\+|&|/|\band\b|\bor\b)\s*")


@dataclass(frozen=True, slots=True)
class Choice:
    """An answer as it is offered: one of the book's, or several that call for the same inspection."""

    text: str
    answers: tuple[str, ...]


def choices(mind: Mind, asked: Question) -> tuple[Choice, ...]:
    """The answers as they are offered: no two lead to the same stop."""
    entries = mind.book.observations[asked.id].answers
    found: list[Choice] = []
    stops: dict[frozenset[str], int] = {}
    for ident, text in zip(asked.answers, asked.texts, strict=True):
        entry = entries.get(ident)
        same = frozenset(entry.inspect) if entry and entry.alarm else frozenset()
        if same and same in stops:
            place = stops[same]
            found[place] = Choice(f"{found[place].text}; or {text}", (*found[place].answers, ident))
            continue
        if same:
            stops[same] = len(found)
        found.append(Choice(text, (ident,)))
    return tuple(found)


def chosen(mind: Mind, asked: Question, text: str) -> tuple[str, ...] | None:
    """Which answers a typed text means, by number, id, words or phrase; several for "both" or "1 and 3".

    None where it is unclear, or tells of something else.
    """
    offered = choices(mind, asked)
    if text.strip().startswith("-"):
        return None
    one = _one(mind, asked, offered, text)
    if one is not None:
        return one
    said = plain(text).strip()
    if said in ALL:
        return asked.answers
    if all(part.isdigit() for part in said.split()):
        said = ",".join(said.split())  # "2 3"
    parts = [part for part in _AND.split(said) if part]
    meant = [_one(mind, asked, offered, part) for part in parts]
    if len(parts) < 2 or any(m is None for m in meant):
        return None
    return tuple(dict.fromkeys(a for m in meant if m for a in m))


def _one(mind: Mind, asked: Question, offered: Sequence[Choice], text: str) -> tuple[str, ...] | None:
    """The one answer that is meant, by its number, its id, its words or a phrase for it."""
    said = plain(text).strip()
    if said.isdigit():
        number = int(said)
        return offered[number - 1].answers if 1 <= number <= len(offered) else None
    if not said:
        return None
    named = list(zip(asked.answers, asked.texts, strict=True))
    for ident, answer in named:
        if said in (ident, plain(ident.replace("_", " ")), plain(answer)):
            return (ident,)
    starts = [i for i, t in named if plain(t).startswith(said) or i.startswith(said)]
    if len(starts) == 1 and (len(said) > 1 or starts[0] in YES_OR_NO):  # a lone letter is a key, or a slip
        return (starts[0],)
    told = understand(text, mind.book, mind.lexicon).answers(asked.id)
    return tuple(told) if len(told) == 1 else None


def numbered(options: Sequence[str], text: str) -> int | None:
    """Which of some options a typed number or the start of a word means; None if it is unclear."""
    said = plain(text).strip()
    if text.strip().startswith("-"):
        return None
    if said.isdigit() and 1 <= int(said) <= len(options):
        return int(said) - 1
    if said in (same := [plain(o) for o in options]):
        return same.index(said)
    starts = [i for i, o in enumerate(options) if len(said) >= LETTERS and plain(o).startswith(said)]
    return starts[0] if len(starts) == 1 else None
