"""What a typed line means: not knowing, what came of an inspection, minutes, who answers, what is asked."""

from __future__ import annotations

import re
from typing import Literal

from advisor.app.after_run import WORSE
from advisor.sums.spoken import in_digits
from advisor.words.tokens import plain

UNSURE = (
    "", "d", "dont know", "don't know", "i dont know", "i don't know", "dunno", "idk", "no idea", "not sure",
    "unknown", "pass", "skip", "none", "none of these", "neither",
)  # fmt: skip
TAKE = ("t", "take", "take it", "advice")

_RIGHT = (
    r"(?:good|right|fine|great|perfect|mint|ok|okay|happy|nice|lovely|excellent|brilliant|superb|spot on|as it should|"
    r"nothing to (?:complain|change)|nothing wrong|no complaints?)"
)
_AROUND = (  # words that stand beside "good" without telling of a part, a corner or a doubt
    r"(?:a|all|am|and|are|as|again|about|balance|be|car|driver|enough|everything|feels?|felt|handling|he|her|him|how|i|"
    r"im|in|is|it|its|just|kart|leave|like|me|much|my|now|of|on|our|pretty|quite|really|run|s|she|so|still|super|the|"
    r"that|this|today|very|was|way|we|were|with|dry|wet|rain)"
)
_ALL_RIGHT = re.compile(rf"(?:{_AROUND}\s+)*{_RIGHT}(?:\s+(?:{_AROUND}|{_RIGHT}))*")
_UNWELL = r"(?:complain|problem|issue|worr|trouble|hop|push|slid|bounc|understeer|oversteer)\w*"
_DOUBT = re.compile(
    r"\b(?:not|no|nor|never|without|nothing|nt|isnt|wasnt|but|although|though|however|only|except|apart|otherwise|"
    r"could|should|would|a (?:bit|touch|little)|slightly|too|almost|nearly|until|till|then|yet)\b"
)

Found = Literal["mended", "sound", "cannot", "why", "wrong", "lost"]

_WHY = re.compile(
    r"\b(?:why|what do (?:we|i) do|what now|how|what should|help|what is that|what does|what to (?:do|look)|"
    r"where (?:to|do i|is that|should)|(?:dont|don t|do not) know (?:what|where))\b|^\W*\?+$"
)
_WRONG = re.compile(
    r"\b(?:i did not say|didnt say|never said|misunder\w+|not what i (?:said|meant)|that is wrong|thats wrong|"
    r"that is not true|thats not true)\b|^wrong$"
)
_CANNOT = re.compile(
    r"\b(?:cannot|can t|cant|can not|couldnt|not now|no time|later|not yet|no idea how|nobody|dont know how|"
    r"don t know how|not able|unable|havent|haven t|have not|no tools?)\b"
)
_MENDED = re.compile(
    r"\b(?:mended|fixed|repaired|replaced|changed|tightened|swapped|renewed|refitted|bled|topped up|filled|found|"
    r"was (?:loose|bent|broken|cracked|worn|missing|leaking|low|bad)|were (?:loose|bent|worn)|put right|sorted|"
    r"new one|"
    r"cleaned|adjusted)\b"
)
_NEW_ON = re.compile(
    r"\bnew (?:ones?|pads|parts?|hose|cable|tyres?|tires?|chain|bolts?)(?: (?:are|is|now))? (?:in|on|fitted)\b"
)
_NOT_YET = re.compile(
    r"\b(?:needs?|must|should|order(?:ed)?|wait\w*|not|no|yet|post|tomorrow|(?:mon|tues|wednes|thurs|fri|satur|sun)day)\b"
)
_TO_DO = re.compile(  # what is still to be done is no mending
    r"\b(?:must|should|needs?|has to|have to|to) (?:be )?(?:\w+ )?"
    r"(?:mended|fixed|repaired|replaced|changed|tightened|swapped|cleaned|adjusted|bled|new one)\b|"
    r"\bneeds? an? new one\b"
)
_TROUBLE = (
    r"(?:crack\w*|bent|broken?|leak\w*|drip\w*|loose|worn|low|empty|wet|missing|scored|thin|soft|spongy|stick\w*|stuck|"
    r"frayed|snapped|torn|split|damaged?|dented|slack|burn\w*|bad|wobbl\w*|rub\w*|twisted|crooked|off|hot|gone|play|"
    r"wrong|faults?|rattl\w*|movement)"
)
_NOTHING = re.compile(
    rf"\b(?:(?:found|see|saw) nothing|nothing found|(?:no|not|nothing|none|never|without|isnt|arent|wasnt|werent)"
    rf"(?: (?:is|was|are|were|any|at all))? {_TROUBLE}(?: (?:or|and) {_TROUBLE})*)(?!\w)"
)
_PUT_RIGHT = r"(?:fixed|mended|repaired|replaced|changed|tightened)"
_SOUND = re.compile(
    r"\b(?:sound|ok|okay|okey|fine|good|all right|alright|tight|safe|healthy|well again|recovered|cleared|firm|"
    r"straight|clean|perfect)\b"
)
_NEGATED = re.compile(
    r"\b(?:not|isnt|isn t|arent|aren t|wasnt|wasn t) (?:\w+ )?(?:ok|okay|fine|good|sound|tight|safe|firm|straight)\b"
)
_HALF = re.compile(rf"\bnot {_PUT_RIGHT}\b|\b{_TROUBLE}(?!\w)")


