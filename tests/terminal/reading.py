"""Reading the screen as a person does: what was understood, questions with their answers, changes offered."""

from __future__ import annotations

import re
from dataclasses import dataclass

from advisor.model.advice import Advice
from advisor.model.knowledge import Book

STOPS = "do not drive it: inspect"  # the preview of an answer that means danger


@dataclass(frozen=True, slots=True)
class Asked:
    """A question on the screen; `previews` stand beside the answers."""

    number: int
    text: str
    answers: tuple[str, ...]
    previews: tuple[str, ...]

    def harmless(self, but: int = 0) -> int:
        """Place, from 0, of an answer that does not stop everything; `but` skips as many of them."""
        return [i for i, preview in enumerate(self.previews) if preview != STOPS][but]


def paragraphs(text: str, more: int = 3) -> list[str]:
    """Lines joined again where the screen wrapped them: a line indented further than its first goes on."""
    found: list[str] = []
    first = 0
    for line in text.split("\n"):
        indent = len(line) - len(line.lstrip())
        if found and line.strip() and indent >= first + more and found[-1].strip():
            found[-1] += " " + line.strip()
        else:
            first = indent
            found.append(line)
    return found


def question(text: str) -> Asked | None:
    """The question that was asked last, if any."""
    heads = list(re.finditer(r"^Question (\d+)  (.+(?:\n(?!  \d).+)*)$", text, re.M))
    if not heads:
        return None
    head = heads[-1]
    rows = []
    for line in paragraphs(text[head.end() :].lstrip("\n")):
        row = re.match(r"  (\d)  (.+?)(?: \(so it sounds\))?(?:  -> (.+))?$", line)
        if row:
            rows.append((row[2], row[3] or ""))
    return Asked(
        int(head[1]),
        flat(head[2]),
        tuple(answer for answer, _ in rows),
        tuple(preview for _, preview in rows),
    )


def asked(text: str) -> Asked:
    """The question that must stand there."""
    found = question(text)
    assert found is not None, text
    return found


def in_short(text: str) -> list[str]:
    """The changes of the block next to the prompt, with minutes and chance, in order."""
    _, _, block = text.rpartition("\nIn short\n")
    rows = [re.match(r"  (\d)  (.+\))$", line) for line in paragraphs(block)]
    found = [(int(row[1]), row[2]) for row in rows if row]
    assert [number for number, _ in found] == list(range(1, len(found) + 1)), text
    return [change for _, change in found]


def understood(text: str) -> dict[str, str]:
    """What the last block "Understood" says, by label."""
    _, head, block = text.rpartition("\nUnderstood\n")
    assert head, text
    found: dict[str, str] = {}
    label = ""
    for line in block.split("\n"):
        if not line.startswith("  "):
            break
        name, colon, value = line.strip().partition(": ")
        if colon:
            label, found[name] = name, value
        else:
            found[label] += " " + name
    return found


def flat(text: str) -> str:
    """A wrapped text on one line."""
    return " ".join(text.split())


def names(book: Book, advice: Advice) -> tuple[str, str]:
    """The two ways in which a preview may name a change: what to do, or the name of its lever."""
    return advice.say, book.levers[advice.lever].name
