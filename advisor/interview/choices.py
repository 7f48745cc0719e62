"""What a person may answer to a question, and what a typed answer means."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from advisor.model.advice import Question
from advisor.reasoning.weighing import Mind
from advisor.words.tokens import plain, tokens
from advisor.words.understand import understand

LETTERS = 3  # of a word that is to choose something; fewer may be a slip of the finger
YES_OR_NO = ("yes", "no")
ALL = ("both", "all", "all of them", "everywhere", "every one", "all over", "the lot", "anywhere")
_DENYING = frozenset((
    "no", "not", "nobody", "noth", "nowher", "non", "never", "neith", "without", "nt", "dont", "didnt", "doesnt",
    "isnt", "wasnt", "hardly",
))  # fmt: skip
_FILLERS = frozenset((  # words that stand beside an answer and tell nothing
    "yes", "yeah", "a", "an", "the", "it", "its", "he", "she", "they", "we", "i", "is", "was", "were", "are", "be",
    "been", "there", "this", "that", "some", "bit", "little", "of", "on", "in", "at", "and", "or", "to", "any",
    "anything", "something", "just", "only", "quite", "very", "really", "rather", "think", "guess", "maybe", "had",
    "has", "have", "got", "did", "does", "do", "my", "our", "so", "then", "when", "but",
))  # fmt: skip
_ENDING = re.compile(r"(?:ing|ed|es|er|s|e|y)$")
_VERDICTS = frozenset(("bett", "wors", "gon"))  # what came of a change, and no answer to a question
_PART = re.compile(r"[,;:]|\bor\b|\band\b")
_AND = re.compile(r"\s*(?:,|;|\+|&|/|\band\b|\bor\b)\s*")
_BESIDE = re.compile(r"\s*(?:[,;.](?!\d)|\band\b)\s*")
_PLAINLY = {"nope": "no", "nah": "no", "yep": "yes", "yeah": "yes", "yup": "yes"}


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


def within(mind: Mind, asked: Question, text: str) -> tuple[str, ...] | None:
    """The answer that one part of a line gives which tells news as well: "dry, and 20 min left".

    None for a question of danger: what stands beside yes or no there may be what matters.
    """
    if any(answer.alarm for answer in mind.book.observations[asked.id].answers.values()):
        return None
    parts = [part for part in _BESIDE.split(text.lower()) if part]
    offered = choices(mind, asked)
    found = {meant for part in parts if (meant := _one(mind, asked, offered, part))}
    return found.pop() if len(parts) > 1 and len(found) == 1 else None


def as_offered(asked: Question, text: str) -> tuple[str, ...] | None:
    """The one answer in which the words stand as they were typed: "not sure", where an answer says so."""
    said = f" {plain(text).strip()} "
    found = [i for i, t in zip(asked.answers, asked.texts, strict=True) if said in f" {plain(t)} "]
    return (found[0],) if said.strip() and len(found) == 1 else None


def _one(mind: Mind, asked: Question, offered: Sequence[Choice], text: str) -> tuple[str, ...] | None:
    """The one answer that is meant, by its number, its id, its words or a phrase for it."""
    said = plain(text).strip()
    said = _PLAINLY.get(said, said)
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
    heard = understand(text, mind.book, mind.lexicon)
    told = heard.answers(asked.id)
    if len(told) == 1:
        return tuple(told)
    if not heard.empty:
        return None  # it tells of something else
    hinted = mind.book.observations[asked.id].hints
    return _echoed(asked, text) if hinted else _by_words(named, text)


def _echoed(asked: Question, text: str) -> tuple[str, ...] | None:
    """Yes or no in the words of a question of danger: "yes it smoked" or "no smoke", where it asks for smoke."""
    words = _telling(text)
    about = words - _DENYING
    answer = "no" if words & _DENYING else "yes"
    return (answer,) if about and about <= _telling(asked.text) and answer in asked.answers else None


def _by_words(named: Sequence[tuple[str, str]], text: str) -> tuple[str, ...] | None:
    """The one answer, or two, of which the words are at least half of a part: "it smoked a bit", "hot".

    What denies is left alone, in what was typed and in the answers: "worse" is not "no worse at any time".
    """
    words = _telling(text)
    if not words or words & _DENYING or words <= _VERDICTS:
        return None
    found = tuple(i for i, answer in named if any(_half(words, part) for part in _PART.split(answer)))
    return found if len(found) == 1 or len(found) == 2 < len(named) else None


def _half(words: set[str], part: str) -> bool:
    told = _telling(part)
    return words <= told and 2 * len(words) >= len(told) and not told & _DENYING


def _telling(text: str) -> set[str]:
    """The words that tell something, without their endings."""
    words = (token.word for token in tokens(text) if token.word not in _FILLERS)
    return {_ENDING.sub("", word) if len(word) > LETTERS else word for word in words}


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
