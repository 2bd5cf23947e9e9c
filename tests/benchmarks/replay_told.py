"""What a person tells of a machine, and what comes of it: ``python -m tests.benchmarks.replay_told``.

A simulated person takes the pump, the van and random machines of 15 to 40 parts apart, says each act in
a short line, and gives the torques that are known. Printed of each: words a part, how much longer than the
best the way back and the next teardown take on the true machine, without questions and with ``--answers`` of
them, and whatever was lost or can't be done there. All of it is computed, so that it is the same everywhere
but for searches that end by the clock: ``--seconds`` each.
"""

import argparse
from pathlib import Path

from sequencer.engine.problem import Limits
from tests.benchmarks.told.machines import told_machine
from tests.benchmarks.told.trial import MOST_ANSWERS, summary, trial

ROOT = Path(__file__).parents[2]
FILES = {
    "pump": (ROOT / "examples" / "bench-pump.yaml", ("impeller",)),
    "van": (ROOT / "models" / "delivery-van.yaml", ("head",)),
}
DEEP = 6
"""Of a random machine so many parts are wanted, those that lie deepest."""


def chance(number, answers=0, limits=None):
    """The trial of a random machine."""
    text, names = told_machine(number)
    more = {} if limits is None else {"limits": limits}
    return trial(text, names[-DEEP:], f"chance {number}", number, answers=answers, **more)


def main():
    """Print every machine, then what it comes to."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--machines", type=int, default=30)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument(
        "--answers", type=int, default=0, help=f"questions to answer, {MOST_ANSWERS} at the most"
    )
    parser.add_argument("--seconds", type=float, default=2)
    parser.add_argument("--only", choices=("pump", "van", "chance"))
    asked = parser.parse_args()
    limits = Limits(states=5_000, seconds=asked.seconds)
    most = min(asked.answers, MOST_ANSWERS)
    for name, (path, off) in FILES.items():
        if asked.only in (None, name):
            text = path.read_text(encoding="utf-8")
            print(trial(text, off, name, 0, answers=most, limits=limits).line, flush=True)
    results = []
    for number in range(asked.first, asked.first + asked.machines) if asked.only in (None, "chance") else ():
        results.append(chance(number, most, limits))
        print(results[-1].line, flush=True)
    if results:
        print(summary(results))


if __name__ == "__main__":
    main()
