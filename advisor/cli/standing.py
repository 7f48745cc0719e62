"""A kart on file as it stands now by the diary, for what is told without a sitting."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from advisor.cli import journal_path, stamps

if TYPE_CHECKING:
    from advisor.karts.on_file import Kart
    from advisor.model.knowledge import Book
    from advisor.reasoning.weighing import Mind


def still_standing(options: argparse.Namespace, mind: Mind, kart: Kart) -> list[str]:
    """That the kart was left standing as dangerous, where it was."""
    path = journal_path(options)
    if not path.is_file():
        return []
    from advisor.app.left_standing import left_standing, told
    from advisor.app.opening import when
    from advisor.journal.store import Journal, JournalError

    try:
        with Journal(path, read_only=True) as journal:
            left = left_standing(journal, mind, kart.case.kart_file)
    except JournalError:  # told by `standing`
        return []
    return [f"STOP: {told(left, when(left.at))}; it is opened by advisor, there o"] if left else []


def standing(
    options: argparse.Namespace, book: Book, anew: Callable[[], Mapping[str, object]] = dict
) -> tuple[Kart, list[str]]:
    """The kart that was named as it stands now, and what is to be said of that.

    `anew`: the questions that a complaint answers itself (`felt.told_anew`), which counts instead of what was noted of
    the day. Raises UnusableError.
    """
    from advisor.cli.kart_folder import karts_path
    from advisor.karts import on_file

    kart, path = on_file.read(karts_path(options), options.kart, book), journal_path(options)
    if not path.is_file():
        return kart, []
    from advisor.journal.store import Journal, JournalError
    from advisor.karts import noted

    try:
        with Journal(path, read_only=True) as journal:
            now, told = noted.as_it_stands(journal, kart.case, book, stamps.local(), stamps.now())
    except JournalError as error:
        return kart, [f"the diary cannot be read: {error}"]
    words = noted.words(told, book) if told else ""
    case = noted.but_for(now, anew())
    return replace(kart, case=case), [words] if words else []
