"""How long one-shot advice takes as a whole process, against bare imports in the same run.

Run as `python -m tests.benchmarks.start_up [ROUNDS]`. Prints medians and ratios; asserts nothing.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter

BARE = "import yaml, pydantic, rich.console, rich.table"
CASE = """\
complaint: loose in the rear, mid corner, and it hops on the way out
setup: {tyre_pressure_rear: 12 psi, rear_track_width: 1390 mm}
minutes: 15
"""


def main(rounds: int = 11) -> None:
    """Time the commands in turn, so that a slow moment of the machine hits all alike."""
    with TemporaryDirectory() as folder:
        case = Path(folder) / "case.yaml"
        case.write_text(CASE, "utf-8")
        commands = {
            "bare imports": [sys.executable, "-c", BARE],
            "advisor advise": [sys.executable, "-m", "advisor", "advise", str(case)],
            "advisor advise --json": [sys.executable, "-m", "advisor", "advise", "--json", str(case)],
            "advisor --help": [sys.executable, "-m", "advisor", "--help"],
        }
        warm = {**os.environ, "XDG_CACHE_HOME": str(Path(folder) / "cache")}
        warm.pop("PYTHONDONTWRITEBYTECODE", None)  # an installed program has its bytecode
        for command in commands.values():
            _time(command, warm)
        taken: dict[str, list[float]] = {name: [] for name in commands}
        for _ in range(rounds):
            for name, command in commands.items():
                taken[name].append(_time(command, warm))
        cold = [_time(commands["advisor advise"], {**warm, "ADVISOR_NO_CACHE": "1"}) for _ in range(3)]
    base = median(taken["bare imports"])
    for name, times in taken.items():
        print(f"{name:24} {median(times):.3f} s   {median(times) / base:.2f} x bare imports")
    print(f"{'... without the cache':24} {median(cold):.3f} s   {median(cold) / base:.2f} x bare imports")


def _time(command: list[str], environment: dict[str, str]) -> float:
    start = perf_counter()
    subprocess.run(command, check=True, capture_output=True, env=environment)
    return perf_counter() - start


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 11)