def is_good(text: str) -> bool:
    """True where the kart is right as it is: some part of the line says so of all of it, and none has a doubt.

    What the kart does is not heard here: "good, pushes mid" must be asked of the phrases too (`danger.complains`).
    """
    parts = [plain(part).strip() for part in re.split(r"[,;:.!]|\band\b", text)]
    if not any(_ALL_RIGHT.fullmatch(part) for part in parts):
        return False
    rest = " ; ".join(part for part in parts if not _ALL_RIGHT.fullmatch(part))
    left = re.sub(
        rf"\b(?:no|not|nothing|without)(?: (?:any|more))? (?:{_UNWELL}|{_TROUBLE})(?!\w)", " ", rest
    )
    return not any(p.search(left) for p in (_DOUBT, WORSE, re.compile(rf"\b{_TROUBLE}(?!\w)")))


def found(text: str) -> Found | None:
    """What came of an inspection, in any words; "lost": something is wrong and not mended; None where unclear.

    That it was looked at does not say what was seen, and "yes" answers nothing that was asked.
    """
    said = plain(text).strip()
    if _WRONG.search(said):
        return "wrong"
    if _CANNOT.search(said):
        return "cannot"
    left = _NOTHING.sub(" ", said)
    if _NEGATED.search(left) or (_HALF.search(left) and not _really_mended(left)):
        return "lost"
    if _really_mended(left):
        return "mended"
    if left != said or _SOUND.search(left):
        return "sound"
    if _WHY.search(said) or text.strip() == "?":
        return "why"
    return "cannot" if said in ("no", "n", "nope") else None


_NO_THING = r"nothing\b(?! (?:is|was|checked|looked|tight|fine|ok|good|sound)\b)"
_DENIES = re.compile(
    rf"(?:(?:no|nope|nah)\b(?: {_NO_THING})?|{_NO_THING})(?: at all\b)?"
    r"(?: (?:that )?(?:i|we) (?:know|saw|found|(?:can|could) (?:see|find))(?: of)?\b)?"
)
_OF_ALL = frozenset((  # words that say how all of the kart is, and name no part of it
    "a", "all", "and", "any", "are", "around", "at", "been", "check", "checked", "everything", "feels", "has", "have",
    "i", "is", "it", "its", "just", "kart", "look", "looked", "looks", "my", "now", "of", "once", "our", "over",
    "round", "s", "still", "the", "they", "twice", "ve", "very", "was", "we", "went", "were", "whole",
))  # fmt: skip


def nothing_wrong(text: str) -> bool:
    """True for words that say of the whole kart that it is sound: "no, checked it all, tight". They name no part."""
    said = " ".join(re.findall(r"\w+", plain(text)))
    left = _NOTHING.sub(" ", said)
    if _NEGATED.search(left):
        return False
    rest = _DENIES.sub(" ", left) if _DENIES.match(left) else left
    if (rest == said and not _SOUND.search(rest)) or not said:
        return False
    return all(word in _OF_ALL for word in _SOUND.sub(" ", rest).split())


