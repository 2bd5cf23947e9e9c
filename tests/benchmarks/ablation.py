"""What each piece of the engine is worth: the same jobs without it, side by side in one run.

    python -m tests.benchmarks.ablation
    python -m tests.benchmarks.ablation --pieces sharper prices --seconds 20

Each row is a generated job (see ``generator``), each column the engine without one piece; a cell holds the
seconds of processor time to the proof, or the gap that was left at the limit. Times are of the processor, so
that other work on the machine does not count.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext
from unittest.mock import patch

from sequencer.engine import Limits, Problem, solve
from tests.benchmarks.generator import generate

JOBS: dict[str, tuple[int, int, int]] = {
    **{f"60/{seed}": (60, seed, 0) for seed in range(4)},
    **{f"100/{seed}": (100, seed, 0) for seed in range(4)},
    **{f"130/{seed}": (130, seed, 0) for seed in range(3)},
    **{f"60+10/{seed}": (60, seed, 10) for seed in range(3)},
    **{f"100+20/{seed}": (100, seed, 20) for seed in range(3)},
}
"""Operations, seed, alternatives of each job."""

WITHOUT: dict[str, Callable[[], AbstractContextManager[object]]] = {
    "all": nullcontext,
    "sharper": lambda: patch("sequencer.engine.bounds.sharper.Sharper.due", lambda *_: False),
    "prices": lambda: patch("sequencer.engine.bounds.bounds.MOST_CELLS", -1),
    "probe": lambda: patch("sequencer.engine.choice.probe.Probe.run", lambda _self, partial, _limit: partial),
    "flip": lambda: patch("sequencer.engine.choice.complete.Completer.flip", lambda *_: None),
}
"""Each piece, and what takes it away; ``all`` takes none."""


def timed(problem: Problem, seconds: float) -> tuple[float, str]:
    """Processor seconds, and the cell for them."""
    with patch("time.monotonic", time.process_time):
        began = time.process_time()
        result = solve(problem, Limits(seconds=seconds))
        spent = time.process_time() - began
    gap = (result.cost - result.bound) / max(1, result.cost)
    return spent, f"{spent:.2f}" if result.proven else f"gap {gap:.1%}"


def main() -> None:
    """Print the table row by row, and the sums."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--pieces", nargs="*", default=list(WITHOUT), choices=list(WITHOUT))
    parser.add_argument("--seconds", type=float, default=30.0)
    asked = parser.parse_args()
    print("job".ljust(10), *(f"{piece:>10}" for piece in asked.pieces), flush=True)
    sums = dict.fromkeys(asked.pieces, 0.0)
    solve(generate(20, 0))  # what is imported late is imported now
    for name, (size, seed, more) in JOBS.items():
        problem = generate(size, seed, more)
        cells = []
        for piece in asked.pieces:
            with WITHOUT[piece]():
                spent, cell = timed(problem, asked.seconds)
            sums[piece] += spent
            cells.append(f"{cell:>10}")
        print(name.ljust(10), *cells, flush=True)
    print("sum".ljust(10), *(f"{total:>10.1f}" for total in sums.values()))


if __name__ == "__main__":
    main()
