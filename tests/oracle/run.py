"""Random fleets against the day-by-day walk, as many as asked for.

    python tests/oracle/run.py --fleets 2000 --seed 1

prints fleets, due points compared, questions asked (and how many of them where the program may be earlier) and
differences, and each difference with the seed that shows it again (`--fleets 1 --seed N`). Exit status 1 where there is
a difference. With `--partly` only some movements state their totals and only some evenings are read: there the program
may be earlier than the truth, and never later.
"""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parents[2])]

from comparison import Tally, compared  # noqa: E402  the folder must be on the path first
from fleet_days import Told  # noqa: E402


def main() -> int:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--fleets", type=int, default=2_000)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--partly", action="store_true", help="only some totals and evenings are written down")
    asked.add_argument("--show", type=int, default=20, help="differences to print")
    options = asked.parse_args()
    total, began = Tally(), time.monotonic()
    for seed in range(options.seed, options.seed + options.fleets):
        total.add(compared(seed, Told(totals=0.4, evenings=0.3) if options.partly else None))
    for difference in total.differences[: options.show]:
        print(difference)
    states = ", ".join(f"{state} {count}" for state, count in sorted(total.states.items()))
    print(f"States told: {states}.")
    print(
        f"{total.fleets} fleets from seed {options.seed}, {total.rows} due points, {total.questions} questions "
        f"({total.counted} in a counter, {total.one_sided} where the program may be earlier): "
        f"{len(total.differences)} differences. {time.monotonic() - began:.0f} s."
    )
    return 1 if total.differences else 0


if __name__ == "__main__":
    sys.exit(main())
