"""How well the ear hears: `python -m tests.ear.measure [WEIGHTS]` prints facts heard on authors kept apart.

Authors D and P, the writer of ../blind/unseen.yaml, and the published complaints, whose facts were written down by
people who saw them and the list of questions only. Nothing of them is learnt from.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Mapping, Sequence
from pathlib import Path

from advisor.book import load
from advisor.words.ear import Ear, Heard, features
from advisor.words.ear_file import unpacked
from advisor.words.understand import Understanding, lexicon, understand
from tests.ear.examples import Told, apart, told_in
from tests.real_complaints.reading import every_complaint, raw

BLIND = Path(__file__).parents[1] / "blind" / "unseen.yaml"


def sets() -> dict[str, Sequence[Told]]:
    """The complaints that are judged by."""
    facts: Mapping[str, Mapping[str, Mapping[str, str]]] = {e["id"]: e for e in raw("facts.yaml")}
    real = [
        Told(
            c.id,
            c.text,
            facts[c.id].get("st") or {},
            facts[c.id].get("im") or {},
            facts[c.id].get("fe2") or {},
            (),
        )
        for c in every_complaint()
        if c.id in facts
    ]
    return {"D": apart("d"), "P": apart("p"), "V": told_in(BLIND), "real": real}


class Hearing:
    """The book's phrases and the learned ear together."""

    def __init__(self, ear: Ear) -> None:
        self.ear, self.book = ear, load.book()
        self.known = lexicon(self.book, ear.words)

    def read(self, text: str) -> tuple[Understanding, Heard]:
        words = understand(text, self.book, self.known)
        return words, self.ear.hear(features(text, words))


def phrases(words: Understanding) -> set[tuple[str, str]]:
    """The facts that the phrases of the book alone tell."""
    said = {(q, a) for q, r in words.facts.items() if len(r.answers) == 1 for a in r.answers}
    return said | {
        (axis, a) for pair in words.feels for axis, a in zip(("phase", "balance"), pair, strict=True) if a
    }


def report(name: str, rows: Sequence[Told], hearing: Hearing) -> None:
    cells = Counter[tuple[float, str]]()
    bins = Counter[tuple[str, float, str]]()
    for row in rows:
        words, heard = hearing.read(row.text)
        stated, implied = set(row.stated.items()), set(row.implied.items()) | set(row.second.items())
        chances = {(q, a): p for q, answers in heard.facts.items() for a, p in answers.items()}
        hits = phrases(words)
        for least in (0.1, 0.2, 0.3, 0.5, 0.7, 0.8, 0.9):
            said = {fact for fact, p in chances.items() if p >= least}
            cells[least, "stated"] += len(said & stated)
            cells[least, "implied"] += len(said & implied)
            cells[least, "right"] += len(said & (stated | implied))
            cells[least, "said"] += len(said)
            cells[least, "none"] += not said
        cells[0, "stated"] += len(stated)
        cells[0, "implied"] += len(implied)
        for fact, p in chances.items():
            least = max(x for x in (0, 0.02, 0.05, 0.1, 0.2, 0.3, 0.5, 0.7, 0.8, 0.9) if p >= x)
            kind = "phrase" if fact in hits else "learnt"
            bins[kind, least, "n"] += 1
            bins[kind, least, "right"] += fact in stated | implied
    print(f"{name}: {len(rows)} complaints")
    for least in (0.1, 0.2, 0.3, 0.5, 0.7, 0.8, 0.9):
        c = {k: cells[least, k] for k in ("stated", "implied", "right", "said", "none")}
        print(
            f"  from {least}: stated {c['stated'] / cells[0, 'stated']:.2f} implied "
            f"{c['implied'] / max(1, cells[0, 'implied']):.2f} right {c['right'] / max(1, c['said']):.2f} "
            f"nothing {c['none'] / len(rows):.2f}"
        )
    for kind in ("phrase", "learnt"):
        line = (
            f"{least}: {bins[kind, least, 'right'] / n:.2f} of {n}"
            for least in (0, 0.02, 0.05, 0.1, 0.2, 0.3, 0.5, 0.7, 0.8, 0.9)
            if (n := bins[kind, least, "n"])
        )
        print(f"  {kind} right by chance " + "; ".join(line))


def main() -> None:
    path = Path(sys.argv[1]) if len(sys.argv) > 1 else load.shipped() / "ear.bin"
    hearing = Hearing(unpacked(path.read_bytes()))
    for name, rows in sets().items():
        report(name, rows, hearing)


if __name__ == "__main__":
    main()
