"""Checks over the whole book: what a single file cannot show.

Each check is a small function from a `View` to findings: the place, the sentence, and whether it is
an error (cannot be used) or a weakness (works, but poorly).
"""

from __future__ import annotations

from dataclasses import replace

from advisor.book.findings import Finding, View
from advisor.book.load import Loaded
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
    place = loaded.places.get((finding.room, finding.ident))
    if place is None:
        return Problem(
            finding.room, 1, 1, f"{finding.ident}: {finding.message}", finding.code, finding.severity
        )
    document, path = place
    problem = document.problem((*path, *finding.path), finding.message, finding.code, key=finding.key)
    return replace(problem, severity=finding.severity)
