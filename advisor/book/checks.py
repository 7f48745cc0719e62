"""Checks over the whole book: what a single file cannot show.

Each check is a small function from a `View` to findings: the place, the sentence, and whether it is
an error (cannot be used) or a weakness (works, but poorly).
"""

from __future__ import annotations

from typing import Any

from advisor.book.findings import Finding, View
from advisor.book.load import Loaded
from advisor.book.marked import Marked
from advisor.book.quality import QUALITY
from advisor.book.references import REFERENCES
from advisor.model.knowledge import Book
from advisor.problems import Problem


def check(
    loaded: Loaded, book: Book, broken: frozenset[str] = frozenset(), *, quality: bool = True
) -> list[Problem]:
    """Run every check; findings become problems at their place in their file.

    `quality` is false while some file does not load: what hangs on it would be blamed for nothing.
    """
    view = View(book, broken)
    findings = [f for c in REFERENCES for f in c(view)]
    if quality:
        wrong = {(f.room, f.ident) for f in findings}  # what is wrong need not be called weak as well
        poor = [f for c in QUALITY for f in c(view) if (f.room, f.ident) not in wrong]
        # while a name is wrong, what it was to use seems unused and what it was to fix seems unfixable
        findings += [f for f in poor if not (wrong and f.code in ("unused", "unfixable"))]
    return sorted(_located(loaded, finding) for finding in findings)


def _located(loaded: Loaded, finding: Finding) -> Problem:
    document, path = _document(loaded, finding)
    if document is None:
        return Problem(
            finding.room, 1, 1, f"{finding.ident}: {finding.message}", finding.code, finding.severity
        )
    problem = document.problem(path, finding.message, finding.code, key=finding.key)
    return Problem(
        problem.file, problem.line, problem.column, problem.message, finding.code, finding.severity
    )


def _document(loaded: Loaded, finding: Finding) -> tuple[Marked | None, tuple[Any, ...]]:
    table = loaded.documents.get(f"{finding.room}.yaml")
    if table is not None:
        return table, (*((finding.ident,) if finding.ident else ()), *finding.path)
    for name, document in loaded.documents.items():
        if name.startswith(f"{finding.room}/") and name.endswith(f"/{finding.ident}.yaml"):
            return document, finding.path
    return None, finding.path