def _really_mended(said: str) -> bool:
    """True where something was put right, and not only found."""
    clear = _TO_DO.sub(" ", re.sub(rf"\bnot {_PUT_RIGHT}\b", " ", said))
    if _NEW_ON.search(clear) and not _NOT_YET.search(clear):
        return True
    hit = _MENDED.findall(clear)
    return any(word != "found" and not word.startswith(("was ", "were ")) for word in hit)


_OF_A_MENDING = frozenset((
    "all", "and", "be", "been", "did", "done", "fault", "found", "good", "have", "i", "is", "it", "just", "now", "ok",
    "okay", "one", "problem", "right", "something", "that", "the", "them", "there", "this", "thing", "ve", "was", "we",
    "were", "wrong",
))  # fmt: skip


def names_no_part(text: str) -> bool:
    """True for "found it and fixed it" and the like: it is told that something was mended, and not what."""
    return all(word in _OF_A_MENDING for word in re.findall(r"\w+", _MENDED.sub(" ", plain(text))))


_PUT_BACK = re.compile(
    r"\b(?:undid (?:it|that)|undid|put (?:it |them |that )?(?:all )?back|"
    r"went back (?:to|on) (?:the old|how|what|where)|back (?:to|on) (?:how|where|what) it was|"
    r"took (?:it|them) (?:off|out) again|reversed it|changed it back)\b"
)


def is_put_back(note: str) -> bool:
    """True where it is told that what did not help was put back already."""
    said = plain(note)
    return (
        _PUT_BACK.search(said) is not None
        and re.search(r"\b(?:not|didnt|didn t|yet|should|will)\b", said) is None
    )


_THEN = r"(?:(?:the|my|our|next) )*(?:grid|race|heat|final|start|gate|off|session|quali\w*|run)"
_LEFT = rf"(?:left|to go|to fix|(?:to|till|til|until|before) {_THEN})"
_WRITTEN = (
    (r"\bhalf an hour\b", "30 min"), (r"\bquarter of an hour\b", "15 min"), (r"\btwo hours\b", "120 min"),
    (r"\b(?:an|1) hour and (?:a half|30 min\w*)", "90 min"), (r"\b(?:an|1) hour(?! and)\b", "60 min"),
)  # fmt: skip
_COMES = r"(?:(?:the|my|our|next) )*(?:grid|race|heat|final|session|quali\w*|run)"
_NOTHING_ELSE = re.compile(
    r"(?:(?:i|we|there|it|its|it s|is|are|have|got|in|about|around|only|just|maybe|still|another|ok|now) )*"
    r"(\d{1,3}) ?(?:m|mins?|minutes?)(?: (?:now|only|more|max|at most))*"
)


def minutes(text: str) -> float | None:
    """Minutes that are left, told at a prompt, where "20 min" is enough; a bare number is none.

    A line that tells more must say that they are left: "it dies after 10 minutes" does not.
    """
    parts = re.split(r"[,;.!?](?!\d)|\band\b", _in_minutes(text))
    alone = next(filter(None, (_NOTHING_ELSE.fullmatch(plain(part).strip()) for part in parts)), None)
    return float(alone[1]) if alone else minutes_left(text)


def minutes_left(text: str) -> float | None:
    """Minutes that are said to be left, in a line that tells more: "pushes, 8 min left"; a run's own are none."""
    told = re.search(
        rf"\b(\d{{1,3}}) ?(?:m|mins?|minutes?) {_LEFT}\b|"
        r"\b(?:i|we|only) (?:only )?(?:have|got) (?:only |just |about )?(\d{1,3}) ?(?:mins?|minutes?)"
        r"(?!\w| (?:of|on|in|into|every|laps?|heats?|races?|sessions?|runs?|stints?|finals?)\b)|"
        r"\b(?:have|got) (?:only |just |about )?(\d{1,3}) ?(?:mins?|minutes?)$|"
        rf"\b{_COMES}(?: (?:is|starts|are))? in (\d{{1,3}}) ?(?:mins?|minutes?)\b",
        plain(_in_minutes(text)).strip(),
    )
    return next((float(part) for part in told.groups() if part), None) if told else None


