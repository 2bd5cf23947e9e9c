"""Random jobs replayed by an independent checker: ``python -m tests.benchmarks.walks --jobs 300``.

Each job is a random machine (3 to 8 parts, all words of the format page) with random targets, taken apart and
put together by somebody who works out of order, finds parts and relations that the file lacks, takes on more
targets, turns before all is reached, and takes apart again in the middle. The checker
(``tests/support/walk_checker.py``) reads the machine file for itself and shares no code with the program. It
holds that every offered step is possible, no target is lost, every way back is whole, and its gates in time.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import Counter

from tests.support.walk_checker import check_walk
from tests.support.walks import Walk


def main() -> int:
    """Walk, print what happened, and end with 1 where the checker has found a fault."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--jobs", type=int, default=300)
    options.add_argument("--first", type=int, default=0, help="The first job's number.")
    asked = options.parse_args()
    counts: Counter[str] = Counter()
    began, seed = time.process_time(), asked.first
    while counts["jobs"] < asked.jobs:
        walk = Walk(seed, 3 + seed % 6).run()
        if walk.possible:
            counts["jobs"] += 1
            for what in ("discoveries", "refused", "out_of_order", "stuck", "turns"):
                counts[what] += getattr(walk, what)
            counts["steps"] += sum("done" in entry for entry in walk.log)
            counts["offers"] += sum(len(entry.get("offered", ())) for entry in walk.log)
            faults = check_walk(walk.log)
            counts["faults"] += len(faults)
            if faults:
                print(f"job {seed}: {faults[:3]}")
        seed += 1
    print(", ".join(f"{counts[what]} {what.replace('_', ' ')}" for what in sorted(counts)))
    print(f"{time.process_time() - began:.0f} s of processor time")
    return 1 if counts["faults"] else 0


if __name__ == "__main__":
    sys.exit(main())
