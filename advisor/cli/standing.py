"""A kart on file as it stands now by the diary, for what is told without a sitting."""

from __future__ import annotations

import argparse
from dataclasses import replace
from typing import TYPE_CHECKING

from advisor.cli import journal_path, stamps

if TYPE_CHECKING:
    from advisor.karts.on_file import Kart
    from advisor.reasoning.weighing import Mind


def standing(options: argparse.Namespace, mind: Mind, complaint: str) -> tuple[Kart, list[str]]:
    """The kart that was named as it stands now, and what is to be said of that.

    What the complaint says of the day itself counts instead of what was noted. Raises UnusableError.
    """
    from advisor.cli.kart_folder import karts_path
    from advisor.karts import on_file

    kart, path = on_file.read(karts_path(options), options.kart, mind.book), journal_path(options)
    if not path.is_file():
        return kart, []
    from advisor.app.felt import told_anew
    from advisor.journal.store import Journal, JournalError
    from advisor.karts import noted

    try:
        with Journal(path, read_only=True) as journal:
            now, told = noted.as_it_stands(journal, kart.case, mind.book, stamps.local(), stamps.now())
    except JournalError as error:
        return kart, [f"the diary cannot be read: {error}"]
    words = noted.words(told, mind.book) if told else ""
    case = noted.but_for(now, told_anew(mind, complaint))
    return replace(kart, case=case), [f"from the diary: {words}"] if words else []
