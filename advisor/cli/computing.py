"""`advisor compute [NAME key=value ...]`: the sums of a race day."""

from __future__ import annotations

import argparse
import json
import sys

from advisor.cli import UNUSABLE, USED
from advisor.problems import hint, printable
from advisor.sums import SUMS, WrongValuesError, work
from advisor.terminal import computed
from advisor.terminal.screen import screen


def compute(options: argparse.Namespace) -> int:
    """List the sums, tell what one takes, or do it; status 1 with a sentence for every value that is wrong."""
    if options.name is None:
        computed.everything(screen())
        return USED
    if options.name not in SUMS:
        near = hint(options.name, SUMS) or "; advisor compute alone lists the sums"
        _say(f'there is no sum "{printable(options.name)[:40]}"{near}')
        return UNUSABLE
    if options.help or not options.value:
        computed.takes(screen(), SUMS[options.name])
        return USED
    try:
        outcome = work(options.name, options.value)
    except WrongValuesError as error:
        for sentence in error.sentences:
            _say(sentence)
        return UNUSABLE
    if options.json:
        print(json.dumps(outcome.plain(), ensure_ascii=False, indent=2, allow_nan=False))
    else:
        computed.result(screen(), outcome)
    return USED


def _say(sentence: str) -> None:
    print(printable(sentence if sentence.endswith("?") else f"{sentence}."), file=sys.stderr)
