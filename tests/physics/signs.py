"""The knowledge base before the kart model: each claim whose direction the model can predict, beside what sources say.

`python -m tests.physics.signs [KARTS]` prints the report. A disagreement has to be explained in the lever's record.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Sequence

from advisor.book import load
from advisor.mechanics.claims import Judged, judged

KARTS = 200


def line(found: Judged) -> str:
    """One claim: the trade's direction with its sources for and against, the model's verdict and spread."""
    gives = found.gives
    where = " ".join(f"[{path.split('.')[-1]} {test}]" for path, test in gives.where.items())
    claim = f"{found.lever} {gives.way}: {gives.change} {gives.effect} {where}".strip()
    sources = f"{len(gives.agree)}:{len(gives.disagree)}"
    row = found.row
    spread = f"{row.low:+.3g} to {row.high:+.3g} of {row.before:.4g}" if row else found.reason
    return f"{claim:88} {sources:>5}  {found.verdict:12}  {spread}"


def report(all_: Sequence[Judged]) -> list[str]:
    """The report: counts, then the claims by verdict, then the explanations of the disagreements."""
    counts = Counter(j.verdict for j in all_)
    lines = [", ".join(f"{verdict} {n}" for verdict, n in counts.most_common()), ""]
    for verdict in ("disagree", "depends", "cannot tell", "agree"):
        rows = [j for j in all_ if j.verdict == verdict]
        lines += [f"{verdict} ({len(rows)})", *(f"  {line(j)}" for j in rows), ""]
    lines.append("not in the model, by reason: " + str(dict(Counter(j.reason for j in all_ if j.reason))))
    return lines


if __name__ == "__main__":
    karts = int(sys.argv[1]) if len(sys.argv) > 1 else KARTS
    for text in report(list(judged(load.book(), karts))):
        print(text)
