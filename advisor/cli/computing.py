"""`advisor compute [NAME key=value ...]`: the sums of a race day."""

from __future__ import annotations

import argparse
import json
import sys

from advisor.cli import UNUSABLE, USED, WRONG_COMMAND
from advisor.cli.logs import read_in
from advisor.problems import hint, printable
from advisor.sums import SUMS, WrongValuesError, work
from advisor.terminal import computed
from advisor.terminal.screen import screen

OPTIONS = {"--json": "json", "-h": "help", "--help": "help"}  # they may stand between the values


def compute(options: argparse.Namespace) -> int:
    """List the sums, tell what one takes, or do it; status 1 with a sentence for every value that is wrong."""
    typed = [word for word in options.value if _is_option(word)]
    for word in typed:
        if word not in OPTIONS:
            _say(f'there is no option "{word[:40]}"; compute has --json and --help')
            return WRONG_COMMAND
        setattr(options, OPTIONS[word], True)
    words = [word for word in options.value if word not in typed]
    if options.name is None:
        computed.everything(screen())
        return USED
    if options.name not in SUMS:
        near = hint(options.name, SUMS) or "; advisor compute alone lists the sums"
        _say(f'there is no sum "{printable(options.name)[:40]}"{near}')
        return UNUSABLE
    if options.help or not words:
        computed.takes(screen(), SUMS[options.name])
        return USED
    return _done(options.name, words, options.json)


def _is_option(word: str) -> bool:
    return word.startswith("-") and word[1:2] not in ".,0123456789" and "=" not in word


def _done(name: str, words: list[str], as_json: bool) -> int:
    try:
        outcome = work(name, read_in(words))
    except WrongValuesError as error:
        for sentence in error.sentences:
            _say(sentence)
        return UNUSABLE
    if as_json:
        print(json.dumps(outcome.plain(), ensure_ascii=False, indent=2, allow_nan=False))
    else:
        computed.result(screen(), outcome)
    return USED


def _say(sentence: str) -> None:
    print(printable(sentence if sentence.endswith("?") else f"{sentence}."), file=sys.stderr)