def _in_minutes(text: str) -> str:
    """A line with its hours as minutes."""
    said = in_digits(text)
    for pattern, number in _WRITTEN:
        said = re.sub(pattern, number, said)
    return said


def wish(text: str) -> str:
    """What must not get worse, where somebody says so: "keep exit traction"."""
    told = re.match(r"(?is)\s*(?:keep|guard|do not spoil|dont spoil|must not lose)\s+(.+)", text)
    return told[1].strip() if told else ""


def who(text: str) -> str:
    """Who answers, where somebody says so."""
    said = plain(text).strip()
    told = re.fullmatch(
        r"(?:i am|im|i m|this is|only) (?:the |a )?(driver|helper|mechanic|father|mother|dad|mum|mate)", said
    )
    if told is None:
        return ""
    return "driver" if told[1] == "driver" else "helper"


SENTENCE = 3  # words of the shortest sentence that is told from a name
NAMED = 4  # words that a name has at most (ours)
_SAYS = re.compile(
    r"\b(?:is|isnt|isn t|are|was|were|has|have|had|does|doesnt|did|do|wont|won t|cant|can t|dont|don t|came|comes|"
    r"fell|feels|keeps|went|got|gets|no|not)\b"
)


def is_sentence(text: str) -> bool:
    """True for words that are more than a name, whatever they tell."""
    many = len(text.split())
    return many > NAMED or (many >= SENTENCE and _SAYS.search(plain(text)) is not None)


def asks_for_safety(text: str) -> bool:
    """True for "is it safe?" and the like."""
    return bool(re.search(r"(?i)\b(un)?safe|danger", text))


def to_explain(text: str) -> str | None:
    """The word after "explain" or "?"; empty for "explain" alone, None when nothing is to be explained."""
    told = re.fullmatch(r"(?is)\s*(?:explain\b\s*(.*)|\?\s*(.+))", text)
    return (told[1] or told[2] or "").strip() if told else None


_ASKS_WHAT = re.compile(
    r"\s*(?:what (?:does|do|is|are)|what ?s|what happens (?:if|when)|"
    r"how (?:does|do|tight|hard|high|low|wide|long|often|many|much))\b"
)


def asks_meaning(text: str) -> bool:
    """True for "what does the torsion bar do" and the like, whatever it names."""
    return (
        re.fullmatch(r"what (?:does|do) .{2,40} (?:do|mean)|what (?:is|are) an? .{2,40}", plain(text).strip())
        is not None
    )


def asks_what(text: str) -> bool:
    """True for the beginning of a question what something is or does."""
    return _ASKS_WHAT.match(plain(text)) is not None


def ticks(text: str, most: int) -> tuple[int, ...]:
    """The numbers of a list that are ticked: "1 3", "1, 3 and 4"; none where it is anything else or out of range."""
    if not re.fullmatch(r"\s*\d{1,2}(?:\s*(?:,|and|&|\s)\s*\d{1,2})*\s*", text):
        return ()
    numbers = tuple(dict.fromkeys(int(n) for n in re.findall(r"\d+", text)))
    return tuple(n - 1 for n in numbers) if all(1 <= n <= most for n in numbers) else ()


AS_SAID = (
    "ok",
    "okay",
    "all ok",
    "all fine",
    "fine",
    "sound",
    "all sound",
    "s",
    "y",
    "yes",
    "good",
    "all good",
)


def not_as_said(text: str, most: int) -> tuple[set[int], set[int]] | None:
    """Of a list of looks what is not as said and what was not looked at, by number from 1; None if it means neither."""
    said = text.lower().strip()
    if said in UNSURE:
        return set(), set(range(1, most + 1))
    if said in AS_SAID:
        return set(), set()
    marks = re.findall(r"(\d+)\s*(\?)?", said)
    numbers = {int(n) for n, _ in marks}
    if not marks or re.sub(r"\d+|\?|,|;|\band\b|\s", "", said) or not numbers <= set(range(1, most + 1)):
        return None
    unseen = {int(n) for n, mark in marks if mark}
    return numbers - unseen, unseen
