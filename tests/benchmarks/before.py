"""The same jobs by this engine and by a former one, in turn.

    python -m tests.benchmarks.before --checkout PATH

``PATH`` is a checkout of the former one, made for example by ``git worktree add PATH COMMIT``. Each row is a
generated job (see ``generator``): seconds of the processor to the proof, or the gap that was left at the
limit of work, before and now. Each answer is the better of a few runs in turn, each in a process of its own.
"""

from __future__ import annotations

import argparse
import pickle
import subprocess
import sys
from pathlib import Path

from sequencer.engine import Problem
from tests.benchmarks.generator import generate

HERE = Path(__file__).parents[2]

ASKED = """
import pickle, sys, time
from sequencer.engine import Limits, solve
import numpy
problem, states = pickle.load(sys.stdin.buffer)
began = time.process_time()
result = solve(problem, Limits(states=states))
spent = time.process_time() - began
pickle.dump((spent, result.cost, result.bound), sys.stdout.buffer)
"""
"""What is asked of an engine; what it imports late is not counted."""


def solved(checkout: Path, problem: Problem, states: int) -> tuple[float, int, int]:
    """Seconds of the processor, cost and bound, by the engine of a checkout."""
    done = subprocess.run(
        [sys.executable, "-c", ASKED],
        input=pickle.dumps((problem, states)),
        env={"PYTHONPATH": str(checkout)},
        cwd=checkout,
        capture_output=True,
        check=True,
    )
    return pickle.loads(done.stdout)  # type: ignore[no-any-return] # it is our own


def cell(spent: float, cost: int, bound: int) -> str:
    """The seconds, or the gap."""
    return f"{spent:.2f} s" if cost == bound else f"gap {(cost - bound) / max(1, cost):.1%}"


def main() -> None:
    """Print the table row by row, the sums for each size, and their ratio."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--checkout", type=Path, required=True)
    parser.add_argument("--sizes", type=int, nargs="*", default=[60, 100])
    parser.add_argument("--seeds", type=int, default=6)
    parser.add_argument("--states", type=int, default=300_000)
    parser.add_argument("--runs", type=int, default=2)
    asked = parser.parse_args()
    print("job".ljust(10), f"{'before':>12}", f"{'now':>12}", flush=True)
    for size in asked.sizes:
        sums = [0.0, 0.0]
        for seed in range(asked.seeds):
            problem = generate(size, seed)
            runs = [
                [solved(checkout, problem, asked.states) for checkout in (asked.checkout.resolve(), HERE)]
                for _ in range(asked.runs)
            ]
            found = [min(column) for column in zip(*runs, strict=True)]
            sums = [total + one[0] for total, one in zip(sums, found, strict=True)]
            print(f"{size}/{seed}".ljust(10), *(f"{cell(*one):>12}" for one in found), flush=True)
        print(f"{size}: {sums[0]:.1f} s before, {sums[1]:.1f} s now: {sums[1] / sums[0]:.2f} times\n")


if __name__ == "__main__":
    main()
