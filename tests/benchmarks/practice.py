"""How far good practice is proven, both ways, on the van and on three machines invented for this.

    python -m tests.benchmarks.practice
    python -m tests.benchmarks.practice --only packing-line

Each row is one way of one machine, as a person asks for it: the operations, what the changes between them
cost in seconds, the least that they can cost as far as it is proven, and processor seconds for the plan.
"""

from __future__ import annotations

import argparse
import time
from pathlib import Path

from sequencer.plan.order.patience import limits
from sequencer.plan.plan import Refit, Teardown
from sequencer.plan.practice.rules import Practice
from sequencer.plan.refit import plan_refit
from tests.plan.jobs import teardown

ROOT = Path(__file__).parents[2]
MACHINES = Path(__file__).parent / "machines"

JOBS: dict[str, tuple[Path, tuple[str, ...]]] = {
    "van": (ROOT / "models/delivery-van.yaml", ("head",)),
    "vee-engine": (MACHINES / "vee-engine.yaml", ("head-left", "head-right", "sump")),
    "packing-line": (MACHINES / "packing-line.yaml", ("shaft",)),
    "compound-gearbox": (MACHINES / "compound-gearbox.yaml", ("gear-in", "gear-mid", "gear-out")),
}
"""Machine file and what comes off."""


def row(name: str, plan: Teardown | Refit, spent: float) -> None:
    """One way of one machine."""
    steps, bound = plan.steps, plan.bound
    assert bound is not None
    total = sum(step.seconds + step.change_seconds for step in steps)
    changes = sum(step.change_seconds for step in steps)
    short = total - bound.seconds
    word = "proven" if bound.reached else f"gap {float(short):.0f} s ({float(short / total):.2%} of the job)"
    cost, least = float(changes), float(changes - short)
    print(f"{name:24} {len(steps):4} {cost:7.0f} {least:7.0f}  {spent:6.1f}  {word}", flush=True)


def main() -> None:
    """Print the table row by row."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--only", nargs="*", default=list(JOBS), choices=list(JOBS))
    print(f"{'way':24} {'ops':>4} {'changes':>7} {'bound':>7}  {'cpu':>6}")
    for name in parser.parse_args().only:
        path, parts = JOBS[name]
        text, targets = path.read_text(encoding="utf-8"), [("off", part) for part in parts]
        began = time.process_time()
        way_in = teardown(text, targets, limits=limits(), practice=Practice.ALL)
        row(f"{name} in", way_in, time.process_time() - began)
        began = time.process_time()
        back = plan_refit(way_in, limits=limits(), practice=Practice.ALL)
        row(f"{name} back", back, time.process_time() - began)


if __name__ == "__main__":
    main()
