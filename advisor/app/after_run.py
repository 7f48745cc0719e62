"""What came of a change, in a person's own words: better, the same, worse, gone, with the rest as a note."""

from __future__ import annotations

import re
from dataclasses import dataclass

from advisor.model.case import VERDICTS, Verdict
from advisor.words.tokens import plain

_NOT = r"(?:not|no|never|isnt|isn t|wasnt|wasn t|didnt|didn t|doesnt|doesn t|hardly|nt)"
_STILL = r"still (?:there|hops|hop|slides|pushes|does it|doing it|loose|tight|bad|the)"
_SAME = re.compile(
    rf"\b(?:{_NOT} (?:\w+ )?(?:better|worse|gone|help|helped|fixed|cured|change|changed|different|improved|any better)|"
    r"same|nope|nah|nothing|unchanged|no change|no difference|no effect|not really|did nothing|no improvement|"
    r"(?:can ?not|cant|can t|couldnt|couldn t|hard to) tell|not sure|(?:spun|spins|hopped|slid|pushed|did it) again|"
    rf"{_STILL}|as before|no better|no worse)\b"
)
_LEFT_OVER = re.compile(rf"\b{_STILL}\b")
_NEARLY = re.compile(
    r"\b(?:nearly|almost|half|mostly|partly|largely)(?: all| completely)? "
    r"(?:gone|cured|fixed|sorted|solved|perfect|right)\b"
)
_SURELY_BETTER = re.compile(r"\b(?:better|improved|improvement|improving|helped|quicker|faster|calmer)\b")
WORSE = re.compile(
    r"\b(?:worse|worst|not good|not so good|no good|bad|badder|slower|awful|terrible|horrible|"
    r"(?<!no )more (?:bad|hop|push|loose|slide)|undrivable|undriveable)\b"
)
_FAULT = r"(?:hop|push|slid|slide|bounc|shak|understeer|oversteer|problem|issue|fault|trouble|lot)"
_GONE = re.compile(
    r"\b(?:gone|cured|fixed|sorted|solved|perfect|went away|goes away|gone away|no more \w+|stopped (?:hopping|sliding|"
    r"pushing|doing it)|(?:hop|push|slide|shake|problem|fault) ?free|spot on|as it should|all good|right now|"
    r"is right)\b"
)
_STATES = (  # into which something may have gone
    r"(?:off|dry|wet|damp|green|greasy|soft|hard|hot|cold|loose|tight|slack|slow\w*|quick\w*|fast\w*|flat|down|up|out|"
    r"over|to|from|through|bad|wrong|missing|\d+)"
)
_MISSED = (  # what is missed when it has gone
    r"(?:grip|bite|traction|drive|power|tyres?|tires?|fronts?|rears?|brakes?|pedal|steering|chain|clutch|engine|motor|"
    r"spark|fuel|petrol|pressures?|track|rubber|sun|time|minutes?|laps?|runs?|sessions?|heats?)"
)
_NOT_CURED = re.compile(  # no cure, in words of one: "the tyres have gone off", "right now it pushes"
    rf"\bgone (?:all |a bit |very |really |too |so |back |on )*{_STATES}\b|\bno more {_MISSED}\b|"
    rf"\b{_MISSED}(?: (?:has|have|had|is|are|was|were|all|just|now|s|ve))* gone\b|"
    r"\bright now (?:it|the|he|she|i|we|they|there)\b|\bis right (?:front|rear|hand|side)|"
    rf"\b(?:fixed|sorted|solved) (?:the|a|an|my|our|his|her) (?!{_FAULT})"
)
_BETTER = re.compile(
    r"\b(?:better|improved|improvement|improving|good|great|nice|nicer|helped|helps|help|quicker|faster|easier|calmer|"
    r"yes|yep|yeah|ok|okay|less(?: \w+)?|stays down now|works|worked)\b"
)
_ASIDE = re.compile(r"\b(?:but|although|though|however|only|except)\b|[,;:.](?!\d)")
_CURED_ALL = re.compile(
    r"\bnot? (?:yet |quite |all |completely |fully )?(?:gone|cured|fixed|sorted|solved|perfect|right)\b"
)


@dataclass(frozen=True, slots=True)
class Came:
    """What came of a change. `gone`: the fault is cured. `note`: what was said beside the verdict."""

    verdict: Verdict
    gone: bool = False
    note: str = ""


def came(text: str) -> Came | None:
    """A verdict in a person's own words, with the rest as a note; None where none or two are heard."""
    said = plain(text).strip()
    first, cut, rest = _parted(text)
    if said in VERDICTS:
        return Came(said)
    if re.search(r"\bworse\b.*\bthen\b.*\bbetter\b|\bbetter\b.*\bthen\b.*\bworse\b", said):
        return None
    found = _verdict(plain(first).strip())
    if found is None:
        found = _verdict(said)
        rest = "" if found is None or found[1] else text
    elif found[0] == "same" and _LEFT_OVER.search(plain(first)) and (after := _verdict(plain(rest).strip())):
        found, rest = (after[0], False), f"{first.strip()}, {rest.strip()}"  # "still pushes, but better"
    if found is None:
        return None
    verdict, gone = found
    # "gone but ...", "gone on entry, still there on exit": something is left
    aside = cut.strip().isalpha() or _LEFT_OVER.search(plain(rest)) is not None
    return Came(verdict, gone and not aside, rest.strip(" ,;:.!-"))


def _parted(text: str) -> tuple[str, str, str]:
    """What stands before the first comma or "but", and what comes after it."""
    bare = re.match(
        r"(?is)\s*(?:(?:a |much |bit |a bit |a little |slightly |way )*)(better|same|worse)\b[\s,.:;-]*", text
    )
    if bare and not _ASIDE.match(text[bare.end() :].strip()):
        return bare[0], "", text[bare.end() :]
    cut = _ASIDE.search(text)
    return (text[: cut.start()], cut[0], text[cut.end() :]) if cut else (text, "", "")


def _verdict(said: str) -> tuple[Verdict, bool] | None:
    """Verdict and whether the fault is gone; None where none or several are heard."""
    if _NEARLY.search(said) and not WORSE.search(said):
        return "better", False
    said = _NOT_CURED.sub(" ", said)
    if _CURED_ALL.search(said) and _BETTER.search(_CURED_ALL.sub(" ", said)):
        return "better", False
    if _SAME.search(said):
        left = _SAME.sub(" ", said)
        mixed = WORSE.search(left) or _GONE.search(left) or _SURELY_BETTER.search(left)
        return None if mixed else ("same", False)
    if said in ("no", "zero"):
        return "same", False
    worse, gone, better = (p.search(said) for p in (WORSE, _GONE, _BETTER))
    if worse and gone is None and not (better and "more good" in said):
        return None if better and better[0] in ("better", "improved", "helped") else ("worse", False)
    if gone and worse is None:
        return "better", True
    return ("better", False) if better and worse is None else None
