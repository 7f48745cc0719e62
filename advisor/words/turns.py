"""Changes that a text tells of, heard sentence by sentence: what was done, with what effect, what is asked about."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from advisor.model.case import Verdict
from advisor.words.ear import ASKED, DONE, Doing, Ear, features
from advisor.words.tokens import LONGEST
from advisor.words.understand import Turn, Understanding

NOTHING = Understanding({})
_END = re.compile(r"(?<=[.;!?\n])\s+")
_CLAUSE = re.compile(r",\s+|\s+(?:but|then)\s+")
# Chances by what the ear says of authors it did not learn from (tests.ear.turned).
TOLD = 0.3  # of a lever, from here on it was told
MEANT = 0.5  # that it was done, or is asked about
# Of what came of it; that it was better is easily misheard ("loose since we put 14 in, fine on 11").
CAME: dict[Verdict, float] = {"better": 0.85, "same": 0.6, "worse": 0.6}
UNLIKELY = 0.1  # of a lever that a phrase names: below it, it was misread


@dataclass(frozen=True, slots=True)
class Turns:
    """`done`: what was turned, with what came of it, None where that is not told; `asked`: what is asked about."""

    done: Mapping[Turn, Verdict | None]
    asked: tuple[Turn, ...] = ()


def sentences(text: str) -> list[str]:
    """The sentences of a text; a point in a figure ends none."""
    return [part for part in _END.split(text[:LONGEST]) if part.strip()]


def turns_told(text: str, ear: Ear) -> Turns:
    """Each turn once, by the last sentence that tells of it. What came of it may be told in the next sentence."""
    done: dict[Turn, Verdict | None] = {}
    asked: dict[Turn, None] = {}
    open_: list[Turn] = []
    for sentence in sentences(text):
        doing = ear.doing(features(sentence, NOTHING))
        turned, came = _turned(doing), _said(sentence) or _came(doing)
        if turned and _ADVISED.search(sentence.lower()) and not _FOLLOWED.search(sentence.lower()):
            asked.update(dict.fromkeys(turned))
        elif not turned and came:
            done.update(dict.fromkeys(open_, came))
            open_ = []
        elif doing.meant.get(DONE, 0.0) >= MEANT:
            mine = {**dict.fromkeys(turned, came), **_apart(sentence, ear)}
            done.update(mine)
            open_ = [turn for turn, told in mine.items() if not told] or (open_ if not came else [])
        elif doing.meant.get(ASKED, 0.0) >= MEANT:
            asked.update(dict.fromkeys(turned))
    return Turns(done, tuple(asked))


def _apart(sentence: str, ear: Ear) -> dict[Turn, Verdict | None]:
    """Several turns told in a sentence of what was done, by its clauses; a verdict is one of those before it."""
    found: dict[Turn, Verdict | None] = {}
    open_: list[Turn] = []
    clauses = _CLAUSE.split(sentence)
    for clause in clauses if len(clauses) > 1 else ():
        doing = ear.doing(features(clause, NOTHING))
        if doing.meant.get(ASKED, 0.0) < MEANT:
            open_ += _turned(doing)
        if came := _said(clause) or _came(doing):
            found.update(dict.fromkeys(open_, came))
            open_ = []
    return found if len(found) > 1 else {}


def unlikely(lever: str, text: str, ear: Ear) -> bool:
    """True for a lever of which no sentence seems to tell."""
    doings = (ear.doing(features(sentence, NOTHING)) for sentence in sentences(text))
    return all(sum(doing.turns.get(lever, {}).values()) < UNLIKELY for doing in doings)


def _turned(doing: Doing) -> list[Turn]:
    """The levers told, each with its way where that is told."""
    told = {lever: ways for lever, ways in doing.turns.items() if sum(ways.values()) >= TOLD}
    return [(lever, max(ways, key=lambda way: ways[way]) or None) for lever, ways in told.items()]


_FAULT = r"(?:hop|push|slide|bounce|understeer|oversteer|hopping|pushing|sliding|bouncing)"
_NO_CHANGE = re.compile(
    r"\b(?:no|not|never|hardly|didn'?t|did not|doesn'?t|isn'?t|wasn'?t|can'?t|won'?t|made no|nothing)(?: \w+){0,5}? "
    r"(?:better|improved?|help|helped|helps|quicker|faster|worse|slower|difference|change|changed|effect|improvement)\b"
    r"|\b(?:did nothing|same thing|nothing changed|no joy|still the same)\b|\bthe same(?=\s*(?:[.,;!]|$))"
)
_BETTER = re.compile(rf"\b(?:better|improved|helped|helps|calmer|less {_FAULT}|no more {_FAULT})\b")
_WORSE = re.compile(rf"\b(?:worse|(?<!no )more {_FAULT})\b")
# A wish, a question, another time or another kart says nothing of what came of it.
_OTHERWISE = re.compile(
    r"\?|\b(?:want|would|could|should|can i|can we|need|before|until|used to|mates?|others|everyone|he is|they are)\b"
)


# What somebody else would do was not done, unless it is said: "my mate says put the softer axle in".
_ADVISED = re.compile(
    r"\b(?:says?|said|saying|reckons?|reckoned|suggests?|suggested|recommends?|recommended|advis(?:es|ed)|"
    r"(?:told|tells|tell) (?:me|us|him|her)|thinks?|thought)\b"
    r"(?: (?:that|to|i|we|you|he|she|it|they|should|must|need|needs|ought|just|try|maybe|and|go|the|kart|wants?)){0,5} "
    r"(?:put|fit|raise|raising|lower|lowering|drop|dropping|take|add|move|moving|widen|widening|narrow|narrowing|"
    r"stiffen|soften|open|close|change|changing|swap|use|run|set|let|pump|bring|turn|go|gear|lean|richen)\b"
)
_FOLLOWED = re.compile(
    r"\b(?:did|done|so (?:i|we)|and (?:i|we)|we (?:tried|put|went)|i (?:tried|put|went))\b"
)


def said_of_tried(text: str) -> Verdict | None:
    """What came of what was tried, where one sentence only says so in plain words."""
    found = [_said(s) for s in sentences(text) if re.search(r"\b(?:tried|trying)\b", s.lower())]
    return found[0] if len(found) == 1 else None


def _said(sentence: str) -> Verdict | None:
    """What came of a change where the plain words for it stand in a sentence, and only one way."""
    words = sentence.lower().replace("’", "'")
    if _OTHERWISE.search(words):
        return None
    left = _NO_CHANGE.sub(" ", words)
    better, worse = _BETTER.search(left), _WORSE.search(left)
    if better or worse:
        return None if better and worse else "better" if better else "worse"
    return "same" if left != words else None


def _came(doing: Doing) -> Verdict | None:
    return next((came for came, least in CAME.items() if doing.came.get(came, 0.0) >= least), None)
