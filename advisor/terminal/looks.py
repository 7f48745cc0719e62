"""The look-over on a screen: a list to go through at the kart, answered in one line."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from advisor.interview import steps
from advisor.model.advice import Look, Question
from advisor.terminal import show
from advisor.terminal.prompts import Prompts
from advisor.terminal.typed import TAKE, UNSURE

ALL_SOUND = ("ok", "okay", "all ok", "all fine", "fine", "sound", "y", "yes")
KEYS = (
    "ok: all as said", "3 5: all but 3 and 5", "2?: 2 not looked at", "Enter: none looked at", "t: take it",
    "b: back",
)  # fmt: skip

Found = list[tuple[Question, str | None]]


def ask(at: Prompts, looks: Sequence[Look], number: int) -> Found | str:
    """What was found, look by look; or a key that was typed instead: t or b."""
    minutes = max(1, round(sum(look.question.seconds for look in looks) / 60))
    show.heading(at.out, f"Question {number}  Look the kart over, {minutes} min. Is it as said?")
    for place, look in enumerate(looks, start=1):
        show.line(at.out, f"{place}  {look.question.text} -> {look.text}", 2, hang=3)
    show.keys(at.out, "", KEYS)
    while True:
        said = at.told().lower()
        if said in TAKE:
            return "t"
        if said in ("b", "back"):
            return "b"
        if (ticked := read(said, len(looks))) is not None:
            off, unseen = ticked
            return [_found(at, look, n in off, n in unseen) for n, look in enumerate(looks, start=1)]
        show.line(
            at.out, f"Type ok, the numbers (1 to {len(looks)}) of what is not as said, or Enter for none.", 2
        )


def read(said: str, most: int) -> tuple[set[int], set[int]] | None:
    """What is not as said and what was not looked at, by number from 1; None where a line means neither."""
    if said in UNSURE:
        return set(), set(range(1, most + 1))
    if said in ALL_SOUND:
        return set(), set()
    marks = re.findall(r"(\d+)\s*(\?)?", said)
    numbers = {int(n) for n, _ in marks}
    if not marks or re.sub(r"\d+|\?|,|;|\band\b|\s", "", said) or not numbers <= set(range(1, most + 1)):
        return None
    unseen = {int(n) for n, mark in marks if mark}
    return numbers - unseen, unseen


def _found(at: Prompts, look: Look, off: bool, unseen: bool) -> tuple[Question, str | None]:
    asked = look.question
    if not off:
        return asked, None if unseen else look.sound
    others = tuple((a, t) for a, t in zip(asked.answers, asked.texts, strict=True) if a != look.sound)
    if len(others) == 1:
        return asked, others[0][0]
    rest = replace(asked, answers=tuple(a for a, _ in others), texts=tuple(t for _, t in others))
    show.heading(at.out, asked.text)
    show.choices(at.out, rest.texts)
    while (said := at.told(rest.texts, rest)).lower() not in UNSURE:
        if (answer := steps.choose(at.mind, rest, said)) in rest.answers:
            return asked, answer
        show.line(at.out, f"A number from 1 to {len(others)}, or Enter if you don't know.", 2)
    return asked, None
