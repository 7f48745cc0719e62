"""What a driver may type, and what it means: not knowing, the keys at the last prompt, a verdict with its note."""

from __future__ import annotations

import re

UNSURE = (
    "", "d", "dont know", "don't know", "i dont know", "i don't know", "dunno", "idk", "no idea", "not sure",
    "unknown", "pass", "skip",
)  # fmt: skip
TAKE = ("t", "take", "take it", "advice")
TAKE_KEY = "t: take it"
ASKED_KEYS = ("Enter: don't know", "?: why", "b: back", "q: stop, go on later")
KEYS = (
    "f: fix it now", "a: ask on", "w 1: why", "n WORD: why not", "i: what if", "b: back", "Enter: none",
)  # fmt: skip


def is_key(text: str) -> bool:
    """True for the keys at the last prompt, which never choose a change."""
    return bool(re.fullmatch(r"(w ?\d*|i|i \d+|n|n .*|a|f|s|\?|h|help)", text.strip().lower()))


def to_explain(text: str) -> str | None:
    """The word after "explain" or "?"; empty for "explain" alone, None when nothing is to be explained."""
    found = re.fullmatch(r"(?is)\s*(?:explain\b\s*(.*)|\?\s*(.+))", text)
    return (found[1] or found[2] or "").strip() if found else None


def verdict_and_note(text: str) -> tuple[str, str]:
    """The verdict and, where more than its name is typed, what comes after it as a note."""
    found = re.match(r"(?is)(better|same|worse)\b[\s,.:;-]*(.*)", text)
    return (found[1], found[2]) if found else (text, "")


def asks_for_safety(text: str) -> bool:
    """True for "is it safe?" and the like."""
    return bool(re.search(r"(?i)\b(un)?safe|danger", text))
