"""`advisor compute [NAME key=value ... | QUESTION]`: the sums of a race day."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from advisor.cli import UNUSABLE, USED, WRONG_COMMAND
from advisor.cli.logs import read_in
from advisor.problems import hint, printable
from advisor.sums import SUMS, Answer, Outcome, WrongValuesError, asked, work
from advisor.terminal import computed
from advisor.terminal.screen import screen

if TYPE_CHECKING:
    from advisor.terminal.screen import Screen
    from advisor.words.phrases import Lexicon

OPTIONS = {"--json": "json", "-h": "help", "--help": "help"}  # they may stand between the values
NAMED = {"--kart": "kart", "--karts": "karts"}  # these with a value behind them


def compute(options: argparse.Namespace) -> int:
    """List the sums, tell what one takes, or do it; status 1 with a sentence for every value that is wrong."""
    words = list(_values(options))
    wrong = next((word for word in words if _is_option(word)), None)
    if wrong is not None:
        _say(f'there is no option "{wrong[:40]}"; compute has --kart, --karts, --json and --help')
        return WRONG_COMMAND
    if options.name is None:
        computed.everything(screen())
        return USED
    if options.help or (options.name in SUMS and not words and not _kart(options)):
        row = SUMS.get(options.name)
        computed.takes(screen(), row) if row else computed.everything(screen())
        return USED
    known = _known(options)
    text = " ".join((options.name, *words))
    if not any("=" in word for word in words) and (words or options.name not in SUMS) and asked(text, known):
        return _answered(options, text, known)
    if options.name not in SUMS:
        near = hint(options.name, SUMS) or "; advisor compute alone lists the sums"
        _say(f'there is no sum "{printable(options.name)[:40]}"{near}')
        return UNUSABLE
    return _done(options.name, words, known, options.json)


def _values(options: argparse.Namespace) -> Iterator[str]:
    """The words that are no options; the options among them are set."""
    words = iter(options.value)
    for word in words:
        name, equals, value = word.partition("=")
        if word in OPTIONS:
            setattr(options, OPTIONS[word], True)
        elif name in NAMED:
            setattr(options, NAMED[name], value if equals else next(words, ""))
        else:
            yield word


def _is_option(word: str) -> bool:
    return word.startswith("-") and word[1:2] not in ".,0123456789" and "=" not in word


def _kart(options: argparse.Namespace) -> bool:
    return bool(getattr(options, "kart", ""))


def _known(options: argparse.Namespace) -> Mapping[str, str]:
    """The numbers of the kart that was named, as its diary left it; what counts by that is said."""
    if not _kart(options):
        return {}
    from advisor.app.at_hand import at_hand
    from advisor.cli import team
    from advisor.cli.standing import standing

    kart, noted = standing(options, team.book(options))
    for text in noted:
        _say(f"{text[:1].upper()}{text[1:]}")
    return at_hand(kart.case)


def _done(name: str, words: Sequence[str], known: Mapping[str, str], as_json: bool) -> int:
    try:
        outcome = work(name, read_in(words), known)
    except WrongValuesError as error:
        return _refused(error.sentences)
    if as_json:
        _as_json(outcome)
    else:
        computed.result(screen(), outcome)
    return USED


def _answered(options: argparse.Namespace, text: str, known: Mapping[str, str]) -> int:
    """The answer to a question in words; for a program only what was worked out of what it tells."""
    found = asked(text, known)
    assert found is not None
    if not options.json:
        told(options, text, found)
        return USED
    if found.outcome is None:
        return _refused(found.wrong or [f"{name} is missing" for name in found.missing])
    _as_json(found.outcome)
    return USED


NO_STORY = 8  # words up to which a sum is asked and nothing told beside it


def told(options: argparse.Namespace, text: str, found: Answer) -> None:
    """The answer on the screen; danger that is told in passing comes first."""
    from advisor.cli import team

    out = screen()
    if len(text.split()) > NO_STORY:
        from advisor.words.understand import lexicon

        ear = team.ear(options)
        _danger_first(out, options, lexicon(team.book(options), ear.words if ear else frozenset()), text)
    computed.answer(out, found)


def _danger_first(out: Screen, options: argparse.Namespace, known: Lexicon, text: str) -> None:
    """What forbids driving, where the line that asks for a sum tells it in passing."""
    from advisor.cli import team
    from advisor.inference.evidence import gather
    from advisor.model.case import Case
    from advisor.planning.alarms import alarming, in_words
    from advisor.terminal import show

    book = team.book(options)
    for _, _, answer in alarming(book, gather(Case(complaint=text), book, known).evidence):
        show.line(out, f"First: {in_words(answer)}", style="bold")


def _as_json(outcome: Outcome) -> None:
    print(json.dumps(outcome.plain(), ensure_ascii=False, indent=2, allow_nan=False))


def _refused(sentences: Sequence[str]) -> int:
    for sentence in sentences:
        _say(sentence)
    return UNUSABLE


def _say(sentence: str) -> None:
    print(printable(sentence if sentence.endswith(("?", ".")) else f"{sentence}."), file=sys.stderr)
