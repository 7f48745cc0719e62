"""What learning error and answer rates is worth: `python -m tests.properties.rates [SEASONS [SEED [INTERVIEWS]]]`.

Invented teams that differ from the trade in how often their drivers are wrong (`drivers`) and how often their people
can answer (`answerers`), and teams that do not; a stranger beside the one who learns. With `fit` for the numbers the
strengths of the trade's word are tried, each half of the teams scored with what is best for the other.
"""

from __future__ import annotations

import sys
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from itertools import chain

from tests.properties import answerers, drivers


def main(arguments: list[str]) -> None:
    if arguments[:1] == ["fit"]:
        drivers.fit(120, 7)
        answerers.fit(100, 7)
        return
    many, seed, interviews = (int(a) for a in (*arguments, *("300", "1", "60")[len(arguments) :]))
    with ProcessPoolExecutor(2) as pool:
        words = pool.map(partial(drivers.report, many=many, seed=seed), drivers.KINDS)
        answers = pool.map(
            partial(answerers.report, many=many, seed=seed, interviews=interviews), answerers.KINDS
        )
        for lines in chain(words, answers):
            print(*lines, sep="\n", flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
